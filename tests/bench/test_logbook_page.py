"""The list of logs: newest first, filtered by a few words, and what its registers tell."""

from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.page import Bell, Page, Room
from assaybench.bench.pages.logbook_page import LogbookPage, Ways
from assaybench.bench.sheet import text_of
from assaybench.bench.stack import Stack
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import Logbook, LogName
from tests.bench.books import bench_with_run, closed, opened_bench, press, shown
from tests.bench.conftest import Clock
from tests.bench.hands import at_once
from tests.bench.keepers import at_the_book, kept_book, settled
from tests.bench.openings import begun
from tests.logbook.sealed_books import Maker, made


def names(stack: Stack) -> list[str]:
    """The logs in sight."""
    rows = [text_of(one)[2:] for one in stack.sheet.block[1:]]
    return [row.split()[0] for row in rows if "-0" in row]


def typed(stack: Stack, text: str) -> None:
    for sign in text:
        stack.press(sign, sign)


def filtered(stack: Stack, clock: Clock, text: str) -> list[str]:
    press(stack, "f")
    typed(stack, text)
    press(stack, "enter")
    settled(stack, clock)
    return names(stack)


def numbers(stack: Stack) -> list[int]:
    return [int(name.rsplit("-", 1)[1]) for name in names(stack)]


def test_all_logs_stand_there_newest_first_with_their_state(desk: Desk, clock: Clock) -> None:
    kept_book(desk)
    stack = at_the_book(desk, clock)
    assert numbers(stack) == [7, 6, 5, 4, 3, 2, 1]
    page = shown(stack)
    assert "> MAIN-000007   9 Jun 2026  open      dump, June" in page
    assert "MAIN-000005   9 Jun 2026  void " in page
    assert "MAIN-000003   9 Jun 2026  damaged" in page
    press(stack, "down", "down")
    assert "Void: crucible broke" in shown(stack, 120, 40)
    press(stack, "down")
    assert "Replaces MAIN-000001." in shown(stack, 120, 40)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("sealed", [6, 4, 2, 1]),
        ("void", [5]),
        ("damaged", [3]),
        ("heap", [6, 3, 2, 1]),
        ("heap south sealed", [6]),
        ("sample KV-004 open", [7]),
        ("circuit", []),
        ("since 2026-06-10", []),
        ("2026-06-09", [7, 6, 5, 4, 3, 2, 1]),
    ],
)
def test_a_few_words_show_some_of_them(
    desk: Desk, clock: Clock, text: str, found: list[int]
) -> None:
    kept_book(desk)
    stack = at_the_book(desk, clock)
    filtered(stack, clock, text)
    assert numbers(stack) == found
    assert f"Shown: {text}." in " ".join(str(one) for one in stack.sheet.margin)
    filtered(stack, clock, "")
    assert numbers(stack) == [7, 6, 5, 4, 3, 2, 1]


def test_words_that_cannot_be_leave_the_list_and_the_question(desk: Desk, clock: Clock) -> None:
    kept_book(desk)
    stack = at_the_book(desk, clock)
    filtered(stack, clock, "since yesterday")
    assert '"yesterday" is not a date' in str(stack.sheet.margin[0])
    assert "Show only:" in shown(stack)
    press(stack, "escape")
    assert "Show only:" not in shown(stack)
    assert len(numbers(stack)) == 7


def test_pages_turn_and_the_pointer_walks_over_their_ends(desk: Desk, clock: Clock) -> None:
    made(desk.book.root, range(1, 41), results=False)
    stack = at_the_book(desk, clock)
    assert numbers(stack) == list(range(40, 23, -1))
    assert "1 to 17 of 40, newest first" in shown(stack)
    press(stack, "right")
    settled(stack, clock)
    assert numbers(stack) == list(range(23, 6, -1))
    press(stack, "up")
    settled(stack, clock)
    assert "> MAIN-000024" in shown(stack)
    for _ in range(60):
        press(stack, "down")
        settled(stack, clock)
    assert "> MAIN-000001" in shown(stack)
    assert "35 to 40 of 40" in shown(stack)
    assert stack.press("right", None).bell


def test_another_size_keeps_the_log_under_the_pointer(desk: Desk, clock: Clock) -> None:
    made(desk.book.root, range(1, 41), results=False)
    stack = at_the_book(desk, clock)
    for _ in range(20):
        press(stack, "down")
        settled(stack, clock)
    assert "> MAIN-000020" in shown(stack)
    shown(stack, 120, 40)
    settled(stack, clock)
    assert "> MAIN-000020" in shown(stack, 120, 40)


