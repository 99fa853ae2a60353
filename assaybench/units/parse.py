"""What people type: a small parser of our own for figures, limits, shares and lists.

Accepted: `0.31 mg`, `0,31mg`, `-0.002 mg`, `<0.33 g/t`, `3.2 ± 0.4 g/t` (± is U, also typed +- or
+/-), `(3.2 ± 0.4) g/t`, `3.2 g/t ± 5 %`, `3.20(20) g/t` (parentheses are u). Point or comma is the
decimal mark, both together are refused, and there is no thousands mark. Units come from the closed
list of `table.py`. Nothing is ever evaluated.
"""

import re
import unicodedata
from collections.abc import Collection
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from assaybench.messages import BadInput, quoted
from assaybench.units import table, write
from assaybench.units.table import BY_SPELLING, ONE, Quantity, Unit

MOST_CHARACTERS = 60
_LARGEST = Decimal(10) ** 12
_SMALLEST = Decimal(10) ** -9

_NUMBER = r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)"
_FIGURE = re.compile(
    rf"""(?P<below><)?\s*
    (?P<number>{_NUMBER})\s*
    (?:\((?P<last>[0-9]+(?:[.,][0-9]+)?)\))?\s*
    (?:±\s*(?P<doubt>{_NUMBER}))?\s*
    (?P<unit>[^±<()]*?)\s*
    (?:±\s*(?P<after>{_NUMBER})\s*(?P<after_unit>[^±<()]*))?""",
    re.VERBOSE,
)
_A_NUMBER = re.compile(_NUMBER)
_PLAIN = re.compile(r"([0-9]+(?:\.([0-9]+))?) (\S+)")
"""Number and unit with one blank, as almost every reading is typed."""
_LOOKS_LIKE_NUMBER = re.compile(rf"<?\s*{_NUMBER}")


class Typed(NamedTuple):
    """A figure as a person typed it.

    Attributes:
        text: as typed, blanks trimmed.
        value: the number, in `unit`.
        unit: its unit, of the closed list.
        u: the standard uncertainty, when typed in parentheses.
        expanded: U, when typed behind ±.
        below: whether it was typed as a limit, `<value`.
        decimals: how many decimals the number was typed with.
    """

    text: str
    value: Decimal
    unit: Unit
    u: Decimal | None = None
    expanded: Decimal | None = None
    below: bool = False
    decimals: int = 0

    @property
    def shown(self) -> str:
        """Number and unit with one blank, digits as typed, the decimal mark a point."""
        return write.with_unit(f"{self.value:f}", self.unit.symbol)

    def last_place(self, unit: Unit) -> Fraction:
        """What one in the last typed place is worth in another unit of the same quantity."""
        return _last_place(self.decimals, self.unit.symbol, unit.symbol)

    def exact(self, unit: Unit) -> Fraction:
        """The value in another unit of the same quantity, exactly."""
        value = Fraction(self.value)
        return value if unit is self.unit else value * _times(self.unit.symbol, unit.symbol)

    def scaled(self, number: Decimal, unit: Unit) -> Fraction:
        """A number that stands in this figure's unit, in another unit."""
        return Fraction(number) * self.unit.size / unit.size


@lru_cache(maxsize=256)
def _times(symbol: str, other: str) -> Fraction:
    """How many of one unit there are in another, by their symbols: a fraction is slow to hash."""
    return BY_SPELLING[symbol].size / BY_SPELLING[other].size


@lru_cache(maxsize=256)
def _last_place(decimals: int, symbol: str, other: str) -> Fraction:
    """What one in so many decimals of one unit is worth in another, by their symbols."""
    return Fraction(1, 10**decimals) * _times(symbol, other)


def clean(text: str) -> str:
    """Text in one spelling: NFC, one blank for any blanks, a plain minus and ± for +- and +/-."""
    text = unicodedata.normalize("NFC", text)
    text = " ".join(text.split())
    text = text.replace("−", "-").replace("\N{GREEK SMALL LETTER MU}", "µ")
    return text.replace("+/-", "±").replace("+-", "±")


