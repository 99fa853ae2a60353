"""Proofs: known metal fired beside the samples, and the corrections that come from it.

Method version 1, section 3. The additive form is that of ISO 11426 (bullion), the ratio form is
common in mints; which one is used is a choice of method and said. A correction is one variable for
the run. Scatter enters only as far as it exceeds what the weighings of the proofs let expect.
"""

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Literal, NamedTuple

from assaybench.assay.blanks import Metal, Use, blank_in, lines
from assaybench.assay.replicates import (
    PROOF_ROW,
    Spread,
    average,
    scatter_of_proofs,
    spread_name,
)
from assaybench.messages import say
from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

Form = Literal["additive", "ratio", "none"]

OWN_ROW = "scatter of the loss"


class Conditions(NamedTuple):
    """What a proof and a bead must share to lose alike.

    Attributes:
        run: the furnace run.
        lead_g: lead cupelled, g.
        silver_mg: silver added, mg.
        copper_mg: copper, mg.
    """

    run: str
    lead_g: float
    silver_mg: float = 0.0
    copper_mg: float = 0.0


class Proof(NamedTuple):
    """Known metal taken through the method.

    Attributes:
        name: names it.
        taken_mg: metal taken, mg.
        found_mg: metal found, mg, the blank of its reagents still in it.
        conditions: run, lead, silver and copper.
        uses: its reagents with their blanks of this metal.
    """

    name: str
    taken_mg: Uncertain
    found_mg: Uncertain
    conditions: Conditions
    uses: tuple[Use, ...] = ()


class Correction(NamedTuple):
    """What the proofs of a run say about the metal a bead lost.

    Attributes:
        name: names it and its scatter.
        form: additive, ratio, or none.
        run: the furnace run.
        shift_mg: D, mg, to be added; 0 in the ratio form. One variable for the run.
        factor: Σtaken/Σ(found - b_p), to multiply by; 1 in the additive form. One variable too.
        own: scatter of one bead's loss: mg in the additive form, a share in the ratio form.
        dof: ν of that scatter.
        n: number of proofs.
        metal_mg: metal of one proof, mg.
        conditions: of the proofs; None without any.
        scale: by what the loss of the proof was multiplied to fit the bead.
        flags, assumptions: what a reader must know.
    """

    name: str
    form: Form
    run: str
    shift_mg: Uncertain = 0.0
    factor: Uncertain = 1.0
    own: float = 0.0
    dof: float = math.inf
    n: int = 0
    metal_mg: float = 0.0
    conditions: Conditions | None = None
    scale: float = 1.0
    flags: tuple[Flag, ...] = ()
    assumptions: tuple[str, ...] = ()


@lru_cache(maxsize=256)
def uncorrected(run: str, why: str = "") -> Correction:
    """No correction, with the reason: no proof in this fire unless another is given."""
    sentence = flag("no_matching_proof", why=why or say("proof_none"))
    return Correction("", "none", run, flags=(sentence,))


def run_of(proofs: Sequence[Proof]) -> str:
    """The one furnace run of these proofs.

    Raises:
        ValueError: without proofs, for proofs of several runs, or for one that took nothing.
    """
    runs = {proof.conditions.run for proof in proofs}
    if len(runs) != 1:
        raise ValueError("one proof at least is needed, and all of one furnace run")
    if min(nominal(proof.taken_mg) for proof in proofs) <= 0:
        raise ValueError("a proof takes a mass above zero")
    return runs.pop()


def masses(group: Sequence[Proof]) -> list[tuple[float, float]]:
    """Taken and found of proofs, mg, the mean blank taken off what was found."""
    return [
        (
            nominal(proof.taken_mg),
            nominal(proof.found_mg) - math.fsum(line.metal_mg for line in lines(proof.uses)),
        )
        for proof in group
    ]


def correction(
    sources: Sources,
    proofs: Sequence[Proof],
    form: Literal["additive", "ratio"],
    *,
    metal: Metal = "gold",
    history: Sequence[Sequence[Proof]] = (),
    known: Spread | None = None,
    unknown: str = "loss_scatter_unknown",
) -> Correction:
    """The correction that the proofs of one run give.

    additive: D = mean(taken - (found - b_p)); ratio: Σtaken/Σ(found - b_p). Their u² is s_p²/n_p,
    s_p pooled over runs and never below what the weighings of a proof let expect; the 1/n_s of the
    sample's own loss is added by `corrected`.

    Args:
        sources: the sources of doubt of the calculation.
        proofs: proofs of one run and of like metal.
        form: which form.
        metal: names the metal.
        history: proofs of earlier runs of like metal, for s_p alone.
        known: s_p of earlier runs, a share of the metal taken, where proofs are not at hand.
        unknown: code of the flag when there is one proof and no history.

    Raises:
        ValueError: without proofs, for proofs of several runs, or when nothing was found in them.

    Source: method version 1, section 3; ISO 11426 for the additive form (from memory).
    """
    run = run_of(proofs)
    net = [proof.found_mg - blank_in(sources, proof.uses) for proof in proofs]
    if form == "ratio" and min(nominal(found) for found in net) <= 0:
        raise ValueError("the ratio form needs metal found in each proof")
    name = f"{form} correction of {metal}, run {run}, by {', '.join(p.name for p in proofs)}"
    if form == "additive":
        values = [p.taken_mg - found for p, found in zip(proofs, net, strict=True)]
        past = [[taken - found for taken, found in masses(group)] for group in history]
    else:
        values = [p.taken_mg / found for p, found in zip(proofs, net, strict=True)]
        past = [[taken / found for taken, found in masses(group)] for group in history]
    if known is not None and form == "additive":
        known = known._replace(value=known.value * average(nominal(p.taken_mg) for p in proofs))
    seen = scatter_of_proofs(sources, name, PROOF_ROW, values, past, unknown, known)
    mean: Uncertain = sum(values) / len(values)
    if form == "ratio":
        mean = sum(proof.taken_mg for proof in proofs) / sum(net)
    return Correction(
        name=name,
        form=form,
        run=run,
        shift_mg=mean + seen.mean if form == "additive" else 0.0,
        factor=mean + seen.mean if form == "ratio" else 1.0,
        own=seen.own,
        dof=seen.dof,
        n=len(proofs),
        metal_mg=average(nominal(proof.taken_mg) for proof in proofs),
        conditions=proofs[0].conditions,
        flags=seen.flags,
        assumptions=(say(f"proof_{form}"), *seen.assumptions),
    )


def corrected(
    sources: Sources, found: Correction, net_mg: Uncertain, name: str, *, replicated: bool = False
) -> Uncertain:
    """A metal corrected by proofs: net + D, or net·factor, mg, with the scatter of its own loss.

    Args:
        sources: the sources of doubt of the calculation.
        found: the correction, fitted to this bead.
        net_mg: the metal after its blank, mg.
        name: names the bead.
        replicated: whether the scatter of replicates will be used: it holds the loss of each, and
            the 1/n_s term is left out here.
    """
    if found.form == "none":
        return net_mg
    own = sources.variable(
        f"loss of {name} around {found.name}",
        0.0,
        0.0 if replicated else found.own,
        dof=found.dof,
        row=OWN_ROW,
        spread=spread_name(found.name),
    )
    if found.form == "additive":
        return net_mg + found.shift_mg + own
    return net_mg * (found.factor + own)
