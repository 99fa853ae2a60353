"""The fire: moments of each cupel, marked by one key for a place, a row or the whole tray."""

from collections.abc import Callable, Sequence
from datetime import datetime

from assaybench.bench.asking import Asking
from assaybench.bench.page import Outcome
from assaybench.bench.run_log import RunLog
from assaybench.bench.timer import Timer
from assaybench.bench.tray import Board
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, say
from assaybench.record.method_items import FIRE_MINUTES, minutes_of

_USUAL: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("in", ("",)),
    ("drives", ("in",)),
    ("out", ("drives", "blick")),
)
"""What Enter marks, and after which mark: blick is seldom seen on small beads, so only its own key
marks it, and what is done with a frozen cupel is for the assayer to say."""
_MAY: dict[str, tuple[str, ...]] = {
    "in": ("",),
    "drives": ("", "in", "frozen"),
    "blick": ("", "in", "drives", "frozen"),
    "out": ("in", "drives", "blick", "frozen"),
    "frozen": ("", "in", "drives", "blick"),
}
"""After which marks a mark may come; a frozen cupel that was saved drives on."""


def next_mark(board: Board, samples: Sequence[str]) -> str:
    """What Enter marks next for these: in, then drives, then out; `none` when nothing is left."""
    last = {_last(board, sample) for sample in samples if not board.lost(sample)}
    return next((mark for mark, after in _USUAL if last & set(after)), "none")


def _last(board: Board, sample: str) -> str:
    marks = board.marks.get(sample)
    return marks.last if marks is not None else ""


def waiting(board: Board, samples: Sequence[str], mark: str) -> list[str]:
    """Those of these samples that a mark can be given to now."""
    after = _MAY.get(mark, ())
    return [s for s in samples if not board.lost(s) and _last(board, s) in after]


def mark(run: RunLog, samples: Sequence[str], which: str) -> int:
    """Mark a moment for those samples that it can be given to; gives how many.

    Raises:
        BadInput, NotDone: as `RunLog.append_all`.
    """
    rows: list[Row] = [
        ("furnace_mark", {"sample": sample, "mark": which})
        for sample in waiting(run.board(), samples, which)
    ]
    if rows:
        run.append_all(rows)
    return len(rows)


def told(timer: Timer, now: datetime) -> str:
    """How long the tray has been in the fire; before that, when the bell will ring."""
    if timer.minutes(now) is not None:
        return timer.running(now)
    if timer.wanted is None:
        return say("timer_off")
    return say("timer_set", wanted=timer.wanted)


def marks_told(board: Board, sample: str) -> str:
    """The moments of a cupel with their times: `in 12:00, drives 12:14`."""
    marks = board.marks.get(sample)
    if marks is None:
        return ""
    made = sorted(marks.at.items(), key=lambda item: item[1].n)
    return ", ".join(f"{word} {entry.at:%H:%M}" for word, entry in made)


def ask_minutes(run: RunLog, then: Callable[[str], Outcome]) -> Asking:
    """Asks after how many minutes the bell rings; kept in the log."""

    def answer(text: str) -> Outcome:
        if not text:
            raise BadInput.of("ask_minutes_hint")
        minutes = minutes_of(text)
        run.append("method", {"item": FIRE_MINUTES, "value": f"{minutes} min"})
        return then(say("stored_minutes", n=minutes))

    return Asking(say("ask_minutes"), answer, "reading", hint=(say("ask_minutes_hint"),))
