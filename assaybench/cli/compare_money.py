"""A gain of recovery in money: what a season makes of it, and whether it pays for its cost."""

from typing import Any

from assaybench.cli import inputs
from assaybench.cli.compare_words import Part
from assaybench.cli.options import Faults
from assaybench.cli.pricing import TONNE, Pricing, between, known, price_flags, price_said
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.compare import Difference
from assaybench.metrology.figure import Figure, Flag, measured, plain
from assaybench.metrology.uncertain import Sources
from assaybench.record import sums
from assaybench.report.compare_words import chance, with_sign
from assaybench.report.money_view import Season, pays
from assaybench.units import money, write
from assaybench.units.table import GRAM_PER_TONNE

MONEY = ("feed_per_season", "grade", "price", "price_source", "payable", "refining", "cost")
"""Options that speak of money; they need the first three of them that are no source."""


def paying(d: Difference, season: Season) -> Part:
    """The gain in money, and how it stands to the cost.

    Args:
        d: the gain, points.
        season: what its feed makes of it.
    """
    unit = money.unit_of(season.currency)
    n = season.gain(d)
    low, high, _ = n.interval
    whole = season.tonnes

    def of_season(scale: float, unit: str) -> Figure:
        """So many of the unit for each unit of money that a tonne gains."""
        value, ends = scale * n.value, (scale * low, scale * high)
        if season.grade.u:
            return between(value, *ends, unit, "a season")
        u = scale * season.per_point / whole * d.u
        return measured(value, u, unit, k=d.k, dof=d.dof, layer="assay", basis="a season")

    gained = of_season(whole, unit)
    figures = {
        "metal_per_season": plain(whole * season.grade.value, "g", digits=6),
        "metal_gained": of_season(whole / season.terms.net_per_g, "g"),
        "money_per_point": plain(season.per_point, unit, digits=6),
        "money_gained": gained,
    }
    rows = [
        ("fine metal in a season's feed", figures["metal_per_season"].text),
        ("fine metal gained a season", with_sign(figures["metal_gained"].text)),
        ("one point brings a season", figures["money_per_point"].text),
        ("the gain brings a season", with_sign(gained.text)),
    ]
    steps = [
        sums.step(
            "one point",
            f"{sums.n(whole)} × {sums.n(season.grade.value)} × {sums.n(season.terms.net_per_g)}"
            " / 100",
            season.per_point,
            unit,
        ),
        sums.step("gain", f"{sums.n(d.value)} × {sums.n(season.per_point)}", whole * n.value, unit),
    ]
    flags: list[Flag] = []
    if season.breaks_even is not None and season.cost is not None:
        in_favour = 1 - n.cdf(season.cost / whole)
        figures |= {
            "break_even": plain(season.breaks_even, "%", digits=4),
            "probability_pays": plain(in_favour, "1", digits=3),
        }
        even = with_sign(write.short(season.breaks_even, 2))
        rows += [
            ("cost, breaks even in a season at", f"{even} points"),
            ("chance that a season pays for it, in 100", chance(in_favour)),
        ]
        flags.append(pays(d, season.breaks_even, even))
        steps.append(
            sums.step(
                "breaks even",
                f"{sums.n(season.cost)} / {sums.n(season.per_point)}",
                season.breaks_even,
                "points",
            )
        )
    flags += price_flags(season.source)
    once = (say("one_season"),) if season.cost is not None else ()
    said = (*price_said(season.price, season.source), say("gain_same_feed"), *once)
    return Part(figures, tuple(rows), tuple(flags), said, tuple(steps))


def season_of(faults: Faults, typed: dict[str, Any]) -> Season | None:
    """Feed, grade, price and cost of a season; None where none of them is typed.

    Faults are kept in `faults`.
    """
    if all(typed[name] is None for name in MONEY):
        return None
    needed = ("feed_per_season", "grade", "price")
    missing = [name for name in needed if typed[name] is None]
    for name in missing:
        given = next(other for other in MONEY if typed[other] is not None)
        pair = {"option": inputs.option_of(given), "other": inputs.option_of(name)}
        faults.add("", BadInput.of("option_needs", **pair))
    if missing:
        return None
    sources = Sources()
    pricing = Pricing(typed, faults, sources)
    feed = inputs.positive_mass(faults, "feed_per_season", typed, "a season's feed")
    grade = pricing.positive("grade", GRAM_PER_TONNE, "grade of the feed", "0.9 g/t")
    terms, cost = pricing.terms(), pricing.amount("cost")
    currency, source = pricing.currency(), pricing.source()
    if cost is not None and cost.amount <= 0:
        fault = BadInput.of("number_not_positive", x=quoted(typed["cost"]), what="a cost")
        faults.add("--cost", fault)
    if terms.net_per_g <= 0:
        faults.add("", BadInput.of("nothing_left_of_price"))
    if feed is None or grade is None:
        return None
    return Season(
        tonnes=float(feed.exact(TONNE)),
        grade=known(sources, grade),
        terms=terms,
        cost=float(cost.amount) if cost else None,
        currency=currency,
        price=typed["price"],
        source=source,
    )
