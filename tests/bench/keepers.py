"""A logbook for the book pages: sealed, replaced, void, damaged and open logs. Invented."""

import time

from assaybench.bench.desk import Desk
from assaybench.bench.sheet import text_of
from assaybench.bench.stack import Stack
from assaybench.logbook.folder import Logbook
from tests.bench.books import opened_bench, press
from tests.bench.conftest import Clock
from tests.logbook.sealed_books import Maker, TestKey, reading, run_rows

DAHL = TestKey("A. Dahl", 9)


def kept_book(desk: Desk) -> Logbook:
    """Seven numbers: five sealed, one void, one open.

    Log 4 replaces log 1, log 3 was changed after it was sealed; no number is missing.
    """
    maker = Maker(desk.book.root)
    maker.log(1, opened={"title": "heap north, May"})
    maker.log(2, opened={"title": "heap north, repeat"})
    damaged = maker.log(3, opened={"title": "heap south"})
    maker.log(4, replaces=1)
    maker.statement(4, 1, DAHL)
    maker.log(5, rows=run_rows(5, samples=1), sealed=False)
    maker.register.add("void", {"number": 5, "reason": "crucible broke"})
    maker.log(6, rows=amended_rows(), opened={"title": "heap south, again"})
    maker.log(7, sealed=False, opened={"title": "dump, June"})
    book = maker.done()
    damaged.write_bytes(damaged.read_bytes().replace(b"KV-001", b"KV-009"))
    return book


def amended_rows() -> list[tuple[str, dict[str, object]]]:
    """The rows of a small run with one reading amended, and one withdrawn."""
    rows = [(kind, dict(values)) for kind, values in run_rows(6)]
    rows.append(("reading", reading("gold", "1.900", "mg", "fine", "KV-004")))
    read = next(i for i, (kind, _) in enumerate(rows, start=2) if kind == "reading")
    rows.append(
        ("amendment", {"entry": read, "text": "20.31", "reason": "misread, the pan was not clean"})
    )
    rows.append(("withdrawn", {"entry": len(rows), "reason": "typed for another bead"}))
    return rows


def at_the_book(desk: Desk, clock: Clock) -> Stack:
    """The bench with the logbook page open."""
    stack = opened_bench(desk)
    stack.tick(clock())
    press(stack, "a")
    settled(stack, clock)
    return stack


def to_choice(stack: Stack, text: str) -> None:
    """Put the pointer of a page with choices on the one that says this."""
    for _ in range(20):
        if any(text_of(one) == f"> {text}" for one in stack.sheet.block):
            return
        press(stack, "down")
    raise AssertionError(text)


def settled(stack: Stack, clock: Clock, patience: float = 60) -> None:
    """Wait until the work of the page in sight is over, as the app does."""
    end = time.monotonic() + patience
    while stack.working:
        assert time.monotonic() < end
        time.sleep(0.01)
        stack.tick(clock())
