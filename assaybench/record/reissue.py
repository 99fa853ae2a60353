"""A log that replaces another, and the one history that they are together.

A reissue copies nothing. The new log's second entry, `replaces`, names the old log with its digest
and a reason; replay takes the old entries first, then the new ones, through any number of logs.

**Numbers run on.** In the joined history the entries of the oldest log keep their numbers 1..M, and
those of the log that replaces it follow as M + 1, M + 2 and so on, as if both were one file. People
see and type these numbers. In a file every entry counts from 1, so a correction of an entry of a
replaced log names it in full: `entry` as it stands there, `log` its log, `entry_kind` its kind, so
that a file can be read and checked without the other. A correction within a log has `entry` alone.

What is printed of a reissued log, reports too, names the old one and why it was replaced (ISO/IEC
17025:2017, 7.8.8, from memory): the sentence `log_replaces`.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

from assaybench.record.entries import Entry, whole_or_zero
from assaybench.record.strict import CORRECTIONS

_NOTHING = 0
"""A number that no entry has."""


class Part(NamedTuple):
    """One log of a history: its number, and its own entries as they stand in its file."""

    number: int
    entries: Sequence[Entry]


class Replaced(NamedTuple):
    """What a log says of the one that it replaces.

    Attributes:
        number: its number, of the same bench.
        sha512: its digest when it was replaced.
        reason: why.
        by: initials of who did it.
        at: when.
    """

    number: int
    sha512: str
    reason: str
    by: str
    at: datetime


def replaced(entries: Sequence[Entry]) -> Replaced | None:
    """The log that these entries, of one file, replace; None when they replace none."""
    second = entries[1] if len(entries) > 1 else None
    if second is None or second.kind != "replaces":
        return None
    values = second.values
    sha512, reason = str(values.get("sha512", "")), str(values.get("reason", ""))
    return Replaced(whole_or_zero(values.get("number")), sha512, reason, second.by, second.at)


def joined(parts: Sequence[Part]) -> list[Entry]:
    """The entries of a history in one count.

    Args:
        parts: the oldest log first, each replaced by the next.
    """
    if len(parts) == 1:
        return list(parts[0].entries)
    starts: dict[int, tuple[int, int]] = {}
    found: list[Entry] = []
    for part in parts:
        start = len(found)
        starts[part.number] = (start, len(part.entries))
        for entry in part.entries:
            values = entry.values
            if entry.kind in CORRECTIONS:
                values = _in_one_count(values, part.number, starts)
            found.append(Entry(start + entry.n, entry.at, entry.by, entry.kind, values))
    return found


def _in_one_count(
    values: Mapping[str, object], own: int, starts: Mapping[int, tuple[int, int]]
) -> dict[str, object]:
    """A correction with the number that its entry has in one count; of no entry, it has none."""
    log, n = values.get("log", own), values.get("entry")
    start, size = starts.get(log, (0, 0)) if isinstance(log, int) else (0, 0)
    there = isinstance(n, int) and 1 <= n <= size
    rest = {name: value for name, value in values.items() if name not in ("log", "entry_kind")}
    return {**rest, "entry": start + n if there and isinstance(n, int) else _NOTHING}


def as_stored(
    kind: str, values: Mapping[str, object], parts: Sequence[Part]
) -> Mapping[str, object]:
    """The keys of an entry as the newest log stores them: a correction names its entry in full.

    Args:
        kind: kind of the entry.
        values: its keys; `entry`, where there is one, in the one count of `joined`.
        parts: the history, the newest log last.
    """
    n = values.get("entry")
    if kind not in CORRECTIONS or len(parts) == 1 or not isinstance(n, int):
        return values
    start = 0
    for part in parts[:-1]:
        if start < n <= start + len(part.entries):
            named = {"entry": n - start, "log": part.number}
            return {**values, **named, "entry_kind": part.entries[n - start - 1].kind}
        start += len(part.entries)
    return {**values, "entry": n - start}
