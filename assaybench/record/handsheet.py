"""The hand sheet: results on paper, typed into one TOML file; its reader returns entries.

Strict: every fault is one line `samples[3] (T-31).readings[1]: …`, all found at once. Positions
count from 1. The entries go through the same replay as a log, and give the same results.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any

from assaybench.messages import BadInput, quoted, say
from assaybench.record import check
from assaybench.record.entries import Entry
from assaybench.record.kinds import BY_NAME, WHAT, Key
from assaybench.units import parse, table

LARGEST_BYTES = 4_000_000
MOST_ENTRIES = 20_000
LONGEST_LINE = 8000
MOST_DOTS = 8
METHOD_VERSION = 1
PROGRAM = "hand sheet"

TABLES = {
    "people": "person",
    "balances": "balance",
    "weights": "weight",
    "lots": "reagent_lot",
    "checks": "balance_check",
    "circuit": "circuit",
    "grains": "grains",
    "prices": "price",
    "notes": "note",
}
"""Arrays of tables whose rows are entries of one kind, key for key, in the order of replay."""
BEFORE_SAMPLES = ("people", "balances", "weights", "lots", "checks")
AFTER_SAMPLES = ("circuit", "grains", "prices", "notes")

SHEET_KEYS = (
    Key("log", "choice", "what it is of", required=True, choices=("furnace run", "circuit test")),
    Key("title", "text", "what people call it", required=True),
    Key("by", "initials", "who stands behind it", required=True),
)
SHORT_READINGS = tuple(what for what in WHAT if what != "zero")
SAMPLE_OWN = frozenset(BY_NAME["sample"].by_name)
SAMPLE_MORE = {
    "place": ("position", "place"),
    "look": ("bead_look", "look"),
    "parted": ("parting", "result"),
    "left_out": ("left_out", "reason"),
    "tag": ("custody", "tag"),
    "grains": ("grains", "count"),
}
"""Keys of a sample that are entries of another kind: key -> kind and its own key."""
READING_KEYS = ("what", "text", "balance")
WATER = {"moisture": "water", "moisture_basis": "basis", "moisture_u": "u"}
"""Keys of a sample that are one entry, `moisture`: of the wet mass unless the second says dry."""
SAMPLE_KNOWN = frozenset({*SAMPLE_OWN, *SAMPLE_MORE, *SHORT_READINGS, *WATER, "readings"})
_SHORT_OF_SAMPLE = tuple(what for what in SHORT_READINGS if what not in SAMPLE_OWN)
"""`silver` and `lead` of a sample are what was added, not readings of a balance."""
_NUMBER = re.compile("[-+0-9., ]*")
_KEY_ENDS = re.compile(r"""[="'#]""")


@dataclass(frozen=True, slots=True)
class Sheet:
    """A hand sheet that was read.

    Attributes:
        title: what people call it.
        date: date on the paper.
        entries: its entries, in the order of replay.
    """

    title: str
    date: date
    entries: tuple[Entry, ...]


def read(content: bytes) -> Sheet:
    """Read a hand sheet.

    Args:
        content: the bytes of the file.

    Raises:
        BadInput: with one line for every fault, each led by its place.
    """
    return of_tree(parsed(content))


def of_tree(tree: dict[str, Any]) -> Sheet:
    """The sheet of a parsed file; errors as `read`."""
    return _Reader(tree).sheet()


def parsed(content: bytes) -> dict[str, Any]:
    """The tree of a file.

    Raises:
        BadInput: for what is too large, no UTF-8 or no TOML.
    """
    text = text_of(content)
    _refuse_slow_lines(text)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise BadInput.of("sheet_not_toml", why=_printable(str(fault))) from fault
    except (RecursionError, ValueError) as fault:
        # tomllib lets deep brackets and giant numbers through to the interpreter's own limits
        raise BadInput.of("sheet_not_toml", why="nested too deep or a number too long") from fault


