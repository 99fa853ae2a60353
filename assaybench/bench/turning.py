"""Blocks of lines laid on pages that are turned; a heading never stands alone at the end of one."""

from collections.abc import Iterable, Sequence

from assaybench.bench.sheet import Line

_LEAST = 3


def turned(blocks: Iterable[Sequence[Line]], lines: int) -> list[list[Line]]:
    """The pages: an empty line between blocks, one page at least.

    Args:
        blocks: a heading and what belongs to it, each.
        lines: of a page.
    """
    pages: list[list[Line]] = [[]]
    for block in blocks:
        left = list(block)
        while left:
            free = lines - len(pages[-1]) - bool(pages[-1])
            if free < min(len(left), _LEAST):
                pages.append([])
                continue
            pages[-1] += [*([()] if pages[-1] else []), *left[:free]]
            left = left[free:]
    return pages


def turned_by(action: str) -> int:
    """How many pages an action turns: Enter and the arrows one on or back, any other none."""
    if action in ("enter", "down", "right"):
        return 1
    return -1 if action in ("up", "left") else 0
