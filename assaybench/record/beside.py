"""What other charges of the run do for one sample: its twin proofs, its slag and cupel again.

A twin proof is a proof that holds the silver that the sample was given, and its lead; `[method]
silver = "twin"` asks for it. Slag and cupel treated again are samples of the run: `of` the sample,
`part` slag or cupel, parted and weighed like any other, with the lots of their own charge.
"""

from collections.abc import Sequence

from assaybench.assay.blanks import Use
from assaybench.assay.dore import SilverAdded
from assaybench.assay.metal import Gold, TreatedAgain
from assaybench.assay.net import Mass, net_of_blank
from assaybench.assay.silver import Silver, Twin, silver, silver_by_twin
from assaybench.messages import say
from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.uncertain import Uncertain, nominal
from assaybench.record.entries import Effective
from assaybench.record.kinds import TREATED_AGAIN
from assaybench.record.method_items import SILVER
from assaybench.record.run import Run

ALIKE = 0.1
"""A twin has the silver and the lead of its sample to within this share of them."""


def treated_again(run: Run, name: str) -> list[TreatedAgain]:
    """Gold won back from the slag and the cupel of a sample, each less its own blank."""
    found = []
    for entry in run.treated_again.get(name, ()):
        own = entry.text("id")
        parted = run.mass(own, "gold")
        if parted is None or own in run.state.left_out:
            continue
        net = net_of_blank(run.sources, f"gold of {own}", parted, run.uses(entry, "gold"))
        found.append(TreatedAgain("slag" if entry.text("part") == "slag" else "cupel", net))
    return found


def instead_of_proofs(found: Gold) -> tuple[tuple[Flag, ...], tuple[str, ...]]:
    """Flags and assumptions of gold whose own cupel was treated again: proofs are not used."""
    flags = tuple(f for f in found.flags if f.code != "no_matching_proof")
    return flags, (*found.assumptions, say("cupel_instead"))


def silver_of(
    run: Run, entry: Effective, bead: Mass, parted: Mass, added: SilverAdded, uses: Sequence[Use]
) -> Silver:
    """Silver of a sample: against its twin proofs where the method asks for them, else as usual.

    Args:
        run: the run.
        entry: the sample.
        bead, parted: its bead, and the gold of it.
        added: its silver added.
        uses: its reagents with their blanks of silver.
    """
    name = entry.text("id")
    # a proof is itself the twin, and slag or a cupel has none
    of_sample = entry.text("role") not in {"blank", "proof"}
    of_sample = of_sample and entry.text("part") not in TREATED_AGAIN
    wanted = of_sample and run.state.methods.get(SILVER) == "twin" and added.kind == "mass"
    if wanted and (twins := twins_of(run, entry)):
        return silver_by_twin(
            run.sources,
            name,
            bead,
            parted,
            added_mg=added.mg,
            twins=twins,
            loss=run.loss,
            uses=uses,
        )
    found = silver(run.sources, name, bead, parted, added=added, loss=run.loss, uses=uses)
    return found._replace(flags=(*found.flags, flag("no_twin"))) if wanted else found


def twins_of(run: Run, entry: Effective) -> list[Twin]:
    """The proofs of the run with the silver and the lead of a sample, parted and weighed."""
    found = []
    own = run.added(entry)
    for proof in run.of_role("proof"):
        taken, name = _silver_in(run, proof), proof.text("id")
        bead, parted = run.mass(name, "bead"), run.mass(name, "gold")
        if taken is None or bead is None or parted is None:
            continue
        silver_alike = _alike(nominal(taken), nominal(own.mg))
        if silver_alike and _alike(run.lead_g(proof), run.lead_g(entry)):
            uses = tuple(run.uses(proof, "silver"))
            found.append(Twin(name, bead.mg - parted.mg, taken, uses))
    return found


def _silver_in(run: Run, proof: Effective) -> Uncertain | None:
    """All the silver of a proof, mg, however it was noted; None where it was not."""
    taken = run.silver_taken(proof)
    if taken is not None:
        return taken
    added = run.added(proof)
    return added.mg if added.kind == "mass" else None


def _alike(one: float, other: float) -> bool:
    return abs(one - other) <= ALIKE * max(abs(one), abs(other))