def number(text: str, *, example: str = "0.31 mg") -> Decimal:
    """A bare number with point or comma as its decimal mark.

    Args:
        text: what was typed.
        example: a figure to show when the text cannot be read.

    Raises:
        BadInput: for anything else, with the reason.
    """
    shown = text.strip()
    if not _A_NUMBER.fullmatch(shown):
        raise _not_a_number(shown, example)
    return _in_range(Decimal(shown.replace(",", ".")), shown)


def _in_range(value: Decimal, shown: str) -> Decimal:
    if value and not _SMALLEST <= abs(value) <= _LARGEST:
        raise BadInput.of("number_too_large", x=quoted(shown))
    return value


def _not_a_number(text: str, example: str = "0.31 mg") -> BadInput:
    digits = re.match(r"[+-]?[0-9.,]+", text)
    run = digits.group() if digits else ""
    if "." in run and "," in run:
        return BadInput.of("number_both_marks", x=quoted(text))
    if run.count(".") > 1 or run.count(",") > 1:
        return BadInput.of("number_two_marks", x=quoted(text))
    if re.match(rf"{_NUMBER}[eE][+-]?[0-9]", text):
        return BadInput.of("number_exponent", x=quoted(text))
    return BadInput.of("number_unreadable", x=quoted(text), example=example)


def unit(text: str, wanted: Collection[Quantity]) -> Unit:
    """The unit of a spelling.

    Raises:
        BadInput: for a unit that is unknown, that means two things, or of another quantity.
    """
    found = BY_SPELLING.get(text)
    if found is None or found is ONE:
        refused = table.refusal(text)
        if refused is not None:
            raise BadInput.of("unit_unclear", x=quoted(text)[1:-1], choices=refused)
        raise BadInput.of("unit_unknown", x=quoted(text)[1:-1], choices=_nearest(text, wanted))
    if found.quantity not in wanted:
        raise BadInput.of(
            "unit_wrong",
            x=quoted(text),
            found=found.quantity,
            wanted=" or a ".join(wanted),
            choices=choices(wanted),
        )
    return found


def choices(wanted: Collection[Quantity]) -> str:
    """The units of these quantities, for a message."""
    return _choices(tuple(wanted))


@lru_cache(maxsize=64)
def _choices(wanted: tuple[Quantity, ...]) -> str:
    symbols = [u.symbol for u in table.UNITS if u.quantity in wanted and u is not ONE]
    return ", ".join(symbols)


def _nearest(text: str, wanted: Collection[Quantity]) -> str:
    import difflib

    spellings = [s for s, u in BY_SPELLING.items() if u.quantity in wanted and u is not ONE]
    folded = {s.lower(): s for s in spellings}
    close = difflib.get_close_matches(text.lower(), folded, n=2, cutoff=0.75)
    return " or ".join(folded[s] for s in close) if close else choices(wanted)


def figure(text: str, wanted: Collection[Quantity], *, example: str = "0.31 mg") -> Typed:
    """A figure with its unit, in any of the forms at the head of this file.

    Args:
        text: what was typed.
        wanted: the quantities accepted; `number` among them accepts a figure without a unit.
        example: a figure to show when the text cannot be read.

    Raises:
        BadInput: one clear line saying what was wrong and what is accepted.
    """
    return _figure(text, tuple(wanted), example)


