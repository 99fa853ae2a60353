"""The options that price metal, shared by the commands that speak of money."""

from typing import Any, TypeVar

from assaybench.circuit import written
from assaybench.circuit.value import Known, Terms
from assaybench.cli import inputs
from assaybench.cli.options import Decorated, Faults, once
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import COVERAGE, Figure, Flag, flag, measured, plain
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.record import check
from assaybench.record.typed import typed_doubt
from assaybench.units import money, parse, table, write
from assaybench.units.money import Money, Rate
from assaybench.units.parse import Typed
from assaybench.units.table import FRACTION, GRAM, GRAM_PER_TONNE, MASS, PER_CENT, Unit

TONNE = table.BY_SPELLING["t"]
Typable = TypeVar("Typable", Money, Rate)


def price_options(function: Decorated) -> Decorated:
    """The options --price, --price-source, --payable and --refining."""
    for option in (
        once("--refining", metavar="MONEY/MASS", help="Charge for each mass paid for."),
        once("--payable", metavar="SHARE", help="Share of the fine metal that is paid for (100%)."),
        once("--price-source", metavar="TEXT", help="Who says so, and when: it is printed."),
        once("--price", metavar="MONEY/MASS", help="Price of fine metal: '80 USD/g'."),
    ):
        function = option(function)
    return function


class Pricing:
    """Reads what is typed of money and of metal, collecting faults; one currency in a line."""

    def __init__(self, typed: dict[str, Any], faults: Faults, sources: Sources) -> None:
        self.typed, self.faults, self.sources = typed, faults, sources
        self._money: list[Money | Rate] = []

    def rate(self, name: str, example: str = "80 USD/g") -> Rate | None:
        """Money for a mass that an option gives."""
        text = self.typed.get(name)
        if text is None:
            return None
        found = self.faults.take(inputs.option_of(name), money.rate, text, example=example)
        return self._kept(found)

    def amount(self, name: str) -> Money | None:
        """An amount of money that an option gives."""
        text = self.typed.get(name)
        return None if text is None else self.read_amount(inputs.option_of(name), text)

    def read_amount(self, place: str, text: str) -> Money | None:
        """An amount of money of a text."""
        return self._kept(self.faults.take(place, money.money, text))

    def _kept(self, found: Typable | None) -> Typable | None:
        if found is not None:
            self._money.append(found)
        return found

    def terms(self, *, treatment_per_t: float = 0.0, charges: float = 0.0) -> Terms:
        """Price and what is taken off; a fault is kept where no price is given."""
        price = self.rate("price")
        if self.typed["price"] is None:
            accepted = say("write_price")
            self.faults.add("", BadInput.of("argument_missing", what="--price", accepted=accepted))
        refining = self.rate("refining", "0.5 USD/g")
        payable = inputs.share(self.faults, "payable", self.typed, "a payable share", 1, 100)
        return Terms(
            price_per_g=price.for_each(GRAM) if price else 1.0,
            payable=1.0 if payable is None else payable,
            refining_per_g=refining.for_each(GRAM) if refining else 0.0,
            treatment_per_t=treatment_per_t,
            charges=charges,
        )

    def currency(self) -> str:
        """The one currency of the line; a fault is kept when there are two."""
        return self.faults.take("", money.currency_of, self._money) or ""

    def source(self) -> str:
        """Who stands for the price; empty where nobody is named."""
        text = self.typed["price_source"]
        if text is None:
            return ""
        return self.faults.take("--price-source", check.text, text) or ""

    def positive(self, name: str, unit: Unit, what: str, example: str) -> Uncertain | None:
        """A figure above zero with or without ±, as an uncertain number in `unit`.

        Without ± it is taken as it stands, without doubt.
        """
        text = self.typed.get(name)
        if text is None:
            return None
        place = inputs.option_of(name)
        wanted = FRACTION if unit is GRAM_PER_TONNE else MASS
        found = self.faults.take(place, parse.figure, text, wanted, example=example)
        if found is None:
            return None
        if found.below:
            self.faults.add(place, BadInput.of("uncertainty_below", x=quoted(text)))
            return None
        if found.value <= 0:
            fault = BadInput.of("number_not_positive", x=quoted(text), what=what)
            self.faults.add(place, fault)
            return None
        return self.number(what, found, unit)

    def number(self, what: str, found: Typed, unit: Unit) -> Uncertain:
        """A typed figure as an uncertain number; without ± it is taken as it stands."""
        doubted = found.u is not None or found.expanded is not None
        value, u = float(found.exact(unit)), typed_doubt(found, unit) if doubted else 0.0
        return self.sources.variable(what, value, u)

    def part(self, place: str, text: str, what: str) -> Uncertain | None:
        """A share above 0 and at most 100 %, with or without ±, as a number of one."""
        found = self.faults.take(place, of_hundred, text, "60 ± 10 %")
        if found is None:
            return None
        if found.below or not 0 < found.exact(PER_CENT) <= 100:
            fields = {"x": quoted(text), "what": f"the {what}", "least": "above 0", "most": 100}
            self.faults.add(place, BadInput.of("percent_range", **fields))
            return None
        return self.number(what, found, PER_CENT) / 100


def of_hundred(text: str, example: str) -> Typed:
    """A figure in % or ‰, with or without ±: a share or points, never a grade.

    Raises:
        BadInput: for anything else.
    """
    found = parse.figure(text, FRACTION, example=example)
    if found.unit.symbol not in {"%", "‰"}:
        raise BadInput.of("percent_unreadable", x=quoted(text))
    return found


def price_flags(source: str) -> tuple[Flag, ...]:
    """Said where nobody stands for the price."""
    return () if source else (flag("price_nobody"),)


def price_said(price: str, source: str) -> tuple[str, ...]:
    """What is taken as given of a price."""
    by = (say("price_by", price=price, source=source),) if source else ()
    return (*by, say("no_price_built_in"))


def figure_of(sources: Sources, number: Uncertain, unit: str, basis: str = "") -> Figure:
    """A figure of money or metal; plain where nothing brings a doubt."""
    doubt = sources.doubt(number)
    if doubt.u == 0:
        return plain(nominal(number), unit, digits=6, layer="assay", basis=basis)
    return measured(
        nominal(number), doubt.u, unit, k=doubt.k, dof=doubt.dof, layer="assay", basis=basis
    )


def between(value: float, low: float, high: float, unit: str, basis: str = "") -> Figure:
    """A figure with the ends of its distribution, which need not lie evenly around it."""
    if high <= low:
        return plain(value, unit, digits=6, layer="assay", basis=basis)
    least, most = written.ends(low, high)
    place = write.uncertainty_place((high - low) / 2)
    text = write.with_unit(write.at_place(value, place), unit)
    return Figure(
        value=value,
        unit=unit,
        low=low,
        high=high,
        coverage_probability=COVERAGE,
        layer="assay",
        basis=basis,
        text=f"{text} ({write.with_unit(f'{least} to {most}', unit)})",
    )


def known(sources: Sources, number: Uncertain) -> Known:
    """A number with its standard uncertainty, its degrees of freedom taken as endless."""
    return Known(nominal(number), sources.doubt(number).u)
