"""A logbook of thousands of logs: contents and list come at once and say how far they are."""

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.jobs import GivenUp
from assaybench.bench.long_register import LONG_BYTES, MOST_NAMED, is_long, long_register
from assaybench.bench.open_logs import named_logs, open_logs
from assaybench.bench.stack import Stack
from assaybench.logbook.files import Files
from assaybench.logbook.folder import LogName
from assaybench.logbook.index import Index, with_index
from assaybench.logbook.index_tables import Progress, Wanted
from assaybench.record.frame import Chain, framed
from assaybench.record.kinds import BY_NAME
from assaybench.record.register_kinds import REGISTER_BY_NAME
from tests.bench.books import opened_bench, press, shown
from tests.bench.conftest import Clock

LOGS = 2_600
VOID = range(100, 110)
NOON = datetime(2026, 6, 9, 12, tzinfo=UTC)


def long_book(desk: Desk, count: int = LOGS) -> None:
    """So many open logs of one note each, some of them void; nothing is sealed."""
    book = desk.book
    book.logs("MAIN").mkdir(parents=True)
    book.registers.mkdir(parents=True)
    rows: list[tuple[str, dict[str, object]]] = [("begun", {"bench": "MAIN", "program": "bench"})]
    rows += [
        ("opened", {"number": n, "log": "furnace run", "title": f"a run of the north heap, {n}"})
        for n in range(1, count + 1)
    ]
    rows += [("void", {"number": n, "reason": "crucible broke"}) for n in VOID]
    book.register("MAIN").write_bytes(chained(Chain(REGISTER_BY_NAME), rows))
    for n in range(1, count + 1):
        head = {"log": "furnace run", "bench": "MAIN", "method_version": 1, "program": "bench"}
        log = chained(Chain(BY_NAME), [("opened", {**head, "number": n, "title": f"run {n}"})])
        book.log(LogName("MAIN", n)).write_bytes(log)


def chained(chain: Chain, rows: list[tuple[str, dict[str, object]]]) -> bytes:
    parts = []
    for i, (kind, values) in enumerate(rows):
        data, link = framed(chain, NOON + timedelta(seconds=i), "KB", kind, values)
        chain.step(kind, link)
        parts.append(data)
    return b"".join(parts)


def until(stack: Stack, clock: Clock, holds: Callable[[], bool]) -> None:
    """Look as often as the app, until something holds."""
    end = time.monotonic() + 60
    while not holds():
        assert time.monotonic() < end, shown(stack)
        time.sleep(0.02)  # the reading has its own thread: leave it the time
        stack.tick(clock())


def margin(stack: Stack) -> str:
    return " ".join(str(one) for one in stack.sheet.margin)


def test_the_contents_come_before_a_long_register_is_read(desk: Desk, clock: Clock) -> None:
    long_book(desk)
    assert is_long(desk)
    assert named_logs(desk).logs == ()
    stack = opened_bench(desk)
    assert "A long register is being read: 0 in 100." in margin(stack)
    assert "Nothing is left open" not in margin(stack)
    stack.tick(clock())
    press(stack, "down", "down")
    before = stack.sheet.promise
    until(stack, clock, lambda: not stack.working)
    assert stack.sheet.promise == before, "the pointer stays on its line"
    page = shown(stack)
    assert "furnace run 2600" in page
    assert "10 void" in page
    listed = sum("furnace run 2" in row for row in page.splitlines())
    assert f"And {LOGS - len(VOID) - listed} more; i finds them." in margin(stack)


def test_what_the_index_says_is_what_the_register_says(desk: Desk) -> None:
    long_book(desk)
    found = long_register(desk, lambda _done, _total: None)
    assert found.counts == (LOGS - len(VOID), 0, len(VOID))
    numbers = [a.number for a in found.left]
    expected = [n for n in range(LOGS, 0, -1) if n not in VOID]
    assert numbers == expected[:MOST_NAMED]
    assert found.left[0].title == "a run of the north heap, 2600"
    path = desk.book.register("MAIN")
    path.write_bytes(path.read_bytes() + b"spoilt\n")
    again = long_register(desk, lambda _done, _total: None)
    assert again.counts == found.counts
    assert again.left[:5] == found.left[:5]
    logs = open_logs(desk)
    assert len(logs.logs) + len(logs.others) + logs.more == LOGS - len(VOID)


def test_the_newest_logs_stand_there_while_the_others_are_read(desk: Desk, clock: Clock) -> None:
    long_book(desk)
    stack = opened_bench(desk)
    press(stack, "a")
    seen: list[str] = []

    def watched(until_then: str) -> bool:
        seen.append(f"{shown(stack)} {margin(stack)}")
        return until_then in seen[-1] or not stack.working

    # the reading may be over between two looks, so what was seen on the way is kept
    until(stack, clock, lambda: watched("> MAIN-002600"))
    press(stack, "down")
    until(stack, clock, lambda: watched("no page says this"))
    assert any("newest first; the others are being read" in page for page in seen)
    assert any("Read for the list, once:" in page for page in seen)
    page = shown(stack)
    assert f"1 to 17 of {LOGS}, newest first" in page
    assert "> MAIN-002599" in page


def test_what_was_left_in_the_middle_is_gone_on_with(desk: Desk) -> None:
    long_book(desk, 700)
    seen: list[Progress] = []

    def given_up(progress: Progress) -> None:
        seen.append(progress)
        if progress.what == "logs":
            raise GivenUp

    cache = desk.cache_folder()
    with pytest.raises(GivenUp):
        with_index(desk.book, Files(), cache, lambda index: index.update("new", given_up))
    assert [progress.what for progress in seen] == ["newest", "register", "logs"]
    assert seen[0].done == 60
    assert seen[1].done == seen[1].total == desk.book.register("MAIN").stat().st_size
    first = seen[-1]
    assert (first.done, first.total) == (200, 640)
    seen.clear()

    def finished(index: Index) -> tuple[list[int], int]:
        index.update("new", seen.append)
        found = index.page(Wanted(state="void"), 20, 1)
        return [row.number for row in found.rows], index.page(Wanted(), 5, 1).total

    assert with_index(desk.book, Files(), cache, finished) == (list(reversed(VOID)), 700)
    assert [(p.what, p.total) for p in seen] == [("logs", 440)] * 3


def test_a_short_register_is_read_without_an_index(desk: Desk, clock: Clock) -> None:
    long_book(desk, 120)
    assert desk.book.register("MAIN").stat().st_size < LONG_BYTES
    assert not is_long(desk)
    stack = opened_bench(desk)
    stack.tick(clock())
    assert not stack.working
    assert "furnace run 0120" in shown(stack)
    assert not list(desk.cache_folder().glob("*.sqlite3"))
