"""Lines of the text block that several pages set alike: a heading, a word joined to its number."""

import re

from assaybench.bench.characters import cells, leader, wrapped
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Span, line, text_of

_LEAST_DOTS = 5
_DOTS = re.compile(r"\s+(?:\.\s+)+|\s{2,}")


def bold(text: str) -> Line:
    """A heading."""
    return line(Span(text, "bold"))


def led(label: str, text: str) -> Line:
    """A word joined to its number by dots; the word gives way, the number is never cut."""
    return line(leader(f"  {label}", text, BLOCK_WIDTH))


def led_below(label: str, text: str) -> list[Line]:
    """A word joined to its number; a word that has no room beside it stands above it, whole."""
    if cells(label) + cells(text) <= BLOCK_WIDTH - _LEAST_DOTS:
        return [led(label, text)]
    return [*hanging(label), led("", text)]


def in_words(row: Line) -> str:
    """A line of words and dots as a sentence, for somebody who does not see it."""
    said = _DOTS.sub(": ", text_of(row).strip())
    return said if not said or said.endswith(".") else f"{said}."


def led_lines(label: str, text: str) -> list[Line]:
    """A word joined to its number on one line, or both below each other where one has no room."""
    if text and cells(label) + cells(text) <= BLOCK_WIDTH - _LEAST_DOTS:
        return [led(label, text)]
    return [one for part in (label, text) if part for one in hanging(part)]


def hanging(text: str) -> list[Line]:
    """A long line; what does not fit stands below it, indented."""
    first, *rest = wrapped(text, BLOCK_WIDTH - 6) or [""]
    return [line(f"  {first}"), *(line(f"      {part}") for part in rest)]
