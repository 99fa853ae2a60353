"""Tailings heaps, for the command and the page: which one first, and what is said of each."""

from collections.abc import Iterable

from assaybench.circuit import written
from assaybench.circuit.heaps import Amount, Choice, Heap, Way
from assaybench.messages import say
from assaybench.metrology.figure import Flag, Verdict, flag
from assaybench.metrology.uncertain import Sources
from assaybench.units import write


def amount_text(amount: Amount, sources: Sources, unit: str = "1") -> str:
    """An amount in a table: value ± U, or its two ends alone where they are lopsided.

    Args:
        amount: the amount.
        sources: the sources of doubt that it is in.
        unit: of the amount; the unit one where the head of the column names it.
    """
    figure = amount.figure(sources, unit)
    if figure.k is not None or figure.low is None or figure.high is None:
        return figure.text
    low, high = written.ends(figure.low, figure.high)
    return write.with_unit(say("heaps_ends", lo=low, hi=high), unit)


def first_heap(choice: Choice | None) -> Verdict:
    """Which heap to run again first, and why; or which to assay."""
    grade = None if choice is None else choice.heap.per_tonne
    if choice is None or grade is None:
        return Verdict("heaps_none", "no heap known", say("heaps_none"))
    name = choice.heap.name
    if not choice.certain:
        most = say("heaps_any") if grade.high is None else write.short(grade.high, 3)
        reason = say("heap_assay_first", name=name, g=most)
        return Verdict("heap_assay_first", "assay first", reason)
    code = "heap_why_least" if choice.rivals else "heap_why_clear"
    reason = say("heap_first", name=name, why=say(code, g=write.short(grade.low, 3)))
    return Verdict("heap_first", "which heap first", reason)


def rivals(choice: Choice | None) -> list[Flag]:
    """The heaps that may hold as much as the one to run again first."""
    if choice is None or not choice.certain:
        return []
    return [flag("heap_order_open", name=heap.name) for heap in choice.rivals]


def ways(heaps: Iterable[Heap]) -> set[Way]:
    """How it is known what is left in the heaps that still lie there."""
    return {heap.left.way for heap in heaps if heap.counts}


def not_counted(heap: Heap) -> list[Flag]:
    """Why a heap is not in the total: it was run again since, or nothing tells of it."""
    if heap.rerun_in:
        return [flag("heap_rerun", name=heap.name, log=heap.rerun_in)]
    return [flag("heap_unknown", name=heap.name)] if heap.left.metal_g is None else []


def disagreeing(heap: Heap) -> list[Flag]:
    """That a heap still counted comes from a test whose streams do not agree."""
    if not (heap.disagree and heap.counts):
        return []
    how = say("heap_as_worked_out" if heap.left.way == "worked out" else "heap_as_assayed")
    return [flag("heap_streams_disagree", name=heap.name, how=how)]


def left_out(unread: Iterable[tuple[str, str]]) -> list[Flag]:
    """Logs that could not be read, each with the reason."""
    return [flag("heap_not_read", name=name, why=why) for name, why in unread]
