"""Before and after: did the change help? Recoveries of single runs, typed; nothing is stored.

Difference with its interval, in pairs where old and new were run in turn; runs that would show the
smallest gain worth having; and what a season makes of it, at a price that is typed.
"""

import math
from collections.abc import Sequence

from assaybench.bench.amounts import Feed, above_zero, season_feed, with_unit
from assaybench.bench.interval_lines import Interval, scale_over
from assaybench.bench.pages.form_page import Drawing, FormField, field_of
from assaybench.bench.set_lines import led
from assaybench.bench.sheet import Line
from assaybench.circuit.value import Known, Terms
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology import compare
from assaybench.report.compare_words import by_chance, difference_verdict, places, signed_at
from assaybench.report.money_view import Season, pays
from assaybench.report.runs_view import Runs, count_text, runs_compared
from assaybench.units import money, parse, write
from assaybench.units.money import Rate
from assaybench.units.table import FRACTION, GRAM, GRAM_PER_TONNE


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
        self._feed = Feed("", 0.0)
        self._price: Rate | None = None
        self._grade = self._cost = 0.0

    @property
    def title(self) -> str:
        """In capitals."""
        return say("title_runs")

    @property
    def stem(self) -> str:
        """What a file of its words is called by."""
        return "before-and-after"

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
        words = say(f"runs_{name}"), say(f"ask_runs_{name}"), say(f"hint_runs_{name}")
        field = field_of(name, words, self._texts, takes[name])
        if name == "paired":
            return field._replace(told=say("runs_in_turn" if self.paired else "runs_apart"))
        return field

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
        self._feed = season_feed(text, say("runs_what"))
        return self._feed.text

    def _take_grade(self, text: str) -> str:
        grade = with_unit(text, "g/t")
        found = parse.plain_figure(grade, FRACTION, example="0.9 g/t")
        g_per_t = float(found.exact(GRAM_PER_TONNE))
        above_zero(g_per_t, text, say("runs_what"))
        self._grade = g_per_t
        return grade

    def _take_price(self, text: str) -> str:
        found = money.rate(text)
        above_zero(float(found.amount), text, say("runs_what"))
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
    def compared(self) -> Runs | None:
        """The runs, after less before in points; None before both are typed.

        Raises:
            BadInput: for lists that cannot be compared.
        """
        if not (self.before and self.after):
            return None
        d = runs_compared(self.before, self.after, paired=self.paired)
        return Runs(d, self.before, self.after, "%", self.paired)

    @property
    def season(self) -> Season | None:
        """What a season's feed makes of a gain; None before feed, grade and price are typed."""
        if self._price is None:
            return None
        found = Season(
            tonnes=self._feed.tonnes,
            grade=Known(self._grade),
            terms=Terms(price_per_g=self._price.for_each(GRAM)),
            cost=self._cost or None,
            currency=self._price.currency,
            price=self._price.shown,
            source="",
        )
        return found if found.per_point else None

    def lines(self) -> list[Line]:
        """Means, difference, runs needed, money."""
        runs = self.compared
        if runs is None:
            return []
        d, told = runs.d, places(runs.d)
        means = ", ".join(write.short(mean, 4) for mean in runs.means)
        rows = [
            led(say("runs_means"), means),
            led(say("runs_difference"), _with_ends(told["d"], told["lo"], told["hi"])),
            led(say("runs_chance"), by_chance(d.p, 3)),
            led(say("runs_needed"), count_text(runs.needed(d.value))),
        ]
        season = self.season
        if season is None:
            return rows
        each = (season.per_point * gain for gain in (d.value, d.low, d.high))
        gain, low, high = (signed_at(amount, 0) for amount in each)
        rows += [
            (),
            led(say("runs_money"), _with_ends(gain, low, high)),
        ]
        even = season.breaks_even
        if even is not None:
            rows.append(led(say("runs_even"), signed_at(even, -1)))
            rows.append(led(say("runs_needed_even"), count_text(runs.needed(even))))
        return rows

    def drawing(self) -> Drawing | None:
        """The gain in points from end to end, 0 on the rule, and what would break even."""
        runs, season = self.compared, self.season
        if runs is None:
            return None
        d, told = runs.d, places(runs.d)
        even = season.breaks_even if season is not None else None
        numbers = [d.low, d.high, *([] if even is None else [even])]
        said = [say("runs_drawn", lo=told["lo"], hi=told["hi"])]
        if even is not None:
            said.append(say("runs_drawn_even", x=signed_at(even, -1)))
        interval = Interval(say("runs_gain"), d.low, d.high, even)
        return Drawing(scale_over(numbers, say("runs_points")), (interval,), tuple(said))

    def remarks(self) -> list[str]:
        """Shown or not shown; whether it pays; what a drift would do."""
        runs, season = self.compared, self.season
        if runs is None:
            return [say("runs_begin")]
        # runs that are too many are told by how much smaller ± would have to be, however much
        verdict = difference_verdict(runs.d, runs.worded_unit, runs.plan, many=math.inf)
        said = [verdict.reason]
        even = season and season.breaks_even
        if even is not None:
            said.append(pays(runs.d, even, signed_at(even, -1)).text)
        if not self.paired:
            said.append(say("assumed_alternation"))
        return said


def _with_ends(value: str, low: str, high: str) -> str:
    return say("runs_ends", x=value, lo=low, hi=high)


def _runs(text: str) -> list[float]:
    """Recoveries of single runs, per cent."""
    parts = [part.removesuffix("%").strip() for part in parse.words(text)]
    found = [float(parse.number(part, example="81.2")) for part in parts if part]
    for value in found:
        if not 0 <= value <= 100:
            raise BadInput.of("run_range", x=quoted(write.short(value)))
    if len(found) < 2 or len(found) > compare.MOST_RUNS:
        raise BadInput.of("runs_count", most=compare.MOST_RUNS)
    return found
