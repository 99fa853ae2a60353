"""Random keys over the logbook and settings pages: no crash, and no sealed byte ever changes."""

import random

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.stack import Stack
from assaybench.logbook.settings_fields import Settings
from tests.bench.books import closed, press, shown
from tests.bench.conftest import Clock
from tests.bench.keepers import at_the_book, kept_book, settled
from tests.bench.patience import MOST_KEYS
from tests.bench.test_random_keys import pressed

PAGES = {"logbook", "log", "entries", "verify", "countersign", "settings", "table", "signers"}


def sealed_files(desk: Desk) -> dict[str, bytes]:
    """Sealed logs, statements and signatures, and the register's first entries."""
    root = desk.book.root
    kept = [*root.glob("logs/MAIN/00000[1-6]*"), *root.glob("marks/MAIN/*")]
    return {str(path): path.read_bytes() for path in kept if path.is_file()}


def one_in(stack: Stack, clock: Clock, draws: random.Random) -> None:
    """Go to one of the pages, so that each is met."""
    for _ in range(MOST_KEYS):
        if len(stack.pages) == 1:
            break
        stack.press("escape", None)
        settled(stack, clock)
    assert len(stack.pages) == 1, shown(stack)
    signers = ("o", *["down"] * 40, "up", "enter")
    for key in draws.choice([("a",), ("a", "d"), ("a", "down", "d"), ("o",), signers]):
        press(stack, key)
        settled(stack, clock)
    for _ in range(draws.randrange(20)):
        press(stack, draws.choice(["down", "down", "up"]))
    press(stack, "enter")
    settled(stack, clock)


def keys_over_the_books(desk: Desk, clock: Clock, seed: int, count: int) -> set[str]:
    draws = random.Random(seed)
    kept_book(desk)
    desk.settings = Settings(initials="KB", people={"KB": "K. Berg"})
    stack = at_the_book(desk, clock)
    before = sealed_files(desk)
    register = desk.book.register("MAIN").read_bytes()
    seen: set[str] = set()
    for _ in range(count // 20):
        one_in(stack, clock, draws)
        seen |= set(pressed(stack, clock, draws, 20))
        settled(stack, clock)
    closed(stack)
    assert sealed_files(desk).items() >= before.items()
    assert desk.book.register("MAIN").read_bytes().startswith(register)
    return seen


@pytest.mark.parametrize("seed", range(3))
def test_two_hundred_keys_do_no_harm(desk: Desk, clock: Clock, seed: int) -> None:
    assert keys_over_the_books(desk, clock, seed, 200) & PAGES


@pytest.mark.long
def test_four_thousand_keys_meet_every_page_and_do_no_harm(desk: Desk, clock: Clock) -> None:
    assert keys_over_the_books(desk, clock, 7, 4000) >= PAGES
