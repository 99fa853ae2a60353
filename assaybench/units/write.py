"""Numbers for people: GUM 7.2.6 rounding, one rounding at print, never an exponent.

`±` is always the expanded uncertainty U; parentheses, as in `3.20(20)`, are always the standard
uncertainty u. Ties are decided in decimal on 12 significant digits, so that 0.35 is a tie although
its binary neighbour is not: a value goes to the even digit (ISO 80000-1:2009, B.3, rule A; from
memory), an uncertainty goes up, since GUM 7.2.6 asks not to understate it.
"""

import math
from decimal import ROUND_CEILING, ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from functools import lru_cache

_TWELVE = Context(prec=12, rounding=ROUND_HALF_EVEN)
_WIDE = Context(prec=60)

Number = float | int | Fraction | Decimal


def decimal_of(number: Number) -> Decimal:
    """The number as a decimal: a float to 12 significant digits, free of binary noise.

    Raises:
        ValueError: when the number is not finite.
    """
    if isinstance(number, float):  # first, as almost always: `Fraction` is slow to be asked for
        if not math.isfinite(number):
            raise ValueError("only a finite number can be written")
        return _TWELVE.create_decimal(repr(number))
    if isinstance(number, Fraction):
        return _WIDE.divide(Decimal(number.numerator), Decimal(number.denominator))
    found = Decimal(number)
    if not found.is_finite():
        raise ValueError("only a finite number can be written")
    return found


@lru_cache(maxsize=256)
def _place(exponent: int) -> Decimal:
    """One in the place of 10**exponent."""
    return Decimal(1).scaleb(exponent)


def _to_place(number: Decimal, exponent: int, rounding: str) -> Decimal:
    return number.quantize(_place(exponent), rounding, _WIDE)


def at_place(number: Number, exponent: int) -> str:
    """The number rounded to 10**exponent: `at_place(0.3142, -2)` is `0.31`.

    A positive exponent rounds to tens, hundreds and so on and still prints every digit.
    """
    return _written(decimal_of(number), exponent)


def _written(number: Decimal, exponent: int) -> str:
    rounded = _to_place(number, exponent, ROUND_HALF_EVEN)
    text = f"{rounded:f}"
    return text if rounded else text.removeprefix("-")


def significant(number: Number, digits: int) -> str:
    """The number to so many significant digits, trailing zeros kept: 0.05 to two is `0.050`."""
    value = decimal_of(number)
    if not value:
        return "0"
    leading = value.adjusted()
    exponent = leading - digits + 1
    if _to_place(value, exponent, ROUND_HALF_EVEN).adjusted() > leading:
        exponent += 1
    return _written(value, exponent)


def significant_up(number: Number, digits: int) -> str:
    """The number to so many significant digits, never below it: a mass that is needed."""
    value = decimal_of(number)
    if value == 0:
        return "0"
    place = Decimal(1).scaleb(value.adjusted() - digits + 1)
    return significant(value.quantize(place, rounding=ROUND_CEILING, context=_WIDE), digits)


def short(number: Number, digits: int = 6) -> str:
    """The number to at most so many significant digits, without trailing zeros."""
    text = significant(number, digits)
    return text.rstrip("0").rstrip(".") if "." in text else text


def uncertainty_place(uncertainty: Number, digits: int = 2, finest: int | None = None) -> int:
    """The decimal exponent to which an uncertainty is rounded (GUM 7.2.6: two digits at most).

    Args:
        uncertainty: a standard or expanded uncertainty, above zero.
        digits: how many significant digits it keeps at most.
        finest: the exponent of the last place worth printing, for instance that of the readings;
            the uncertainty keeps at least one significant digit all the same.

    Raises:
        ValueError: when the uncertainty is not above zero.
    """
    return _place_of(decimal_of(uncertainty), digits, finest)


def _place_of(value: Decimal, digits: int, finest: int | None) -> int:
    if value <= 0:
        raise ValueError("an uncertainty must be above zero to be written")
    leading = value.adjusted()
    exponent = leading - digits + 1
    if _to_place(value, exponent, ROUND_HALF_UP).adjusted() > leading:
        exponent, leading = exponent + 1, leading + 1
    if finest is None or finest <= exponent:
        return exponent
    exponent = min(finest, leading)
    return exponent if _to_place(value, exponent, ROUND_HALF_UP) else exponent - 1


def rounded_uncertainty(uncertainty: Number, exponent: int) -> str:
    """An uncertainty rounded to 10**exponent, ties up."""
    return _written_up(decimal_of(uncertainty), exponent)


def _written_up(uncertainty: Decimal, exponent: int) -> str:
    return f"{_to_place(uncertainty, exponent, ROUND_HALF_UP):f}"


def value_and_expanded(
    value: Number, expanded: Number, *, finest: int | None = None
) -> tuple[str, str]:
    """Value and U as two texts of the same last place.

    Args:
        value: the value.
        expanded: U = k·u, above zero, in the unit of the value.
        finest: see `uncertainty_place`.
    """
    doubt = decimal_of(expanded)
    exponent = _place_of(doubt, 2, finest)
    return _written(decimal_of(value), exponent), _written_up(doubt, exponent)


def plus_minus(value: Number, expanded: Number, unit: str, *, finest: int | None = None) -> str:
    """`3.20 ± 0.40 g/t`: value and U to the same place, unit behind."""
    shown, doubt = value_and_expanded(value, expanded, finest=finest)
    return with_unit(f"{shown} ± {doubt}", unit)


def parentheses(value: Number, u: Number, unit: str) -> str:
    """`3.20(20) g/t`: value and standard uncertainty in its last places (GUM 7.2.2, form 2)."""
    exponent = uncertainty_place(u)
    digits = rounded_uncertainty(u, exponent)
    last = digits.replace(".", "").lstrip("0") if "." not in digits or digits[0] == "0" else digits
    return with_unit(f"{at_place(value, exponent)}({last})", unit)


def with_unit(number: str, unit: str) -> str:
    """Number and unit with a blank between; the unit one is not written."""
    return number if unit == "1" else f"{number} {unit}"


def percent(share: Number, digits: int = 2) -> str:
    """A share of one in per cent, two significant digits, without the sign: 0.0217 is `2.2`."""
    return significant(float(share) * 100, digits)
