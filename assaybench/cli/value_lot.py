"""What a lot is worth: parted gold, a bar by its fineness, a concentrate, a pile of tailings."""

from typing import Any, NamedTuple

from assaybench.assay.bullion import fine_mass
from assaybench.circuit.products import dry_mass_kg
from assaybench.circuit.value import Terms, Worth, recoverable, worth
from assaybench.cli import inputs
from assaybench.cli.options import Faults
from assaybench.cli.pricing import TONNE, Pricing, figure_of, price_flags, price_said
from assaybench.cli.value import said
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Figure, Flag, Verdict
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.record import sums
from assaybench.record.sums import Step
from assaybench.report.answer import Answer, factors_of
from assaybench.units import money, parse, write
from assaybench.units.table import BY_SPELLING, FRACTION, GRAM, GRAM_PER_TONNE

PERMILLE = BY_SPELLING["‰"]
LOTS = {"metal": "0.31 g", "gross": "31.1 g"}


class _Lot(NamedTuple):
    """What is valued.

    Attributes:
        fine_g: fine metal, g.
        dry_t: dry mass that treatment and deduction go by, t.
        rows: of the page.
        steps: how the fine metal was found.
        said: what is taken as given.
    """

    fine_g: Uncertain
    dry_t: Uncertain
    rows: tuple[tuple[str, str], ...]
    steps: tuple[Step, ...]
    said: tuple[str, ...] = ()


def answer(typed: dict[str, Any]) -> Answer:
    """The answer of `value` for a lot.

    Raises:
        BadInput: every fault of the line.
    """
    faults, sources = Faults(), Sources()
    pricing = Pricing(typed, faults, sources)
    lot = _lot(pricing, faults, typed)
    catch = _catch(pricing, typed)
    treatment = pricing.rate("treatment", "120 USD/t")
    flat = [pricing.read_amount("--charge", text) for text in typed["charges"]]
    deduction = _deduction(faults, typed)
    terms = pricing.terms(
        treatment_per_t=treatment.for_each(TONNE) if treatment else 0.0,
        charges=float(sum(one.amount for one in flat if one is not None)),
    )._replace(deduction_g_per_t=deduction)
    currency, source = pricing.currency(), pricing.source()
    faults.done()
    assert lot is not None  # noqa: S101  `done` raised otherwise
    if catch is not None:
        lot = _caught(lot, catch, typed)
    found = worth(lot.fine_g, terms, lot.dry_t)
    return _answer(sources, typed, lot, found, terms, currency, source)


def _answer(
    sources: Sources,
    typed: dict[str, Any],
    lot: _Lot,
    found: Worth,
    terms: Terms,
    currency: str,
    source: str,
) -> Answer:
    unit = money.unit_of(currency)
    figures = {
        "fine_metal": figure_of(sources, found.fine_g, "g"),
        "paid_metal": figure_of(sources, found.paid_g, "g"),
        "paid": figure_of(sources, found.paid, unit),
        "charges": figure_of(sources, found.charges, unit),
        "net": figure_of(sources, found.net, unit),
    }
    net = figures["net"]
    below = nominal(found.net) <= 0
    code = "worth_below_zero" if below else "worth_is"
    word = "costs more than it brings" if below else "worth"
    flags: tuple[Flag, ...] = price_flags(source)
    return Answer(
        command="value",
        inputs=said(typed),
        figures=figures,
        rows=(
            *lot.rows,
            ("fine metal", figures["fine_metal"].text),
            ("price", typed["price"]),
            ("paid for", figures["paid_metal"].text),
            ("brings", figures["paid"].text),
            ("charges", figures["charges"].text),
            ("worth", net.text),
        ),
        verdict=Verdict(code, word, say(code, net=net.text)),
        budget={"net": sources.doubt(found.net).budget} if net.u else {},
        flags=flags,
        assumptions=(*lot.said, *price_said(typed["price"], source)),
        coverage=factors_of(figures.values()),
        steps=(*lot.steps, *_steps(lot, found, terms, figures, unit)),
    )


