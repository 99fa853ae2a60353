"""SAFETY.md: every sentence of a step says how we know it, or which step says so."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

SAFETY = Path(__file__).parents[2] / "SAFETY.md"
STEP = re.compile(r"^### (\d+)\. ", re.MULTILINE)
MARK = re.compile(r"\([^()]*\b(SEEN|MEM|COMMON)\b[^()]*\)")
POINTER = re.compile(r"(Lead|Mercury|Pouring): see step \d+")
SENTENCE = re.compile(r"(?<=[.?])(?<!Art\.) +(?=[A-Z0-9])")
WITHOUT_FACT = ("no figure here", "Ask your authority")
"""Sentences that tell nothing about the world: that a figure is missing, and whom to ask."""


def rows() -> Iterator[tuple[str, str]]:
    """Step with field, and all lines of that field."""
    parts = STEP.split(SAFETY.read_text("utf-8").partition("## Where the program says this")[0])
    for step, text in zip(parts[1::2], parts[2::2], strict=True):
        found: list[tuple[str, str]] = []
        for line in text.splitlines():
            if not line.startswith("|") or set(line) <= set("|- "):
                continue
            field, said = (cell.strip() for cell in line.strip("|").split("|"))
            if field:
                found.append((f"step {step}, {field}", said))
            else:
                found[-1] = (found[-1][0], f"{found[-1][1]} {said}")
        yield from found


ROWS = [*rows()]


def test_twelve_steps_are_read() -> None:
    assert len({place.partition(",")[0] for place, _ in ROWS}) == 12
    assert len(ROWS) >= 40


@pytest.mark.parametrize(("place", "said"), ROWS, ids=[place for place, _ in ROWS])
def test_every_row_ends_with_its_mark(place: str, said: str) -> None:
    """A sentence without one of its own is covered by that of the next, as in a list."""
    sentences = SENTENCE.split(said)
    last = sentences[-1]
    known = MARK.search(last) or POINTER.match(last) or any(w in last for w in WITHOUT_FACT)
    assert known, f"{place}: {last}"


def test_a_row_without_a_mark_would_be_found() -> None:
    assert MARK.search("Heat and glare (COMMON).")
    assert not MARK.search("Heat and glare.")
    assert not POINTER.match("Lead fume.")
