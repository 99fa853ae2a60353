"""What is due next: the sample behind the last one weighed."""

from assaybench.record.due import Due, next_due
from assaybench.record.replay import replay
from tests.record.trays import FINE, PULP, Row, entries_of, place, reading, sample

NAMES: list[Row] = [FINE, PULP, *(sample(name) for name in "ABC"), place("B", "A2")]


def due(*rows: Row) -> Due | None:
    return next_due(replay(entries_of([*NAMES, *rows])))


def test_the_next_of_the_same_thing_is_due_with_its_place() -> None:
    assert due() is None
    assert due(reading("gold", "0.3", "A")) == ("gold", "B", "A2")
    assert due(reading("gold", "0.3", "A"), reading("zero", "0.0")) == ("gold", "B", "A2")
    assert due(reading("gold", "0.3", "B"), reading("gold", "0.3", "A")) == ("gold", "C", "")
    assert due(reading("gold", "0.3", "A"), reading("charge", "30", "B")) == ("charge", "C", "")
    assert due(reading("gold", "0.3", "C")) is None
    assert due(reading("button", "30", "A")) is None


def test_what_is_lost_or_has_no_charge_is_not_due() -> None:
    more = [sample("D", lost="spilt"), sample("E", "blank"), sample("F")]
    assert due(*more, reading("charge", "30", "C")) == ("charge", "F", "")
    assert due(*more, reading("gold", "0.3", "C")) == ("gold", "E", "")


def test_what_is_weighed_together_is_not_due_by_itself() -> None:
    pool: Row = ("pool", {"id": "B+C", "samples": ["B", "C"], "what": "gold"})
    assert due(pool, reading("gold", "0.3", "A")) is None
    assert due(pool, reading("charge", "30", "A")) == ("charge", "B", "A2")
