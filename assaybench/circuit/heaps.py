"""Saved tailings: how much metal is left in each heap, what a next stage gets, which one first.

What is left in the final tailings of a test is E - B on the share that was run again: E escaped
the first stage, B was caught by the second. E - B is T where they were assayed; else B/r2 - B with
a stated second stage, B²/(A - B) in each size if both stages catch alike, and with a least second
stage anything from nothing to B/r2 - B. Metal in grams, heaps in dry tonnes. Method version 1,
sections 5 and 8.
"""

import math
import sys
from collections.abc import Sequence
from typing import Literal, NamedTuple

from assaybench.circuit import written
from assaybench.circuit.split import ONE_SIDED, widening
from assaybench.circuit.tailings import Tailings
from assaybench.metrology.figure import COVERAGE, Figure, Status, measured, plain
from assaybench.metrology.special import phi, phi_inv
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write

Way = Literal[
    "assayed",
    "not seen",
    "partly seen",
    "worked out",
    "stated second stage",
    "equal stages",
    "least second stage",
    "not known",
]
NEARLY = 1e-9
CALIBRATION = "calibration"
"""Row of a budget that logs of one bench share: they weigh on the same balances."""


class Amount(NamedTuple):
    """An amount with its interval, which need not lie evenly around it.

    Attributes:
        value: the amount; None where only its ends are known.
        low: lower end, zero or more.
        high: upper end; None where there is none.
        number: the uncertain number behind even ends; None where they are lopsided.
    """

    value: float | None
    low: float
    high: float | None
    number: Uncertain | None = None

    def times(self, factor: float) -> "Amount":
        """As much times an exact number above zero."""
        return Amount(
            None if self.value is None else self.value * factor,
            self.low * factor,
            None if self.high is None else self.high * factor,
            None if self.number is None else self.number * factor,
        )

    def less(self, cost: float) -> "Amount":
        """As much less an exact amount; what is left may be below zero."""
        return Amount(
            None if self.value is None else self.value - cost,
            self.low - cost,
            None if self.high is None else self.high - cost,
            None if self.number is None else self.number - cost,
        )

    def figure(self, sources: Sources, unit: str, basis: str = "") -> Figure:
        """The amount as a figure."""
        if self.number is not None and sources.doubt(self.number).u > 0:
            return _even_figure(sources, self, unit, basis)
        if self.value is not None and self.high == self.low:
            return plain(self.value, unit, digits=4, layer="assay", basis=basis)
        if self.high is None:
            text = f"{write.with_unit(write.short(self.low, 3), unit)} or more"
        else:
            low, high = written.ends(self.low, self.high)
            text = write.with_unit(f"{low} to {high}", unit)
        if self.value is not None:
            text = f"{write.with_unit(write.short(self.value, 3), unit)} ({text})"
        return Figure(
            value=self.value,
            unit=unit,
            low=self.low,
            high=self.high,
            coverage_probability=COVERAGE,
            layer="assay",
            status=_status(self),
            text=text,
            basis=basis,
        )


def _status(amount: Amount) -> Status:
    if amount.value is not None:
        return "measured"
    return "at most" if amount.low == 0 and amount.high is not None else "not determinable"


def _even_figure(sources: Sources, amount: Amount, unit: str, basis: str) -> Figure:
    doubt = sources.doubt(amount.number)
    value, low, high = nominal(amount.number), amount.low, amount.high or 0.0
    found = measured(value, doubt.u, unit, k=doubt.k, dof=doubt.dof, layer="assay", basis=basis)
    reach = doubt.k * doubt.u
    if low - (value - reach) <= NEARLY * reach:
        return found
    # metal is not below nothing: the interval was cut there, the value stays signed
    ends = write.with_unit("{} to {}".format(*written.ends(low, high)), unit)
    text = f"{write.with_unit(write.short(value, 2), unit)} ({ends})"
    return found._replace(low=low, high=high, k=None, text=text)


def even(sources: Sources, number: Uncertain) -> Amount:
    """An amount with even ends, the lower one not below zero.

    A reading below zero does not mean that nothing is there: its upper end is passed 5 times in 100
    by what can be there, the normal law cut at zero (method version 1, section 5).
    """
    doubt = sources.doubt(number)
    value, reach = nominal(number), doubt.k * doubt.u
    high = value + reach
    if value < 0 < doubt.u:
        u = widening(doubt.dof) * doubt.u
        beyond = max(ONE_SIDED * phi(value / u), sys.float_info.min)
        high = max(high, value - u * phi_inv(beyond))
    return Amount(value, max(value - reach, 0.0), max(high, 0.0), number)


class Left(NamedTuple):
    """What is left in a heap.

    Attributes:
        way: how that is known.
        metal_g: fine gold, g; None where nothing tells.
    """

    way: Way
    metal_g: Amount | None


UNKNOWN = Left("not known", None)


class Heap(NamedTuple):
    """One saved lot of tailings.

    Attributes:
        name: its own, or that of its log.
        log: the log it comes from.
        day: when that was opened.
        dry_t: its dry mass, t; None where it is not known.
        left: what is left in it.
        rerun_in: the log in which it was run again since; empty when it was not.
        not_rerun: share of the stage-1 tailings that never went over the second stage and so are
            not in this heap.
        disagree: whether the streams of its test do not agree.
    """

    name: str
    log: str
    day: str
    dry_t: Uncertain | None
    left: Left
    rerun_in: str = ""
    not_rerun: float = 0.0
    disagree: bool = False

    @property
    def counts(self) -> bool:
        """Whether it still lies there and something is known of it."""
        return not self.rerun_in and self.left.metal_g is not None

    @property
    def per_tonne(self) -> Amount | None:
        """What is left in each tonne, g/t; None where mass or metal is not known."""
        metal = self.left.metal_g
        if metal is None or self.dry_t is None or nominal(self.dry_t) <= 0:
            return None
        return metal.times(1 / nominal(self.dry_t))


