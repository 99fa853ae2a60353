"""A process is killed while it stores: nothing that was acknowledged is lost, every file readable.

A kill leaves what the system already took, so this tests our own order of calls and the recovery;
the loss of power itself is stood in for by the failing calls of `test_calls.py`.
"""

import random
import subprocess
import sys
import time
from pathlib import Path
from typing import NamedTuple

import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.logfile import LogFile
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import read_log
from tests.record.frames import OPENED
from tests.reliability.faulty import keeper

CHILD = Path(__file__).with_name("child.py")
MOST_BYTES = 400_000


class Tally(NamedTuple):
    """What many rounds gave: entries acknowledged, torn ends met, whole unacknowledged entries."""

    acknowledged: int
    torn: int
    ahead: int


def new_log(folder: Path, number: int) -> Path:
    path = folder / f"{number:06}.toml"
    log: LogFile = open_log(path, keeper(), first=("opened", OPENED))
    log.close()
    return path


def killed(path: Path, start: int, seconds: float) -> list[int]:
    """Let a child store notes from `start` on for a while, kill it, and return what it said."""
    child = subprocess.Popen(
        [sys.executable, str(CHILD), str(path), str(start)], stdout=subprocess.PIPE
    )
    assert child.stdout is not None
    first = child.stdout.readline()
    time.sleep(seconds)
    child.kill()
    said = first + child.stdout.read()
    child.stdout.close()
    assert child.wait(timeout=60) == -9
    # a number that was cut off in the pipe was not said
    return [int(line) for line in said.splitlines(keepends=True) if line.endswith(b"\n")]


def rounds(folder: Path, count: int, seed: int, most: float = 0.25) -> Tally:
    """Kill children one after the other on one log, each within so many seconds at most.

    A new log is begun when it has grown.
    """
    chance = random.Random(seed)
    path, acknowledged, torn, ahead = new_log(folder, 1), 0, 0, 0
    stored: list[int] = []
    for number in range(2, count + 2):
        start = stored[-1] + 1 if stored else 0
        said = killed(path, start, chance.uniform(0.0, most))
        assert said == list(range(start, start + len(said)))
        acknowledged += len(said)
        with open_log(path, keeper()) as log:
            assert log.read_only is None
            torn += log.verdict.state == "torn"
        entries, verdict = read_log(Files(), path)
        assert verdict.state == "sound"
        found = [int(str(e.values["text"]).split()[0]) for e in entries if e.kind == "note"]
        # at most the one entry that was stored and not said yet stands behind the acknowledged
        assert found[: len(stored) + len(said)] == stored + said
        assert len(found) <= len(stored) + len(said) + 1
        ahead += len(found) - len(stored) - len(said)
        stored = found
        if path.stat().st_size > MOST_BYTES:
            path, stored = new_log(folder, number), []
    return Tally(acknowledged, torn, ahead)


def test_fifteen_kills_lose_no_acknowledged_entry(tmp_path: Path) -> None:
    tally = rounds(tmp_path, 15, seed=20260609, most=0.06)
    assert tally.acknowledged >= 15


@pytest.mark.long
def test_two_hundred_kills_lose_no_acknowledged_entry(tmp_path: Path) -> None:
    tally = rounds(tmp_path, 200, seed=19)
    print(tally)
    assert tally.acknowledged > 1000


def test_two_processes_on_one_log_the_second_is_refused(tmp_path: Path) -> None:
    path = new_log(tmp_path, 1)
    child = subprocess.Popen([sys.executable, str(CHILD), str(path), "0"], stdout=subprocess.PIPE)
    assert child.stdout is not None
    try:
        child.stdout.readline()
        second = subprocess.run(
            [sys.executable, str(CHILD), str(path), "1000000"],
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
        )
        assert second.stdout == ""
        assert f"is being written by KB (process {child.pid} on " in second.stderr
    finally:
        child.kill()
        child.stdout.close()
        child.wait(timeout=60)
    # the lock went with its holder
    with open_log(path, keeper()) as log:
        assert log.read_only is None
    texts = [str(e.values["text"]) for e in read_log(Files(), path)[0] if e.kind == "note"]
    assert not any(text.startswith("1000000") for text in texts)
