"""Scenario: with 11 of 24 gold weights in, the power fails while the twelfth is typed, at 14:02.

At 14:31 the commands show 11 stored, B6 due next, one entry unfinished and not stored, and the gap
of 29 minutes; the twelfth is entered and nothing has to be typed again. The torn end stays beside
the log.
"""

import re
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import BAD_INPUT, DONE
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.logfile import Keeper, Row
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import LogHead, new_log
from tests.acceptance.page import value_of

TRAY = [f"{row}{place}" for row in "ABCD" for place in range(1, 7)]
SAMPLES = [f"KV-{i:03}" for i in range(1, 25)]
STORED = 11
TWELFTH = SAMPLES[STORED]
GAP = timedelta(minutes=29, seconds=20)
HALF = '[[entry]]\nn = {n}\nat = {at}\nby = "KB"\nkind = "reading"\nwhat = "gold"\ntext = "1.0'
"""The last that reached the disk."""


class Morning:
    """A clock that stands so that the last of the entries was made 29 minutes ago."""

    def __init__(self, entries: int) -> None:
        self.now = datetime.now().astimezone() - GAP - entries * timedelta(seconds=1)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


def rows() -> list[Row]:
    """Balances, 24 samples with their places and charges, gold of the first 11."""
    found: list[Row] = [
        ("balance", {"name": "fine", "step": "0.001 mg", "spread": "0.002 mg", "repeats": 10}),
        ("balance", {"name": "pulp", "step": "0.01 g", "spread": "0.007 g", "repeats": 10}),
    ]
    for sample, place in zip(SAMPLES, TRAY, strict=True):
        found.append(("sample", {"id": sample, "role": "sample", "silver": "none"}))
        found.append(("position", {"sample": sample, "place": place}))
        charge = {"what": "charge", "text": "30.00", "unit": "g", "balance": "pulp"}
        found.append(("reading", {**charge, "sample": sample}))
    for i, sample in enumerate(SAMPLES[:STORED]):
        gold = {"what": "gold", "text": f"0.3{i:02}", "unit": "mg", "balance": "fine"}
        found.append(("reading", {**gold, "sample": sample}))
    return found


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Logbook:
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Logbook(tmp_path / "book")


@pytest.fixture
def log(book: Logbook) -> Path:
    """The log as the power cut left it."""
    book.make(Files())
    made = rows()
    # the register looks at the clock for its first entries, the log for its own
    keeper = Keeper("KB", Morning(len(made) + 4), Files(), "assaybench 0.1.0")
    name, log = new_log(book, "MAIN", keeper, LogHead("furnace run", 1, "Grey Heron"))
    with log:
        stored = log.append_all(made)
    assert stored[-1].n == 1 + 2 + 3 * 24 + STORED
    path = book.log(name)
    half = HALF.format(n=stored[-1].n + 1, at=stored[-1].at.isoformat(timespec="milliseconds"))
    path.write_bytes(path.read_bytes() + half.encode())
    return path


def test_looking_tells_what_is_stored_and_what_is_not_and_changes_nothing(
    run: Any, log: Path
) -> None:
    before = log.read_bytes()
    shown = run("show", "1")
    assert (shown.status, shown.err) == (DONE, "")
    assert "charge 24, gold 11" in shown.out
    assert value_of(shown.out, "next due") == f"gold of {TWELFTH}, B6"
    assert "One entry was unfinished and not stored. All before it are stored." in shown.out
    found = run("results", "1", "--json").json
    with_gold = [s["id"] for s in found["samples"] if s["figures"]["grade_gold"]["value"]]
    assert with_gold == SAMPLES[:STORED]
    assert found["flags"][0]["code"] == "log_unfinished"
    assert log.read_bytes() == before


def test_a_refused_entry_does_not_touch_the_torn_log(run: Any, log: Path) -> None:
    before = log.read_bytes()
    refused = run("enter", "1", "reading", "what=gold", "text=1.0x", "--by", "KB")
    assert refused.status == BAD_INPUT
    assert log.read_bytes() == before
    assert list(log.parent.glob("*.torn-*")) == []


def test_the_twelfth_is_entered_and_nothing_else(run: Any, book: Logbook, log: Path) -> None:
    good, half = log.read_bytes().rpartition(b"[[entry]]")[::2]
    twelfth = ("what=gold", "text=1.043", "unit=mg", "balance=fine", f"sample={TWELFTH}")
    entered = run("enter", "1", "reading", *twelfth, "--by", "KB")
    assert (entered.status, entered.err) == (DONE, "")
    assert "One entry was unfinished and not stored. It is kept in 000001.torn-1." in entered.out
    assert "entry 88 of MAIN-000001" in entered.out
    # the torn end is kept to the byte, and what was acknowledged stands as it was
    assert log.with_name("000001.torn-1").read_bytes() == b"[[entry]]" + half
    assert log.read_bytes().startswith(good)
    entries, verdict = read_log(Files(), book.log(LogName("MAIN", 1)))
    assert verdict.state == "sound"
    assert [entry.kind for entry in entries[-3:]] == ["reading", "recovered", "reading"]
    shown = run("show", "1")
    assert "charge 24, gold 12" in shown.out
    assert value_of(shown.out, "next due") == f"gold of {SAMPLES[STORED + 1]}, C1"
    assert re.findall(r"gap of .*", shown.out) == ["gap of 29 min"]
    assert "unfinished" not in shown.out
    answer = run("show", "1", "--json").json
    (gap,) = answer["breaks"]
    assert (gap["id"], gap["what"]) == (87, "gap")
    assert gap["seconds"] == pytest.approx(GAP.total_seconds(), abs=35)
    found = run("results", "1", "--json").json
    with_gold = [s["id"] for s in found["samples"] if s["figures"]["grade_gold"]["value"]]
    assert with_gold == SAMPLES[: STORED + 1]


def test_a_clock_that_was_set_back_is_told_and_the_order_stays(run: Any, book: Logbook) -> None:
    book.make(Files())
    ahead = Keeper("KB", Morning(0), Files(), "assaybench 0.1.0")
    ahead.clock.now += GAP + timedelta(hours=1)  # type: ignore[attr-defined]
    new_log(book, "MAIN", ahead, LogHead("furnace run", 1))[1].close()
    for text in ("one", "two"):
        run("enter", "1", "note", f"text={text}", "--by", "KB")
    answer = run("show", "1", "--json").json
    assert [entry["id"] for entry in answer["entries"]] == [1, 2, 3]
    assert [(b["id"], b["what"]) for b in answer["breaks"]] == [(2, "clock back")]
    page = run("show", "1").out
    assert re.search(r"clock back by (59 min|1 h 0 min)", page)
    assert "Entries count in their order" in page
