"""Sets a sheet as a page: running head, rules, text block, margin, promise line, key line. Pure.

At 80 columns and 24 lines it is the page as drawn. More columns go to the margin, up to 40, then
to white space left and right; more lines go to the text block. The text block keeps its measure.
With 23 lines, as a multiplexer with its status line leaves of 24, the upper rule is given up and
nothing else.
"""

import re
from collections.abc import Sequence

from assaybench.bench.actions import Keymap
from assaybench.bench.characters import cells, cut, filled, plain_line, wrapped
from assaybench.bench.page import Room
from assaybench.bench.sheet import BLOCK_WIDTH, Beside, Line, Sheet, Span, text_of
from assaybench.bench.typing import Typing
from assaybench.messages import say

LEAST_WIDTH, LEAST_HEIGHT = 80, 23
DRAWN_HEIGHT = 24
"""Lines of the page as drawn, with both rules."""
_MARGIN, _WIDEST_MARGIN = 20, 40
_BODY_TOP = 2
_FOOT = 3
_BLANK = "____"
_SENTENCE_END = re.compile(r"(?<=[^A-Z\s][.?!])\s+")
"""Behind a full stop, but not behind that of an initial."""


def room(width: int, height: int, *, ascii_only: bool = False) -> Room:
    """The room a page has in a terminal of this size."""
    return Room(
        block_lines=max(height, DRAWN_HEIGHT) - _BODY_TOP - _FOOT,
        margin_width=min(_MARGIN + max(width - LEAST_WIDTH, 0), _WIDEST_MARGIN),
        ascii=ascii_only,
    )


def fits(width: int, height: int) -> bool:
    """Whether a page can be set in a terminal of this size."""
    return width >= LEAST_WIDTH and height >= LEAST_HEIGHT


def set_page(
    sheet: Sheet,
    actions: Keymap,
    width: int,
    height: int,
    *,
    ascii: bool = False,  # noqa: A002  the name of the mode
) -> list[Line]:
    """The lines of a page: as many as the terminal has, each as wide as it is.

    In a terminal that is too small, one sentence says so; nothing is lost.

    Args:
        sheet: what the page shows.
        actions: the keys, for the key line.
        width: columns of the terminal.
        height: its lines.
        ascii: whether to draw with plain signs only.
    """
    if not fits(width, height):
        lines = _too_small(width, height)
    else:
        lines = _Setting(sheet, actions, width, height).lines()
    return [plain_line(line) for line in lines] if ascii else lines


def _too_small(width: int, height: int) -> list[Line]:
    size = {"columns": width, "lines": height}
    least = {"least_columns": LEAST_WIDTH, "least_lines": LEAST_HEIGHT}
    sentence = wrapped(say("terminal_small", **size, **least), max(width - 1, 1))
    rows = [*sentence, *[""] * height][:height]
    return [filled((Span(row),), width) for row in rows]


def typing_place(sheet: Sheet, width: int, height: int) -> tuple[int, int]:
    """Column and line, from 0, where the cursor of the terminal stands: the promise line."""
    if not fits(width, height):
        return (0, 0)
    left = _left(width) + 2
    if sheet.typing is None:
        return (left, height - 2)
    return (left + cells(_typed(sheet.typing)), height - 2)


def _page_width(width: int) -> int:
    return BLOCK_WIDTH + 6 + room(width, LEAST_HEIGHT).margin_width


def _left(width: int) -> int:
    return (width - _page_width(width)) // 2


