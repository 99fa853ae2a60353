"""Hands on the page of one log: to it, its choices, answers on line 23, what the margin says."""

from assaybench.bench.desk import Desk
from assaybench.bench.stack import Stack
from tests.bench.books import press
from tests.bench.conftest import Clock
from tests.bench.keepers import at_the_book, kept_book, settled, to_choice

ROW = {7: 0, 6: 1, 5: 2, 4: 3, 3: 4, 2: 5, 1: 6}


def at_log(desk: Desk, clock: Clock, number: int) -> Stack:
    """The page of a log of the kept book."""
    kept_book(desk)
    stack = at_the_book(desk, clock)
    for _ in range(ROW[number]):
        press(stack, "down")
    press(stack, "d")
    assert stack.top.name == "log"
    return stack


def chosen(stack: Stack, clock: Clock, text: str, *answers: str) -> None:
    to_choice(stack, text)
    press(stack, "enter")
    answered(stack, *answers)
    settled(stack, clock)


def answered(stack: Stack, *answers: str) -> None:
    for answer in answers:
        for sign in answer:
            stack.press(sign, sign)
        press(stack, "enter")


def said(stack: Stack) -> str:
    return " ".join(str(one).replace("\n", " ") for one in stack.sheet.margin)


def choices(stack: Stack) -> list[str]:
    rows = ["".join(span.text for span in one) for one in stack.sheet.block]
    empty = len(rows) - 1 - rows[::-1].index("") if "" in rows else -1
    return [row[2:] for row in rows[empty + 1 :]]
