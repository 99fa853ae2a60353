"""The clock of the machine."""

import os
import subprocess
import sys
from datetime import datetime, timedelta

import pytest

from assaybench.logbook.clock import machine_time


def test_it_is_the_time_of_the_system_to_whole_milliseconds_with_its_offset() -> None:
    before = datetime.now().astimezone()
    now = machine_time()
    assert before - timedelta(milliseconds=1) <= now <= datetime.now().astimezone()
    assert now.microsecond % 1000 == 0
    assert now.utcoffset() == before.utcoffset()


@pytest.mark.parametrize(("zone", "minutes"), [("NZST-12", 720), ("NST3:30", -210), ("UTC0", 0)])
def test_the_offset_is_that_of_the_zone(zone: str, minutes: int) -> None:
    script = "from assaybench.logbook.clock import machine_time; print(machine_time().isoformat())"
    said = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True, text=True, check=True, timeout=60, env={**os.environ, "TZ": zone},
    ).stdout  # fmt: skip
    assert datetime.fromisoformat(said.strip()).utcoffset() == timedelta(minutes=minutes)
