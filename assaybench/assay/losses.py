"""Silver that the cupel took: the share ℓ of one furnace run, from proofs or not known.

Method version 1, section 3. ℓ is one variable for the run; tables of losses are information only.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from assaybench.assay.blanks import blank_in
from assaybench.assay.proofs import Proof, masses, run_of
from assaybench.assay.replicates import LOSS_ROW, Spread, scatter_of_proofs, spread_name
from assaybench.messages import say
from assaybench.metrology.figure import Flag
from assaybench.metrology.uncertain import Sources, Uncertain, settled, total

MOST_SILVER_LOSS = 0.04
"""Silver lost in cupelling where no proof was run: 0 to 4 %, from memory, to be confirmed."""

OWN_ROW = "scatter of the silver loss"


class SilverLoss(NamedTuple):
    """Share ℓ of the silver that the cupel took in one run.

    Attributes:
        run: the furnace run.
        share: ℓ, a share of one; one variable for the run.
        own: scatter of one bead's share around it.
        dof: ν of that scatter.
        known: whether a proof measured it, or it was stated.
        scatter_known: whether its scatter from cupel to cupel is known.
        flags, assumptions: what a reader must know.
        kept: 1 - ℓ where it is the same for every bead; None where each scatters on its own.
    """

    run: str
    share: Uncertain
    own: float = 0.0
    dof: float = math.inf
    known: bool = True
    scatter_known: bool = True
    flags: tuple[Flag, ...] = ()
    assumptions: tuple[str, ...] = ()
    kept: Uncertain | None = None


def unknown_silver_loss(sources: Sources, run: str) -> SilverLoss:
    """ℓ without a proof: rectangular from 0 to 4 %, one variable for the run, and said."""
    share = sources.variable(
        f"silver loss of run {run}, not known",
        MOST_SILVER_LOSS / 2,
        MOST_SILVER_LOSS / math.sqrt(12),
        row=LOSS_ROW,
    )
    sentence = say("silver_loss_unknown", most=f"{MOST_SILVER_LOSS * 100:g}")
    return SilverLoss(
        run,
        share,
        known=False,
        scatter_known=False,
        assumptions=(sentence,),
        kept=settled(total((1, 1.0), (-1, share))),
    )


def silver_loss(
    sources: Sources,
    proofs: Sequence[Proof],
    *,
    history: Sequence[Sequence[Proof]] = (),
    known: Spread | None = None,
) -> SilverLoss:
    """ℓ = 1 - Σ(found - blank)/Σtaken from silver proofs of one run.

    Args:
        sources: the sources of doubt of the calculation.
        proofs: proofs with their silver taken and found (bead less gold), mg.
        history: proofs of earlier runs of like metal, for the scatter alone.
        known: scatter of ℓ from cupel to cupel in earlier runs, where their proofs are not at hand.

    Raises:
        ValueError: without proofs, or for proofs of several runs.

    Source: method version 1, section 3.
    """
    run = run_of(proofs)
    net = [proof.found_mg - blank_in(sources, proof.uses) for proof in proofs]
    values = [1 - found / p.taken_mg for p, found in zip(proofs, net, strict=True)]
    past = [[1 - found / taken for taken, found in masses(group)] for group in history]
    name = f"silver loss of run {run}"
    seen = scatter_of_proofs(sources, name, LOSS_ROW, values, past, "loss_scatter_unknown", known)
    return SilverLoss(
        run=run,
        share=1 - sum(net) / sum(proof.taken_mg for proof in proofs) + seen.mean,
        own=seen.own,
        dof=seen.dof,
        scatter_known=not seen.flags,
        flags=seen.flags,
        assumptions=seen.assumptions,
    )


def share_of(sources: Sources, loss: SilverLoss, name: str) -> Uncertain:
    """ℓ of one bead: that of the run, with the scatter of this bead around it."""
    if not loss.own:
        return loss.share
    own = sources.variable(
        f"silver loss of {name}",
        0.0,
        loss.own,
        dof=loss.dof,
        row=OWN_ROW,
        spread=spread_name(f"silver loss of run {loss.run}"),
    )
    return total((1, loss.share), (1, own))


def kept_of(sources: Sources, loss: SilverLoss, name: str) -> Uncertain:
    """1 - ℓ of one bead, the share of its silver that is left."""
    if loss.kept is not None:
        return loss.kept
    return total((1, 1.0), (-1, share_of(sources, loss, name)))
