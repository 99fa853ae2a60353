"""The logbook and settings pages as they are dumped."""

from pathlib import Path

from assaybench.bench.desk import Desk
from assaybench.bench.sheet import text_of
from assaybench.bench.stack import Stack
from assaybench.logbook.settings_fields import Settings
from tests.bench.books import opened_bench, press, shown
from tests.bench.conftest import Clock
from tests.bench.furnace_run import drawn_run
from tests.bench.keepers import at_the_book, kept_book, settled, to_choice

LOG = "MAIN-000004"


def dumped_books(desk: Desk, clock: Clock) -> dict[str, str]:
    """Pages by the names of their dumps."""
    desk.key_file = Path("/home/kb/signing_key")
    desk.settings = Settings(initials="KB", people={"IM": "I. Marsh", "KB": "K. Berg"})
    kept_book(desk)
    pages: dict[str, str] = {}

    def dump(name: str, stack: Stack) -> None:
        settled(stack, clock)
        pages[f"{name}-80x24"] = shown(stack)
        pages[f"{name}-120x40"] = shown(stack, 120, 40)
        pages[f"{name}-ascii"] = shown(stack, ascii_only=True)

    stack = at_the_book(desk, clock)
    dump("logbook", stack)
    press(stack, "f")
    pages["logbook-filter-80x24"] = shown(stack)
    press(stack, "escape", "down", "down", "down", "enter")
    dump("log", stack)
    for choice, name in (
        ("all entries, in order", "entries"),
        ("verify it", "verify"),
        ("countersign it", "countersign"),
    ):
        to_choice(stack, choice)
        press(stack, "enter")
        dump(name, stack)
        press(stack, "escape")
    press(stack, "escape", "escape", "o")
    for _ in range(40):
        press(stack, "down")
    press(stack, "up", "enter")
    dump("signers", stack)
    to_key(stack, "K. Berg")
    dump("signers-named", stack)
    press(stack, "enter", "c", "enter", *"2026-06-01", "enter", *"the stick was stolen", "enter")
    pages["signers-given-up-80x24"] = shown(stack)
    press(stack, "escape", "escape", "escape", "i", *"heap so")
    dump("index-of-logs", stack)
    press(stack, "escape", "c")
    for text in ("3.2 ± 0.4 g/t", "4.1(3) g/t", "3 g/t"):
        press(stack, "enter", *text, "enter")
    dump("two-figures", stack)
    return pages


def to_key(stack: Stack, name: str) -> None:
    """Put the pointer of the signing keys on the key of a signer."""
    for _ in range(20):
        if any(text_of(one).startswith(f"> {name}") for one in stack.sheet.block):
            return
        press(stack, "down")
    raise AssertionError(name)


def dumped_idle(desk: Desk, clock: Clock) -> dict[str, str]:
    """The page that hides the others, with a tray in the fire."""
    drawn_run(desk, clock).close()
    stack = opened_bench(desk)
    stack.tick(clock())
    press(stack, "enter", "3", "g", "A", "1", "enter", "enter", "m", "2", "0", "enter")
    stack.tick(clock())
    clock.go_on(14)
    stack.tick(clock())
    return {"idle-80x24": shown(stack), "idle-ascii": shown(stack, ascii_only=True)}