def test_gaps_and_strangers_are_told_in_the_margin(desk: Desk, clock: Clock) -> None:
    maker = Maker(desk.book.root)
    for n in (1, 2, 3):
        maker.log(n)
    maker.done()
    desk.book.log(LogName("MAIN", 2)).unlink()
    Path(desk.book.logs("MAIN") / "000009.toml").write_bytes(b"")
    stack = at_the_book(desk, clock)
    margin = " ".join(str(one) for one in stack.sheet.margin)
    assert "number 2" in margin
    assert "9" in margin
    assert "missing" in shown(stack)


def test_an_open_run_goes_on_at_its_tray_and_another_is_read(desk: Desk, clock: Clock) -> None:
    kept_book(desk)
    stack = at_the_book(desk, clock)
    assert stack.sheet.promise == "Enter goes on with MAIN-000007."
    press(stack, "d")
    assert stack.top.name == "log"
    press(stack, "escape")
    settled(stack, clock)
    press(stack, "enter")
    assert stack.top.name == "tray"
    press(stack, "escape")
    settled(stack, clock)
    assert stack.top.name == "logbook"
    press(stack, "down", "enter")
    assert stack.top.name == "log"
    closed(stack)


def test_an_open_circuit_test_goes_on_at_its_own_page(desk: Desk, clock: Clock) -> None:
    stack = opened_bench(desk)
    press(stack, "t", "enter", "escape", "a")
    settled(stack, clock)
    assert "circuit test" in shown(stack)
    press(stack, "enter")
    assert stack.top.name == "circuit"
    closed(stack)


def test_the_run_that_is_open_is_gone_on_with_not_opened_twice(desk: Desk, clock: Clock) -> None:
    stack = bench_with_run(desk, clock)
    press(stack, "enter", "escape", "a")
    settled(stack, clock)
    press(stack, "enter")
    assert stack.top.name == "tray"
    closed(stack)


def test_nobody_opens_a_run_without_initials(desk: Desk, clock: Clock) -> None:
    kept_book(desk)
    desk.by = ""
    stack = at_the_book(desk, clock)
    assert stack.press("enter", None).bell
    assert stack.sheet.margin[0] == "Nobody said who weighs. Type initials first (key k)."


def test_a_log_of_another_bench_is_only_read(desk: Desk, clock: Clock) -> None:
    maker = Maker(desk.book.root, bench="HILL")
    maker.log(1, sealed=False)
    maker.done()
    stack = at_the_book(desk, clock)
    press(stack, "enter")
    assert stack.top.name == "log"
    page = shown(stack, 120, 40)
    assert "A log of bench HILL" in page
    assert "void" not in page


def test_an_empty_logbook_says_so(desk: Desk, clock: Clock) -> None:
    stack = at_the_book(desk, clock)
    assert "There is no log yet." in stack.sheet.margin
    assert stack.press("enter", None).bell
    assert stack.press("d", "d").bell
    assert stack.sheet.promise == "No log to open here. Esc goes back."
    assert stack.sheet.keys == ("filter", "verify", "help", "back")


def test_a_log_that_is_begun_meanwhile_leaves_the_pointer_where_it_was(
    desk: Desk, clock: Clock
) -> None:
    kept_book(desk)
    stack = at_the_book(desk, clock)
    press(stack, "down", "down", "down", "d")
    named = stack.sheet.title
    begun(desk).close()
    press(stack, "escape")
    settled(stack, clock)
    assert numbers(stack)[0] == 8
    assert f"> {named}" in shown(stack)


def test_a_logbook_that_cannot_be_read_is_told_and_left(desk: Desk) -> None:
    desk.book = Logbook(desk.book.root.with_name("book"))
    desk.book.root.write_text("a file where a folder should be")

    def never(*_given: object) -> Page:
        raise NotDone(["no page"])

    page = LogbookPage(desk, "AssayBench", Ways(never, never, never), at_once)
    sheet = page.sheet(Room())
    assert sheet.margin
    assert page.act("enter") == Bell()


def test_a_cache_that_cannot_be_written_is_done_without(desk: Desk, clock: Clock) -> None:
    kept_book(desk)
    desk.cache = desk.book.root.with_name("no")
    desk.cache.write_text("a file")
    stack = at_the_book(desk, clock)
    assert len(numbers(stack)) == 7


def test_the_contents_count_what_the_register_says(desk: Desk, clock: Clock) -> None:
    kept_book(desk)
    stack = at_the_book(desk, clock)
    press(stack, "escape")
    assert "logbook: 5 sealed, 1 void . ." in shown(stack)
    press(stack, "a")
    settled(stack, clock)
    press(stack, "v")
    settled(stack, clock)
    press(stack, "escape")
    settled(stack, clock)
    press(stack, "escape")
    assert "logbook: 5 sealed, 1 void; not good 9 June" in shown(stack)
