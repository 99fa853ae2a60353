"""Figures and days as they are typed: the value of a figure, the doubt of its last place."""

import math
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple

from assaybench.assay.moisture import Moisture
from assaybench.messages import BadInput, quoted
from assaybench.record.entries import Effective
from assaybench.units import parse, table
from assaybench.units.parse import Typed
from assaybench.units.table import Unit


def typed_doubt(typed: Typed, unit: Unit) -> float:
    """Standard uncertainty of a typed figure, in `unit`.

    ± is U with k = 2, parentheses are u; without either it is half a unit of the last typed place,
    rectangular (GUM F.2.2.1).
    """
    if typed.u is not None:
        return float(typed.scaled(typed.u, unit))
    if typed.expanded is not None:
        return float(typed.scaled(typed.expanded, unit)) / 2
    return float(typed.last_place(unit)) / math.sqrt(12)


def typed_day(text: str) -> date:
    """A day that was typed.

    Raises:
        BadInput: for what is no date.
    """
    try:
        return date.fromisoformat(text.strip())
    except ValueError as fault:
        raise BadInput.of("date_unreadable", x=quoted(text)) from fault


def without_doubt(text: str, unit: Unit) -> bool:
    """Whether a figure was typed with neither ± nor parentheses; an empty text was not typed."""
    return bool(text) and not typed_in(text, unit.symbol).stated


class TypedFigure(NamedTuple):
    """A figure typed into an entry: value, standard uncertainty, and whether that was stated."""

    value: float
    u: float
    stated: bool


@lru_cache(maxsize=1024)
def typed_in(text: str, symbol: str) -> TypedFigure:
    """A typed figure in the unit of a symbol."""
    unit = table.BY_SPELLING[symbol]
    typed = parse.figure(text, (unit.quantity,))
    stated = typed.u is not None or typed.expanded is not None
    return TypedFigure(float(typed.exact(unit)), typed_doubt(typed, unit), stated)


def moisture_of(entry: Effective) -> Moisture:
    """The moisture of an entry."""
    basis: Literal["wet", "dry"] = "dry" if entry.text("basis") == "dry" else "wet"
    return Moisture(entry.text("sample"), *_water(entry.text("water"), entry.text("u")), basis)


@lru_cache(maxsize=1024)
def _water(text: str, u: str) -> tuple[float, float]:
    """Water and its standard uncertainty, shares of one.

    Without a stated doubt it is half a unit of the last typed place, rectangular.
    """
    water = parse.share(text, "moisture", 0, 100)
    digits = text.rstrip("% ").replace(",", ".").partition(".")[2]
    doubt = Fraction(1, 100 * 10 ** len(digits)) / 2
    share = float(parse.share(u, "its doubt", 0, 100)) if u else float(doubt) / math.sqrt(3)
    return float(water), share
