"""The beam: a graduated beam with its rider, on a logarithmic scale of mass.

Notches are the critical level, ten times the spread, and the least mass within the aim, with the
verdict's own words under each stretch. The rider hangs where the object is.
"""

import math
from collections.abc import Callable
from typing import NamedTuple

from assaybench.messages import say
from assaybench.metrology.sight import Limits
from assaybench.units import write

LINES = 6
LEAST_TOP_DIVISIONS = 5000
"""The scale reaches at least so far: from one division to 5 mg on a balance with steps of 1 µg."""
_ENDS = (1, 2, 5)


class Beam(NamedTuple):
    """What is drawn.

    Attributes:
        step: one division, where the scale begins.
        notches: critical level, ten times the spread, least mass within the aim; the last one is
            left out where no mass can be within it.
        mass, expanded: of the object and its U; None without an object on the pan.
        unit: symbol of the unit of all of them.
    """

    step: float
    notches: tuple[float, ...]
    mass: float | None
    expanded: float
    unit: str


def beam_of(
    limits: Limits, step_mg: float, mass_mg: float | None, expanded_mg: float, per_mg: float,
    unit: str,
) -> Beam:  # fmt: skip
    """The beam of a weighing.

    Args:
        limits: what such a weighing can tell.
        step_mg, mass_mg, expanded_mg: one division, net mass and its U, mg.
        per_mg: what one milligram is in the unit.
        unit: symbol of the unit.
    """
    notches = [limits.critical_mg, limits.tenfold_mg]
    least = limits.least_single
    if least is not None and least.mass_mg > limits.tenfold_mg:
        notches.append(least.mass_mg)
    shown = None if mass_mg is None else mass_mg * per_mg
    return Beam(
        step_mg * per_mg, tuple(n * per_mg for n in notches), shown, expanded_mg * per_mg, unit
    )


def top_of(beam: Beam) -> float:
    """The end of the scale: 1, 2 or 5 times a power of ten, above everything that is drawn."""
    needed = max(
        beam.step * LEAST_TOP_DIVISIONS,
        *(1.2 * notch for notch in beam.notches),
        1.2 * ((beam.mass or 0.0) + beam.expanded),
    )
    power = math.floor(math.log10(needed) + 1e-9)
    ends = [step * 10.0**p for p in (power, power + 1) for step in _ENDS]
    return next(end for end in ends if end >= needed * (1 - 1e-9))


def lines(beam: Beam, width: int, *, none_within: bool = False) -> list[str]:
    """Six lines: rider, beam, figures of the notches, an empty one, words of the stretches.

    Args:
        beam: what is drawn.
        width: columns; the beam takes one less.
        none_within: whether no mass at all can be within the aim.
    """
    last, top = width - 2, top_of(beam)

    def column(mass: float) -> int:
        if mass <= beam.step:
            return 0
        share = math.log(mass / beam.step) / math.log(top / beam.step)
        return min(round(share * last), last)

    places = _apart([column(notch) for notch in beam.notches], last)
    drawn = ["─"] * (last + 1)
    drawn[0], drawn[last] = "├", "┤"
    for place in places:
        drawn[place] = "┼"
    words = _words(len(beam.notches), none_within=none_within)
    return [
        _rider(beam, column, last),
        "".join(drawn),
        _figures(beam, places, last, top),
        "",
        *_stretches(words, places, last),
    ]


def _apart(places: list[int], last: int) -> list[int]:
    """Notches in different columns, and none on an end."""
    found: list[int] = []
    for place in places:
        found.append(min(max(place, (found[-1] if found else 0) + 1), last - 1))
    return found


def _rider(beam: Beam, column: Callable[[float], int], last: int) -> str:
    """The rider; its hook is as wide as ± where that is more than its own column."""
    if beam.mass is None:
        return ""
    place = column(beam.mass)
    low, high = column(beam.mass - beam.expanded), column(beam.mass + beam.expanded)
    signs = [" "] * (last + 1)
    if low < place or high > place:
        signs[max(min(low, place - 1), 0)] = "<"
        signs[min(max(high, place + 1), last)] = ">"
    signs[place] = "▼"
    return "".join(signs).rstrip()


def _figures(beam: Beam, places: list[int], last: int, top: float) -> str:
    """Figures under the notches, and the end of the scale; one without room is left out."""
    end = f"{write.short(top, 3)} {beam.unit}"
    free = last + 1 - len(end)
    text = ""
    for i, (place, notch) in enumerate(zip(places, beam.notches, strict=True)):
        figure = _figure(i, notch)
        start = max(place - len(figure) // 2, len(text) + 1 if text else 0)
        if start + len(figure) < free:
            text = text.ljust(start) + figure
    return text.ljust(free) + end


def _figure(i: int, notch: float) -> str:
    """The critical level to one digit, the others to two; a mass that is needed is rounded up."""
    return write.significant_up(notch, 2) if i == 2 else write.significant(notch, min(i + 1, 2))


def _words(notches: int, *, none_within: bool) -> list[str]:
    """The words under each stretch, the two lines of a word with a break between."""
    words = [say("beam_not_detected"), say("beam_rough")]
    if notches > 2 or none_within:
        words.append(say("beam_wider"))
    return words if none_within else [*words, say("beam_within")]


def _stretches(words: list[str], places: list[int], last: int) -> list[str]:
    """Two lines with the words under their stretches; a word that does not fit is shortened."""
    above = below = ""
    ends = [*places[: len(words) - 1], last + 1]
    starts = [0, *places]
    for word, start, end in zip(words, starts, ends, strict=False):
        first, second = word.split("\n")
        room = end - start
        if start and len(first) > room - 2 and second in _NARROW:
            first, second = second, ""
        at = 0 if not start else start + (3 if len(first) + 3 < room else 2)
        at = max(at, len(above) + 1 if above else 0, len(below) + 1 if below else 0)
        at = min(at, last + 1 - max(len(first), len(second)))
        above = above.ljust(at) + first
        below = below.ljust(at) + second
    return [above.rstrip(), below.rstrip()]


_NARROW = ("rough",)
