"""The timer of a tray in the fire: it counts up from `in`, and says when the time is over.

It never blocks an entry. Its minutes are a `method` entry of the log, so a restart keeps them.
"""

from datetime import datetime

from assaybench.bench.run_log import RunLog
from assaybench.messages import BadInput, say
from assaybench.record.method_items import FIRE_MINUTES, minutes_of


class Timer:
    """Counts the minutes of the cupels that are in the fire."""

    def __init__(self, run: RunLog) -> None:
        self.run = run
        self._shown: tuple[int | None, bool] = (None, False)

    def since(self) -> datetime | None:
        """When the first cupel that is still in the fire went in."""
        board = self.run.board()
        times = [
            marks.at["in"].at
            for sample, marks in board.marks.items()
            if "in" in marks.at and not marks.ended and not board.lost(sample)
        ]
        return min(times, default=None)

    def minutes(self, now: datetime) -> int | None:
        """Whole minutes in the fire; None when nothing is in it."""
        began = self.since()
        return None if began is None else max(int((now - began).total_seconds() // 60), 0)

    @property
    def wanted(self) -> int | None:
        """Minutes after which it is time to look; None when nobody said."""
        text = self.run.state.methods.get(FIRE_MINUTES)
        try:
            return minutes_of(text.split(" ")[0]) if text else None
        except BadInput:
            return None

    def is_due(self, now: datetime) -> bool:
        """Whether the time is over."""
        gone, wanted = self.minutes(now), self.wanted
        return gone is not None and wanted is not None and gone >= wanted

    def due(self, now: datetime) -> str:
        """The sentence that says so; empty while it is not over."""
        if not self.is_due(now):
            return ""
        return say("timer_due", gone=self.minutes(now), wanted=self.wanted)

    def running(self, now: datetime) -> str:
        """How long the tray has been in the fire; empty when it is not."""
        gone, wanted = self.minutes(now), self.wanted
        if gone is None:
            return ""
        if wanted is None:
            return say("timer_running", gone=gone)
        return say("timer_running_of", gone=gone, wanted=wanted)

    def tick(self, now: datetime) -> bool:
        """Whether a minute went by, or the time is over, since the last look."""
        shown = self.minutes(now), self.is_due(now)
        changed, self._shown = shown != self._shown, shown
        return changed

    def rings(self, now: datetime) -> bool:
        """Whether the time is over since the last look: then the bell rings once."""
        over = self.is_due(now)
        rings, self.run.rang = over and not self.run.rang, over
        return rings