def text_of(content: bytes) -> str:
    """The text of a file, its lines ended as in Unix.

    Raises:
        BadInput: for what is too large or no UTF-8.
    """
    if len(content) > LARGEST_BYTES:
        raise BadInput.of("sheet_too_large", n=len(content), most=LARGEST_BYTES)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        raise BadInput.of("sheet_not_utf8", at=fault.start) from fault
    return text.replace("\r\n", "\n")


def _refuse_slow_lines(text: str) -> None:
    """Refuse what the TOML parser would take very long over: no hand sheet has such lines."""
    for i, line in enumerate(text.split("\n"), start=1):
        if len(line) > LONGEST_LINE:
            raise BadInput.of("sheet_line_long", line=i, n=len(line), most=LONGEST_LINE)
        if line.count(".") > MOST_DOTS and _KEY_ENDS.split(line, 1)[0].count(".") > MOST_DOTS:
            raise BadInput.of("sheet_line_dotted", line=i)


def _printable(text: str) -> str:
    return "".join(sign if sign.isprintable() else "·" for sign in text)[:160]


class _Reader:
    """Reads the parsed sheet part by part and keeps every fault with its place."""

    def __init__(self, tree: dict[str, Any]) -> None:
        self.tree = tree
        self.faults: list[str] = []
        self.entries: list[Entry] = []
        self.by = "?"
        self.at = datetime.min.replace(tzinfo=UTC)
        self.weighs: dict[str, str] = {}
        self.known: dict[str, set[str]] = {"balances": set(), "lots": set(), "samples": set()}

    def sheet(self) -> Sheet:
        known = ("sheet", "method", "samples", *TABLES)
        for name in self.tree:
            if name not in known:
                self._fault("", "key_unknown", x=quoted(name), choices=", ".join(known))
        title, day = self._head()
        self._methods()
        self._collect_names()
        for name in BEFORE_SAMPLES:
            self._table(name)
        for place, row in self._rows("samples"):
            self._sample(check.called(place, row.get("id")), row)
            self._checks_after(row.get("id"))
        for name in AFTER_SAMPLES:
            self._table(name)
        if len(self.entries) > MOST_ENTRIES:
            self._fault("", "sheet_too_many", n=len(self.entries), most=MOST_ENTRIES)
        if self.faults:
            raise BadInput(self.faults)
        return Sheet(title, day, tuple(self.entries))

    def _fault(self, place: str, code: str, **fields: object) -> None:
        line = say(code, **fields)
        self.faults.append(f"{place}: {line}" if place else line)

    def _keep(self, place: str, fault: BadInput) -> None:
        self.faults += fault.named(place).lines

    def _add(
        self, place: str, kind: str, values: Mapping[str, object], *, sound: bool = False
    ) -> None:
        """Keep an entry, or its faults under its place; one that is known to be sound has none."""
        found = [] if sound else check.faults(BY_NAME[kind], values)
        self.faults += [f"{place}{'.' if key else ''}{key}: {line}" for key, line in found]
        if not found:
            self.entries.append(Entry(len(self.entries) + 1, self.at, self.by, kind, values))

    def _head(self) -> tuple[str, date]:
        head = self.tree.get("sheet")
        if not isinstance(head, dict):
            self._fault("", "key_missing", x="[sheet]", what="log, title, date and by of the sheet")
            return "", date.min
        day = self._date(head.get("date"))
        known = ("date", *(key.name for key in SHEET_KEYS))
        for name in head:
            if name not in known:
                self._fault("sheet", "key_unknown", x=quoted(name), choices=", ".join(known))
        for key in SHEET_KEYS:
            if key.name not in head:
                self._fault("sheet", "key_missing", x=key.name, what=key.help)
                continue
            try:
                check.value(key, head[key.name])
            except BadInput as fault:
                self._keep(f"sheet.{key.name}", fault)
        self.at = datetime.combine(day, time(), UTC)
        self.by = str(head.get("by", "?"))
        if not self.faults:
            self._add("sheet", "opened", self._opened(head, day))
        return str(head.get("title", "")), day

    def _methods(self) -> None:
        """The table [method]: one choice a line, item = "value"."""
        choices = self.tree.get("method", {})
        if not isinstance(choices, dict):
            self._fault("method", "value_not_table", x="method")
            return
        for item, value in choices.items():
            self._add(f"method.{item}", "method", {"item": item, "value": value})

    def _opened(self, head: Mapping[str, Any], day: date) -> dict[str, object]:
        return {
            "log": head["log"],
            "number": 0,
            "bench": "paper",
            "method_version": METHOD_VERSION,
            "program": PROGRAM,
            "title": head["title"],
            "paper_date": day.isoformat(),
        }

    def _date(self, given: object) -> date:
        if isinstance(given, date):
            return given.date() if isinstance(given, datetime) else given
        if given is None:
            self._fault("sheet", "key_missing", x="date", what="the day on the paper, 2026-06-09")
        else:
            self._fault("sheet.date", "value_date", x=quoted(str(given)))
        return date.min

    def _rows(self, name: str) -> Iterator[tuple[str, dict[str, Any]]]:
        rows = self.tree.get(name, [])
        if not isinstance(rows, list):
            self._fault(name, "value_not_tables", x=name)
            return
        for i, row in enumerate(rows, start=1):
            if isinstance(row, dict):
                yield f"{name}[{i}]", row
            else:
                self._fault(f"{name}[{i}]", "value_not_tables", x=name)

    def _checks_after(self, sample: object) -> None:
        """The checks that say they were made after the weighings of this sample."""
        for place, row in self._rows("checks"):
            if row.get("after") == sample:
                self._entry(place, "checks", {k: v for k, v in row.items() if k != "after"})

    def _table(self, name: str) -> None:
        """Rows that are entries key for key; a check that names a sample waits for it."""
        for place, row in self._rows(name):
            if name == "checks" and "after" in row:
                self._refers(place, row, "after", "samples")
            else:
                self._entry(place, name, row)

    def _entry(self, place: str, name: str, row: dict[str, Any]) -> None:
        """One row as an entry; names it refers to must exist."""
        self._add(place, TABLES[name], row)
        if name == "balances":
            self._default_balances(place, row)
        self._refers(place, row, "balance", "balances")
        self._refers(place, row, "sample", "samples")

    def _default_balances(self, place: str, row: dict[str, Any]) -> None:
        name = row.get("name")
        if isinstance(name, str):
            self._name(place, "balances", name)
            weighs = row.get("weighs")
            for what in weighs if isinstance(weighs, list) else []:
                self.weighs[str(what)] = name

    def _name(self, place: str, group: str, name: str) -> None:
        if name in self.known[group]:
            self._fault(place, "name_twice", x=quoted(name))
        self.known[group].add(name)

    def _refers(self, place: str, row: dict[str, Any], key: str, group: str) -> None:
        name = row.get(key)
        if isinstance(name, str) and name not in self.known[group]:
            self._fault(f"{place}.{key}", "name_unknown", x=quoted(name), group=group)

    def _collect_names(self) -> None:
        for place, row in self._rows("lots"):
            if isinstance(row.get("lot"), str):
                self._name(place, "lots", row["lot"])
        for place, row in self._rows("samples"):
            if isinstance(row.get("id"), str):
                self._name(place, "samples", row["id"])

    def _sample(self, place: str, row: dict[str, Any]) -> None:
        for name in row:
            if name not in SAMPLE_KNOWN:
                choices = ", ".join(sorted(SAMPLE_KNOWN))
                self._fault(place, "key_unknown", x=quoted(name), choices=choices)
        own = {"role": "sample"} | {name: row[name] for name in row if name in SAMPLE_OWN}
        self._add(place, "sample", own)
        self._refers(place, row, "of", "samples")
        for lot in own.get("lots", []) if isinstance(own.get("lots"), list) else []:
            if isinstance(lot, str) and lot not in self.known["lots"]:
                self._fault(f"{place}.lots", "name_unknown", x=quoted(lot), group="lots")
        sample = own.get("id")
        if not isinstance(sample, str):
            return
        for name, (kind, key) in SAMPLE_MORE.items():
            if name in row:
                self._add(f"{place}.{name}", kind, {"sample": sample, key: row[name]})
        if WATER.keys() & row.keys():
            water = {key: row[name] for name, key in WATER.items() if name in row}
            self._add(f"{place}.moisture", "moisture", {"sample": sample, "basis": "wet"} | water)
        for what in [what for what in _SHORT_OF_SAMPLE if what in row]:
            self._short(f"{place}.{what}", sample, what, row[what])
        self._readings(place, sample, row.get("readings", []))

    def _short(self, place: str, sample: str, what: str, given: object) -> None:
        """`bead = "0.298 mg"`, or a list of repeats."""
        texts = given if isinstance(given, list) else [given]
        for i, text in enumerate(texts, start=1):
            spot = place if len(texts) == 1 else f"{place}[{i}]"
            self._reading(spot, sample, what, text, None)

    def _readings(self, place: str, sample: str, rows: object) -> None:
        if not isinstance(rows, list):
            self._fault(f"{place}.readings", "value_not_tables", x="readings")
            return
        for i, row in enumerate(rows, start=1):
            spot = f"{place}.readings[{i}]"
            if not isinstance(row, dict):
                self._fault(spot, "value_not_tables", x="readings")
                continue
            for name in (name for name in row if name not in READING_KEYS):
                choices = ", ".join(READING_KEYS)
                self._fault(spot, "key_unknown", x=quoted(name), choices=choices)
            what = row.get("what")
            if not isinstance(what, str) or what not in WHAT:
                shown, choices = quoted(str(what)), ", ".join(WHAT)
                self._fault(spot, "choice_unknown", x=shown, what="what", choices=choices)
                continue
            balance = row.get("balance")
            if what == "zero" and balance is None:
                balance = self._balance_beside(rows, i - 1)
            self._reading(spot, sample, what, row.get("text"), balance)

    def _balance_beside(self, rows: list[Any], place: int) -> object:
        """The balance of a zero that names none: that of the next load, else of the last one."""
        for row in [*rows[place:], *reversed(rows[:place])]:
            if isinstance(row, dict) and row.get("what") != "zero":
                return row.get("balance") or self._balance_for(str(row.get("what")))
        return None

    def _reading(self, place: str, sample: str, what: str, text: object, balance: object) -> None:
        try:
            typed = parse.plain_figure(check.text(text), table.MASS)
        except BadInput as fault:
            self._keep(place, fault)
            return
        name = balance if balance is not None else self._balance_for(what)
        if not isinstance(name, str):
            self._fault(place, "balance_not_named", what=what)
            return
        if name not in self.known["balances"]:
            self._fault(f"{place}.balance", "name_unknown", x=quoted(name), group="balances")
            return
        values: dict[str, object] = {
            "what": what,
            "text": _number_of(typed.text),
            "unit": typed.unit.symbol,
            "balance": name,
        }
        if what != "zero":
            values["sample"] = sample
        # in a sheet without faults each of its parts was found good before
        self._add(place, "reading", values, sound=not self.faults)

    def _balance_for(self, what: str) -> str | None:
        if what in self.weighs:
            return self.weighs[what]
        only = self.known["balances"]
        return next(iter(only)) if len(only) == 1 else None


def _number_of(text: str) -> str:
    """The number of a figure as typed, without its unit."""
    digits = _NUMBER.match(text if text.isascii() else parse.clean(text))
    return digits[0].strip() if digits else ""