@lru_cache(maxsize=1024)
def _figure(text: str, wanted: tuple[Quantity, ...], example: str) -> Typed:
    """A figure of a text: to be read, checked and replayed, a log asks for each three times."""
    if len(text) > MOST_CHARACTERS:
        raise BadInput.of("number_too_long", x=quoted(text), most=MOST_CHARACTERS)
    plain = _PLAIN.fullmatch(text)
    known = BY_SPELLING.get(plain[3]) if plain else None
    if plain and known is not None and known is not ONE and known.quantity in wanted:
        value = _in_range(Decimal(plain[1]), plain[1])
        return Typed(text, value, known, decimals=len(plain[2] or ""))
    cleaned = clean(text)
    if not cleaned:
        raise BadInput.of("number_empty", example=example)
    inner = re.fullmatch(r"\(([^()]*±[^()]*)\)(.*)", cleaned)
    if inner:
        cleaned = f"{inner.group(1).strip()} {inner.group(2).strip()}"
    match = _FIGURE.fullmatch(cleaned)
    if match is None or re.match(r"[.,0-9]|[eE][+-]?[0-9]", match["unit"]):
        raise _not_a_number(cleaned, example)
    found = _unit_of(match, text, wanted)
    value = number(match["number"])
    u, expanded = _doubts(match, value, found, text, wanted)
    below = match["below"] is not None
    if below and value <= 0:
        raise BadInput.of("number_not_positive", x=quoted(text), what="a limit")
    shown = " ".join(text.split())
    return Typed(shown, value, found, u, expanded, below, _decimals(match["number"]))


def _unit_of(match: re.Match[str], text: str, wanted: Collection[Quantity]) -> Unit:
    if match["unit"]:
        if not choices(wanted):
            raise BadInput.of("unit_not_wanted", x=quoted(text))
        return unit(match["unit"], wanted)
    if "number" in wanted:
        return ONE
    raise BadInput.of("unit_missing", x=quoted(text), choices=choices(wanted))


def _doubts(
    match: re.Match[str], value: Decimal, found: Unit, text: str, wanted: Collection[Quantity]
) -> tuple[Decimal | None, Decimal | None]:
    """The standard uncertainty and U that were typed, in the figure's own unit."""
    written = [match["last"], match["doubt"], match["after"]]
    if sum(part is not None for part in written) > 1 or (match["below"] and any(written)):
        raise BadInput.of("number_unreadable", x=quoted(text), example="3.2 ± 0.4 g/t")
    if match["last"]:
        last = number(match["last"])
        if "." not in match["last"] and "," not in match["last"]:
            last = last.scaleb(-_decimals(match["number"]))
        return _positive(last, text), None
    if match["doubt"]:
        return None, _positive(number(match["doubt"]), text)
    if match["after"]:
        doubt = number(match["after"])
        after = match["after_unit"].strip()
        if after == "%" and found.symbol != "%":
            return None, _positive(abs(value) * doubt / 100, text)
        if after and unit(after, wanted) is not found:
            raise BadInput.of("number_unreadable", x=quoted(text), example="3.2 ± 0.4 g/t")
        return None, _positive(doubt, text)
    return None, None


def _decimals(digits: str) -> int:
    parts = re.split("[.,]", digits)
    return len(parts[1]) if len(parts) > 1 else 0


def _positive(doubt: Decimal, text: str) -> Decimal:
    if doubt <= 0:
        raise BadInput.of("uncertainty_zero", x=quoted(text))
    return doubt


def plain_figure(text: str, wanted: Collection[Quantity], *, example: str = "0.31 mg") -> Typed:
    """A figure without ±, parentheses or <: a reading, a readability, a mass taken.

    Raises:
        BadInput: as `figure`, or because one of these was typed.
    """
    typed = figure(text, wanted, example=example)
    if typed.u is not None or typed.expanded is not None or typed.below:
        raise BadInput.of("uncertainty_not_wanted", x=quoted(text))
    return typed


