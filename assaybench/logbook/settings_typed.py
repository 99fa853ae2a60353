"""Settings as a person types and reads them: words to what stands in the file, and back.

The settings page and the command share this: one line changes a whole setting, one line of a table
(`people.KB=K. Berg`), or adds to a list and takes from it (`trusted+=…`, `trusted-=…`).
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from assaybench.logbook.settings_fields import BY_NAME, Field
from assaybench.messages import BadInput, printable, quoted
from assaybench.record.check import LONGEST_TEXT

ALONE = "-"
"""What stands for a setting that is left to the program; typed, it leaves one alone again."""
WORDS = {"yes": True, "no": False}
ROWS = frozenset({"table", "list"})
"""Types of settings that have lines of their own."""
MOST_DIGITS = 9
"""Of minutes; a longer number is none, and is told as it was typed."""


def shown(field: Field, value: object) -> str:
    """A value in a word: a number of lines for what has lines of its own."""
    if isinstance(value, bool):
        return next(word for word, meant in WORDS.items() if meant is value)
    if isinstance(value, (Mapping, tuple)) and field.type in ROWS:
        return str(len(value))
    return str(value) or ALONE


def accepted(field: Field) -> str:
    """What can be typed: the words when there are only some, the forms of what has lines."""
    if field.type in ROWS:
        return _forms(field)
    words = field.choices or (tuple(WORDS) if field.type == "yes or no" else ())
    if words:
        return " / ".join(words)
    return f"{field.type}, as {field.default}" if field.default else field.type


def given_of(field: Field, text: str) -> object:
    """What a typed text is in the file; None for one that leaves the setting to the program.

    Raises:
        BadInput: for a word that is neither yes nor no. All else is checked when it is stored.
    """
    if text == ALONE:
        return None
    if field.type == "yes or no":
        if text.casefold() not in WORDS:
            raise BadInput.of("setting_choices", choices=" / ".join(WORDS))
        return WORDS[text.casefold()]
    if field.type == "minutes" and text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS:
        return int(text)
    return text


class Change(NamedTuple):
    """One change as it was typed.

    Attributes:
        place: what it is of, as typed: `aim`, `people.KB`, `trusted+`.
        name: of the setting.
        row: the line of a table; empty for the whole setting.
        sign: `+` or `-` for a list that gains or loses lines; else empty.
        text: the new value.
    """

    place: str
    name: str
    row: str
    sign: str
    text: str


def change_of(word: str) -> Change:
    """A change from `KEY=VALUE`.

    Raises:
        BadInput: for a word of another form, or a setting that is not there.
    """
    place, equals, text = word.partition("=")
    place = place.strip()
    name, _, row = place.partition(".")
    sign = name[-1:] if name[-1:] in ("+", "-") else ""
    name = name.removesuffix(sign)
    if not equals:
        raise BadInput.of("setting_pair", x=quoted(word))
    field = BY_NAME.get(name)
    if field is None:
        raise BadInput.of("setting_unknown", x=quoted(name), choices=", ".join(BY_NAME))
    fits = {"table": not sign, "list": not row}.get(field.type, not (row or sign))
    if not fits or place.endswith("."):
        raise BadInput.of("setting_form", x=quoted(place), accepted=_forms(field))
    if field.type == "table" and not row and text.strip() != ALONE:
        raise BadInput.of("setting_form", x=quoted(place), accepted=_forms(field))
    return Change(place, name, row, sign, text.strip())


def _forms(field: Field) -> str:
    """How a setting is typed."""
    forms = {
        "table": "{x}.NAME=VALUE, {x}.NAME=- or {x}=-",
        "list": "{x}=VALUE, {x}+=VALUE, {x}-=VALUE or {x}=-",
    }
    return forms.get(field.type, "{x}=VALUE or {x}=-").replace("{x}", field.name)


def _listed(lines: Iterable[object]) -> str:
    """The lines that are there."""
    return ", ".join(printable(str(one)) for one in lines) or "nothing"


def changed(tree: Mapping[str, object], change: Change) -> object:
    """What stands in the file under the name of a change after it; None for nothing.

    Args:
        tree: what stands in the file now.
        change: what was typed.

    Raises:
        BadInput: for no text, a line that is not there to be taken out, or as `given_of`.
    """
    field, stands = BY_NAME[change.name], tree.get(change.name)
    if not change.text:
        raise BadInput.of("value_text", x=quoted(""), most=LONGEST_TEXT)
    if change.row:
        rows = dict(stands) if isinstance(stands, Mapping) else {}
        if change.text != ALONE:
            return {**rows, change.row: change.text}
        if change.row not in rows:
            raise BadInput.of("setting_no_line", x=quoted(change.row), there=_listed(rows))
        del rows[change.row]
        return rows or None
    given = given_of(field, change.text)
    if field.type != "list" or given is None:
        return given
    lines, typed = list(stands) if isinstance(stands, list) else [], change.text.split()
    if change.sign == "-":
        for one in typed:
            if one not in lines:
                raise BadInput.of("setting_no_line", x=quoted(one), there=_listed(lines))
        return [one for one in lines if one not in typed] or None
    return list(dict.fromkeys([*(lines if change.sign else []), *typed]))
