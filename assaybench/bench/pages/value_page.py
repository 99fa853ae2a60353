"""What it is worth: the gold of a circuit test and what stage 1 lets go, at a typed price.

Fine gold × price × payable share. The gold of a test is fine where it was parted; where beads were
weighed as they are, their fineness is asked for, never assumed. Method version 1, section 8.
"""

from collections.abc import Iterator, Sequence

from assaybench.bench.amounts import above_zero, in_percent, season_feed
from assaybench.bench.characters import leader
from assaybench.bench.circuit_model import Model
from assaybench.bench.interval_lines import Interval, scale_over
from assaybench.bench.pages.form_page import Drawing, FormField, FormPage, field_of
from assaybench.bench.pages.pays_page import PaysForm
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import BLOCK_WIDTH, Line, line
from assaybench.circuit import written
from assaybench.circuit.losses import Loss
from assaybench.circuit.products import ALL
from assaybench.circuit.value import Terms
from assaybench.messages import say
from assaybench.metrology.figure import Figure
from assaybench.metrology.uncertain import Uncertain, nominal
from assaybench.record import check
from assaybench.record.circuit_run import Circuit
from assaybench.record.entries import Effective
from assaybench.units import money, parse, write
from assaybench.units.money import Rate
from assaybench.units.table import GRAM

_MG_PER_G = 1000.0
_KG_PER_T = 1000.0


