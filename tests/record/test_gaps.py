"""Gaps and backward steps of the clock: told by the entry behind them, never judged."""

from datetime import timedelta

import pytest

from assaybench.record.entries import Entry
from assaybench.record.gaps import GAP, breaks_of
from tests.record.frames import NOON


def entries(*seconds: float) -> list[Entry]:
    """Notes so many seconds after noon."""
    ats = (NOON + timedelta(seconds=s) for s in seconds)
    return [Entry(n, at, "KB", "note", {"text": "x"}) for n, at in enumerate(ats, 1)]


def test_a_gap_is_told_at_the_entry_behind_it_when_it_is_longer_than_the_limit() -> None:
    limit = GAP.total_seconds()
    assert breaks_of(entries(0, limit)) == {}
    found = breaks_of(entries(0, 5, 5 + limit + 0.001, 6 + limit))
    assert [(n, b.seconds, b.back) for n, b in found.items()] == [(3, limit + 0.001, False)]


def test_a_power_cut_of_half_an_hour_shows() -> None:
    (found,) = breaks_of(entries(0, 29 * 60)).values()
    assert found.sentence == "gap of 29 min"


def test_every_step_back_is_told_however_short() -> None:
    found = breaks_of(entries(10, 9.999, 20, 5))
    assert [(n, b.back) for n, b in found.items()] == [(2, True), (4, True)]
    assert found[2].sentence == "clock back by 0.001 s"
    assert found[4].sentence == "clock back by 15.000 s"


def test_equal_times_and_one_entry_tell_nothing() -> None:
    assert breaks_of(entries(1, 1)) == {}
    assert breaks_of(entries(1)) == {}
    assert breaks_of([]) == {}


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(59.9, "59 min"), (60, "1 h 0 min"), (47 * 60 + 59, "47 h 59 min"), (48 * 60, "2 days")],
)
def test_a_span_is_told_in_whole_minutes_hours_or_days(minutes: float, said: str) -> None:
    (found,) = breaks_of(entries(0, minutes * 60)).values()
    assert found.sentence == f"gap of {said}"