def share(text: str, what: str, least: float, most: float) -> Fraction:
    """A share such as `1%` or `0,5 %`, as an exact number of one.

    Args:
        text: what was typed.
        what: what it is, for the message.
        least, most: the range accepted, in per cent.

    Raises:
        BadInput: when it is no share or outside the range.
    """
    if len(text) > MOST_CHARACTERS:
        raise BadInput.of("number_too_long", x=quoted(text), most=MOST_CHARACTERS)
    match = re.fullmatch(rf"({_NUMBER})\s*(%|‰)", clean(text))
    if match is None:
        raise BadInput.of("percent_unreadable", x=quoted(text))
    value = Fraction(number(match[1])) / (100 if match[2] == "%" else 1000)
    # a bound such as 0.001 is meant in decimal, not as the binary number next to it
    if not Fraction(str(least)) <= value * 100 <= Fraction(str(most)):
        raise BadInput.of(
            "percent_range",
            x=quoted(text),
            what=what,
            least=write.short(least),
            most=write.short(most),
        )
    return value


def whole(text: str, least: int, most: int) -> int:
    """A whole number within a range.

    Raises:
        BadInput: for anything else.
    """
    shown = text.strip()
    if re.fullmatch(r"[0-9]{1,12}", shown) and least <= int(shown) <= most:
        return int(shown)
    raise BadInput.of("number_not_whole", x=quoted(text), least=least, most=most)


def words(text: str) -> list[str]:
    """A list in one argument, its parts set off by blanks: `81.2 84.0 79.5`.

    A unit or ± that stands alone joins the part before it, so `81.2 % 84.0 %` has two parts.
    """
    return joined(clean(text).split(" ")) if text.strip() else []


def joined(tokens: list[str]) -> list[str]:
    """Tokens with bare units and ± joined to the number before them.

    `["0.31", "mg", "0.32", "mg"]` becomes `["0.31 mg", "0.32 mg"]`; a unit behind a figure that has
    one already stays alone (`["5", "lb", "kg"]` becomes `["5 lb", "kg"]`).
    """
    result: list[str] = []
    for token in tokens:
        last = result[-1] if result else ""
        open_number = _awaits_unit(last, token)
        sign = clean(token) == "±" or last.endswith("±")
        if result and ((open_number and _is_unit(token)) or (sign and _starts_figure(last))):
            result[-1] = f"{last} {clean(token) if sign else token}"
        else:
            result.append(token)
    return result


def one_unit(parts: list[str]) -> list[str]:
    """A list of bare numbers with one unit behind the last: that unit behind each of them.

    `["0.31", "0.32 mg"]` becomes `["0.31 mg", "0.32 mg"]`; any other list stays as it is.
    """
    *others, last = parts or [""]
    found = re.fullmatch(rf"{_NUMBER}\s*([^0-9.,±()<\s][^±()<]*)", last)
    if found is None or not all(_A_NUMBER.fullmatch(other) for other in others):
        return parts
    return [*(f"{other} {found[1]}" for other in others), last]


def _awaits_unit(text: str, unit: str) -> bool:
    """Whether a figure still lacks this unit: none yet, or `3.2 g/t ± 5` before % or g/t."""
    if re.fullmatch(rf"<?\s*{_NUMBER}(\([0-9.,]+\))?(\s*±\s*{_NUMBER})?", text):
        return True
    doubted = re.fullmatch(rf"{_NUMBER}\s+(\S+)\s*±\s*{_NUMBER}", text)
    return doubted is not None and unit in {"%", doubted[1]}


def _starts_figure(text: str) -> bool:
    return _LOOKS_LIKE_NUMBER.match(text) is not None


def _is_unit(token: str) -> bool:
    halves = token.split("/")
    compound = len(halves) == 2 and all(half in BY_SPELLING for half in halves)
    return compound or token in BY_SPELLING or token in table.REFUSED


def is_negative_figure(token: str) -> bool:
    """Whether a token that starts with a minus is a reading, not an option."""
    return re.match(r"-[0-9]|-[.,][0-9]", token) is not None


def uses_comma(texts: Collection[str]) -> bool:
    """Whether the decimal mark of what was typed is a comma: then answers use one too."""
    everything = " ".join(texts)
    return bool(re.search(r"[0-9],[0-9]", everything)) and not re.search(
        r"[0-9]\.[0-9]", everything
    )
