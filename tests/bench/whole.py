"""Whether a page shows everything that it says: nothing clipped, the margin in whole sentences."""

import re
from collections.abc import Iterator

from assaybench.bench.actions import MOST_KEYS, Keymap
from assaybench.bench.characters import cells
from assaybench.bench.frame import (
    DRAWN_HEIGHT,
    LEAST_HEIGHT,
    as_text,
    fits,
    room,
    set_page,
)
from assaybench.bench.sheet import BLOCK_WIDTH, Sheet, text_of

_WORD = re.compile(r"[^\W\d_]+[.,:;?!)]*")


def whole(sheet: Sheet, keys: Keymap, width: int, height: int) -> list[str]:
    """What a page would clip; nothing when all of it can be read.

    Args:
        sheet: the page.
        keys: which key does what.
        width, height: of the terminal.
    """
    if not fits(width, height):
        return []
    found = [*_clipped(sheet, keys, width, height)]
    if height == DRAWN_HEIGHT:
        found += _with_a_line_less(sheet, keys, width)
    return found


def _with_a_line_less(sheet: Sheet, keys: Keymap, width: int) -> Iterator[str]:
    """At 23 lines the upper rule is given up, and nothing else: not a sign, not a column."""
    drawn = set_page(sheet, keys, width, DRAWN_HEIGHT)
    upper = 1 + bool(sheet.steps)
    if set(text_of(drawn[upper]).strip()) != set("─┬"):
        yield f"not the upper rule: {text_of(drawn[upper])}"
    if set_page(sheet, keys, width, LEAST_HEIGHT) != [*drawn[:upper], *drawn[upper + 1 :]]:
        yield "at 23 lines another page than at 24"
    if room(width, LEAST_HEIGHT) != room(width, DRAWN_HEIGHT):
        yield "at 23 lines another room than at 24"


def _clipped(sheet: Sheet, keys: Keymap, width: int, height: int) -> Iterator[str]:
    here = room(width, height)
    rows = as_text(set_page(sheet, keys, width, height)).splitlines()
    if any(cells(row) >= width for row in rows):
        yield "the last column is not empty"
    for part in (sheet.left, sheet.title, sheet.right):
        if part.rstrip() not in rows[0]:
            yield f"running head: {part}"
    lines = here.block_lines - bool(sheet.steps)
    if len(sheet.block) > lines:
        yield f"{len(sheet.block)} lines in a block of {lines}"
    for one in sheet.block:
        if cells(text_of(one).rstrip()) > BLOCK_WIDTH:
            yield f"block: {text_of(one)}"
    said = sheet.promise if sheet.typing is None else sheet.typing.prompt
    if said.rstrip() not in rows[-2]:
        yield f"line above the keys: {said}"
    entries = re.split(r" {3,}", rows[-1].strip())
    if len(sheet.keys) > MOST_KEYS or not all(len(one.split()) in (0, 2) for one in entries):
        yield f"key line: {rows[-1]}"
    if sheet.typing is None and len(entries) < len(sheet.keys):
        yield f"key line: {rows[-1]}"
    yield from _margin(sheet, rows[1:-3], here.margin_width)


def _margin(sheet: Sheet, rows: list[str], width: int) -> Iterator[str]:
    remarks = [m if isinstance(m, str) else m.text for m in sheet.margin]
    wanted = " ".join(remarks).split()
    for word in wanted:
        if _WORD.fullmatch(word) and len(word) > width:
            yield f"margin: {word}"
    shown = " ".join(row.partition(" │ ")[2] for row in rows).split()
    # a path or a fingerprint goes over several lines, so only signs are compared
    all_of_it, there = "".join(wanted), "".join(shown)
    if not all_of_it.startswith(there):
        yield f"margin: {' '.join(shown)}"
    elif there != all_of_it and there[-1:] not in ".?!":
        yield f"margin ends within a sentence: {' '.join(shown[-4:])}"
