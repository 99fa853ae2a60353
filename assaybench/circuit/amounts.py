"""The amounts a recovery is formed from: one size, or the sums of all, on one feed.

Here what was found on a share of the stage-1 tailings is scaled to all of them, and beads of
unknown fineness get their doubt. Method version 1, section 5. Masses in milligrams.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from assaybench.circuit import written
from assaybench.circuit.products import ALL, Cell, CircuitTest
from assaybench.circuit.split import Split, far_below, seen
from assaybench.circuit.tailings import Tailings, critical_level_mg, tailings_of_share
from assaybench.messages import say
from assaybench.metrology.uncertain import Sources, Uncertain, nominal


class Amounts(NamedTuple):
    """The metal of one size, or of all, mg on one feed, signed.

    Attributes:
        name: of the size, or `all`.
        caught, rerun: A and B.
        caught_critical_mg, rerun_critical_mg: their L_C.
        tailings: T, None when it was not assayed.
        mats: metal left in the mats or set aside as middlings, part of the feed.
        mats_critical_mg: its L_C.
    """

    name: str
    caught: Uncertain
    rerun: Uncertain
    caught_critical_mg: float
    rerun_critical_mg: float
    tailings: Tailings | None = None
    mats: Uncertain = 0.0
    mats_critical_mg: float = 0.0

    @property
    def caught_seen(self) -> bool:
        """Whether A is above zero and not below its L_C."""
        return seen(self.caught, self.caught_critical_mg)

    @property
    def rerun_seen(self) -> bool:
        """Whether B is above zero and not below its L_C."""
        return seen(self.rerun, self.rerun_critical_mg)

    @property
    def mats_cut(self) -> bool:
        """Whether the mats may hold nothing: where L_C is not reached."""
        return nominal(self.mats) < self.mats_critical_mg

    def split(self, escaped: Uncertain) -> Split:
        """What stage 1 caught, and the rest: what escaped it, and the mats."""
        return Split(
            self.caught,
            escaped + self.mats,
            self.caught_seen,
            self.rerun_seen or seen(self.mats, self.mats_critical_mg),
            cut=nominal(self.rerun) < self.rerun_critical_mg or self.mats_cut,
            held=self.mats,
        )


def amounts_by_size(
    sources: Sources, test: CircuitTest, u_fineness: float = 0.0
) -> tuple[Amounts, ...]:
    """Each size of a test.

    Args:
        sources: the sources of doubt.
        test: the products.
        u_fineness: relative standard uncertainty of the unknown fineness of the beads: one variable
            for each product, common to its sizes, so that a total gains as much as a size does.

    Raises:
        ValueError: when u_fineness is negative.
    """
    first = _fineness(sources, "concentrate", u_fineness)
    second = _fineness(sources, "re-run", u_fineness) / test.rerun_share
    return tuple(
        Amounts(
            name=row.size,
            caught=row.concentrate.metal_mg * first,
            rerun=row.rerun.metal_mg * second,
            caught_critical_mg=_limit(sources, row.concentrate),
            rerun_critical_mg=_limit(sources, row.rerun) / nominal(test.rerun_share),
            tailings=_tailings(sources, row.tailings, test, u_fineness),
        )
        for row in test.rows
    )


def amounts_of_all(
    sources: Sources, test: CircuitTest, rows: Sequence[Amounts], u_fineness: float = 0.0
) -> Amounts:
    """All sizes together: sums, L_C of sums, tailings and mats.

    Args:
        sources: the sources of doubt.
        test: the products.
        rows: its sizes, of `amounts_by_size`.
        u_fineness: as there.
    """
    mats = test.mats_mg * _fineness(sources, "mats", u_fineness)
    mats = mats + test.middlings_mg * _fineness(sources, "middlings", u_fineness)
    return Amounts(
        name=ALL,
        caught=sum(row.caught for row in rows),
        rerun=sum(row.rerun for row in rows),
        caught_critical_mg=math.hypot(*(row.caught_critical_mg for row in rows)),
        rerun_critical_mg=math.hypot(*(row.rerun_critical_mg for row in rows)),
        tailings=_tailings(sources, test.all_tailings, test, u_fineness),
        mats=mats,
        mats_critical_mg=critical_level_mg(sources, test.held_mg, None),
    )


def below_zero(
    sources: Sources, rows: Sequence[Amounts], mats: Uncertain = 0.0, *, tailings: bool = True
) -> str:
    """Why nothing may be summed over the sizes: one lies more than 3u below zero; else empty.

    In a sum the metal of the other sizes would hide it.

    Args:
        sources: the sources of doubt.
        rows: the sizes.
        mats: metal in mats and middlings together.
        tailings: whether the final tailings of the sizes are part of the sum.
    """
    for row in rows:
        assayed = row.tailings if tailings else None
        metals = (row.caught, row.rerun, *(() if assayed is None else (assayed.weighed_mg,)))
        below = far_below(sources, *metals)
        if below is not None:
            return say("metal_below_zero", size=row.name, m=written.mass(nominal(below)))
    below = far_below(sources, mats)
    if below is None:
        return ""
    return say("metal_below_zero", size="mats+middlings", m=written.mass(nominal(below)))


def _fineness(sources: Sources, product: str, u: float) -> Uncertain:
    return sources.variable(f"fineness of the {product} beads", 1.0, u, row="fineness")


def _limit(sources: Sources, cell: Cell) -> float:
    return critical_level_mg(sources, cell.metal_mg, cell.critical_mg)


def _tailings(
    sources: Sources, tailings: Tailings | None, test: CircuitTest, u_fineness: float
) -> Tailings | None:
    if tailings is None:
        return None
    fineness = _fineness(sources, "tailings", u_fineness if tailings.bead else 0.0)
    doubted = tailings._replace(weighed_mg=tailings.weighed_mg * fineness)
    return tailings_of_share(doubted, test.rerun_share)
