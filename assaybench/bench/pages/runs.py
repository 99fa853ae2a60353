"""Before and after: did the change help? Recoveries of single runs, typed; nothing is stored.

Difference with its interval, in pairs where old and new were run in turn; runs that would show the
smallest gain worth having; and what a season makes of it, at a price that is typed.
"""

import math
from collections.abc import Sequence

from assaybench.bench.characters import leader
from assaybench.bench.pages.charge import with_unit
from assaybench.bench.pages.form_page import FormField
from assaybench.bench.sheet import BLOCK_WIDTH, Line, line
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology import compare
from assaybench.metrology.compare import Difference
from assaybench.units import money, parse, table, write
from assaybench.units.money import Rate
from assaybench.units.table import FRACTION, GRAM, GRAM_PER_TONNE, MASS

_POINTS = 100
_TONNE = table.BY_SPELLING["t"]


class RunsForm:
    """Runs before and after a change.

    Attributes:
        before, after: recoveries, per cent.
        paired: whether old and new were run in turn, so each belongs to the one in its place.
    """

    name = "runs"

    def __init__(self) -> None:
        self.before: list[float] = []
        self.after: list[float] = []
        self.paired = False
        self._texts: dict[str, str] = {}
        self._tonnes = self._grade = 0.0
        self._price: Rate | None = None
        self._cost = 0.0

    @property
    def title(self) -> str:
        """In capitals."""
        return say("title_runs")

    @property
    def about(self) -> tuple[str, ...]:
        """For the help page."""
        return (say("about_runs"),)

    def fields(self) -> Sequence[FormField]:
        """Both lists, whether they are pairs, and the money if it is wanted."""
        names = ("before", "after", "paired", "season", "grade", "price", "cost")
        return [self._field(name) for name in names]

    def _field(self, name: str) -> FormField:
        takes = {
            "before": self._take_before,
            "after": self._take_after,
            "paired": self._take_paired,
            "season": self._take_season,
            "grade": self._take_grade,
            "price": self._take_price,
            "cost": self._take_cost,
        }

        def take(text: str) -> None:
            self._texts[name] = takes[name](parse.clean(text))

        told = self._texts.get(name, "")
        if name == "paired":
            told = say("runs_in_turn" if self.paired else "runs_apart")
        labels = {n: say(f"{n}_{name}") for n in ("runs", "ask_runs", "hint_runs")}
        return FormField(labels["runs"], told, labels["ask_runs"], labels["hint_runs"], take)

    # --- what is typed: each gives the text that is shown then ------------------------------------

    def _take_before(self, text: str) -> str:
        self.before = _runs(text)
        return text

    def _take_after(self, text: str) -> str:
        self.after = _runs(text)
        return text

    def _take_paired(self, text: str) -> str:
        if text not in ("", say("runs_key_in_turn")):
            raise BadInput.of("hint_runs_paired")
        self.paired = bool(text)
        return text

    def _take_season(self, text: str) -> str:
        mass = with_unit(text, "t") if text else ""
        found = parse.plain_figure(mass, MASS, example="900 t") if mass else None
        self._tonnes = 0.0 if found is None else _positive(float(found.exact(_TONNE)), text)
        return mass

    def _take_grade(self, text: str) -> str:
        grade = with_unit(text, "g/t")
        found = parse.plain_figure(grade, FRACTION, example="0.9 g/t")
        self._grade = _positive(float(found.exact(GRAM_PER_TONNE)), text)
        return grade

    def _take_price(self, text: str) -> str:
        found = money.rate(text)
        _positive(float(found.amount), text)
        self._price = found
        return text

    def _take_cost(self, text: str) -> str:
        found = money.money(text) if text else None
        if found is not None and self._price is not None:
            money.currency_of([found, self._price])
        self._cost = 0.0 if found is None else float(found.amount)
        return text

    # --- what follows ---------------------------------------------------------------------------

    @property
    def difference(self) -> Difference | None:
        """After less before, in points; None before both are typed.

        Raises:
            BadInput: for lists that cannot be compared.
        """
        if not (self.before and self.after):
            return None
        try:
            if self.paired:
                return compare.paired(self.before, self.after)
            return compare.welch(self.before, self.after)
        except ValueError as reason:
            raise BadInput.of("runs_unusable", why=str(reason)) from reason

    @property
    def per_point(self) -> float:
        """What a point of recovery brings in a season, money; 0 when it was not typed."""
        if self._price is None:
            return 0.0
        return self._tonnes * self._grade * self._price.for_each(GRAM) / _POINTS

    @property
    def breaks_even(self) -> float | None:
        """The gain that brings the cost back in one season, points; None without a cost."""
        return self._cost / self.per_point if self._cost and self.per_point else None

    def needed(self, gain: float) -> int | None:
        """Runs of each, or pairs, that show a gain 4 times in 5; None above the most."""
        spread = compare.spread_of_runs(self.before, self.after, in_pairs=self.paired)
        return compare.runs_needed(gain, spread, in_pairs=self.paired)

    def lines(self) -> list[Line]:
        """Means, difference, runs needed, money."""
        d = self.difference
        if d is None:
            return []
        place = write.uncertainty_place(d.k * d.u)
        rows = [
            _led("runs_mean_before", write.short(_mean(self.before), 4)),
            _led("runs_mean_after", write.short(_mean(self.after), 4)),
            _led("runs_difference", _signed(d.value, place)),
            _led("runs_between", f"{_signed(d.low, place)} to {_signed(d.high, place)}"),
            _led("runs_chance", write.percent(d.p, 3)),
            _led("runs_needed", self._count(d.value)),
        ]
        if not self.per_point:
            return rows
        each = (self.per_point * gain for gain in (d.value, d.low, d.high))
        gain, low, high = (_signed(amount, 0) for amount in each)
        rows += [(), _led("runs_money", gain), _led("runs_money_between", f"{low} to {high}")]
        even = self.breaks_even
        if even is not None:
            rows.append(_led("runs_even", _signed(even, -1)))
            rows.append(_led("runs_needed_even", self._count(even)))
        return rows

    def _count(self, gain: float) -> str:
        found = self.needed(gain)
        return say("runs_more_than", n=compare.MOST_RUNS) if found is None else str(found)

    def remarks(self) -> list[str]:
        """Shown or not shown; whether it pays; what a drift would do."""
        d = self.difference
        if d is None:
            return [say("runs_begin")]
        place = write.uncertainty_place(d.k * d.u)
        ends = {"lo": _signed(d.low, place), "hi": _signed(d.high, place), "unit": say("points")}
        shown = {"d": _signed(d.value, place), **ends}
        n = self.needed(d.value)
        if d.shown:
            said = [say("difference_shown", **shown)]
        elif n is None:
            times = write.significant(d.times_too_wide, 2) if d.value else ""
            code = "difference_not_shown" if d.value else "difference_not_shown_equal"
            said = [say(code, **shown, x=times)]
        else:
            said = [say("difference_not_shown_runs", **shown, n=n)]
        even = self.breaks_even
        if even is not None:
            code = "pays_shown" if d.low > even else "pays_not" if d.high < even else "pays_open"
            said.append(say(code, **ends, even=_signed(even, -1)))
        if not self.paired:
            said.append(say("assumed_alternation"))
        return said


def _runs(text: str) -> list[float]:
    """Recoveries of single runs, per cent."""
    parts = [part.removesuffix("%").strip() for part in parse.words(text)]
    found = [float(parse.number(part)) for part in parts if part]
    for value in found:
        if not 0 <= value <= 100:
            raise BadInput.of("run_range", x=quoted(write.short(value)))
    if len(found) < 2 or len(found) > compare.MOST_RUNS:
        raise BadInput.of("runs_count", most=compare.MOST_RUNS)
    return found


def _positive(value: float, text: str) -> float:
    if value <= 0:
        raise BadInput.of("number_not_positive", x=quoted(text), what=say("runs_what"))
    return value


def _mean(runs: Sequence[float]) -> float:
    return math.fsum(runs) / len(runs)


def _signed(value: float, place: int) -> str:
    text = write.at_place(value, place)
    return text if text.startswith("-") else f"+{text}"


def _led(code: str, text: str) -> Line:
    return line(leader(f"  {say(code)}", text, BLOCK_WIDTH))
