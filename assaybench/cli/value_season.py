"""What a season loses to the tailings, and whether a gain of recovery pays for its cost."""

from typing import Any, NamedTuple

from assaybench.circuit.value import (
    NetGain,
    Terms,
    annuity,
    break_even,
    loss_per_tonne,
    possible_loss,
)
from assaybench.cli import inputs
from assaybench.cli.compare_words import Part
from assaybench.cli.options import Faults
from assaybench.cli.pricing import (
    TONNE,
    Pricing,
    between,
    figure_of,
    known,
    of_hundred,
    price_flags,
    price_said,
)
from assaybench.cli.value import said
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import (
    Figure,
    Verdict,
    flag,
    plain,
)
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.record import sums
from assaybench.report.answer import Answer, factors_of
from assaybench.report.compare_words import chance
from assaybench.report.money_view import paid_back, tonnes_paid
from assaybench.units import money, parse, write
from assaybench.units.table import GRAM_PER_TONNE, PER_CENT

MOST_YEARS = 100


class _Season(NamedTuple):
    """What was typed of a season.

    Attributes:
        sources: of doubt.
        tonnes: dry feed, t.
        grade: g/t.
        terms: price.
        currency: of the line.
    """

    sources: Sources
    tonnes: float
    grade: Uncertain
    terms: Terms
    currency: str

    @property
    def unit(self) -> str:
        """The unit of an amount."""
        return money.unit_of(self.currency)

    @property
    def per_tonne(self) -> str:
        """The unit of an amount for each tonne."""
        return money.unit_of(self.currency, "t")


class _Caught(NamedTuple):
    """The recovery as typed: a share of one, and whether it is only known to be at most that."""

    share: Uncertain
    at_most: bool


class _Change(NamedTuple):
    """A change as typed: its gain as a share, running cost of a tonne, cost, rate, years."""

    gain: Uncertain
    running_per_t: float = 0.0
    cost: float | None = None
    rate: float | None = None
    years: int | None = None


def answer(typed: dict[str, Any]) -> Answer:
    """The answer of `value` for a season.

    Raises:
        BadInput: every fault of the line.
    """
    faults, sources = Faults(), Sources()
    pricing = Pricing(typed, faults, sources)
    feed = inputs.positive_mass(faults, "season", typed, "a season's feed")
    water = inputs.share(faults, "moisture", typed, "moisture", 0, 99) or 0.0
    grade = pricing.positive("grade", GRAM_PER_TONNE, "grade of the feed", "0.9 g/t")
    caught = _recovery(pricing, typed)
    change = _change(pricing, faults, typed)
    terms = pricing.terms()
    currency, source = pricing.currency(), pricing.source()
    if terms.net_per_g <= 0:
        faults.add("", BadInput.of("nothing_left_of_price"))
    _within_loss(faults, caught, change)
    faults.done()
    assert feed is not None and grade is not None  # noqa: S101, PT018  `done` raised otherwise
    tonnes = float(feed.exact(TONNE)) * (1 - water)
    season = _Season(sources, tonnes, grade, terms, currency)
    parts = [_loss(season, caught)] if caught else []
    if change:
        parts.append(_gain(season, change))
    figures: dict[str, Figure] = {
        "metal_per_season": figure_of(sources, tonnes * grade, "g", "in the feed")
    }
    for part in parts:
        figures |= part.figures
    sentences = [sentence for part in parts for sentence in part.flags]
    first = sentences[-1]
    return Answer(
        command="value",
        inputs=said(typed),
        figures=figures,
        rows=(
            ("dry feed of a season", f"{write.short(tonnes)} t"),
            ("grade of the feed", typed["grade"]),
            ("price", typed["price"]),
            ("fine metal in a season's feed", figures["metal_per_season"].text),
            *(row for part in parts for row in part.rows),
        ),
        verdict=Verdict(first.code, WORDS[first.code], first.text),
        flags=(*sentences[:-1], *price_flags(source)),
        assumptions=(
            *(line for part in parts for line in part.said),
            *price_said(typed["price"], source),
        ),
        coverage=factors_of(figures.values()),
        steps=tuple(step for part in parts for step in part.steps),
    )


