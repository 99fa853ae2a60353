"""The frame of format 1: how an entry stands in a file, and the link that chains it to all before.

An entry is `[[entry]]`, one `key = value` line for each key in the order n, at, by, kind, the own
keys of its kind, then `link`, then one empty line:

    [[entry]]
    n = 7
    at = 2026-06-09T14:02:11.480+02:00
    by = "KB"
    kind = "reading"
    what = "gold"
    text = "1.327"
    unit = "mg"
    balance = "fine"
    sample = "KV-017"
    link = "4be1…"

Own keys stand in the order of the table of kinds; an amendment has its own first, then the keys it
gives anew in the order of their kind. `link` is the lower-case hex SHA-256 of all bytes from the
first byte of the `link` line before (of the file, for the first entry) up to this `link` line: each
byte is covered once, and an append needs only the end of the file.

Every value has one spelling, so reading and writing again gives the same bytes. Where the format
leaves a choice: kB and MB are 1000 and 1000000 bytes; a line is measured without its line feed; an
empty list is written `[]`; an entry has at most 60 own keys; whole numbers have at most 18 digits.
"""

from collections.abc import Mapping
from datetime import datetime
from functools import lru_cache
from hashlib import sha256
from typing import NamedTuple

from assaybench.messages import BadInput
from assaybench.record import scan
from assaybench.record.kinds import Key, Kind

LONGEST_LINE = 8_000
LARGEST_LOG = 16_000_000
MOST_KEYS = 60
HEAD = ("n", "at", "by", "kind")
FIRST_LINE = b"[[entry]]"
_SHORT = 100
"""Characters of a text whose line is shorter than the longest one, whatever its signs."""
_TIME_SIGNS = len("2026-06-09T14:02:11.480+02:00")
_RECURRING = frozenset({"id", "choice", "unit"})

Table = Mapping[str, Kind]
Values = Mapping[str, object]


class Place(NamedTuple):
    """Where a chain stands: the number of its last entry and that entry's link."""

    n: int
    link: str


class Keys(NamedTuple):
    """The own keys of a kind by name, and the names of those that it must have.

    Attributes:
        by_name: the keys.
        required: names of those without which an entry is refused.
        checked: for keys whose few words come again and again (samples, balances, units), the
            texts that were found good, as typed, and how each is stored.
    """

    by_name: Mapping[str, Key]
    required: frozenset[str]
    checked: Mapping[str, dict[object, object]]


class Chain:
    """What the next entry of a file depends on; one byte of memory for each entry before it.

    Beyond that it keeps the recurring words of entries that are added, none of those that are read.

    Attributes:
        table: the kinds of this file, by name, in the order of the table.
        first: the kind that opens such a file.
        n: number of the last entry, 0 when there is none.
        link: link of the last entry, empty when there is none.
    """

    __slots__ = (
        "_in_order",
        "_keys",
        "_kinds",
        "_names",
        "_numbers",
        "_orders",
        "first",
        "link",
        "n",
        "table",
    )

    def __init__(self, table: Table) -> None:
        self.table = table
        self.first = next(iter(table), "")
        self.n = 0
        self.link = ""
        self._names = tuple(table)
        self._numbers = {name: i for i, name in enumerate(table)}
        self._orders: dict[str, Mapping[str, int]] = {}
        self._kinds = bytearray()
        self._keys: dict[str, Keys] = {}
        self._in_order: dict[tuple[str, ...], list[str]] = {}

    @classmethod
    def behind(cls, table: Table, place: Place) -> "Chain":
        """A chain that stands behind an entry, of a file whose kinds so far are not asked for."""
        chain = cls(table)
        chain.n, chain.link = place
        chain._kinds = bytearray([len(chain._names)]) * place.n
        return chain

    @property
    def place(self) -> Place:
        """Where it stands."""
        return Place(self.n, self.link)

    @property
    def tail(self) -> bytes:
        """The bytes of the file that the next link covers before the next entry begins."""
        return link_line(self.link) + b"\n\n" if self.n else b""

    def kind_of(self, n: object) -> Kind | None:
        """The kind of an earlier entry; None when there is no such entry or its kind is unknown."""
        if isinstance(n, bool) or not isinstance(n, int) or not 1 <= n <= self.n:
            return None
        number = self._kinds[n - 1]
        return self.table[self._names[number]] if number < len(self._names) else None

    def named_kind(self, values: Values) -> Kind | None:
        """The kind of the entry that a correction names; for one of another log as it says."""
        if "log" not in values:
            return self.kind_of(values.get("entry"))
        named = values.get("entry_kind")
        return self.table.get(named) if isinstance(named, str) else None

    def keys_of(self, kind: Kind) -> Keys:
        """The own keys of a kind, made once."""
        found = self._keys.get(kind.name)
        if found is None:
            required = frozenset(key.name for key in kind.keys if key.required)
            checked: dict[str, dict[object, object]] = {
                key.name: {} for key in kind.keys if key.type in _RECURRING and not key.many
            }
            found = self._keys[kind.name] = Keys(kind.by_name, required, checked)
        return found

    def order(self, kind: str, values: Values) -> Mapping[str, int]:
        """Places of the own keys of an entry; empty for a kind that is not in the table."""
        own = self._order_of(kind)
        target = self.named_kind(values) if kind == "amendment" else None
        if target is None:
            return own
        again = {k: len(own) + i for k, i in self._order_of(target.name).items() if k not in own}
        return {**own, **again}

    def in_order(self, kind: str, values: Values) -> list[str]:
        """The own keys of an entry as they stand in a file, those that no table knows last."""
        asked = (kind, *values)
        found = self._in_order.get(asked)
        if found is None:
            order = self.order(kind, values)
            found = [name for name in order if name in values]
            found += [name for name in values if name not in order]
            if kind != "amendment":
                # the keys of an amendment stand in the order of the kind that it amends
                self._in_order[asked] = found
        return found

    def _order_of(self, kind: str) -> Mapping[str, int]:
        """Places of the keys of a kind, made once; a file has few of the kinds of its table."""
        found = self._orders.get(kind)
        if found is None:
            known = self.table.get(kind)
            if known is None:
                return {}
            found = self._orders[kind] = {key.name: i for i, key in enumerate(known.keys)}
        return found

    def step(self, kind: str, link: str) -> None:
        """Go on by one entry."""
        self.n += 1
        self.link = link
        self._kinds.append(self._numbers.get(kind, len(self._names)))

    def back_to(self, place: Place) -> None:
        """Take back the steps after a place: the entries behind it were not stored."""
        self.n, self.link = place
        del self._kinds[place.n :]


