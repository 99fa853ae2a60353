"""A process is killed while it seals: what was said to be sealed is, the rest can be finished."""

import random
import subprocess
import sys
import time
from pathlib import Path
from typing import NamedTuple

import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import LogHead, go_on
from assaybench.logbook.seal import seal
from assaybench.logbook.seal_look import register_state, steps_left
from assaybench.logbook.survey import survey
from tests.logbook.sealable import HEAD, ROWS, both_accepted, entries_of, signer_in
from tests.reliability.faulty import keeper

CHILD = Path(__file__).with_name("seal_child.py")


class Tally(NamedTuple):
    """What many rounds gave: logs sealed by children, and by the steps that were left to finish."""

    sealed: int
    finished: dict[tuple[str, ...], int]


def killed(book: Logbook, keys: Path, times: float, *, at_first: bool) -> list[int]:
    """Let a child seal logs, kill it within one of them, and return the numbers that it said.

    Args:
        times: it is killed after so many times what its second seal took, on a slow machine too.
        at_first: whether no seal is waited for: a tenth of a second counts for it.
    """
    child = subprocess.Popen(
        [sys.executable, str(CHILD), str(book.root), str(keys)], stdout=subprocess.PIPE
    )
    assert child.stdout is not None
    assert child.stdout.readline() == b"0\n"
    said = b"" if at_first else child.stdout.readline()
    begun = time.monotonic()
    said += b"" if at_first else child.stdout.readline()
    time.sleep(times * (0.1 if at_first else time.monotonic() - begun))
    child.kill()
    said += child.stdout.read()
    child.stdout.close()
    assert child.wait(timeout=60) == -9
    return [int(line) for line in said.splitlines(keepends=True) if line.endswith(b"\n")]


def left(book: Logbook, name: LogName) -> tuple[str, ...]:
    return steps_left(book, name, Files(), register_state(book, name, Files()))


def rounds(folder: Path, count: int, seed: int) -> Tally:
    chance, book = random.Random(seed), Logbook(folder / "book")
    book.make(Files())
    signer_in(folder)
    sealed, finished, last = 0, dict[tuple[str, ...], int](), 0
    for i in range(count):
        said = killed(book, folder, chance.uniform(0.0, 1.5), at_first=i == 0)
        assert said == list(range(last + 1, last + 1 + len(said)))
        for number in said:
            assert left(book, LogName("MAIN", number)) == ()
        sealed, last = sealed + len(said), last + len(said)
        with_number = sorted(register_numbers(book))
        # at most one number was allotted and its log not said to be sealed
        assert with_number in (list(range(1, last + 1)), list(range(1, last + 2)))
        if len(with_number) > last:
            last += 1
            steps = finish(book, LogName("MAIN", last), folder)
            finished[steps] = finished.get(steps, 0) + 1
        for number in (*said[-1:], last):
            assert number == 0 or both_accepted(book, LogName("MAIN", number))
    assert survey(book, Files()).findings == ()
    return Tally(sealed, finished)


def register_numbers(book: Logbook) -> list[int]:
    path = book.register("MAIN")
    if not path.exists():
        return []
    from assaybench.logbook.survey import read_register

    return list(read_register(Files(), path).state.numbers)


def finish(book: Logbook, name: LogName, folder: Path) -> tuple[str, ...]:
    """What somebody does after the restart: go on with the log if it is open, then seal it."""
    path, signer = book.log(name), signer_in(folder)
    entries = read_log(Files(), path)[0] if path.exists() else []
    begun = bool(entries) and entries[-1].kind == "sealed"
    if begun and not left(book, name):
        return ()
    if not begun:
        with go_on(book, name, keeper(), LogHead("furnace run", 1)) as log:
            if not any(e.kind == "reading" for e in entries):
                log.append_all(row for row in ROWS if row[1] not in [e.values for e in entries])
    data = path.read_bytes()
    done = seal(book, name, keeper(), signer, HEAD)
    assert not begun or path.read_bytes() == data
    assert left(book, name) == ()
    assert entries_of(book, name)[-1].kind == "sealed"
    return done.steps


def test_eight_kills_leave_no_seal_that_cannot_be_finished(tmp_path: Path) -> None:
    tally = rounds(tmp_path, 8, seed=20260609)
    assert tally.sealed + sum(tally.finished.values()) >= 8


@pytest.mark.long
def test_two_hundred_kills_leave_no_seal_that_cannot_be_finished(tmp_path: Path) -> None:
    tally = rounds(tmp_path, 200, seed=7)
    print(tally)
    assert len(tally.finished) > 2
