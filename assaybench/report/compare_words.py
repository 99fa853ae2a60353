"""Words of a comparison that a command and a page share: signs, chances in 100, the verdict."""

from typing import NamedTuple

from assaybench.messages import say
from assaybench.metrology.compare import PLANNED_POWER, Difference
from assaybench.metrology.figure import Figure, Verdict, plain
from assaybench.units import write

DIFFERENCE_WORDS = {True: "difference shown", False: "difference not shown"}
MANY = 10.0
"""Beyond this, smaller doubts would not be worth the work: the two agree."""
_LEAST, _MOST = 0.001, 0.999
HARDLY_ANY = 1e-6
"""A chance below this is not printed to its digits."""


class Planned(NamedTuple):
    """Runs of each, or pairs, that would show a difference, and how often."""

    runs: int
    power: float = PLANNED_POWER
    paired: bool = False

    @property
    def what(self) -> str:
        """What is counted."""
        return what_runs(paired=self.paired)


def what_runs(*, paired: bool) -> str:
    """What a plan counts: runs of each, or pairs."""
    return say("runs_pairs") if paired else say("runs_each")


def with_sign(text: str) -> str:
    """A number as text with its sign, + or -."""
    return text if text.startswith("-") else f"+{text}"


def signed_at(value: float, place: int) -> str:
    """A number rounded to 10^place, its sign always shown."""
    return with_sign(write.at_place(value, place))


def chance(probability: float) -> str:
    """A probability in 100, never 0 or 100: `84`, `99.9 or more`."""
    if probability > _MOST:
        return say("chance_most")
    if probability < _LEAST:
        return say("chance_least")
    return write.significant(probability * 100, 3 if probability > 0.99 else 2)


def by_chance(p: float, digits: int = 2) -> str:
    """The p of a test in 100, to its digits; a chance that hardly is one, not to its digits."""
    return write.percent(p, digits) if p > HARDLY_ANY else chance(p)


def p_figure(p: float, digits: int = 3) -> Figure:
    """The p of a test as a figure; its text never is a row of zeros."""
    found = plain(p, "1", digits=digits)
    return found if p > HARDLY_ANY else found._replace(text=say("p_least"))


def chances(low: float, high: float) -> str:
    """The chance in 100: one, or from the least to the most where few grains leave a gap."""
    least, most = chance(low), chance(high)
    return least if least == most else say("reach_ends", low=least, high=most)


def worded(unit: str) -> str:
    """A unit inside a sentence: none for a bare number."""
    return "" if unit == "1" else unit


def mended(text: str) -> str:
    """A sentence whose unit was left empty, its blanks put right."""
    return text.replace("  ", " ").replace(" ;", ";").replace(" .", ".").replace(" ,", ",")


def often(power: float) -> str:
    """A planned power in words: 4 times in 5, or so many times in 100."""
    if power == PLANNED_POWER:
        return say("four_in_five")
    return say("times_in_hundred", P=write.short(100 * power, 3))


def places(d: Difference, factor: float = 1.0) -> dict[str, str]:
    """A difference and the ends of its interval, signed, to the same place.

    Args:
        d: the difference.
        factor: to the unit that is shown.
    """
    place = write.uncertainty_place(d.k * d.u * factor)
    found = {"d": d.value, "lo": d.low, "hi": d.high}
    return {name: signed_at(number * factor, place) for name, number in found.items()}


def difference_verdict(
    d: Difference,
    unit: str,
    planned: Planned | None = None,
    *,
    factor: float = 1.0,
    many: float = MANY,
) -> Verdict:
    """Shown or not shown, and what would decide it.

    Args:
        d: the difference.
        unit: that it is shown in.
        planned: runs that would show it; None where they are not planned for, or too many.
        factor: to that unit.
        many: times that both ± are too wide, beyond which the two are said to agree.
    """
    fields = {**places(d, factor), "unit": worded(unit)}
    code = "difference_shown" if d.shown else "difference_not_shown"
    if not d.shown and planned is not None:
        fields |= {"n": str(planned.runs), "what": planned.what}
        if planned.power == PLANNED_POWER:
            text = say("difference_not_shown_runs", **fields)
        else:
            often_text = write.short(100 * planned.power, 3)
            text = say("difference_not_shown_power", **fields, P=often_text)
    elif not d.shown and (d.value == 0 or d.times_too_wide > many):
        text = say("difference_not_shown_equal", **fields)
    else:
        text = say(code, **fields, x=write.significant(d.times_too_wide, 2) if d.value else "")
    return Verdict(code, DIFFERENCE_WORDS[d.shown], mended(text))
