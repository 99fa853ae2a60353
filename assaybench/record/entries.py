"""An entry of a log, and what has become of it: amended, withdrawn, or as it was."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import NamedTuple

from assaybench.record.kinds import BY_NAME

AMENDMENT_KEYS = frozenset(BY_NAME["amendment"].by_name)


class Entry(NamedTuple):
    """One entry.

    Attributes:
        n: running number from 1; it decides the order, never the time.
        at: machine clock when it was made.
        by: initials of who made it, a claim.
        kind: name in the table of kinds.
        values: its own keys.
    """

    n: int
    at: datetime
    by: str
    kind: str
    values: Mapping[str, object]


class Effective(NamedTuple):
    """An entry as it counts now.

    Attributes:
        entry: as it was made; it is never lost.
        values: its keys with every amendment applied.
        amendments: the amendments, in order.
        withdrawn: the entry that withdrew it, or None.
    """

    entry: Entry
    values: Mapping[str, object]
    amendments: tuple[Entry, ...] = ()
    withdrawn: Entry | None = None

    @property
    def n(self) -> int:
        """Number of the entry."""
        return self.entry.n

    @property
    def kind(self) -> str:
        """Kind of the entry."""
        return self.entry.kind

    @property
    def corrections(self) -> list[Entry]:
        """Its amendments that changed a value that stood; others gave a key for the first time."""
        standing = dict(self.entry.values)
        found: list[Entry] = []
        for made in self.amendments:
            given = {k: v for k, v in made.values.items() if k not in AMENDMENT_KEYS}
            if any(name in standing and standing[name] != v for name, v in given.items()):
                found.append(made)
            standing |= given
        return found

    def text(self, key: str) -> str:
        """A text value; empty when the key is not there."""
        value = self.values.get(key)
        return value if isinstance(value, str) else ""

    def texts(self, key: str) -> list[str]:
        """A list of texts; empty when the key is not there."""
        value = self.values.get(key, [])
        return [part for part in value if isinstance(part, str)] if isinstance(value, list) else []

    def whole(self, key: str) -> int | None:
        """A whole number, or None."""
        value = self.values.get(key)
        return value if isinstance(value, int) and not isinstance(value, bool) else None


def whole_or_zero(value: object) -> int:
    """A whole number of an entry as it is; 0, which numbers nothing, for anything else."""
    return value if isinstance(value, int) and not isinstance(value, bool) else 0


def effective(entries: Iterable[Entry]) -> list[Effective]:
    """Entries with amendments and withdrawals applied, in the order of the log.

    An amendment gives keys of the entry it names anew, except `entry` and `reason`, which are its
    own. It applies to the entry as it stands then; the entry itself stays.
    """
    found: dict[int, Effective] = {}
    for entry in entries:
        found[entry.n] = Effective(entry, entry.values)
        target = found.get(_named(entry))
        if target is None or target.n == entry.n:
            continue
        if entry.kind == "amendment":
            changes = {k: v for k, v in entry.values.items() if k not in AMENDMENT_KEYS}
            found[target.n] = Effective(
                target.entry,
                {**target.values, **changes},
                (*target.amendments, entry),
                target.withdrawn,
            )
        elif entry.kind == "withdrawn":
            found[target.n] = Effective(target.entry, target.values, target.amendments, entry)
    return list(found.values())


def _named(entry: Entry) -> int:
    """The entry that a correction names; none of these when it stands in a replaced log."""
    number = None if "log" in entry.values else entry.values.get("entry")
    return number if isinstance(number, int) else -1
