"""The unit registry of `pint`, exact and our own: the only place that imports pint, and lazily.

`pint`'s default registry reads a bare ounce as avoirdupois and a bare ton as short; ours holds only
the definitions of `units.pint`, computes in fractions and never reads what a person typed: text
goes through `parse.py` first. It serves compound units, such as `mg/AT_short`, that the closed list
does not hold.
"""

from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from assaybench.messages import BadInput, quoted
from assaybench.units import parse, table
from assaybench.units.table import BY_SPELLING, Unit

if TYPE_CHECKING:
    import pint


@cache
def registry() -> "pint.UnitRegistry[Fraction]":
    """The registry, made on first use."""
    import pint

    made: pint.UnitRegistry[Fraction] = pint.UnitRegistry(None, non_int_type=Fraction)
    made.load_definitions(
        files("assaybench.units").joinpath("units.pint").read_text("utf-8").splitlines()
    )
    return made


def resolve(text: str) -> Unit:
    """The unit of a spelling, also of a compound `mass/mass` such as `mg/AT_short`.

    Raises:
        BadInput: for a unit that is not on the list, that means two things, or a pair that is no
            mass fraction.
    """
    known = BY_SPELLING.get(text)
    if known is not None and known is not table.ONE:
        return known
    refused = table.refusal(text)
    if refused is not None:
        raise BadInput.of("unit_unclear", x=quoted(text)[1:-1], choices=refused)
    above, stroke, below = text.partition("/")
    parts = [_listed_mass(part, text) for part in (above, below)] if stroke else []
    if not parts:
        raise BadInput.of(
            "unit_unknown", x=quoted(text)[1:-1], choices=parse.choices(table.ANYTHING)
        )
    ratio = registry().Quantity(Fraction(1), f"{_pint_name(parts[0])} / {_pint_name(parts[1])}")
    size = Fraction(
        ratio.to(f"{_pint_name(table.GRAM)} / {_pint_name(BY_SPELLING['t'])}").magnitude
    )
    name = f"{parts[0].name} per {parts[1].name}"
    return Unit(text, "mass fraction", size, name, table.RATIO)


def _listed_mass(part: str, whole: str) -> Unit:
    unit = BY_SPELLING.get(part)
    if unit is not None and unit.quantity == "mass":
        return unit
    refused = table.refusal(part)
    if refused is not None:
        raise BadInput.of("unit_unclear", x=quoted(part)[1:-1], choices=refused)
    masses = ", ".join(u.symbol for u in table.UNITS if u.quantity == "mass")
    raise BadInput.of("unit_unknown", x=quoted(whole)[1:-1], choices=f"two masses such as {masses}")


def _pint_name(unit: Unit) -> str:
    return {"%": "percent", "‰": "permille"}.get(unit.symbol, unit.symbol)


def converted(value: Fraction, unit: Unit, target: Unit) -> Fraction:
    """A value in another unit of the same quantity, exactly, through the registry.

    Raises:
        BadInput: when the two measure different things.
    """
    if unit.quantity != target.quantity:
        raise BadInput.of(
            "conversion_impossible",
            x=quoted(unit.symbol),
            unit=target.symbol,
            kind=unit.quantity,
            other=target.quantity,
        )
    made = registry()
    quantity = made.Quantity(value, _expression(unit)).to(_expression(target))
    return Fraction(quantity.magnitude)


def _expression(unit: Unit) -> str:
    return " / ".join(_pint_name(BY_SPELLING[part]) for part in _halves(unit.symbol))


def _halves(symbol: str) -> list[str]:
    return [symbol] if symbol in {"%", "‰"} else symbol.split("/")
