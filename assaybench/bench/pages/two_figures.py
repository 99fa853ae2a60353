"""Two figures typed with their doubt: is a difference shown, and is the first above a cut-off?

Nothing is stored. The same page leads to runs before and after a change.
"""

import math
from collections.abc import Callable, Sequence

from assaybench.bench.page import Page
from assaybench.bench.pages.form_page import FormField, field_of
from assaybench.bench.set_lines import led
from assaybench.bench.sheet import Line
from assaybench.circuit import grain_law
from assaybench.circuit.grain_law import Result
from assaybench.circuit.grains import MOST_GRAINS
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology import compare
from assaybench.metrology.compare import Difference
from assaybench.metrology.figure import Layer
from assaybench.metrology.freedom import one_sided_factor
from assaybench.report.answer import coverage_line
from assaybench.report.compare_figures import (
    TYPED_K,
    assumed,
    cutoff_verdict,
    layer_flags,
    layer_named,
    same_kind,
    u_of,
    with_doubt,
)
from assaybench.report.compare_words import MANY, chance, chances, difference_verdict, places
from assaybench.units import parse, write
from assaybench.units.parse import Typed
from assaybench.units.table import ANYTHING, Unit


class TwoForm:
    """A figure with its doubt, held against another one, a cut-off, or both.

    Attributes:
        a, b: the figures; None before they are typed.
        cutoff: the cut-off.
        grains: gold grains behind A; 0 where nobody counted them.
    """

    name = "two"
    stem = "two-figures"

    def __init__(self, runs: Callable[[], Page]) -> None:
        """Nothing is typed yet.

        Args:
            runs: makes the page of runs before and after a change.
        """
        self.a: Typed | None = None
        self.b: Typed | None = None
        self.cutoff: Typed | None = None
        self.grains = 0
        self._runs = runs
        self._texts: dict[str, str] = {}

    @property
    def title(self) -> str:
        """In capitals."""
        return say("title_two")

    @property
    def about(self) -> tuple[str, ...]:
        """For the help page."""
        return (say("about_two"),)

    def fields(self) -> Sequence[FormField]:
        """Both figures, the cut-off, the grains, and the way to the runs."""
        takes = {
            "a": self._take_a,
            "b": self._take_b,
            "cutoff": self._take_cutoff,
            "grains": self._take_grains,
        }
        found = [
            field_of(name, (say(f"two_{name}"), say(f"ask_two_{name}"), say(f"hint_two_{name}")),
                     self._texts, take)
            for name, take in takes.items()
        ]  # fmt: skip
        return [
            *found,
            FormField(say("two_runs"), say("two_runs_told"), "", "", _nothing, self._runs),
        ]

    # --- what is typed: each gives the text that is shown then ------------------------------------

    def _take_a(self, text: str) -> str:
        self.a = self._figure(text, self.b, self.cutoff)
        return text

    def _take_b(self, text: str) -> str:
        self.b = self._figure(text, self.a)
        return text

    def _figure(self, text: str, *others: Typed | None) -> Typed | None:
        if not text:
            return None
        found = with_doubt(text)
        for other in filter(None, others):
            same_kind(other, found)
        return found

    def _take_cutoff(self, text: str) -> str:
        found = parse.plain_figure(text, ANYTHING, example="3 g/t") if text else None
        if found is not None and self.a is not None:
            same_kind(self.a, found)
        self.cutoff = found
        return text

    def _take_grains(self, text: str) -> str:
        self.grains = parse.whole(text, 1, MOST_GRAINS) if text else 0
        return text

    # --- what follows ---------------------------------------------------------------------------

    @property
    def difference(self) -> Difference | None:
        """A less B in the unit of A; None before both are typed."""
        if self.a is None or self.b is None:
            return None
        (x, u_x), (y, u_y) = _in(self.a, self.a.unit), _in(self.b, self.a.unit)
        try:
            return compare.difference(x, u_x, y, u_y)
        except ValueError as reason:
            raise BadInput.of("runs_unusable", why=str(reason)) from reason

    @property
    def _result(self) -> Result | None:
        if self.a is None or self.cutoff is None:
            return None
        y, u = _in(self.a, self.a.unit)
        if self.grains and min(y, self._limit) <= 0:
            raise BadInput.of("grains_need_positive")
        return Result(y, u, math.inf, y / self.grains if self.grains else 0.0)

    @property
    def _limit(self) -> float:
        """The cut-off in the unit of A."""
        if self.a is None or self.cutoff is None:
            return 0.0
        return float(self.cutoff.exact(self.a.unit))

    @property
    def _layer(self) -> Layer:
        """How far the ± of A reaches."""
        return "sampling" if self.grains else "assay"

    def lines(self) -> list[Line]:
        """The difference, then the chance to be above the cut-off."""
        rows: list[Line] = []
        d, result = self.difference, self._result
        if d is not None and self.a is not None:
            told = places(d)
            symbol = "" if self.a.unit.symbol == "1" else f", {self.a.unit.symbol}"
            rows += [
                led(say("compare_less", a="A", b="B") + symbol, told["d"]),
                led(say("compare_ends"), f"{told['lo']} to {told['hi']}"),
                led(say("compare_en"), write.significant(d.en or 0.0, 2)),
                led(say("compare_chance"), chance(d.p)),
            ]
        if result is not None:
            judged = grain_law.against_cutoff(result, self._limit)
            rows += [()] if rows else []
            rows += [
                led(say("two_widest"), layer_named(self._layer, result)),
                led(say("compare_above"), chances(judged.low, judged.high)),
                led(say("compare_said_above"), "95"),
                led(say("compare_said_below"), "5"),
            ]
        if rows:
            rows += [(), led(say("two_doubt"), coverage_line((TYPED_K,)))]
        return rows

    def drawing(self) -> None:
        """Nothing is drawn: the two figures stand in the lines."""

    def remarks(self) -> list[str]:
        """The verdicts, what would decide them, and what was taken for granted."""
        a, d, result = self.a, self.difference, self._result
        if a is None or (d is None and result is None):
            return [say("two_begin")]
        said = []
        if d is not None:
            said.append(difference_verdict(d, a.unit.symbol).reason)
        if result is not None:
            said += self._told_cutoff(result, a.unit)
        typed = [one for one in (a, self.b) if one is not None]
        said += assumed(typed, standard=False)
        if d is not None:
            said.append(say("two_apart"))
        return said

    def _told_cutoff(self, result: Result, unit: Unit) -> list[str]:
        judged = grain_law.against_cutoff(result, self._limit)
        said = [cutoff_verdict(judged, result, self._limit, unit).reason]
        gap = abs(result.value - self._limit)
        if judged.code == "cutoff_not_shown" and not judged.few_grains and gap:
            times = one_sided_factor(result.dof_widest) * result.u_widest / gap
            if times <= MANY:
                said.append(say("compare_times", x=write.significant(times, 2)))
        return said + [one.text for one in layer_flags(unit, self._layer, judged)]


def _in(typed: Typed, unit: Unit) -> tuple[float, float]:
    """A figure and its standard uncertainty in a unit."""
    return float(typed.exact(unit)), u_of(typed, unit, standard=False)


def _nothing(text: str) -> None:
    """The line that leads on takes no figure."""
    raise BadInput.of("argument_unexpected", x=quoted(text), accepted="")
