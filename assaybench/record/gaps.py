"""Gaps between entries and backward steps of the clock, from their times; told, never judged.

The number of an entry decides the order, never its time. A time that steps back is told, however
short; a gap is told when it is long enough that somebody left the bench.
"""

from collections.abc import Sequence
from datetime import timedelta
from itertools import pairwise
from typing import NamedTuple

from assaybench.messages import say
from assaybench.record.entries import Entry

GAP = timedelta(minutes=10)
"""A longer time between two entries is told. A choice: no rule of the trade says how long. It is
longer than beads take from one to the next, and shorter than the burning of a tray."""


class Break(NamedTuple):
    """A gap before an entry, or a step of the clock back.

    Attributes:
        seconds: how long.
        back: whether the clock stepped back.
    """

    seconds: float
    back: bool

    @property
    def sentence(self) -> str:
        """As a page tells it."""
        return say("entry_back" if self.back else "entry_gap", t=_span(self.seconds))


def breaks_of(entries: Sequence[Entry]) -> dict[int, Break]:
    """Gaps and backward steps of the clock, by the number of the entry behind them."""
    found = {}
    for before, entry in pairwise(entries):
        apart = entry.at - before.at
        if apart < timedelta(0):
            found[entry.n] = Break(-apart.total_seconds(), back=True)
        elif apart > GAP:
            found[entry.n] = Break(apart.total_seconds(), back=False)
    return found


def _span(seconds: float) -> str:
    """A time in whole minutes and hours; below a minute in seconds."""
    minutes = int(seconds // 60)
    if minutes < 1:
        return f"{seconds:.3f} s"
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if hours < 48 else f"{hours // 24} days"