def assayed(sources: Sources, tailings: Tailings) -> Left:
    """What an assay of the tailings tells: weighed, or only a limit, or both of their sizes."""
    weighed = even(sources, tailings.weighed_mg / 1000)
    if tailings.up_to_mg == 0:
        return Left("assayed", weighed)
    up_to = tailings.up_to_mg / 1000
    way: Way = "partly seen" if nominal(tailings.weighed_mg) > 0 else "not seen"
    return Left(way, Amount(None, weighed.low, (weighed.high or 0.0) + up_to))


def least_stage(sources: Sources, most_mg: Uncertain) -> Left:
    """A least second stage: anything from nothing to B/r2 - B, with the doubt of that on top."""
    return Left("least second stage", Amount(None, 0.0, even(sources, most_mg / 1000).high))


def alike(sources: Sources, gone: Figure, gone_mg: Uncertain, share: float) -> Left:
    """B²/(A - B) of every size, on the share that was run again.

    Args:
        sources: the sources of doubt.
        gone: the figure of all sizes, mg on one feed, with the ends of its distribution.
        gone_mg: the same as an uncertain number.
        share: φ.
    """
    if gone.value is None:
        return UNKNOWN
    if gone.k is not None:
        return Left("equal stages", even(sources, gone_mg * (share / 1000)))
    low = gone.value if gone.low is None else gone.low
    found = Amount(gone.value, max(low, 0.0), gone.high)
    return Left("equal stages", found.times(share / 1000))


def moved(sources: Sources, into: Sources, left: Left, name: str, bench: str) -> Left:
    """What is left, its doubt carried into the sources that all heaps share.

    Its own part is independent of every other log; the calibration of its balances is one doubt for
    all logs of a bench, taken as raising every mass alike.

    Args:
        sources: of the log.
        into: of all heaps.
        left: what is left.
        name: of its own source of doubt; no other heap has it.
        bench: whose balances it was weighed on.
    """
    metal = left.metal_g
    if metal is None or metal.number is None:
        return left
    doubt = sources.doubt(metal.number)
    if doubt.u == 0:
        return left
    shared = math.sqrt(max(doubt.rows.get(CALIBRATION, 0.0), 0.0))
    own = math.sqrt(max(doubt.u**2 - shared**2, 0.0))
    number = into.variable(f"metal left, {name}", nominal(metal.number), own, dof=doubt.dof)
    if shared:
        number = number + shared * into.variable(f"balances of {bench}", 0.0, 1.0)
    return Left(left.way, even(into, number))


def caught(sources: Sources, metal: Amount, catch: Uncertain) -> Amount:
    """What a next stage gets of it: r2 times the metal, r2 being one doubt for every heap.

    Args:
        sources: the sources of doubt that heaps and r2 are in.
        metal: left in the heap.
        catch: r2, a share of one.
    """
    if metal.number is not None:
        return even(sources, metal.number * catch)
    value, reach = nominal(catch), _reach(sources, catch)
    low, high = max(value - reach, 0.0), min(value + reach, 1.0)
    return Amount(
        None if metal.value is None else metal.value * value,
        metal.low * low,
        None if metal.high is None else metal.high * high,
    )


def _reach(sources: Sources, number: Uncertain) -> float:
    doubt = sources.doubt(number)
    return doubt.k * doubt.u if doubt.u else 0.0


def total(sources: Sources, amounts: Sequence[Amount]) -> Amount:
    """All of them: even ones with what they share, the ends of lopsided ones added as they are.

    Adding ends is wider than 95 in 100; of limits and skewed laws no narrower sum can be vouched
    for.
    """
    numbers = [amount.number for amount in amounts if amount.number is not None]
    others = [amount for amount in amounts if amount.number is None]
    if not others:
        return even(sources, sum(numbers)) if numbers else Amount(0.0, 0.0, 0.0)
    firm = even(sources, sum(numbers)) if numbers else Amount(0.0, 0.0, 0.0)
    values = [firm.value, *(amount.value for amount in others)]
    highs = [firm.high, *(amount.high for amount in others)]
    known = [value for value in values if value is not None]
    ends = [high for high in highs if high is not None]
    return Amount(
        math.fsum(known) if len(known) == len(values) else None,
        firm.low + math.fsum(amount.low for amount in others),
        math.fsum(ends) if len(ends) == len(highs) else None,
    )


class Choice(NamedTuple):
    """Which heap to run again first.

    Attributes:
        heap: the one.
        certain: whether it holds something at least; else it is the one to assay first.
        rivals: heaps whose interval overlaps its own.
    """

    heap: Heap
    certain: bool
    rivals: tuple[Heap, ...]


def first(heaps: Sequence[Heap]) -> Choice | None:
    """The heap to run again first: the one with the most metal in a tonne at least.

    The lower end decides, because it is what is there anyhow; where every lower end is zero, the
    one with the highest upper end is to be assayed first. None where nothing is known of any.
    """
    known = [(heap, heap.per_tonne) for heap in heaps if heap.counts]
    ranked = [(heap, grade) for heap, grade in known if grade is not None]
    if not ranked:
        return None

    def rank(item: tuple[Heap, Amount]) -> tuple[float, float]:
        high = item[1].high
        return item[1].low, math.inf if high is None else high

    best, grade = max(ranked, key=rank)
    rivals = tuple(
        heap
        for heap, other in ranked
        if heap is not best and (other.high is None or other.high > grade.low)
    )
    return Choice(best, grade.low > 0, rivals)
