"""Recoveries as figures in per cent: ± where it is true, else both ends; bounds with their word.

Shares of one come in, per cent goes out; nothing printed promises more than it knows: a bound is
rounded to the side on which it still holds.
"""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from assaybench.metrology.figure import COVERAGE, Figure, Layer, Status
from assaybench.units import write

NEARLY_EVEN = 0.05
"""An interval whose ends lie within 5 % of U of value ± U is given as value ± U."""
_ROOM = 21  # characters a sentence has for a figure, its line being at most 76
_UNIT = "%"
_WORDS: dict[Status, str] = {"at least": "at least ", "at most": "at most "}


def between(
    share: float,
    u: float,
    ends: tuple[float, float],
    *,
    k: float,
    dof: float,
    status: Status,
    layer: Layer,
    basis: str,
) -> Figure:
    """A recovery with its 95 % interval, in per cent.

    Value ± U when the interval is nearly that and stays inside 0..100 (k is then given); else the
    ends of the distribution (k is None).

    Args:
        share: the value, a share of one.
        u: its standard uncertainty.
        ends: of the interval, from its distribution.
        k, dof: coverage factor and degrees of freedom of `u`.
        status, layer, basis: of the figure.
    """
    value, low, high, expanded = 100 * share, 100 * ends[0], 100 * ends[1], 100 * k * u
    even = (
        expanded > 0
        and max(abs(low - value + expanded), abs(high - value - expanded)) <= NEARLY_EVEN * expanded
        and value - expanded >= 0
        and value + expanded <= 100
    )
    if even:
        low, high = value - expanded, value + expanded
        text = write.plus_minus(value, expanded, _UNIT)
    else:
        text = _with_ends(value, low, high)
    return Figure(
        value=value,
        unit=_UNIT,
        u=100 * u,
        low=low,
        high=high,
        coverage_probability=COVERAGE,
        k=k if even else None,
        dof=dof,
        layer=layer,
        status=status,
        basis=basis,
        text=_WORDS.get(status, "") + text,
    )


def one_sided(share: float, status: Status, layer: Layer, basis: str) -> Figure:
    """A bound that holds 95 times in 100, in per cent: `at least 99.6 %`.

    Args:
        share: the bound, a share of one.
        status: `at least` or `at most`.
        layer, basis: of the figure.
    """
    value = 100 * share
    least = status == "at least"
    text = _held(value, 100 - value if least else value, least=least)
    return Figure(
        value=value,
        unit=_UNIT,
        low=value if least else 0.0,
        high=100.0 if least else value,
        coverage_probability=COVERAGE,
        layer=layer,
        status=status,
        basis=basis,
        text=f"{_WORDS[status]}{text} {_UNIT}",
    )


def number(figure: Figure) -> str:
    """The text of a recovery without the word that names a bound; only the ends when it is long."""
    text = _worth(figure)
    if len(text) <= _ROOM or "(" not in text:
        return text
    return text.partition("(")[2].rstrip(")")


def _worth(figure: Figure) -> str:
    return figure.text.removeprefix("at least ").removeprefix("at most ")


def values(first: Figure, second: Figure) -> tuple[str, str]:
    """Two recoveries without unit and interval, both to the coarser place of the two texts."""
    shown = [_worth(figure).split(" ", 1)[0] for figure in (first, second)]
    decimals = min(len(text.partition(".")[2]) for text in shown)
    return (
        write.at_place(first.value or 0.0, -decimals),
        write.at_place(second.value or 0.0, -decimals),
    )


def mass(mg: float) -> str:
    """A mass in mg to three digits, without its unit."""
    return write.short(mg, 3)


def ends(low: float, high: float) -> tuple[str, str]:
    """Two ends in one unit, to the same place: two digits of half their distance."""
    if high <= low:
        return write.short(low, 3), write.short(high, 3)
    place = write.uncertainty_place((high - low) / 2)
    return write.at_place(low, place), write.at_place(high, place)


def _with_ends(value: float, low: float, high: float) -> str:
    if high <= low:
        return write.with_unit(write.short(value, 3), _UNIT)
    place = write.uncertainty_place((high - low) / 2)
    shown = (write.at_place(number, place) for number in (value, low, high))
    return "{} % ({} to {} %)".format(*shown)


def _held(value: float, distance: float, *, least: bool) -> str:
    """A bound to two digits of its distance from the end of the scale, rounded so that it holds."""
    if distance <= 0:
        return write.short(value, 3)
    place = Decimal(1).scaleb(write.uncertainty_place(distance))
    rounding = ROUND_FLOOR if least else ROUND_CEILING
    return f"{Decimal(value).quantize(place, rounding=rounding):f}"
