"""Recoveries drawn as lines on a rule of 0 to 100 %: doubt has length, what is sure is a point.

The dots of the rule stand at every 5 %, one column is 2.5 %. A `+` stands where a recovery is
supposed. Pure: every drawing has its numbers beside it in a table, and again in words.
"""

import math
from typing import NamedTuple

from assaybench.bench.characters import cells, cut
from assaybench.messages import say
from assaybench.units import write

LABEL = 13
"""Columns in front of the rule."""
COLUMNS = 41
_FULL = 100.0
_MARKED = (0, 25, 50, 75, 100)


class Interval(NamedTuple):
    """What is drawn on one line.

    Attributes:
        name: what it is of.
        low, high: its two ends, per cent; None for both where nothing is known.
        supposed: a recovery that is supposed, per cent.
    """

    name: str
    low: float | None = None
    high: float | None = None
    supposed: float | None = None


def axis() -> str:
    """The numbers over the rule, each ending on its own column."""
    row = " " * (LABEL + COLUMNS)
    for number in _MARKED:
        text = str(number)
        end = LABEL + _column(number)
        start = end - len(text) + 1
        row = row[:start] + text + row[end + 1 :]
    return row


def drawn(interval: Interval, mark: str = "  ") -> str:
    """One line: its name, then the rule with what is known on it.

    Args:
        interval: what is drawn.
        mark: two columns in front of the name.
    """
    rule = [". "[i % 2] for i in range(COLUMNS)]
    if interval.low is not None and interval.high is not None:
        first, last = sorted((_column(interval.low), _column(interval.high)))
        rule[first] = "┼"
        if last > first:
            rule[first : last + 1] = ["├", *"─" * (last - first - 1), "┤"]
    if interval.supposed is not None:
        rule[_column(interval.supposed)] = "+"
    name = cut(interval.name, LABEL - len(mark) - 1)
    return mark + name + " " * (LABEL - len(mark) - cells(name)) + "".join(rule)


def in_words(interval: Interval) -> str:
    """The same line in words, for somebody who does not see it."""
    low, high, name = interval.low, interval.high, interval.name
    if low is None or high is None:
        told = say("interval_none", name=name)
    elif _shown(low) == _shown(high):
        told = say("interval_point", name=name, at=_shown(low))
    else:
        low, high = sorted((low, high))
        told = say("interval_range", name=name, lo=_shown(low), hi=_shown(high))
    if interval.supposed is None:
        return told
    return f"{told} {say('interval_supposed', at=_shown(interval.supposed))}"


def _shown(per_cent: float) -> str:
    return write.at_place(per_cent, -1)


def _column(per_cent: float) -> int:
    """The column of the rule nearest to a share; a half goes up."""
    inside = min(max(per_cent, 0.0), _FULL)
    return math.floor(inside / _FULL * (COLUMNS - 1) + 0.5)
