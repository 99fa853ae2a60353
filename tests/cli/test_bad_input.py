"""Malformed lines: exit status 2, one clear line a fault, nothing on standard output."""

import os
import subprocess
import sys
from typing import Any

import pytest

from tests.cli.malformed import malformed
from tests.cli.malformed_words import GOOD

LINES = 2000
PROCESSES = 12
MOST_FAULTS = 45
LONGEST_FAULT = 420


def complaint(line: list[str], status: int, out: str, err: str) -> str:
    """Why the outcome of a malformed line is not as promised; empty when it is."""
    faults = err.splitlines()
    if status != 2:
        return f"{line}: exit status {status}, {out[:60]!r} {err[:200]!r}"
    if out:
        return f"{line}: printed {out[:80]!r}"
    if not faults or len(faults) > MOST_FAULTS:
        return f"{line}: {len(faults)} lines"
    for fault in faults:
        if not fault.startswith("assaybench") or not fault.isprintable():
            return f"{line}: not one clear line: {fault!r}"
        if "Traceback" in fault or "fault of the program" in fault or len(fault) > LONGEST_FAULT:
            return f"{line}: {fault!r}"
    return ""


def test_two_thousand_malformed_lines(run: Any) -> None:
    bad = []
    for seed in range(LINES):
        line = malformed(seed)
        outcome = run(*line)
        bad.append(complaint(line, outcome.status, outcome.out, outcome.err))
    assert [reason for reason in bad if reason][:20] == []


def test_a_dozen_malformed_lines_as_real_processes() -> None:
    bad = []
    for seed in range(PROCESSES):
        line = malformed(100_000 + seed)
        if any("\0" in part for part in line):
            line = [part.replace("\0", "\1") for part in line]
        encoded = [os.fsencode(part) for part in line]
        done = subprocess.run(
            [os.fsencode(sys.executable), b"-m", b"assaybench", *encoded],
            capture_output=True,
            check=False,
            timeout=60,
        )
        out, err = (text.decode("utf-8", "replace") for text in (done.stdout, done.stderr))
        bad.append(complaint(line, done.returncode, out, err))
    assert [reason for reason in bad if reason] == []


@pytest.mark.parametrize("line", GOOD, ids=" ".join)
def test_the_lines_that_are_made_wrong_are_right_before(run: Any, line: tuple[str, ...]) -> None:
    outcome = run(*line)
    assert (outcome.status, outcome.err) == (0, "")


@pytest.mark.parametrize(
    ("more", "place"),
    [(("--zero", ""), "--zero"), (("--zero", " "), "--zero"), (("",), "READING 2")],
)
def test_an_empty_reading_is_told_and_never_left_out(
    run: Any, more: tuple[str, ...], place: str
) -> None:
    outcome = run("weigh", "0.31mg", *more, "--readability", "0.01mg")
    (fault,) = outcome.faults
    assert (outcome.status, outcome.out) == (2, "")
    assert fault.startswith(f"assaybench weigh: {place}: nothing was typed;")
