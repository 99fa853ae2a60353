"""The strict check of an entry against the table of kinds: every fault, one sentence each."""

import re
import unicodedata
from collections.abc import Callable, Mapping
from datetime import datetime

from assaybench.messages import BadInput, quoted, say
from assaybench.record.kinds import SILVER_WORDS, Key, Kind
from assaybench.units import parse, table

LONGEST_TEXT = 500
LONGEST_ID = 32
LARGEST_WHOLE = 10**12 - 1

Values = Mapping[str, object]

_FORMS = {
    "id": re.compile(rf"[A-Za-z0-9][A-Za-z0-9 ._/+-]{{0,{LONGEST_ID - 1}}}"),
    "initials": re.compile(r"[^\W\d_]{1,6}"),
    "sha256": re.compile(r"[0-9a-f]{64}"),
}


def text(value: object) -> str:
    """A one-line text without control or bidirectional signs, in NFC.

    Raises:
        BadInput: for anything else.
    """
    if not isinstance(value, str):
        raise BadInput.of("value_not_text", x=quoted(str(value)))
    found = unicodedata.normalize("NFC", value).strip()
    if not found or len(found) > LONGEST_TEXT or not found.isprintable():
        raise BadInput.of("value_text", x=quoted(value), most=LONGEST_TEXT)
    return found


def value(key: Key, given: object) -> object:
    """A value as its key allows it; lists are checked part by part.

    Raises:
        BadInput: saying what was wrong and what is accepted.
    """
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
            return whole(given)
        case "yes_no":
            if not isinstance(given, bool):
                raise BadInput.of("value_yes_no", x=quoted(str(given)))
            return given
        case "time":
            if not isinstance(given, datetime) or given.tzinfo is None:
                raise BadInput.of("value_time", x=quoted(str(given)))
            return given
        case _:
            found = text(given)
            _TEXTS.get(key.type, _form)(key, found)
            return found


def whole(given: object) -> int:
    """A whole number from 0 on.

    Raises:
        BadInput: for anything else.
    """
    if isinstance(given, bool) or not isinstance(given, int) or not 0 <= given <= LARGEST_WHOLE:
        raise BadInput.of("number_not_whole", x=quoted(str(given)), least=0, most=LARGEST_WHOLE)
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


def _mass_or_word(_key: Key, found: str) -> None:
    if found not in SILVER_WORDS:
        parse.figure(found, table.MASS, example="8.000 mg, none or unknown")


_TEXTS: dict[str, Callable[[Key, str], object]] = {
    "choice": _choice,
    "unit": lambda _key, found: parse.unit(found, table.MASS),
    "reading": lambda _key, found: parse.number(parse.clean(found)),
    "mass_or_word": _mass_or_word,
    "mass": lambda _key, found: parse.figure(found, table.MASS),
    "length": lambda _key, found: parse.figure(found, table.LENGTH, example="250 um"),
    "fraction": lambda _key, found: parse.figure(found, table.FRACTION, example="3.2 ± 0.4 g/t"),
    "share": lambda key, found: parse.share(found, key.name, 0, 100),
}


def faults(kind: Kind, values: Values, target: Kind | None = None) -> list[tuple[str, str]]:
    """Every fault of an entry's own keys: pairs of key and sentence, the key empty for the whole.

    Args:
        kind: the kind of the entry.
        values: its own keys and their values.
        target: for an amendment, the kind of the entry it names, whose keys it may repeat.
    """
    found: list[tuple[str, str]] = []
    known = (target.by_name if target else {}) | kind.by_name
    for name in values:
        if name not in known:
            choices = ", ".join(known)
            found.append(("", say("key_unknown", x=quoted(name), choices=choices)))
    for name, key in known.items():
        if name not in values:
            if key.required and name in kind.by_name:
                found.append(("", say("key_missing", x=name, what=key.help)))
            continue
        try:
            value(key, values[name])
        except BadInput as fault:
            found += [(name, line) for line in fault.lines]
    return found
