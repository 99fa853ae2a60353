"""A hand sheet becomes a log on a disk that fails once at every call, or stops dead there.

Afterwards: a log holds all of its sheet or is not there, a number that was taken is told, and
importing again makes a whole log.
"""

from collections.abc import Callable
from pathlib import Path

from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.importing import Paper, import_sheet
from assaybench.logbook.opening import open_log
from assaybench.logbook.register import Register
from assaybench.logbook.whole_log import read_whole
from tests.record.frames import OPENED
from tests.reliability.faulty import Faulty, How, keeper
from tests.reliability.test_calls import calls_of, sound, tried, ways

SHEET = b"""
[sheet]
log = "furnace run"
title = "Run of 9 June"
date = 2026-06-09
by = "MQ"
[[balances]]
name = "fine"
step = "0.001 mg"
weighs = ["gold"]
[[samples]]
id = "T-1"
silver = "none"
gold = ["0.261 mg", "0.262 mg"]
"""
PAPER = Paper("sheet.toml", SHEET)
ENTRIES = 6
"""Opened, balance, sample, two readings, and the note that ends every import."""


def act(root: Path) -> tuple[Logbook, Callable[[Faulty], object]]:
    book = Logbook(root)
    book.make(Files())
    return book, lambda disk: import_sheet(book, "MAIN", keeper(disk), PAPER)


@ways
def test_a_log_holds_all_of_its_sheet_or_is_not_there(tmp_path: Path, how: How, error: int) -> None:
    for at in range(1, calls_of(act(tmp_path / "0")[1]) + 1):
        book, doing = act(tmp_path / str(at))
        outcome = tried(Faulty(at, how, error), doing)
        assert all(line and "\n" not in line for line in outcome.lines)
        path = book.log(LogName("MAIN", 1))
        if path.exists():
            assert len(sound(path)) == ENTRIES
        assert not outcome.returned or path.exists()
        with Register(book, "MAIN", keeper()) as register:
            missing = register.missing()
        told = [line for line in outcome.lines if "import the sheet again" in line]
        if missing and outcome.fault is not None:
            assert "Number MAIN-000001 is taken" in told[0]
        # no number is said to be taken when none was
        assert told == [] or missing or path.exists()
        made = import_sheet(book, "MAIN", keeper(), PAPER)
        assert made.entries == ENTRIES
        log = read_whole(Files(), book, made.name)
        assert [f.code for f in log.flags] == []


def test_a_log_that_lost_the_end_of_its_sheet_is_told(tmp_path: Path) -> None:
    """As a power cut may leave it on a disk without hard links, which are asked for no whole."""
    book = Logbook(tmp_path)
    path = book.log(LogName("MAIN", 12))
    values = {**OPENED, "paper_date": "2026-06-09"}
    open_log(path, keeper(), lock=book.lock(path), first=("opened", values)).close()
    (told,) = read_whole(Files(), book, LogName("MAIN", 12)).flags
    assert told.code == "import_part"
    assert told.text.startswith("The end of what was entered from paper is missing")
