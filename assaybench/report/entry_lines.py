"""How entries of a log look on a page and in JSON: in order, amended values struck."""

import textwrap
from collections.abc import Mapping
from datetime import date, datetime
from typing import NamedTuple

from assaybench.record.entries import AMENDMENT_KEYS, Effective, Entry
from assaybench.record.kinds import BY_NAME
from assaybench.record.method_items import unused
from assaybench.report.page import WIDTH

INDENT = 13
ROOM = WIDTH - 4
UNBROKEN = 1_000_000
"""Columns for a reader that is no screen: an entry is one line."""
SLIPS = {
    "bead_above_charge": "bead heavier than its charge",
    "bead_above_lead": "bead heavier than its lead",
    "bead_above_silver": "bead heavier than its silver",
    "bead_below_silver": "bead lighter than its silver",
    "blank_above_others": "blank heavier than all others",
    "digit_not_shown": "a digit that the balance cannot show",
    "digits_changed_over": "digits changed over",
    "divisions_too_many": "more divisions than a balance shows",
    "far_from_before": "far from its reading before",
    "far_from_duplicate": "far from its duplicate",
    "gold_above_bead": "gold heavier than its bead",
    "same_as_before": "the same as the line before",
}
"""What was suspected of a reading that was asked about, by the code in its entry."""


def day_of(at: date) -> str:
    """A date with the month as a word."""
    return f"{at.day} {at:%B %Y}"


def slips(codes: str) -> str:
    """Codes of an `asked` entry in words; one of a newer program as it stands, without its bars."""
    return ", ".join(_slip(code) for code in codes.split())


def _slip(code: str) -> str:
    which, _, tens = code.partition("_")
    if tens.isdigit() and which in {"times", "part"}:
        return f"{tens} times too {'much' if which == 'times' else 'little'}?"
    return SLIPS.get(code, code.replace("_", " "))


def lines(entry: Effective, room: int = ROOM) -> list[str]:
    """An entry: number, time, initials, kind and keys; then what became of it.

    Args:
        entry: the entry.
        room: columns of a line.
    """
    made = entry.entry
    head = f"{made.n:>4}  {made.at:%H:%M}  {made.by}  {made.kind}"
    first = " ".join([head, " ", *_pairs(made, entry.values)])
    found = _broken(first, room)
    said = unused(entry.values) if made.kind == "method" else ""
    for line in (*struck(entry), *([said] if said else ())):
        found += _broken(line, room, INDENT)
    return found


def _broken(line: str, room: int, indent: int = 0) -> list[str]:
    return textwrap.wrap(
        " " * indent + line,
        room,
        subsequent_indent=" " * (INDENT + 2),
        break_long_words=False,
        break_on_hyphens=False,
    )


class Change(NamedTuple):
    """A value that was amended: its key, what it was, what it is now, and by which amendment."""

    name: str
    old: str | None
    new: str
    made: Entry

    @property
    def why(self) -> str:
        """The reason of the amendment."""
        return shown(self.made.values.get("reason", ""))


def changes(entry: Effective) -> list[Change]:
    """Every value of an entry that was amended, in order."""
    found: list[Change] = []
    values = dict(entry.entry.values)
    for amendment in entry.amendments:
        for name, new in amendment.values.items():
            if name not in AMENDMENT_KEYS:
                old = shown(values[name]) if name in values else None
                found.append(Change(name, old, shown(new), amendment))
                values[name] = new
    return found


def struck(entry: Effective) -> list[str]:
    """One line for each value that was amended, `text: struck 1.372  1.327 KB 10:14 why`.

    A withdrawn entry has a line saying so.
    """
    found: list[str] = []
    for change in changes(entry):
        old = "" if change.old is None else f"struck {change.old}  "
        hand = _hand(entry, change.made)
        found.append(f"{change.name}: {old}{change.new} {hand}: {change.why}")
    if entry.withdrawn is not None:
        why = shown(entry.withdrawn.values.get("reason", ""))
        found.append(f"withdrawn {_hand(entry, entry.withdrawn)}: {why}")
    return found


def _hand(entry: Effective, later: Entry) -> str:
    """Who did it and when; the day as well when it was another."""
    same = entry.entry.at.date() == later.at.date()
    day = "" if same else f"{day_of(later.at)}, "
    return f"{later.by} {day}{later.at:%H:%M}"


def shown(value: object) -> str:
    """A value as text on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, datetime):
        return value.isoformat(timespec="milliseconds")
    if isinstance(value, list):
        return " ".join(shown(part) for part in value)
    if isinstance(value, dict):
        return " ".join(shown(part) for part in value.values())
    return str(value)


def _pairs(made: Entry, values: Mapping[str, object]) -> list[str]:
    """`key=value` in the order of the table of kinds, as one would type it."""
    kind = BY_NAME.get(made.kind)
    order = {key.name: i for i, key in enumerate(kind.keys)} if kind else {}
    names = sorted(values, key=lambda name: order.get(name, len(order)))
    found = []
    for name in names:
        value = values[name]
        for part in value if isinstance(value, list) else [value]:
            text = shown(part)
            found.append(f'{name}="{text}"' if " " in text else f"{name}={text}")
    return found


def tree(entry: Effective) -> dict[str, object]:
    """An entry as JSON: as it was made, as it counts now, and what became of it."""
    return {
        **_made(entry.entry),
        "now": {name: _json(value) for name, value in entry.values.items()},
        "amendments": [_made(amendment) for amendment in entry.amendments],
        "withdrawn": None if entry.withdrawn is None else _made(entry.withdrawn),
    }


def _made(entry: Entry) -> dict[str, object]:
    return {
        "id": entry.n,
        "at": entry.at.isoformat(timespec="milliseconds"),
        "by": entry.by,
        "kind": entry.kind,
        "values": {name: _json(value) for name, value in entry.values.items()},
    }


def _json(value: object) -> object:
    return shown(value) if isinstance(value, datetime) else value
