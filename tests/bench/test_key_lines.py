"""Key lines say what keys do: on every dump, on a walk through a run, and after keys at random."""

import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.frame import as_text, set_page
from assaybench.bench.openings import new_run, practice_run
from assaybench.bench.page import Room
from assaybench.bench.pages.balance import BalancePage
from assaybench.bench.stack import Stack
from assaybench.logbook.settings_fields import Settings
from tests.bench.books import DUMPS, bench_with_run, closed, press
from tests.bench.conftest import Clock
from tests.bench.furnace_run import drawn_run
from tests.bench.hands import FINE, Hands, read_rows, safety_rows, sample_rows
from tests.bench.key_lines import amiss
from tests.bench.test_random_keys import pressed

FIRST_HALF = (
    "contents", "tray", "fire", "balance", "balances", "looks", "amend", "initials", "index",
    "help", "settings", "table",
)  # fmt: skip
PATHS = sorted(DUMPS.glob("*.txt"))


def lines_of(stack: Stack) -> list[str]:
    stack.resized(Room())
    return as_text(set_page(stack.sheet, stack.keys, 80, 24)).splitlines()


def last_lines(hands: Hands) -> tuple[str, str]:
    """The line above the keys and the key line, once both agree."""
    lines = lines_of(hands.stack)
    assert list(amiss(lines)) == []
    return lines[-2].strip(), lines[-1].strip()


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_the_key_line_of_a_dump_says_what_its_keys_do(path: Path) -> None:
    assert list(amiss(path.read_text(encoding="utf-8").splitlines())) == []


@pytest.mark.parametrize(
    ("said", "keys"),
    [
        ("Enter says that you have read it.", "Enter write   Esc back"),
        ("Enter marks A1 out of the fire, now.", "Enter mark   d drives"),
        ("All of A1 is out.", "Enter mark   Esc back"),
        ("Enter opens it.", ""),
    ],
)
def test_a_key_line_that_says_another_thing_is_found(said: str, keys: str) -> None:
    assert list(amiss(["", f"  {said}", f"  {keys}"]))


def test_enter_has_the_word_of_what_it_does_from_the_safety_line_to_the_last_bead(
    desk: Desk,
) -> None:
    run = new_run(desk)
    run.append_all([FINE, *sample_rows(("KV-1", "A1"), ("KV-2", "A2"))])
    hands = Hands(run)
    seen = []
    for step in "2345":
        hands.press(step)
        seen.append(last_lines(hands)[1].split("   ")[0])
        hands.press("enter")
        seen.append(last_lines(hands)[1].split("   ")[0])
    assert seen == [
        "Enter read", "Enter ask", "Enter read", "Enter mark", "Enter read", "Enter weigh",
        "Enter read", "Enter weigh",
    ]  # fmt: skip
    hands.press("4", "enter")
    assert last_lines(hands) == (
        "Type the reading of A1 as displayed, then Enter.",
        "Enter store   r repeat   z zero   l look   x lost   ? help   Esc back",
    )
    hands.type("0.314")
    assert last_lines(hands)[0] == "Enter stores 0.314 mg for A1 and moves to A2."
    hands.press("enter", "left")
    assert last_lines(hands)[1].startswith("Enter next   r repeat")
    hands.press("right")
    hands.enter("0.214")
    assert last_lines(hands)[0] == "Enter goes to the balance with A1."
    hands.press("enter", "right")
    assert last_lines(hands)[0] == "Enter goes back to the tray: all are weighed."
    assert last_lines(hands)[1].startswith("Enter back   r repeat")
    run.close()


def test_the_fire_has_esc_and_gives_up_the_letter_that_enter_does(desk: Desk, clock: Clock) -> None:
    run = drawn_run(desk, clock)
    hands = Hands(run)
    hands.press("3", "g")
    hands.enter("A1")
    told = []
    for _ in range(4):
        told.append(last_lines(hands)[1])
        hands.press("enter")
    assert told == [
        "Enter mark   d drives   b blick   f frozen   x lost   ? help   Esc back",
        "Enter mark   b blick   o out   f frozen   x lost   ? help   Esc back",
        "Enter mark   d drives   b blick   f frozen   x lost   ? help   Esc back",
        "d drives   b blick   o out   f frozen   x lost   ? help   Esc back",
    ]
    hands.press("g")
    hands.enter("D1")
    assert last_lines(hands)[0] == "D1 is lost. Arrows move on."
    hands.press("4", "g")
    hands.enter("D1")
    assert last_lines(hands)[1].startswith("arrows move")
    run.close()


def test_while_a_slip_is_asked_about_only_its_answer_stands_there(desk: Desk) -> None:
    run = new_run(desk)
    run.append_all([FINE, *sample_rows(("KV-1", "A1"), ("KV-2", "A2")), *safety_rows()])
    run.append_all(read_rows("fine", "bead", [("KV-1", "1.100"), ("KV-2", "3.530")], "mg"))
    hands = Hands(run, BalancePage(run, "parting", "KV-2"))
    hands.enter("3.72")
    assert last_lines(hands) == (
        "Type what you see now: ____", "Enter store   ? help   Esc back",
    )  # fmt: skip
    run.close()


def test_in_practice_the_key_line_says_the_same(desk: Desk) -> None:
    hands = Hands(practice_run(desk))
    for step in "12345":
        hands.press(step)
        last_lines(hands)
        hands.press("enter")
        last_lines(hands)
    hands.run.close()


def walked(desk: Desk, clock: Clock, seed: int) -> Iterator[list[str]]:
    """What a bench shows after every fifth of some hundred keys at random."""
    draws = random.Random(seed)
    desk.settings = Settings(initials="KB", people={"IM": "I. Marsh"})
    stack = bench_with_run(desk, clock)
    for _ in range(30):
        pressed(stack, clock, draws, 5)
        if stack.top.name in FIRST_HALF:
            yield lines_of(stack)
    closed(stack)


@pytest.mark.parametrize("seed", range(4))
def test_after_keys_at_random_the_key_line_still_says_what_keys_do(
    desk: Desk, clock: Clock, seed: int
) -> None:
    for lines in walked(desk, clock, seed):
        assert list(amiss(lines)) == [], "\n".join(lines)


def test_each_line_of_contents_and_settings_has_its_word(desk: Desk, clock: Clock) -> None:
    stack = bench_with_run(desk, clock)
    words = []
    for opened in ((), ("o",)):
        press(stack, *opened)
        for _ in range(30):
            lines = lines_of(stack)
            assert list(amiss(lines)) == []
            words.append(lines[-1].strip().split("   ")[0])
            press(stack, "down")
    assert set(words) == {"Enter open", "Enter begin", "Enter change"}
    closed(stack)
