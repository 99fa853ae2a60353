"""Does stage 2 pay: what it caught of each tonne against its cost, and what the years bring.

What the second stage caught in the test is taken to hold for every tonne of feed. The cost is paid
back after so many tonnes, told as what is as likely more as fewer and between its ends, with the
chance that it never is. Nothing typed here is stored. Method version 1, section 8.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from assaybench.bench.amounts import above_zero, in_percent
from assaybench.bench.pages.form_page import Drawing, FormField, field_of
from assaybench.bench.set_lines import led, led_below
from assaybench.bench.sheet import Line
from assaybench.circuit import written
from assaybench.circuit.value import BreakEven, Known, NetGain, annuity, break_even
from assaybench.messages import BadInput, say
from assaybench.metrology.uncertain import nominal
from assaybench.report.compare_words import chance
from assaybench.report.money_view import paid_back, tonnes_paid
from assaybench.units import money, parse, write
from assaybench.units.money import Money, Rate
from assaybench.units.table import BY_SPELLING, GRAM

if TYPE_CHECKING:
    from assaybench.bench.pages.value_page import ValueForm

_TONNE = BY_SPELLING["t"]
MOST_YEARS = 100


class PaysForm:
    """What a second stage brings and costs.

    Attributes:
        charge: of the buyer, for each mass of gold that is paid for; None where none was typed.
    """

    name = "pays"

    def __init__(self, value: "ValueForm") -> None:
        """Nothing is typed yet.

        Args:
            value: the page of the price, and of the test.
        """
        self._value = value
        self.charge: Rate | None = None
        self._cost: Money | None = None
        self._running: Rate | None = None
        self._rate: float | None = None
        self._years = 0
        self._texts: dict[str, str] = {}

    @property
    def title(self) -> str:
        """In capitals."""
        return say("title_pays")

    @property
    def stem(self) -> str:
        """What a file of its words is called by."""
        return f"{self._value.stem}-stage-2"

    @property
    def about(self) -> tuple[str, ...]:
        """For the help page."""
        return (say("about_pays"),)

    @property
    def told(self) -> str:
        """What was typed, for the line that leads here."""
        names = ("charge", "cost", "running")
        return ", ".join(self._texts[name] for name in names if self._texts.get(name))

    def fields(self) -> Sequence[FormField]:
        """Charge of the buyer, cost and running cost of the stage, interest and years."""
        takes = {
            "charge": self._take_charge,
            "cost": self._take_cost,
            "running": self._take_running,
            "rate": self._take_rate,
            "years": self._take_years,
        }
        return [
            field_of(
                name,
                (say(f"pays_{name}"), say(f"ask_pays_{name}"), say(f"hint_pays_{name}")),
                self._texts,
                take,
            )
            for name, take in takes.items()
        ]

    # --- what is typed: each gives the text that is shown then ------------------------------------

    def _take_charge(self, text: str) -> str:
        found = money.rate(text, example="2 USD/g") if text else None
        self._of_one_currency(found, self._cost, self._running)
        if found is not None and self._value.price_per_g <= found.for_each(GRAM):
            raise BadInput.of("pays_charge_all", x=found.shown)
        self.charge = found
        return text

    def _take_cost(self, text: str) -> str:
        found = money.money(text, example="1800 USD") if text else None
        if found is not None:
            above_zero(found.amount, text, say("pays_cost"))
        self._of_one_currency(self.charge, found, self._running)
        self._cost = found
        return text

    def _take_running(self, text: str) -> str:
        found = money.rate(text, example="0.30 USD/t") if text else None
        self._of_one_currency(self.charge, self._cost, found)
        self._running = found
        return text

    def _take_rate(self, text: str) -> str:
        shown = in_percent(text)
        self._rate = float(parse.share(shown, say("pays_rate"), 0, 1000)) if text else None
        return shown

    def _take_years(self, text: str) -> str:
        self._years = parse.whole(text, 1, MOST_YEARS) if text else 0
        return text

    def _of_one_currency(self, *typed: Money | Rate | None) -> None:
        """All of the money is in the currency of the price."""
        money.currency_of((self._value.price, *typed))

    # --- what follows ---------------------------------------------------------------------------

    @property
    def gain(self) -> NetGain | None:
        """What stage 2 brings for each dry tonne of feed; None without price or weighed feed."""
        value, test = self._value, self._value.circuit.test
        if not value.ready or test.dry_feed_kg is None:
            return None
        caught = sum(row.rerun.metal_mg for row in test.rows) / test.rerun_share
        grade = caught * value.fineness / test.dry_feed_kg
        doubt = value.circuit.sources.doubt(grade)
        running = 0.0 if self._running is None else self._running.for_each(_TONNE)
        caught_g_t = Known(nominal(grade), doubt.u, doubt.dof)
        return NetGain(Known(1.0), caught_g_t, value.terms.net_per_g, running)

    def lines(self) -> list[Line]:
        """What it brings of a tonne and a season, when it is paid back, what the years bring."""
        n = self.gain
        if n is None:
            return []
        season = self._value.season_t
        rows = [led(say("pays_tonne"), self._between(n, 1.0))]
        if season:
            rows.append(led(say("pays_in_season"), self._between(n, season)))
        rows.append(led(say("pays_never"), chance(n.cdf(0.0))))
        if self._cost is not None:
            rows += self._paid_back(n, float(self._cost.amount), season)
        return rows

    def _paid_back(self, n: NetGain, cost: float, season: float) -> list[Line]:
        found = break_even(n, cost)
        rows = led_below(say("pays_feed"), tonnes_paid(found).text)
        if not season:
            return rows
        if found.middle is not None:
            rows.append(led(say("pays_seasons"), write.short(found.middle / season, 3)))
        if self._rate is None or not self._years:
            return rows
        factor = annuity(self._rate, self._years) * season
        label = say("pays_present", n=self._years)
        rows += led_below(label, self._between(n, factor, cost))
        return [*rows, led(say("pays_chance"), chance(1 - n.cdf(cost / factor)))]

    def _between(self, n: NetGain, times: float, less: float = 0.0) -> str:
        """So many times what a tonne brings, with the ends of it, less an amount."""
        low, high, _ = n.interval
        value, low, high = (times * x - less for x in (n.value, low, high))
        unit = self._value.unit
        if high <= low:
            return write.with_unit(write.short(value, 4), unit) if unit else write.short(value, 4)
        ends = written.ends(low, high)
        shown = write.at_place(value, write.uncertainty_place((high - low) / 2))
        return say("pays_ends", x=shown, lo=ends[0], hi=ends[1], unit=unit).rstrip()

    def drawing(self) -> Drawing | None:
        """Nothing is drawn of it: tonnes without an end have no rule."""
        return None

    def remarks(self) -> list[str]:
        """Whether it pays, or what is missing; then what is taken as given."""
        n = self.gain
        if n is None:
            return [say("pays_no_price" if not self._value.ready else "value_no_feed")]
        said = []
        if self._cost is not None:
            found: BreakEven = break_even(n, float(self._cost.amount))
            unit = money.unit_of(self._value.unit, "t")
            said.append(paid_back(found, n, unit).text)
        else:
            said.append(say("pays_begin"))
        if self._cost is not None and not self._value.season_t:
            said.append(say("pays_no_season"))
        said.append(say("gain_same_feed"))
        if self._rate is not None and self._years:
            said += [say("years_alike"), say("pays_cost_off")]
        return said