WORDS = {
    "loss_is": "loss",
    "loss_is_least": "loss at least",
    "gain_each_tonne": "gain",
    "gain_pays_back": "pays back",
    "gain_pays_back_open": "may pay back",
    "gain_never_likely": "more likely never",
    "gain_never": "never pays",
}


def _recovery(pricing: Pricing, typed: dict[str, Any]) -> _Caught | None:
    text = typed["recovery"]
    if text is None:
        return None
    below = text.strip().startswith("<")
    share = pricing.part("--recovery", text.strip().removeprefix("<"), "recovery")
    return None if share is None else _Caught(share, below)


def _change(pricing: Pricing, faults: Faults, typed: dict[str, Any]) -> _Change | None:
    if typed["gain"] is None:
        return None
    found = faults.take("--gain", of_hundred, typed["gain"], "5 ± 2 %")
    if found is not None and (found.below or abs(found.exact(PER_CENT)) > 100):
        faults.add("--gain", BadInput.of("gain_range", x=quoted(typed["gain"])))
        found = None
    running = pricing.rate("running_cost", "0.30 USD/t")
    cost = pricing.amount("cost")
    if cost is not None and cost.amount <= 0:
        fault = BadInput.of("number_not_positive", x=quoted(typed["cost"]), what="a cost")
        faults.add("--cost", fault)
    rate = inputs.share(faults, "rate", typed, "a rate", 0, 1000)
    years = None
    if typed["years"] is not None:
        years = faults.take("--years", parse.whole, typed["years"], 1, MOST_YEARS)
    if found is None:
        return None
    return _Change(
        pricing.number("gain", found, PER_CENT) / 100,
        running.for_each(TONNE) if running else 0.0,
        float(cost.amount) if cost else None,
        rate,
        years,
    )


def _within_loss(faults: Faults, caught: _Caught | None, change: _Change | None) -> None:
    """No stage can gain more than what escapes."""
    if caught is None or change is None or caught.at_most:
        return
    escaped, gain = 1 - nominal(caught.share), nominal(change.gain)
    if gain > escaped:
        shown = {"gain": write.percent(gain, 3), "r": write.percent(nominal(caught.share), 3)}
        most = write.short(100 * escaped, 3)
        faults.add("--gain", BadInput.of("gain_above_loss", **shown, most=most))


def _loss(season: _Season, caught: _Caught) -> Part:
    lost = loss_per_tonne(season.grade, caught.share, season.terms)
    each = _lost(season, caught, 1.0, season.per_tonne, "each dry tonne")
    whole = _lost(season, caught, season.tonnes, season.unit, "a season")
    grams = _lost(season, caught, season.tonnes / season.terms.net_per_g, "g", "a season")
    figures = {"loss_per_tonne": each, "loss_per_season": whole, "metal_lost": grams}
    code = "loss_is"
    if caught.at_most:
        code = "loss_is_least"
        figures = {name: _least(figure) for name, figure in figures.items()}
    labels = ("lost with each tonne", "lost in a season", "metal lost in a season")
    expression = (
        f"{sums.n(nominal(season.grade))} × (1 - {sums.n(nominal(caught.share))})"
        f" × {sums.n(season.terms.net_per_g)}"
    )
    steps = (
        sums.step("loss of a tonne", expression, nominal(lost), season.per_tonne),
        sums.times("loss of a season", season.tonnes, nominal(lost), season.unit),
    )
    return Part(
        figures,
        tuple((label, f.text) for label, f in zip(labels, figures.values(), strict=True)),
        (flag(code, loss=figures["loss_per_tonne"].text),),
        (say("recovery_as_bound"),) if caught.at_most else (),
        steps,
    )


def _lost(season: _Season, caught: _Caught, scale: float, unit: str, basis: str) -> Figure:
    """So many of the unit for each unit of money that a tonne loses: never less than nothing."""
    lost = loss_per_tonne(season.grade, caught.share, season.terms)
    figure = figure_of(season.sources, scale * lost, unit, basis)
    if figure.low is None or figure.low >= 0:
        return figure
    escaped = known(season.sources, 1 - caught.share)
    grade = known(season.sources, season.grade)
    low, high, _ = possible_loss(grade, escaped, season.terms.net_per_g)
    value = figure.value or 0.0
    return between(value, min(scale * low, value), scale * high, unit, basis)


