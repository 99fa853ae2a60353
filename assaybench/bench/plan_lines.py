"""The plan of a tray as lines of the text block: the back above, the door below, the notch at A1.

In each place the upper line is the reading of the step, the lower line says who lives there. A plan
that is wider or deeper than the page is shown in part, around the bracket.
"""

from typing import NamedTuple

from assaybench.bench.plan import Place, row_name
from assaybench.bench.sheet import Line, Span, line
from assaybench.bench.tray import MOST_TEXT, Board, Step, fitted
from assaybench.messages import say

FIRST, CELL = 5, 5
_MORE = 53
_PERIODS = ((6, 8), (8, 6))
"""Columns that are shown, and columns of text from one to the next."""


class Bracket(NamedTuple):
    """Where the bracket stands: row and column from 0, -1 for the letter of a row and the notch."""

    row: int
    column: int

    @property
    def place(self) -> Place | None:
        """The place, None on the letter of a row or the notch."""
        return Place(self.row, self.column) if min(self.row, self.column) >= 0 else None


class _Window(NamedTuple):
    """Rows and columns in sight, and how they are set."""

    rows: range
    columns: range
    period: int
    open: bool


def lines(board: Board, step: Step, bracket: Bracket, room_lines: int) -> list[Line]:
    """The plan with its bracket.

    Args:
        board: the tray.
        step: the step, which gives the upper lines.
        bracket: where it stands.
        room_lines: lines there are.
    """
    plan = board.plan(step)
    return _set(board, step, bracket, _window(plan.rows, plan.columns, bracket, room_lines))


def in_bands(board: Board, step: Step, bracket: Bracket, room_lines: int) -> list[list[Line]]:
    """The whole plan for paper: a plan that is wider than the page in several, one under another.

    Args:
        board: the tray.
        step: the step, which gives the upper lines.
        bracket: where it stands.
        room_lines: lines there are; enough for every row.
    """
    plan = board.plan(step)
    window = _window(plan.rows, plan.columns, bracket, room_lines)
    width = len(window.columns)
    bands = [range(i, min(i + width, plan.columns)) for i in range(0, plan.columns, width)]
    return [_set(board, step, bracket, window._replace(columns=band)) for band in bands]


def in_part(board: Board, step: Step, bracket: Bracket, room_lines: int) -> str:
    """What is in sight of a plan that is larger than the page; empty when all of it is."""
    plan = board.plan(step)
    window = _window(plan.rows, plan.columns, bracket, room_lines)
    said = []
    for code, shown, of in (
        ("tray_columns", window.columns, plan.columns),
        ("tray_rows", window.rows, plan.rows),
    ):
        if len(shown) < of:
            rows = code == "tray_rows"
            first, last, end = (
                row_name(i) if rows else str(i + 1) for i in (shown[0], shown[-1], of - 1)
            )
            said.append(say(code, first=first, last=last, of=end))
    return " ".join(said)


def _set(board: Board, step: Step, bracket: Bracket, window: _Window) -> list[Line]:
    plan = board.plan(step)
    gap: list[Line] = [()] if window.open else []
    end = FIRST + (len(window.columns) - 1) * window.period + CELL
    back = say("cups_back") if step == "parting" else say("tray_back")
    door = say("cups_door") if step == "parting" else say("tray_door")
    rows = [_head(back, bracket, end), line(_numbers(window, plan.columns)), *gap]
    next_due = board.next_due(step)
    for row in window.rows:
        rows += [*_row(board, step, window, row, bracket, next_due), *gap]
    rows += [line(" " * ((FIRST + end - len(door)) // 2) + door), *gap]
    return [*rows, line(caption(board, step))]


def row_line(board: Board, step: Step, room_lines: int, row: int) -> int | None:
    """The line of a row, when the whole plan is in sight and set openly; else None."""
    plan = board.plan(step)
    whole = plan.rows * 3 + 6 <= room_lines
    return 3 + 3 * row if whole and row < plan.rows + 1 else None


def caption(board: Board, step: Step) -> str:
    """What the two lines of a place are."""
    upper = say(f"tray_upper_{step.replace('-', '_')}")
    if board.prefix:
        return say("tray_caption_prefix", upper=upper, prefix=board.prefix)
    return say("tray_caption", upper=upper)


def _window(rows: int, columns: int, bracket: Bracket, room_lines: int) -> _Window:
    shown, period = next(
        ((columns, period) for most, period in _PERIODS if columns <= most), _PERIODS[0]
    )
    open_ = rows * 3 + 6 <= room_lines
    deep = rows if open_ else min(rows, max((room_lines - 4) // 2, 1))
    return _Window(
        _around(bracket.row, deep, rows), _around(bracket.column, shown, columns), period, open_
    )


def _around(at: int, shown: int, of: int) -> range:
    """So many of them, with the one that counts in the middle where that can be."""
    start = min(max(at - shown // 2, 0), of - shown)
    return range(start, start + shown)


def _head(back: str, bracket: Bracket, end: int) -> Line:
    here = bracket.row < 0
    notch = f"[{say('tray_notch')}]" if here else say("tray_notch")
    start = (FIRST + end - len(back) + 1) // 2
    return line(Span(notch, "waits" if here else "plain"), (" " * start + back)[len(notch) :])


def _numbers(window: _Window, columns: int) -> str:
    """The numbers of the columns in sight; a sign at an end tells that there are more."""
    text = "   <" if window.columns.start > 0 else ""
    for i, column in enumerate(window.columns):
        at = FIRST + i * window.period
        text = text.ljust(at) + str(column + 1).center(CELL).rstrip()
    return text.ljust(_MORE) + ">" if window.columns.stop < columns else text


def _row(
    board: Board, step: Step, window: _Window, row: int, bracket: Bracket, next_due: str | None
) -> list[Line]:
    """The two lines of a row, with the bracket where it stands."""
    plan = board.plan(step)
    upper, lower = "", ""
    mark: tuple[int, int] | None = None
    for i, column in enumerate(window.columns):
        at = FIRST + i * window.period
        sample = plan.at.get(Place(row, column))
        here = (row, column) == tuple(bracket)
        text, who = _texts(board, step, sample, next_due, window.period, here=here)
        centred = text.center(CELL)
        start = at + len(centred) - len(centred.lstrip())
        if here:
            upper = upper.ljust(start - 1) + f"[{text}]"
            mark = (start - 1, len(text) + 2)
        else:
            upper = upper.ljust(start) + text
        lower = lower.ljust(at) + who.center(CELL).rstrip()
    name = row_name(row)
    letter = f"[{name}]" if (row, -1) == tuple(bracket) else f" {name}"
    return [_styled(letter + upper[len(letter) :], mark), line(lower)]


def _styled(text: str, mark: tuple[int, int] | None) -> Line:
    if mark is None:
        return line(text)
    start, length = mark
    end = start + length
    return line(text[:start], Span(text[start:end], "waits"), text[end:])


def _texts(
    board: Board, step: Step, sample: str | None, next_due: str | None, period: int, *, here: bool
) -> tuple[str, str]:
    if sample is None:
        return (say("tray_free") if here else "", "")
    cell = board.cell(step, sample)
    waits = cell.status == "to do"
    text = say("tray_next") if here and waits and sample == next_due else cell.text
    most = CELL if period <= CELL + 1 else MOST_TEXT
    return fitted(text, most), board.word(step, sample, most)
