"""What may be, drawn as lines on a rule: doubt has length, what is sure is a point.

Recoveries stand on a rule of 0 to 100 %, whose dots are at every 5 %; one column is 2.5 %. Money,
points and masses stand on a rule of round numbers with 0 on it. A `+` is where something is
supposed, or breaks even. Pure: every drawing has its numbers beside it, and again in words.
"""

import math
from collections.abc import Iterable
from itertools import count
from typing import NamedTuple

from assaybench.bench.characters import cells, cut
from assaybench.messages import say
from assaybench.units import write

LABEL = 13
"""Columns in front of the rule."""
COLUMNS = 41
_UNIT = 9
_PARTS = (1, 2, 4, 5)
"""Into so many even parts the columns of a rule can be divided."""


class Scale(NamedTuple):
    """A rule.

    Attributes:
        marks: the numbers over it, even steps apart, from one end to the other.
        unit: in front of them; empty where the table says it.
    """

    marks: tuple[float, ...] = (0, 25, 50, 75, 100)
    unit: str = ""

    def column(self, number: float) -> int:
        """The column of the rule nearest to a number; a half goes up."""
        first, last = self.marks[0], self.marks[-1]
        inside = min(max(number, first), last)
        return math.floor((inside - first) / (last - first) * (COLUMNS - 1) + 0.5)


PER_CENT = Scale()


def scale_over(numbers: Iterable[float], unit: str = "") -> Scale:
    """A rule of round numbers that has 0 and all of these on it.

    Args:
        numbers: whatever is drawn; at least one of them is not 0.
        unit: of them.
    """
    wanted = [0.0, *numbers]
    low, high = min(wanted), max(wanted)
    power = math.floor(math.log10(high - low)) - 1
    for step in (base * 10.0**k for k in count(power) for base in (1, 2, 5)):
        first, last = math.floor(low / step), math.ceil(high / step)
        parts = next((n for n in _PARTS if n >= last - first), None)
        if parts is not None:
            return Scale(tuple(step * (first + i) for i in range(parts + 1)), unit)
    raise AssertionError("steps came to an end")


class Interval(NamedTuple):
    """What is drawn on one line.

    Attributes:
        name: what it is of.
        low, high: its two ends; None for both where nothing is known.
        supposed: what is supposed, or breaks even.
        open: whether it has no upper end; `high` is then where it leaves the rule.
    """

    name: str
    low: float | None = None
    high: float | None = None
    supposed: float | None = None
    open: bool = False


def axis(scale: Scale = PER_CENT) -> str:
    """The numbers over the rule, each ending on its own column; its unit in front."""
    row = f"  {cut(scale.unit, _UNIT)}".ljust(LABEL + COLUMNS)
    for number in scale.marks:
        text = write.short(number, 3)
        end = LABEL + scale.column(number)
        start = end - len(text) + 1
        row = row[:start] + text + row[end + 1 :]
    return row


def drawn(interval: Interval, mark: str = "  ", scale: Scale = PER_CENT) -> str:
    """One line: its name, then the rule with what is known on it.

    Args:
        interval: what is drawn.
        mark: what stands in front of the name.
        scale: the rule.
    """
    rule = [". "[i % 2] for i in range(COLUMNS)]
    if interval.low is not None and interval.high is not None:
        first, last = sorted((scale.column(interval.low), scale.column(interval.high)))
        rule[first] = "┼"
        if last > first:
            rule[first : last + 1] = ["├", *"─" * (last - first - 1), "┤"]
        if interval.open:
            rule[last] = ">"
    if interval.supposed is not None:
        rule[scale.column(interval.supposed)] = "+"
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
