"""The index finds every log of the logbook by its number or first letters, also sealed and void."""

import re
import time
from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.log_finder import MOST, LogFinder
from assaybench.bench.pages.log_page import LogPage
from assaybench.bench.sheet import text_of
from assaybench.bench.stack import Stack
from assaybench.logbook.files import Files
from assaybench.logbook.folder import LogName
from assaybench.logbook.index import Index, with_index
from tests.bench.books import opened_bench, press, shown
from tests.bench.conftest import Clock
from tests.bench.keepers import kept_book, settled
from tests.logbook.sealed_books import made


def found(stack: Stack, clock: Clock, letters: str) -> list[str]:
    """The logs in sight for some letters, typed in the place of those before."""
    for _ in range(30):
        press(stack, "backspace")
    for sign in letters:
        stack.press(sign, sign)
    settled(stack, clock)
    rows = [text_of(one)[2:] for one in stack.sheet.block]
    return [row for row in rows if re.match(r"(furnace run|circuit test) [0-9]", row)]


@pytest.fixture
def stack(desk: Desk, clock: Clock) -> Stack:
    kept_book(desk)
    bench = opened_bench(desk)
    bench.tick(clock())
    press(bench, "i")
    return bench


def numbers(rows: list[str]) -> list[int]:
    return [int(row.split()[2]) for row in rows]


@pytest.mark.parametrize(
    ("letters", "logs"),
    [
        ("heap so", [6, 3]),
        ("HEAP", [6, 3, 2, 1]),
        ("5", [5]),
        ("0004", [4]),
        ("main-000002", [2]),
        ("eap", []),
        ("furnace", [7, 6, 5, 4, 3, 2, 1]),
        ("furn 3", [3]),
        ("%", []),
    ],
)
def test_letters_and_numbers_find_logs_whatever_became_of_them(
    stack: Stack, clock: Clock, letters: str, logs: list[int]
) -> None:
    assert numbers(found(stack, clock, letters)) == logs


def test_what_became_of_a_log_stands_at_its_right_and_enter_opens_it(
    stack: Stack, clock: Clock
) -> None:
    (row,) = found(stack, clock, "5")
    assert row.split()[-1] == "void"
    assert found(stack, clock, "1")[0].split()[-1] == "sealed"
    press(stack, "enter")
    assert isinstance(stack.top, LogPage)
    assert "MAIN-000001" in shown(stack)
    press(stack, "escape")
    assert "First letters: 1" in shown(stack)


def test_no_letter_asks_nothing_of_the_logbook(stack: Stack, clock: Clock, desk: Desk) -> None:
    assert not stack.working
    assert numbers(found(stack, clock, "")) == [7]
    assert not list(desk.cache_folder().glob("*.sqlite3"))


def test_many_logs_are_bounded_and_more_letters_are_asked_for(desk: Desk, clock: Clock) -> None:
    made(desk.book.root, range(1, 61), results=False, sealed=True)
    stack = opened_bench(desk)
    stack.tick(clock())
    press(stack, "i")
    found(stack, clock, "furnace")
    in_sight = len([one for one in stack.sheet.block if one]) - 1
    assert f"{60 - in_sight} more. Type more letters." in stack.sheet.margin
    finder = LogFinder(desk)
    finder.look("furnace")
    end = time.monotonic() + 60
    while finder.working:
        assert time.monotonic() < end
        time.sleep(0.01)
        finder.take()
    looked = finder.take().found
    assert (len(looked.rows), looked.total) == (MOST, 60)
    assert [row.number for row in looked.rows] == list(range(60, 60 - MOST, -1))


def test_the_index_gives_what_begins_with_every_word(desk: Desk, tmp_path: Path) -> None:
    kept_book(desk)

    def job(index: Index) -> tuple[list[LogName], int]:
        index.update("new")
        rows, total = index.beginning(["north", "HE"], 1)
        return [row.name for row in rows], total

    names, total = with_index(desk.book, Files(), tmp_path / "cache", job)
    assert (names, total) == ([LogName("MAIN", 2)], 2)
