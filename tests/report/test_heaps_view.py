"""What is said of heaps: which one first and why, what is not counted, amounts by their ends."""

from assaybench.circuit.heaps import Amount, Heap, Left, Way, even, first
from assaybench.metrology.uncertain import Sources
from assaybench.report.heaps_view import (
    amount_text,
    first_heap,
    left_out,
    not_counted,
    rivals,
    ways,
)


def heap(name: str, low: float, high: float | None, way: Way = "assayed", again: str = "") -> Heap:
    return Heap(name, "MAIN-1", "2026-06-09", 1.0, Left(way, Amount(None, low, high)), again)


def test_without_a_heap_the_mass_is_asked_for() -> None:
    assert first_heap(first([])).code == "heaps_none"


def test_the_richest_by_its_lower_end_is_first_and_its_rivals_are_named() -> None:
    near, far = heap("B", 0.5, 0.9), heap("C", 0.1, 0.2)
    choice = first([far, near, heap("A", 0.6, 0.8)])
    assert first_heap(choice).reason == (
        "Run A again first: it holds 0.6 g/t at least.\nOthers may hold as much."
    )
    assert [flag.text.split()[0] for flag in rivals(choice)] == ["B"]
    alone = first([far, near])
    assert first_heap(alone).reason.endswith("No other one can hold as much.")
    assert rivals(alone) == []


def test_where_none_surely_holds_anything_one_is_to_be_assayed() -> None:
    assert "up to 0.33 g/t" in first_heap(first([heap("A", 0.0, 0.33)])).reason
    assert "up to any amount of g/t" in first_heap(first([heap("A", 0.0, None)])).reason
    assert rivals(first([heap("A", 0.0, 0.33), heap("B", 0.0, 0.33)])) == []


def test_a_heap_that_is_not_counted_says_why() -> None:
    gone = heap("A", 0.1, 0.2, again="MAIN-2")
    unknown = gone._replace(rerun_in="", left=Left("not known", None))
    assert [flag.code for flag in not_counted(gone)] == ["heap_rerun"]
    assert [flag.code for flag in not_counted(unknown)] == ["heap_unknown"]
    assert not_counted(heap("A", 0.1, 0.2)) == []
    assert ways([gone, unknown, heap("B", 0, 1, "equal stages")]) == {"equal stages"}


def test_a_log_that_was_left_out_is_named_with_the_reason() -> None:
    assert [flag.text for flag in left_out([("MAIN-3", "it is torn.")])] == [
        "MAIN-3 was left out: it is torn."
    ]


def test_lopsided_amounts_are_told_by_their_ends() -> None:
    sources = Sources()
    weighed = sources.variable("assay", 0.26, 0.04)
    assert amount_text(Amount(None, 0.19, 0.44), sources, "g") == "0.19 to 0.44 g"
    assert amount_text(Amount(None, 0.19, 0.44), sources) == "0.19 to 0.44"
    assert amount_text(Amount(None, 0.19, None), sources, "g") == "0.19 g or more"
    assert amount_text(even(sources, weighed), sources, "g") == "0.260 ± 0.080 g"
