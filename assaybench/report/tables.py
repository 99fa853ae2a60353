"""Small tables for the page: columns aligned by their longest text, numbers to the right."""

import textwrap
from collections.abc import Collection, Sequence


def aligned(
    heads: Sequence[str], rows: Sequence[Sequence[str]], left: Collection[int] = (0,)
) -> list[str]:
    """Lines of a table with two blanks between columns, the heads first.

    Args:
        heads: one for each column.
        rows: texts, one for each column.
        left: columns that are set to the left; all others to the right.
    """
    table = [list(heads), *[list(row) for row in rows]]
    widths = [max(len(row[i]) for row in table) for i in range(len(heads))]
    return [
        "  ".join(
            text.ljust(widths[i]) if i in left else text.rjust(widths[i])
            for i, text in enumerate(row)
        ).rstrip()
        for row in table
    ]


def noted(
    heads: Sequence[str], rows: Sequence[Sequence[str]], left: Collection[int], room: int = 75
) -> list[str]:
    """A table as `aligned`; the last text of a row is a note, which stands on lines below it.

    Args:
        heads: one for each column but the note.
        rows: texts, one for each column, and the note.
        left: as of `aligned`.
        room: signs of a line.
    """
    lines = aligned(heads, [row[:-1] for row in rows], left)
    found = [lines[0]]
    for line, row in zip(lines[1:], rows, strict=True):
        found += [line, *_wrapped(row[-1], len(line) - len(line.lstrip()) + 2, room)]
    return found


def _wrapped(text: str, begin: int, room: int) -> list[str]:
    """Text within a room, begun at a column; what is continued stands two further in."""
    return textwrap.wrap(
        text,
        room,
        initial_indent=" " * begin,
        subsequent_indent=" " * (begin + 2),
        break_long_words=False,
        break_on_hyphens=False,
    )


def folded(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    left: Collection[int],
    first: int,
    room: int = 75,
) -> list[str]:
    """A table as `aligned`; where a line leaves the room, its last columns stand below the others.

    Args:
        heads, rows, left: as of `aligned`.
        first: the first of the columns that may stand below; they are set to the left.
        room: signs of a line.
    """
    whole = aligned(heads, rows, left)
    if max(map(len, whole)) <= room:
        return whole
    upper = aligned(heads[:first], [row[:first] for row in rows], left)
    lower = aligned(heads[first:], [row[first:] for row in rows], range(len(heads)))
    found: list[str] = []
    for above, below in zip(upper, lower, strict=True):
        begin = len(above) - len(above.lstrip())
        for text in (above, " " * (begin + 2) + below):
            found += _wrapped(text, 0, room)
    return found
