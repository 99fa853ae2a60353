"""Scenario: gold stored as 1.372 mg of 20.00 g, 68.60 g/t; the pan shows 1.327, so 66.35 g/t.

The correction has a reason; the old value stays, struck, with who and when. A line deleted or
edited in the file is found at that line. Grades by hand: 1000 × 1.372 / 20.00 and 1.327 / 20.00.
"""

import re
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE, NOT_DONE, NOT_GOOD
from assaybench.logbook.folder import Logbook, LogName
from tests.acceptance.page import one_line, value_of

REASON = "digits swapped, re-read at 10:14, check weight good"
BY = ("--by", "KB")


@pytest.fixture
def log(run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A log made with the commands; the gold is its entry 6."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    fine = ("balance", "name=fine", "step=0.001 mg", "spread=0.002 mg", "repeats=10")
    pulp = ("balance", "name=pulp", "step=0.01 g", "spread=0.007 g", "repeats=10")
    sample = ("sample", "id=KV-017", "role=sample", "silver=none")
    mass = ("reading", "what=charge", "text=20.00", "unit=g", "balance=pulp", "sample=KV-017")
    gold = ("reading", "what=gold", "text=1.372", "unit=mg", "balance=fine", "sample=KV-017")
    assert run("open", "run", *BY).status == DONE
    for row in (fine, pulp, sample, mass, gold):
        assert run("enter", "1", *row, *BY).status == DONE
    return Logbook(tmp_path / "book").log(LogName("MAIN", 1))


def grade(run: Any) -> float:
    (sample,) = run("results", "1", "--json").json["samples"]
    return float(sample["figures"]["grade_gold"]["value"])


def correct(run: Any, *more: str) -> Any:
    return run("correct", "1", "6", "text=1.327", *more, *BY)


def test_the_old_value_is_struck_and_the_grade_follows(run: Any, log: Path) -> None:
    assert grade(run) == pytest.approx(68.60, abs=0.005)
    before = log.read_bytes()
    outcome = correct(run, "--reason", REASON)
    assert (outcome.status, outcome.err) == (DONE, "")
    struck = r"text: struck 1\.372  1\.327 KB \d\d:\d\d: digits swapped"
    assert re.search(struck, outcome.out)
    assert re.search(r"68\.60 ± \S+ g/t, now 66\.35 ± \S+ g/t", outcome.out)
    assert grade(run) == pytest.approx(66.35, abs=0.005)
    # nothing was rewritten: what stood in the file stands there still
    assert log.read_bytes().startswith(before)
    shown = run("show", "1")
    assert re.search(struck, shown.out)
    assert re.search(r"amended[ .]+ 1\n", shown.out)
    kept = " ".join(shown.out.split())
    assert kept.count("digits swapped, re-read at 10:14, check weight good") == 2
    entry = run("show", "1", "--json").json["entries"][5]
    assert (entry["values"]["text"], entry["now"]["text"]) == ("1.372", "1.327")
    (amendment,) = entry["amendments"]
    assert (amendment["by"], amendment["values"]["reason"]) == ("KB", REASON)


def test_the_report_says_one_amendment_and_shows_both_values(run: Any, log: Path) -> None:
    assert value_of(run("report", "1", "--text").out, "amendments") == "0"
    correct(run, "--reason", REASON)
    text = run("report", "1", "--text").out
    assert value_of(text, "amendments") == "1"
    assert re.search(rf"text: 1\.372 struck, now 1\.327; KB .*: {REASON}", one_line(text))
    assert re.search(r"KV-017 +66\.35 ± \S+ g/t", text)


def test_without_a_reason_or_initials_nothing_is_corrected(run: Any, log: Path) -> None:
    before = log.read_bytes()
    for line in (("correct", "1", "6", "text=1.327", *BY),
                 ("correct", "1", "6", "text=1.327", "--reason", REASON)):  # fmt: skip
        outcome = run(*line)
        assert (outcome.status, outcome.out, len(outcome.faults)) == (BAD_INPUT, "", 1)
    assert log.read_bytes() == before


def line_of(log: Path, text: bytes) -> int:
    """Number of the line that holds a text, from 1."""
    return log.read_bytes().split(text)[0].count(b"\n") + 1


def test_a_value_edited_in_the_file_is_found_at_its_entry(run: Any, log: Path) -> None:
    correct(run, "--reason", REASON)
    first = line_of(log, b"[[entry]]\nn = 6\n")
    log.write_bytes(log.read_bytes().replace(b'text = "1.372"', b'text = "1.327"'))
    shown = run("show", "1", "--json")
    assert shown.status == NOT_GOOD
    (told,) = shown.json["flags"]
    assert f"entry 6, from line {first} on, is not as it was written" in told["text"]
    assert run("results", "1").status == NOT_GOOD
    assert correct(run, "--reason", "again").status == NOT_DONE


def test_a_line_deleted_in_the_file_is_found_at_that_line(run: Any, log: Path) -> None:
    correct(run, "--reason", REASON)
    parts = log.read_bytes().split(b"\n")
    line = line_of(log, b"n = 6\n")
    del parts[line - 1]
    log.write_bytes(b"\n".join(parts))
    shown = run("show", "1", "--json")
    assert shown.status == NOT_GOOD
    assert shown.json["log"][0]["first_bad_line"] == line
    assert [entry["id"] for entry in shown.json["entries"]] == [1, 2, 3, 4, 5]