class ValueForm:
    """What the gold of a test is worth.

    Attributes:
        run: the log; a price that somebody stands for is stored in it.
        circuit: the test.
        price: of gold as typed; None before.
        fineness: of the beads, a share of one.
        season_t: dry feed of a season, t; 0 where none was typed.
    """

    name = "value"

    def __init__(self, run: RunLog, circuit: Circuit) -> None:
        """Take up the price that the log has.

        Args:
            run: the log.
            circuit: the test.
        """
        self.run, self.circuit = run, circuit
        self.price: Rate | None = None
        self._source = ""
        self._payable = self.fineness = 1.0
        self.season_t = 0.0
        self._pays = PaysForm(self)
        self._texts: dict[str, str] = {}
        made = [e for e in run.state.of("price") if e.text("metal") == "gold"]
        if made:
            self._from_log(made[-1])

    def _from_log(self, entry: Effective) -> None:
        self.price = money.rate(f"{entry.text('amount')}/{entry.text('per')}")
        self._source = entry.text("source")
        self._texts |= {"price": self.price.shown, "source": self._source}

    @property
    def title(self) -> str:
        """In capitals."""
        return say("title_value")

    @property
    def stem(self) -> str:
        """What a file of its words is called by."""
        name = self.run.name
        return f"{self.run.file.path.stem if name is None else name.spelled}-value"

    @property
    def about(self) -> tuple[str, ...]:
        """For the help page."""
        return (say("about_value"),)

    def fields(self) -> Sequence[FormField]:
        """Price and who stands for it; fineness where beads were not parted; a season's feed."""
        names = ["price", "source", "payable", "season"]
        if Model(self.run.state).unparted:
            names.insert(2, "fineness")
        return [*(self._field(name) for name in names), self._further()]

    def _further(self) -> FormField:
        """The line that leads to charges, and to what a second stage pays."""

        def page() -> FormPage:
            return FormPage(self.run.desk, self.run.title, self._pays)

        return FormField(say("value_pays"), self._pays.told, "", "", lambda _text: None, page)

    def _field(self, name: str) -> FormField:
        takes = {
            "price": self._take_price,
            "source": self._take_source,
            "fineness": self._take_fineness,
            "payable": self._take_payable,
            "season": self._take_season,
        }

        words = say(f"value_{name}"), say(f"ask_value_{name}"), say(f"hint_value_{name}")
        return field_of(name, words, self._texts, takes[name])

    # --- what is typed: each gives the text that is shown then ------------------------------------

    def _take_price(self, text: str) -> str:
        found = money.rate(text)
        above_zero(found.amount, text, say("value_price"))
        self._store(found, self._source)
        self.price = found
        return text

    def _take_source(self, text: str) -> str:
        source = check.text(text) if text else ""
        self._store(self.price, source)
        self._source = source
        return source

    def _store(self, price: Rate | None, source: str) -> None:
        """A price that somebody stands for is kept in the log."""
        if price is None or not source:
            return
        amount = f"{price.amount:f} {price.currency}".rstrip()
        values = {"metal": "gold", "amount": amount, "per": price.per.symbol, "source": source}
        made = self.run.state.of("price")
        if not made or dict(made[-1].values) != values:
            self.run.append("price", values)

    def _take_fineness(self, text: str) -> str:
        shown = text if text.endswith(("%", "‰")) else f"{text} ‰"
        self.fineness = float(parse.share(shown, say("value_fineness"), 0.1, 100))
        return shown

    def _take_payable(self, text: str) -> str:
        shown = in_percent(text)
        self._payable = float(parse.share(shown, say("value_payable"), 1, 100)) if text else 1.0
        return shown

    def _take_season(self, text: str) -> str:
        feed = season_feed(text, say("value_season"))
        self.season_t = feed.tonnes
        return feed.text

    # --- what follows ---------------------------------------------------------------------------

    @property
    def ready(self) -> bool:
        """Whether price, and fineness where it is needed, are known."""
        return self.price is not None and (
            not Model(self.run.state).unparted or "fineness" in self._texts
        )

    @property
    def price_per_g(self) -> float:
        """The price of a gram; 0 before one was typed."""
        return 0.0 if self.price is None else self.price.for_each(GRAM)

    @property
    def terms(self) -> Terms:
        """What a gram of fine gold brings, the buyer's charge off."""
        charge = 0.0 if self._pays.charge is None else self._pays.charge.for_each(GRAM)
        return Terms(self.price_per_g, self._payable, charge)

    @property
    def per_mg(self) -> float:
        """What one mg of the gold as weighed brings."""
        return self.terms.net_per_g * self.fineness / _MG_PER_G

    @property
    def unit(self) -> str:
        """The currency as typed."""
        return "" if self.price is None else self.price.currency

    def lines(self) -> list[Line]:
        """The worth of this test's gold, of what stage 1 lets go, by tonne and season."""
        if not self.ready:
            return []
        rows = [line(f"  {say('value_of_test')}")]
        test = self.circuit.test
        for code, cells in (
            ("value_stage_1", [row.concentrate for row in test.rows]),
            ("value_stage_2", [row.rerun for row in test.rows]),
        ):
            rows.append(_led(say(code), self._even(sum(cell.metal_mg for cell in cells))))
        loss = self._loss
        rows += self._lost(loss, 1.0)
        feed_t = nominal(test.dry_feed_kg) / _KG_PER_T if test.dry_feed_kg is not None else 0.0
        if feed_t > 0:
            rows += [line(f"  {say('value_of_tonne')}"), *self._lost(loss, 1 / feed_t)]
            if self.season_t:
                rows.append(line(f"  {say('value_of_season', t=write.short(self.season_t))}"))
                rows += self._lost(loss, self.season_t / feed_t)
        return rows

    @property
    def _loss(self) -> Loss:
        """What stage 1 lets go in all sizes."""
        return next(
            (loss for loss in self.circuit.result.losses if loss.size == ALL),
            self.circuit.result.losses[0],
        )

    def _lost(self, loss: Loss, times: float) -> Iterator[Line]:
        yield _led(say("value_lost"), self._interval(loss.found, times))
        if loss.alike.value is None:
            yield _led(say("value_alike"), say("value_no_end"))
        else:
            yield _led(say("value_alike"), self._interval(loss.alike, times))

    def _even(self, metal_mg: Uncertain) -> str:
        """An amount of money with its ±."""
        figure = self.circuit.sources.figure(metal_mg * self.per_mg, money.unit_of(self.unit))
        return figure.text

    def _interval(self, figure: Figure, times: float) -> str:
        """An amount of money with the ends of its interval."""
        each = self.per_mg * times
        text = write.short((figure.value or 0.0) * each, 3)
        if figure.low is None:
            return f"{text} {self.unit}".rstrip()
        if figure.high is None:
            return say("value_or_more", x=text, lo=write.short(figure.low * each, 3))
        low, high = figure.low * each, figure.high * each
        if high > low:
            place = write.uncertainty_place((high - low) / 2)
            text = write.at_place((figure.value or 0.0) * each, place)
        least, most = written.ends(low, high)
        return f"{text} ({least} to {most}) {self.unit}".rstrip()

    def drawing(self) -> Drawing | None:
        """What stage 1 lets go of a tonne, or of this test: found behind it, up to alike stages."""
        if not self.ready:
            return None
        feed_kg, loss = self.circuit.test.dry_feed_kg, self._loss
        tonnes = 0.0 if feed_kg is None else nominal(feed_kg) / _KG_PER_T
        each = self.per_mg / tonnes if tonnes > 0 else self.per_mg
        what = say("value_drawn_tonne" if tonnes > 0 else "value_drawn_test")
        unit = f"{self.unit}/t" if tonnes > 0 and self.unit else self.unit
        low, alike = (loss.found.value or 0.0) * each, loss.alike
        if low <= 0:
            return None
        ends = {"what": what, "lo": write.short(low, 4), "unit": self.unit}
        most = None if alike.value is None else alike.value * each
        if most is None or alike.high is None:
            scale = scale_over([2 * (most or low)], unit)
            interval = Interval(say("value_drawn"), low, scale.marks[-1], open=True)
            return Drawing(scale, (interval,), (say("value_drawn_open", **ends),))
        said = say("value_drawn_ends", **ends, hi=write.short(most, 3))
        interval = Interval(say("value_drawn"), low, most)
        return Drawing(scale_over([low, most], unit), (interval,), (said,))

    def remarks(self) -> list[str]:
        """What is missing, or what the figures count and whose price it is."""
        if self.price is None:
            return [say("value_begin")]
        said = [say("value_stands", source=self._source) if self._source else say("value_nobody")]
        if Model(self.run.state).unparted:
            said.append(say("value_unparted"))
        if self._pays.charge is not None:
            said.append(say("value_charged", x=self._pays.charge.shown))
        said.append(say("value_counts"))
        if self.circuit.test.dry_feed_kg is None:
            said.append(say("value_no_feed"))
        return said


def _led(label: str, text: str) -> Line:
    return line(leader(f"    {label}", text, BLOCK_WIDTH))