class Framed(NamedTuple):
    """An entry as its bytes, and its link."""

    data: bytes
    link: str


def framed(chain: Chain, at: datetime, by: str, kind: str, values: Values) -> Framed:
    """The bytes of the next entry of a chain; the chain itself does not move.

    Args:
        chain: where the file stands.
        at: time of the entry, with offset and whole milliseconds.
        by: initials.
        kind: name of its kind.
        values: its own keys and values, in any order.

    Raises:
        BadInput: for a line longer than a log takes, or too many keys.
        TypeError: for a value that format 1 cannot hold.
    """
    if len(values) > MOST_KEYS:
        raise BadInput.of("frame_keys_many", most=MOST_KEYS)
    lines = [FIRST_LINE, b"n = %d" % (chain.n + 1), _time_line(at)]
    own = [(name, values[name]) for name in chain.in_order(kind, values)]
    lines += [
        _short_line(name, value)
        if type(value) is str and len(value) <= _SHORT
        else _line(name, value)
        for name, value in (("by", by), ("kind", kind), *own)
    ]
    body = b"\n".join(lines) + b"\n"
    link = sha256(chain.tail + body).hexdigest()
    return Framed(body + link_line(link) + b"\n\n", link)


def _time_line(at: datetime) -> bytes:
    """The line of the time of an entry; one that format 1 cannot hold is refused as any value."""
    spelled = at.isoformat(timespec="milliseconds")
    # one without an offset is shorter, one with seconds in its offset longer
    if len(spelled) != _TIME_SIGNS or at.microsecond % 1000:
        raise _cannot_hold(at)
    return b"at = " + spelled.encode()


def _line(name: str, value: object) -> bytes:
    line = written(name, value).encode()
    if len(line) > LONGEST_LINE:
        raise BadInput.of("frame_too_long", x=name, n=len(line), most=LONGEST_LINE)
    return line


@lru_cache(maxsize=512)
def _short_line(name: str, value: str) -> bytes:
    """The line of a short text: names, units and words of a log come again and again."""
    return written(name, value).encode()


def link_line(link: str) -> bytes:
    """The line of a link, without its line feed."""
    return f'link = "{link}"'.encode()


def written(name: str, value: object) -> str:
    """The line of a key and its value, each in its one spelling.

    Raises:
        TypeError: for what format 1 cannot hold: a float, a time without offset or with parts of a
            millisecond, text with control signs or not in NFC, a list within a list.
    """
    if type(value) is str:
        line = f'{name} = "{value}"'
        if scan.text_line(line) == (name, value):
            return line
    if isinstance(value, (list, tuple)):
        spelled = f"[{', '.join(_part(part) for part in value)}]"
        value = list(value)
    else:
        spelled = _scalar(value)
    line = f"{name} = {spelled}"
    if not _reads_back(line, name, value):
        raise _cannot_hold(value)
    return line


def _part(part: object) -> str:
    if isinstance(part, Mapping):
        inside = ", ".join(f"{name} = {_scalar(value)}" for name, value in part.items())
        return f"{{ {inside} }}"
    return _scalar(part)


def _scalar(value: object) -> str:
    match value:
        case str():
            return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
        case bool():
            return "true" if value else "false"
        case int():
            return str(value)
        case datetime():
            return value.isoformat(timespec="milliseconds")
        case _:
            raise _cannot_hold(value)


def _reads_back(line: str, name: str, value: object) -> bool:
    """Whether the reader reads just this; so the writer can never write what it would refuse."""
    spelled = line[len(name) + 3 :]
    if type(value) in (int, datetime) and scan.is_key(name):
        return scan.plain_value(spelled) == value
    plain = scan.text_line(line)
    if plain is not None:
        return plain == (name, value)
    try:
        key, at = scan.key(line, 0)
        found, end = scan.value(line, at)
    except (scan.Wrong, scan.Cut):
        return False
    return end == len(line) and key == name and found == value


def _cannot_hold(value: object) -> TypeError:
    return TypeError(f"format 1 cannot hold {value!r:.60}")
