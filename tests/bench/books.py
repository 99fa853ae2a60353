"""Benches for tests: the contents with all their ways, on a throw-away logbook."""

from pathlib import Path

from assaybench.bench.desk import Desk
from assaybench.bench.frame import as_text, set_page
from assaybench.bench.frame import room as room_of
from assaybench.bench.laid_out import Book, laid_out
from assaybench.bench.pages.contents import ContentsPage
from assaybench.bench.stack import Stack
from assaybench.logbook.settings import SettingsFile
from tests.bench.conftest import Clock
from tests.bench.furnace_run import drawn_run
from tests.bench.whole import whole


def opened_bench(desk: Desk) -> Stack:
    """The bench as the program lays it out."""
    read = SettingsFile(desk.settings, (), {})
    return laid_out(desk, Book(desk.book.root), read, desk.book.root.with_name("settings.toml"))


def bench_with_run(desk: Desk, clock: Clock) -> Stack:
    """The bench with the drawn run left open at cupel B6."""
    drawn_run(desk, clock).close()
    stack = opened_bench(desk)
    stack.tick(clock())
    return stack


def closed(stack: Stack) -> None:
    """Close what is open."""
    contents = stack.pages[0]
    assert isinstance(contents, ContentsPage)
    contents.close()


def press(stack: Stack, *keys: str) -> None:
    """Press keys; a sign is itself, a longer one the name of a key."""
    for key in keys:
        stack.press(key, key if len(key) == 1 else None)


def shown(stack: Stack, width: int = 80, height: int = 24, *, ascii_only: bool = False) -> str:
    """The page in sight, as it is set; all of it can be read."""
    stack.resized(room_of(width, height, ascii_only=ascii_only))
    assert whole(stack.sheet, stack.keys, width, height) == []
    return as_text(set_page(stack.sheet, stack.keys, width, height, ascii=ascii_only))


def dumped(desk: Desk, clock: Clock) -> dict[str, str]:
    """The pages of this half of the bench, by the names of their dumps."""
    stack = bench_with_run(desk, clock)
    pages = {
        "contents-80x24": shown(stack),
        "contents-120x40": shown(stack, 120, 40),
        "contents-ascii": shown(stack, ascii_only=True),
    }
    for name, keys in (
        ("help-of-contents", ("?",)),
        ("index", ("i",)),
        ("initials", ("k",)),
        ("settings", ("o",)),
        ("begin-a-run", ("f",)),
    ):
        press(stack, *keys)
        pages[f"{name}-80x24"] = shown(stack)
        pages[f"{name}-120x40"] = shown(stack, 120, 40)
        press(stack, "escape")
    press(stack, "enter", "?")
    pages["help-of-tray-80x24"] = shown(stack)
    closed(stack)
    return pages


DUMPS = Path(__file__).parent / "dumps"
