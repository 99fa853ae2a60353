"""Amounts that a page asks for by their unit: the unit is put behind a bare number."""

from decimal import Decimal
from typing import NamedTuple

from assaybench.messages import BadInput, quoted
from assaybench.units import parse, table
from assaybench.units.table import MASS

_TONNE = table.BY_SPELLING["t"]


class Feed(NamedTuple):
    """The dry feed of a season.

    Attributes:
        text: as it is shown; empty where nothing was typed.
        tonnes: t; 0 where nothing was typed.
    """

    text: str
    tonnes: float


def with_unit(text: str, unit: str) -> str:
    """A figure with its unit; a bare one is in the unit that is usual there."""
    return text if any(sign.isalpha() for sign in text) else f"{text} {unit}"


def in_percent(text: str) -> str:
    """A share with its %; empty where nothing was typed."""
    return text if not text or text.endswith("%") else f"{text} %"


def season_feed(text: str, what: str) -> Feed:
    """The feed of a season as it was typed, in t where no unit is.

    Args:
        text: what was typed.
        what: that is said of one that is not above zero.

    Raises:
        BadInput: for anything that is no mass above zero.
    """
    if not text:
        return Feed("", 0.0)
    mass = with_unit(text, "t")
    found = parse.plain_figure(mass, MASS, example="900 t")
    tonnes = float(found.exact(_TONNE))
    above_zero(tonnes, text, what)
    return Feed(mass, tonnes)


def above_zero(value: float | Decimal, text: str, what: str) -> None:
    """See that a number is above zero.

    Args:
        value: the number.
        text: as it was typed.
        what: it is of.

    Raises:
        BadInput: for any other.
    """
    if value <= 0:
        raise BadInput.of("number_not_positive", x=quoted(text), what=what)
