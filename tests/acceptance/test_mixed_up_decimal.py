"""Scenario: C4, the duplicate of A2, is typed as 3.14 mg where A2 is 0.314 mg, both of 15.00 g.

As grades by hand: 1000 × 3.14 / 15.00 = 209 g/t and 1000 × 0.314 / 15.00 = 20.9 g/t, ten times. It
is asked before it is stored; what is confirmed is stored, the attempt stays, nothing is changed for
the person.
"""

import os
import pty
import select
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.reading import read_log
from tests.acceptance.page import one_line

BY = ("--by", "KB")
GOLD = ("reading", "what=gold", "unit=mg", "balance=fine")
TYPED = ("enter", "1", *GOLD, "sample=KV-017", "text=3.14", *BY)
QUESTION = (
    "Please look again: C4 3.14 mg is 10 times its duplicate A2 (0.314 mg)."
    " C4 would be 209 g/t, against 20.9 g/t for its duplicate A2."
)
HOW = (
    "Nothing is stored yet. Add --seen 3.14 if you see the same again, or --seen and what you see"
    " now; both entries stay."
)


@pytest.fixture
def log(run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A tray of 24 cupels, 4 rows A to D of 6, with charges and the gold of A1 and A2."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    rows: list[tuple[str, ...]] = [
        ("balance", "name=fine", "step=0.001 mg", "spread=0.002 mg", "repeats=10"),
        ("balance", "name=pulp", "step=0.01 g", "spread=0.007 g", "repeats=10"),
    ]
    tray = [f"{row}{k}" for row in "ABCD" for k in range(1, 7)]
    names = {"A1": "KV-001", "A2": "KV-003", "C4": "KV-017"}
    for place in tray:
        name = names.get(place, f"X-{place}")
        more = ("role=duplicate", "of=KV-003") if place == "C4" else ("role=sample",)
        rows.append(("sample", f"id={name}", "silver=none", *more))
        rows.append(("position", f"sample={name}", f"place={place}"))
    for place in ("A1", "A2", "C4"):
        charge = ("what=charge", "text=15.00", "unit=g", "balance=pulp")
        rows.append(("reading", *charge, f"sample={names[place]}"))
    rows += [(*GOLD, "text=0.512", "sample=KV-001"), (*GOLD, "text=0.314", "sample=KV-003")]
    assert run("open", "run", *BY).status == DONE
    for row in rows:
        outcome = run("enter", "1", *row, *BY)
        assert (outcome.status, outcome.err) == (DONE, "")
    return Logbook(tmp_path / "book").log(LogName("MAIN", 1))


def last_two(log: Path) -> list[dict[str, object]]:
    entries, verdict = read_log(Files(), log)
    assert verdict.state == "sound"
    return [{"kind": entry.kind, **entry.values} for entry in entries[-2:]]


def grade_of(run: Any, sample: str) -> float:
    samples = run("results", "1", "--json").json["samples"]
    found = next(s for s in samples if s["id"] == sample)
    return float(found["figures"]["grade_gold"]["value"])


def test_it_is_asked_and_nothing_is_stored(run: Any, log: Path) -> None:
    before = log.read_bytes()
    asked = run(*TYPED)
    assert (asked.status, asked.out) == (BAD_INPUT, "")
    assert asked.faults == [
        f"assaybench enter: {QUESTION}",
        f"assaybench enter: {HOW}",
    ]
    assert log.read_bytes() == before


@pytest.mark.parametrize(("seen", "grade"), [("0.314", 20.93), ("3.14", 209.3)])
def test_what_is_seen_is_stored_and_the_attempt_stays(
    run: Any, log: Path, seen: str, grade: float
) -> None:
    before = log.read_bytes()
    stored = run(*TYPED, "--seen", seen)
    assert (stored.status, stored.err) == (DONE, "")
    about = {"unit": "mg", "sample": "KV-017", "what": "gold"}
    assert last_two(log) == [
        {"kind": "asked", "typed": "3.14", "question": "times_10", "confirmed": seen, **about},
        {"kind": "reading", **about, "text": seen, "balance": "fine"},
    ]
    assert log.read_bytes().startswith(before)
    assert grade_of(run, "KV-017") == pytest.approx(grade, abs=0.05)
    shown = one_line(run("show", "1").out)
    assert f"asked typed=3.14 question=times_10 confirmed={seen} unit=mg" in shown


def at_terminal(typed: bytes) -> tuple[int, str]:
    """Run the command at a terminal of its own, typing these bytes; status and what it showed."""
    leader, follower = pty.openpty()
    argv = [sys.executable, "-m", "assaybench", *TYPED]
    process = subprocess.Popen(argv, stdin=follower, stdout=follower, stderr=follower)
    os.close(follower)
    os.write(leader, typed)
    parts: list[bytes] = []
    while select.select([leader], [], [], 60)[0]:
        try:
            part = os.read(leader, 4096)
        except OSError:  # the terminal ends with its last program
            break
        if not part:
            break
        parts.append(part)
    os.close(leader)
    return process.wait(timeout=60), b"".join(parts).decode()


def test_at_a_terminal_the_person_types_what_is_seen_now(run: Any, log: Path) -> None:
    status, shown = at_terminal(b"0,31x\n0.314\n")
    assert status == DONE
    page = one_line(shown)
    assert QUESTION in page
    assert "Type what you see now. Nothing is changed for you; both entries stay." in page
    assert "Type what you see now:" in page
    assert '"0,31x" is not a figure. Write it like 0.310, the number alone.' in page
    assert [row["kind"] for row in last_two(log)] == ["asked", "reading"]
    assert last_two(log)[1]["text"] == "0.314"
    assert grade_of(run, "KV-017") == pytest.approx(20.93, abs=0.05)


@pytest.mark.usefixtures("run")
def test_who_leaves_the_question_has_stored_nothing(log: Path) -> None:
    before = log.read_bytes()
    status, shown = at_terminal(b"\x04")  # end of input
    assert status == 130
    assert "Traceback" not in shown
    assert log.read_bytes() == before
