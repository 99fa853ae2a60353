"""The strict check of an entry against the table of kinds: every fault, one sentence each."""

import re
import unicodedata
from collections.abc import Callable, Mapping
from datetime import datetime
from functools import lru_cache

from assaybench.messages import BadInput, quoted, say
from assaybench.record import method_items
from assaybench.record.kinds import SILVER_WORDS, Key, Kind
from assaybench.units import parse, table

LONGEST_TEXT = 500
LONGEST_ID = 32
ALONE = "0.310, the number alone"
"""How a display is typed: its unit is a key of its own."""
LARGEST_WHOLE = 10**12 - 1
SIGNED = frozenset({"metal", "grade", "gold_per_gram", "silver_per_gram"})
"""A net weighed elsewhere, or a grade: noise may be below zero, and what follows says how far."""
ABOVE_ZERO = frozenset({"step", "spread", "mass", "wet_mass", "portion"})
COUNTS = frozenset({"repeats", "blank_count", "loss_count"})
"""How many of something stand behind a spread: two at least."""
_NO_TEXT = frozenset({"whole", "yes_no", "time", "figures"})

Values = Mapping[str, object]

_FORMS = {
    "id": re.compile(rf"[A-Za-z0-9][A-Za-z0-9 ._/+-]{{0,{LONGEST_ID - 1}}}"),
    "initials": re.compile(r"[^\W\d_]{1,6}"),
    "sha256": re.compile(r"[0-9a-f]{64}"),
}


def called(place: str, name: object) -> str:
    """The place of a row with the id that it bears: `samples[3] (KV-018)`."""
    known = isinstance(name, str) and _FORMS["id"].fullmatch(name)
    return f"{place} ({name})" if known else place


def text(value: object) -> str:
    """A one-line text without control or bidirectional signs, in NFC.

    Raises:
        BadInput: for anything else.
    """
    if not isinstance(value, str):
        raise BadInput.of("value_not_text", x=quoted(str(value)))
    found = unicodedata.normalize("NFC", value).strip()
    if len(found) > LONGEST_TEXT:
        raise BadInput.of("value_long", x=quoted(value), n=len(found), most=LONGEST_TEXT)
    if not found or not found.isprintable():
        sign = next((sign for sign in found if not sign.isprintable()), "")
        if sign:
            raise BadInput.of("value_sign", x=quoted(value), sign=f"U+{ord(sign):04X}")
        raise BadInput.of("value_text", x=quoted(value), most=LONGEST_TEXT)
    return found


def value(key: Key, given: object) -> object:
    """A value as its key allows it; lists are checked part by part.

    Raises:
        BadInput: saying what was wrong and what is accepted.
    """
    if isinstance(given, str) and not key.many and key.type not in _NO_TEXT:
        return _worded(key, given)
    if key.type == "figures":
        return _figures(given)
    if not key.many:
        return _one(key, given)
    if not isinstance(given, list) or not given:
        raise BadInput.of("value_not_list", x=quoted(str(given)))
    return [_one(key, part) for part in given]


def _one(key: Key, given: object) -> object:
    match key.type:
        case "whole":
            return whole(given, 2 if key.name in COUNTS else 0)
        case "yes_no":
            if not isinstance(given, bool):
                raise BadInput.of("value_yes_no", x=quoted(str(given)))
            return given
        case "time":
            if not isinstance(given, datetime) or given.tzinfo is None:
                raise BadInput.of("value_time", x=quoted(str(given)))
            return given
        case _:
            return _worded(key, given) if isinstance(given, str) else text(given)


@lru_cache(maxsize=2048)
def _worded(key: Key, given: str) -> str:
    """A text as its key allows it: names, units and words of a log come again and again."""
    found = text(given)
    _TEXTS.get(key.type, _form)(key, found)
    return found


def whole(given: object, least: int = 0) -> int:
    """A whole number from `least` on.

    Raises:
        BadInput: for anything else.
    """
    if (
        isinstance(given, bool)
        or not isinstance(given, int)
        or not (least <= given <= LARGEST_WHOLE)
    ):
        shown = quoted(str(given))
        raise BadInput.of("number_not_whole", x=shown, least=least, most=LARGEST_WHOLE)
    return given


def _figures(given: object) -> object:
    """Figures of a sealed log: inline tables of texts."""
    right = isinstance(given, list) and all(
        isinstance(part, dict) and all(isinstance(v, str) for v in part.values()) for part in given
    )
    if not right:
        raise BadInput.of("value_not_list", x=quoted(str(given)))
    return given


def _form(key: Key, found: str) -> None:
    form = _FORMS.get(key.type)
    if form is not None and not form.fullmatch(found):
        raise BadInput.of(f"value_{key.type}", x=quoted(found))


def _choice(key: Key, found: str) -> None:
    if found not in key.choices:
        choices = ", ".join(key.choices)
        raise BadInput.of("choice_unknown", x=quoted(found), what=key.name, choices=choices)


def _mass_or_word(key: Key, found: str) -> None:
    if found not in SILVER_WORDS:
        _not_below_zero(key, parse.figure(found, table.MASS, example="8.000 mg, none or unknown"))


def _mass(key: Key, found: str) -> None:
    _not_below_zero(key, parse.figure(found, table.MASS))


def _fraction(key: Key, found: str) -> None:
    _not_below_zero(key, parse.figure(found, table.FRACTION, example="3.2 ± 0.4 g/t"))


def _not_below_zero(key: Key, typed: parse.Typed) -> None:
    """What a person states is none below zero; a step or a product is above it."""
    if typed.value < 0 and key.name not in SIGNED:
        raise BadInput.of("number_negative", x=quoted(typed.text), what=key.name)
    if typed.value == 0 and key.name in ABOVE_ZERO:
        raise BadInput.of("number_not_positive", x=quoted(typed.text), what=key.name)


_TEXTS: dict[str, Callable[[Key, str], object]] = {
    "choice": _choice,
    "unit": lambda _key, found: parse.unit(found, table.MASS),
    "reading": lambda _key, found: parse.number(parse.clean(found), example=ALONE),
    "mass_or_word": _mass_or_word,
    "mass": _mass,
    "length": lambda _key, found: parse.figure(found, table.LENGTH, example="250 um"),
    "fraction": _fraction,
    "share": lambda key, found: parse.share(found, key.name, 0, 100),
}


def faults(kind: Kind, values: Values, target: Kind | None = None) -> list[tuple[str, str]]:
    """Every fault of an entry's own keys: pairs of key and sentence, the key empty for the whole.

    Args:
        kind: the kind of the entry.
        values: its own keys and their values.
        target: for an amendment, the kind of the entry it names, whose keys it may repeat.
    """
    keys = tuple((target.by_name | kind.by_name).values()) if target else kind.keys
    found: list[tuple[str, str]] = []
    known = {key.name: None for key in keys}
    for name in values:
        if name not in known:
            choices = ", ".join(known)
            found.append(("", say("key_unknown", x=quoted(name), choices=choices)))
    for key in keys:
        if key.name not in values:
            if key.required and key in kind.keys:
                found.append(("", say("key_missing", x=key.name, what=key.help)))
            continue
        try:
            value(key, values[key.name])
        except BadInput as fault:
            found += [(key.name, line) for line in fault.lines]
    return found + (method_items.faults(values) if kind.name == "method" else [])