class _Setting:
    """One page being set at one size."""

    def __init__(self, sheet: Sheet, actions: Keymap, width: int, height: int) -> None:
        self.sheet, self.actions = sheet, actions
        self.width, self.height = width, height
        self.margin_width = room(width, height).margin_width
        self.page_width = _page_width(width)

    def lines(self) -> list[Line]:
        ruled = self.height >= DRAWN_HEIGHT
        body = self.height - _BODY_TOP - _FOOT + (not ruled) - bool(self.sheet.steps)
        margin = _margin(self.sheet.margin, self.margin_width, body)
        rows = [self._head()]
        if self.sheet.steps:
            rows.append((Span("  "), *self.sheet.steps))
        if ruled:
            rows.append(self._rule("┬"))
        rows += [self._body(i, margin) for i in range(body)]
        rows += [self._rule("┴"), self._promise(), self._keys()]
        indent = Span(" " * _left(self.width))
        return [filled((indent, *filled(row, self.page_width)), self.width) for row in rows]

    def _head(self) -> Line:
        sheet, right_edge = self.sheet, self.page_width - 1
        title = cut(sheet.title, right_edge - 4)
        start = (self.page_width + 1 - cells(title)) // 2
        left = cut(sheet.left, start - 4)
        right = cut(sheet.right, right_edge - start - cells(title) - 2)
        gap = " " * (start - 2 - cells(left))
        rest = " " * (right_edge - start - cells(title) - cells(right))
        return (Span("  "), Span(left), Span(gap), Span(title, "bold"), Span(rest + right))

    def _rule(self, joint: str) -> Line:
        return (Span("  " + "─" * (BLOCK_WIDTH + 1) + joint + "─" * (self.margin_width + 1)),)

    def _body(self, row: int, margin: Sequence[str]) -> Line:
        block = self.sheet.block[row] if row < len(self.sheet.block) else ()
        remark = margin[row] if row < len(margin) else ""
        return (Span("  "), *filled(block, BLOCK_WIDTH), Span(" │ "), Span(remark))

    def _promise(self) -> Line:
        typing = self.sheet.typing
        if typing is None:
            return (Span("  "), Span(self.sheet.promise))
        return (Span("  "), Span(_typed(typing)), Span("_" if typing.text else _BLANK, "waits"))

    def _keys(self) -> Line:
        letters = self.sheet.typing is not None and self.sheet.typing.takes_letters
        parts: list[Span] = []
        for entry in filter(None, (self.actions.entry(i, typing=letters) for i in self.sheet.keys)):
            key, _, word = entry.partition(" ")
            parts += [Span("   " if parts else "  "), Span(key, "bold"), Span(f" {word}")]
        return tuple(parts)


def _typed(typing: Typing) -> str:
    """The prompt and the end of what is typed, as much as the line holds."""
    most = LEAST_WIDTH - 8 - cells(typing.prompt)
    text = typing.shown
    while text and cells(text) > most:
        text = text[1:]
    return f"{typing.prompt} {text}"


def _margin(remarks: Sequence[str | Beside], width: int, lines: int) -> list[str]:
    """The lines of the margin: one empty line between remarks, cut after the last whole sentence.

    A remark stands beside its line where there is room; gaps close before anything is cut.
    """
    open_set = _flow(remarks, width, keep_places=True)
    kept = [remark.text if isinstance(remark, Beside) else remark for remark in remarks]
    while len(open_set) > lines:
        open_set = _flow(kept, width, keep_places=False)
        if len(open_set) > lines and not _shortened(kept):
            return open_set[:lines]
    return open_set


def _shortened(remarks: list[str]) -> bool:
    """Take the last sentence off; whether there is one left before it."""
    sentences = _SENTENCE_END.split(remarks[-1])
    if len(sentences) > 1:
        remarks[-1] = remarks[-1][: -len(sentences[-1])].rstrip()
        return True
    if len(remarks) > 1:
        remarks.pop()
        return True
    return False


def _flow(remarks: Sequence[str | Beside], width: int, *, keep_places: bool) -> list[str]:
    set_lines: list[str] = []
    for remark in remarks:
        if set_lines:
            set_lines.append("")
        if isinstance(remark, Beside):
            if keep_places:
                set_lines += [""] * (remark.row - len(set_lines))
            set_lines += wrapped(remark.text, width)
        else:
            set_lines += wrapped(remark, width)
    return set_lines


def as_text(lines: Sequence[Line]) -> str:
    """A set page as plain text, blanks at the ends of lines taken off; for dumps and printing."""
    return "".join(text_of(line).rstrip() + "\n" for line in lines)