def _least(figure: Figure) -> Figure:
    """A loss that is at least this: the recovery was at most what was typed."""
    low = figure.value if figure.low is None else figure.low
    return figure._replace(
        low=low, high=None, k=None, status="at least", text=f"at least {figure.text}"
    )


def _gain(season: _Season, change: _Change) -> Part:
    n = NetGain(
        known(season.sources, season.grade),
        known(season.sources, change.gain),
        season.terms.net_per_g,
        change.running_per_t,
    )
    low, high, _ = n.interval
    each = between(n.value, low, high, season.per_tonne, "each dry tonne")
    whole = between(
        season.tonnes * n.value, season.tonnes * low, season.tonnes * high, season.unit, "a season"
    )
    never = n.cdf(0.0)
    figures = {
        "gain_per_tonne": each,
        "gain_per_season": whole,
        "probability_never": plain(never, "1", digits=3),
    }
    rows = [
        ("gained with each tonne, running cost off", each.text),
        ("gained in a season", whole.text),
        ("chance that it never pays, in 100", chance(never)),
    ]
    expression = (
        f"{sums.n(nominal(season.grade))} × {sums.n(nominal(change.gain))}"
        f" × {sums.n(season.terms.net_per_g)} - {sums.n(change.running_per_t)}"
    )
    steps = [sums.step("gain of a tonne", expression, n.value, season.per_tonne)]
    part = Part(figures, tuple(rows), (), (say("gain_same_feed"),), tuple(steps))
    if change.cost is None:
        return part._replace(flags=(flag("gain_each_tonne", n=each.text),))
    return _paid_back(season, change, change.cost, n, part)


def _paid_back(season: _Season, change: _Change, cost: float, n: NetGain, part: Part) -> Part:
    found = break_even(n, cost)
    figures = {**part.figures, "break_even_feed": tonnes_paid(found)}
    rows = [*part.rows, ("feed that pays it back", figures["break_even_feed"].text)]
    if found.middle is not None:
        figures["break_even_seasons"] = plain(found.middle / season.tonnes, "1", digits=3)
        rows.append(
            ("seasons until then, as likely more as fewer", figures["break_even_seasons"].text)
        )
    steps = list(part.steps)
    if n.value > 0:
        expression = f"{sums.n(cost)} / {sums.n(n.value)}"
        steps.append(sums.step("pays back, by the values alone", expression, cost / n.value, "t"))
    told = part.said
    if change.rate is not None and change.years is not None:
        factor = annuity(change.rate, change.years) * season.tonnes
        low, high, _ = n.interval
        ends = (factor * n.value - cost, factor * low - cost, factor * high - cost)
        figures["present_value"] = between(*ends, season.unit, "cost off")
        figures["probability_pays"] = plain(1 - n.cdf(cost / factor), "1", digits=3)
        rows += [
            (f"present value of {change.years} years, cost off", figures["present_value"].text),
            ("chance that it is above zero, in 100", chance(1 - n.cdf(cost / factor))),
        ]
        steps.append(_present_step(season, change, cost, n, ends[0]))
        told = (*told, say("years_alike"))
    return Part(figures, tuple(rows), (paid_back(found, n, season.per_tonne),), told, tuple(steps))


def _present_step(
    season: _Season, change: _Change, cost: float, n: NetGain, value: float
) -> sums.Step:
    yearly = f"{sums.n(season.tonnes)} × {sums.n(n.value)}"
    rate = change.rate or 0.0
    factor = f"(1 - 1 / (1 + {sums.n(rate)})^{change.years}) / {sums.n(rate)}"
    if rate == 0:
        factor = str(change.years)
    expression = f"{yearly} × ({factor}) - {sums.n(cost)}"
    return sums.step("present value", expression, value, season.unit)
