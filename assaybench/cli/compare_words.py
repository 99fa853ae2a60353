"""What every way of comparing from the command line shares: parts of an answer, verdicts."""

from collections.abc import Sequence
from typing import NamedTuple

from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.compare import PLANNED_POWER, Difference
from assaybench.metrology.figure import Figure, Flag, Verdict, measured
from assaybench.record.sums import Step
from assaybench.report.compare_words import with_sign
from assaybench.units import write

DIFFERENCE_WORDS = {True: "difference shown", False: "difference not shown"}


class Planned(NamedTuple):
    """Runs that would show a difference, and how often."""

    runs: int
    power: float = PLANNED_POWER


class Part(NamedTuple):
    """A part of the answer."""

    figures: dict[str, Figure] = {}  # noqa: RUF012  never written to
    rows: tuple[tuple[str, str], ...] = ()
    flags: tuple[Flag, ...] = ()
    said: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()


def expect(figures: Sequence[str], count: int, accepted: str) -> None:
    """So many figures and no more.

    Raises:
        BadInput: for fewer or more, with what is accepted.
    """
    if len(figures) < count:
        what = "A figure" if count == 1 or not figures else "The second figure"
        raise BadInput.of("argument_missing", what=what, accepted=accepted)
    if len(figures) > count:
        raise BadInput.of("argument_unexpected", x=quoted(figures[count]), accepted=accepted)


def difference_figure(d: Difference, unit: str, basis: str = "A - B") -> Figure:
    """A difference as a figure."""
    return measured(d.value, d.u, unit, k=d.k, dof=d.dof, layer="assay", basis=basis)


def signed(figure: Figure) -> str:
    """The text of a difference, its sign always shown."""
    return with_sign(figure.text)


def worded(unit: str) -> str:
    """A unit inside a sentence: none for a bare number."""
    return "" if unit == "1" else unit


def mended(text: str) -> str:
    """A sentence whose unit was left empty, its blanks put right."""
    return text.replace("  ", " ").replace(" ;", ";").replace(" .", ".").replace(" ,", ",")


def places(d: Difference) -> dict[str, str]:
    """A difference and the ends of its interval, signed, to the same place."""
    place = write.uncertainty_place(d.k * d.u)
    found = {"d": d.value, "lo": d.low, "hi": d.high}
    return {name: with_sign(write.at_place(number, place)) for name, number in found.items()}


def difference_verdict(d: Difference, unit: str, planned: Planned | None = None) -> Verdict:
    """Shown or not shown, and what would decide it."""
    fields = {**places(d), "unit": worded(unit)}
    code = "difference_shown" if d.shown else "difference_not_shown"
    if not d.shown and planned is not None:
        if planned.power == PLANNED_POWER:
            text = say("difference_not_shown_runs", **fields, n=planned.runs)
        else:
            often = write.short(100 * planned.power, 3)
            text = say("difference_not_shown_power", **fields, n=planned.runs, P=often)
    elif not d.shown and d.times_too_wide > 10:
        text = say("difference_not_shown_equal", **fields)
    else:
        text = say(code, **fields, x=write.significant(d.times_too_wide, 2) if d.value else "")
    return Verdict(code, DIFFERENCE_WORDS[d.shown], mended(text))


def often(power: float) -> str:
    """A planned power in words: 4 times in 5, or so many times in 100."""
    if power == PLANNED_POWER:
        return say("four_in_five")
    return say("times_in_hundred", P=write.short(100 * power, 3))
