"""The bead as it leaves the cupel: gold and silver of the sample together.

Method version 1, sections 2 and 3. Masses in milligrams.
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

from assaybench.assay.blanks import Use
from assaybench.assay.levels import Levels
from assaybench.assay.losses import SilverLoss, kept_of
from assaybench.assay.metal import Status, refusals
from assaybench.assay.net import Mass, net_of_blank
from assaybench.metrology.figure import Flag, Verdict, flag
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, product
from assaybench.units import write


class SilverAdded(NamedTuple):
    """Silver added to a charge: a mass, none, or unknown.

    Attributes:
        kind: `mass`, `none` or `unknown`.
        mg: the mass, mg, with its doubt; 0 for none.
    """

    kind: Literal["mass", "none", "unknown"]
    mg: Uncertain = 0.0


NONE_ADDED = SilverAdded("none")
UNKNOWN_ADDED = SilverAdded("unknown")


class Dore(NamedTuple):
    """The metal of a bead that came from the sample: gold and silver together.

    Attributes:
        name: names the bead.
        mg: B - added·(1 - ℓ) - blank, mg; None when silver added is unknown or it is refused.
        bead_mg: the bead as read.
        added_mg, loss: silver added, mg, and the share of it that was lost.
        blank_mg: what was taken off for the reagents, gold and silver.
        levels: L_C, L_D, L_Q, mg; None without a value.
        verdict: like the blank or above it; None without a value.
        status: measured, not determinable, refused.
        refusal: why there is no value.
        flags, assumptions: what a reader must know.
    """

    name: str
    mg: Uncertain | None
    bead_mg: float
    added_mg: float
    loss: float
    blank_mg: float
    levels: Levels | None
    verdict: Verdict | None
    status: Status
    refusal: Flag | None
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]


def dore(
    sources: Sources,
    name: str,
    bead: Mass,
    *,
    added: SilverAdded,
    loss: SilverLoss,
    uses: Sequence[Use] = (),
    parted: bool = False,
    sample_mg: Uncertain | None = None,
) -> Dore:
    """Gold and silver of the sample in a bead: B - added·(1 - ℓ) - blank.

    Args:
        sources: the sources of doubt of the calculation.
        name: names the bead.
        bead: the bead before parting.
        added: silver added.
        loss: silver loss ℓ of the run.
        uses: reagents with their blanks of both metals.
        parted: whether gold was weighed; without it `dore_not_gold` is flagged.
        sample_mg: mass of the sample, mg.

    Source: method version 1, section 2.
    """
    left: Uncertain = 0.0
    if added.kind == "mass":
        left = product(added.mg, kept_of(sources, loss, name))
    net = net_of_blank(sources, f"doré of {name}", bead, uses, taken_off=left)
    unknown = added.kind == "unknown"
    reasons = [*refusals(sources, bead, sample_mg=sample_mg)]
    reasons += [net.refusal] if net.refusal and not unknown else []
    status: Status = "refused" if reasons else "not determinable" if unknown else "measured"
    if unknown:
        reasons.append(flag("silver_added_unknown"))
    kept = status == "measured"
    return Dore(
        name=name,
        mg=net.mg if kept else None,
        bead_mg=nominal(bead.mg),
        added_mg=nominal(added.mg),
        loss=nominal(loss.share),
        blank_mg=net.blank_mg,
        levels=None if unknown else net.levels,
        verdict=None if unknown else net.verdict,
        status=status,
        refusal=reasons[0] if reasons else None,
        flags=(*(() if parted else (_not_gold(sources, bead),)), *reasons, *net.flags),
        assumptions=(*net.assumptions, *(loss.assumptions if added.kind == "mass" else ())),
    )


def _not_gold(sources: Sources, bead: Mass) -> Flag:
    doubt = sources.doubt(bead.mg)
    if not doubt.u:
        return flag("dore_not_gold", B=bead.shown, U="0")
    expanded_mg = doubt.k * doubt.u
    shown, expanded = write.value_and_expanded(nominal(bead.mg), expanded_mg, finest=bead.finest)
    return flag("dore_not_gold", B=shown, U=expanded)
