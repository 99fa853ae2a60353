"""Money as people type it: `80 USD/g`, `1800 USD`, `$80 per ozt`; no price is built in anywhere.

A currency is what was typed, one sign or up to five letters, or nothing: the program knows none,
and never changes one into another.
"""

import re
import unicodedata
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from assaybench.messages import BadInput, quoted
from assaybench.units import parse, table
from assaybench.units.table import BY_SPELLING, MASS, Unit

_MOST_LETTERS = 5
_MONEY = re.compile(r"([^\d\s.,+/-]*)\s*([+-]?[0-9.,]+)\s*([^\d\s.,+/-]*)")


class Money(NamedTuple):
    """An amount of money.

    Attributes:
        amount: the number.
        currency: as typed; empty where none was.
    """

    amount: Decimal
    currency: str


class Rate(NamedTuple):
    """An amount of money for a unit of mass.

    Attributes:
        amount: the number.
        currency: as typed; empty where none was.
        per: the unit of mass.
    """

    amount: Decimal
    currency: str
    per: Unit

    def for_each(self, unit: Unit) -> float:
        """Money for one of another unit of mass."""
        return float(Fraction(self.amount) * unit.size / self.per.size)

    @property
    def shown(self) -> str:
        """As it is printed: `80 USD/g`."""
        return f"{self.amount:f} {self.currency}".rstrip() + f"/{self.per.symbol}"


def money(text: str, *, example: str = "1800 USD") -> Money:
    """An amount of money, zero or more, its currency before or behind the number.

    Raises:
        BadInput: for anything else, with the reason.
    """
    if len(text) > parse.MOST_CHARACTERS:
        raise BadInput.of("number_too_long", x=quoted(text), most=parse.MOST_CHARACTERS)
    cleaned = parse.clean(text)
    found = _MONEY.fullmatch(cleaned)
    if found is None or (found[1] and found[3]):
        raise BadInput.of("money_unreadable", x=quoted(text), example=example)
    currency = found[1] or found[3]
    if currency and not _is_currency(currency):
        raise BadInput.of("money_unreadable", x=quoted(text), example=example)
    amount = parse.number(found[2])
    if amount < 0:
        raise BadInput.of("number_negative", x=quoted(text), what="an amount of money")
    return Money(amount, currency)


def _is_currency(word: str) -> bool:
    letters = word.isalpha() and len(word) <= _MOST_LETTERS
    sign = len(word) == 1 and unicodedata.category(word) == "Sc"
    known_as_unit = word in BY_SPELLING or table.refusal(word) is not None
    return (letters or sign) and not known_as_unit


def rate(text: str, *, example: str = "80 USD/g") -> Rate:
    """Money for a unit of mass: `80 USD/g`, `80/g`, `80 USD per g`.

    Raises:
        BadInput: for anything else, with the reason.
    """
    if len(text) > parse.MOST_CHARACTERS:
        raise BadInput.of("number_too_long", x=quoted(text), most=parse.MOST_CHARACTERS)
    amount, mark, per = re.sub(r"\bper\b", "/", parse.clean(text), count=1).partition("/")
    if not mark or not per.strip():
        raise BadInput.of("money_unreadable", x=quoted(text), example=example)
    try:
        found = money(amount, example=example)
    except BadInput as fault:
        # the whole is what was typed: a part of it would puzzle
        if any(quoted(amount) in line for line in fault.lines):
            raise BadInput.of("money_unreadable", x=quoted(text), example=example) from fault
        raise
    return Rate(found.amount, found.currency, parse.unit(per.strip(), MASS))


def currency_of(typed: Iterable[Money | Rate | None]) -> str:
    """The one currency of a line.

    Raises:
        BadInput: when there are two, one of which may be none at all.
    """
    found = list(dict.fromkeys(one.currency for one in typed if one is not None and one.amount))
    if len(found) > 1:
        names = " and ".join(name or "none" for name in found)
        raise BadInput.of("money_mixed", names=names)
    return found[0] if found else ""


def unit_of(currency: str, per: str = "") -> str:
    """The unit of a figure of money; the unit one where no currency was typed."""
    return f"{currency}/{per}" if per else currency or "1"
