"""From when on a key is given up, as people type it: the clock on the wall counts."""

import os
import subprocess
import sys
from datetime import datetime, timedelta, timezone

import pytest

from assaybench.logbook.signers import since_of
from assaybench.messages import BadInput

SUMMER_TIME = "CET-1CEST,M3.5.0,M10.5.0/3"
"""A zone of its own rules, in the form of POSIX: one hour, two in summer."""


@pytest.mark.parametrize(("typed", "hours"), [("2026-07-01 14:00", 2), ("2026-01-15", 1)])
def test_what_the_wall_showed_in_summer_and_in_winter(typed: str, hours: int) -> None:
    script = f"from assaybench.logbook.signers import since_of; print(since_of({typed!r}))"
    said = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True, text=True, check=True, timeout=60,
        env={**os.environ, "TZ": SUMMER_TIME},
    ).stdout  # fmt: skip
    found = datetime.fromisoformat(said.strip())
    assert found.replace(tzinfo=None) == datetime.fromisoformat(typed)
    assert found.utcoffset() == timedelta(hours=hours)


def test_an_offset_that_was_typed_stays() -> None:
    found = since_of(" 2026-07-01T14:00+05:30 ")
    assert found == datetime(2026, 7, 1, 14, tzinfo=timezone(timedelta(hours=5, minutes=30)))
    assert found.utcoffset() == timedelta(hours=5, minutes=30)


@pytest.mark.parametrize("typed", ["June", "", "2026-02-30", "14:00"])
def test_what_is_no_day_is_refused(typed: str) -> None:
    with pytest.raises(BadInput, match="is not a day"):
        since_of(typed)