def _lot(pricing: Pricing, faults: Faults, typed: dict[str, Any]) -> _Lot | None:
    if typed["mass"] is not None:
        return _concentrate(pricing, faults, typed)
    name = "metal" if typed["metal"] is not None else "gross"
    mass = pricing.positive(name, GRAM, f"{name} mass", LOTS[name])
    if name == "metal":
        return None if mass is None else _Lot(mass, 0.0, (), ())
    fineness = _fineness(pricing, faults, typed["fineness"])
    if mass is None or fineness is None:
        return None
    fine = fine_mass(mass, fineness)
    expression = f"{sums.n(nominal(mass))} × {sums.n(nominal(fineness))} / 1000"
    rows = (("gross", typed["gross"]), ("fineness", typed["fineness"]))
    steps = (sums.step("fine metal", expression, nominal(fine), "g"),)
    return _Lot(fine, 0.0, rows, steps, (say("fine_once"),))


def _fineness(pricing: Pricing, faults: Faults, text: str) -> Uncertain | None:
    found = faults.take("--fineness", parse.figure, text, FRACTION, example="912.7 ‰")
    if found is None:
        return None
    if found.below or not 0 < found.exact(PERMILLE) <= 1000:
        faults.add("--fineness", BadInput.of("fineness_range", x=quoted(text)))
        return None
    return pricing.number("fineness", found, PERMILLE)


def _concentrate(pricing: Pricing, faults: Faults, typed: dict[str, Any]) -> _Lot | None:
    mass = pricing.positive("mass", TONNE, "mass of the concentrate", "2.4 kg")
    water = inputs.share(faults, "moisture", typed, "moisture", 0, 99) or 0.0
    grade = pricing.positive("grade", GRAM_PER_TONNE, "grade", "310 g/t")
    if mass is None or grade is None:
        return None
    dry = dry_mass_kg(mass, water)
    fine = dry * grade
    wet = f"{sums.n(nominal(mass))} × (1 - {sums.n(water)})"
    rows = [("mass", typed["mass"]), ("grade", typed["grade"])]
    if water:
        rows.insert(1, ("dry", f"{write.short(nominal(dry) * 1000, 6)} kg"))
    steps = (
        sums.step("dry mass", wet, nominal(dry), "t"),
        sums.step("fine metal", f"{sums.n(nominal(dry))} × {sums.n(nominal(grade))}",
                  nominal(fine), "g"),
    )  # fmt: skip
    return _Lot(fine, dry, tuple(rows), steps)


def _deduction(faults: Faults, typed: dict[str, Any]) -> float:
    text = typed["deduction"]
    if text is None:
        return 0.0
    found = faults.take("--deduction", parse.plain_figure, text, FRACTION, example="1 g/t")
    if found is None:
        return 0.0
    if found.value < 0:
        fault = BadInput.of("number_negative", x=quoted(text), what="a deduction")
        faults.add("--deduction", fault)
    return float(found.exact(GRAM_PER_TONNE))


def _catch(pricing: Pricing, typed: dict[str, Any]) -> Uncertain | None:
    text = typed["second_stage"]
    return None if text is None else pricing.part("--second-stage", text, "catch of the next stage")


def _caught(lot: _Lot, catch: Uncertain, typed: dict[str, Any]) -> _Lot:
    """What the next stage gets out of a pile."""
    fine = recoverable(lot.fine_g, catch)
    expression = f"{sums.n(nominal(lot.fine_g))} × {sums.n(nominal(catch))}"
    return lot._replace(
        fine_g=fine,
        rows=(*lot.rows, ("the next stage catches", typed["second_stage"])),
        steps=(*lot.steps, sums.step("caught", expression, nominal(fine), "g")),
        said=(*lot.said, say("second_stage_taken", r2=typed["second_stage"])),
    )


def _steps(
    lot: _Lot, found: Worth, terms: Terms, figures: dict[str, Figure], unit: str
) -> tuple[Step, ...]:
    fine, dry = sums.n(nominal(found.fine_g)), sums.n(nominal(lot.dry_t))
    paid = sums.n(nominal(found.paid_g))
    return (
        sums.step(
            "paid for",
            f"{sums.n(terms.payable)} × ({fine} - {sums.n(terms.deduction_g_per_t)} × {dry})",
            figures["paid_metal"].value or 0.0,
            "g",
        ),
        sums.step("brings", f"{paid} × {sums.n(terms.price_per_g)}", nominal(found.paid), unit),
        sums.step(
            "charges",
            f"{paid} × {sums.n(terms.refining_per_g)} + {sums.n(terms.treatment_per_t)} × {dry}"
            f" + {sums.n(terms.charges)}",
            nominal(found.charges),
            unit,
        ),
        sums.step(
            "worth",
            f"{sums.n(nominal(found.paid))} - {sums.n(nominal(found.charges))}",
            nominal(found.net),
            unit,
        ),
    )
