"""The tables of the index, what a list asks of them, and one row of the answer."""

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Literal, NamedTuple

from assaybench.logbook.files import Status
from assaybench.logbook.folder import LogName

if TYPE_CHECKING:
    import sqlite3

Look = Literal["new", "all"]
FORMAT = 2
TABLES = """
CREATE TABLE folders (bench TEXT PRIMARY KEY, changed INTEGER, listed INTEGER);
CREATE TABLE registers (signature TEXT);
CREATE TABLE read_to (
    bench TEXT PRIMARY KEY, size INTEGER, changed INTEGER, identity TEXT,
    entries INTEGER, link TEXT, good INTEGER, digest TEXT, quiet INTEGER
);
CREATE TABLE allotted (
    bench TEXT, number INTEGER, log TEXT, title TEXT, folded TEXT,
    ms INTEGER DEFAULT 0, day TEXT DEFAULT '', by TEXT DEFAULT '',
    void TEXT, seal INTEGER, replaces INTEGER,
    PRIMARY KEY (bench, number)
) WITHOUT ROWID;
CREATE TABLE findings (code TEXT, sentence TEXT, paths TEXT);
CREATE TABLE logs (
    bench TEXT, number INTEGER, log TEXT DEFAULT '', title TEXT DEFAULT '',
    folded TEXT DEFAULT '', ms INTEGER DEFAULT 0, day TEXT DEFAULT '', by TEXT DEFAULT '',
    headless INTEGER DEFAULT 1,
    known INTEGER DEFAULT 0, void TEXT DEFAULT '', seal INTEGER DEFAULT 0,
    file TEXT DEFAULT '', entries INTEGER DEFAULT 0, sealed TEXT DEFAULT '',
    practice INTEGER DEFAULT 0, replaces INTEGER DEFAULT 0, samples INTEGER DEFAULT 0,
    size INTEGER, changed INTEGER, identity TEXT,
    PRIMARY KEY (bench, number)
) WITHOUT ROWID;
CREATE INDEX newest ON logs (ms, number, bench);
CREATE TABLE samples (id TEXT, of TEXT, role TEXT, part TEXT, bench TEXT, number INTEGER);
CREATE INDEX by_id ON samples (id);
CREATE INDEX by_of ON samples (of);
CREATE INDEX by_log ON samples (bench, number);
"""
STATES = ("open", "sealed", "void", "damaged", "torn", "missing", "not read")
_STATE = """CASE WHEN file IN ('damaged', 'torn', 'not read') THEN file WHEN void <> '' THEN 'void'
 WHEN file = '' THEN 'missing' WHEN seal OR sealed <> '' THEN 'sealed' ELSE 'open' END"""
COLUMNS = (
    f"bench, number, log, title, day, by, {_STATE} AS state, entries, samples, sealed, void,"
    " practice, replaces"
)


Stand = tuple[int, int, str]
"""Size, time of the last change and identity of a file, as the index keeps them."""


def stand_of(status: Status) -> Stand:
    """The stand of a file."""
    return status.size, status.changed_ns, f"{status.identity[0]}:{status.identity[1]}"


class Writing:
    """A stretch of writing: all of it or nothing, also after an interrupt."""

    def __init__(self, base: "sqlite3.Connection") -> None:
        self._base = base

    def __enter__(self) -> "sqlite3.Connection":
        self._base.execute("BEGIN IMMEDIATE")
        return self._base

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        self._base.execute("COMMIT" if kind is None else "ROLLBACK")


class Row(NamedTuple):
    """One number of a logbook, as a list shows it.

    Attributes:
        bench, number: its name.
        log: furnace run or circuit test.
        title: what people call it.
        day: when it was opened, as YYYY-MM-DD.
        by: who opened it.
        state: open, sealed, void, damaged, torn, missing or not read.
        entries, samples: how many.
        sealed: date of its seal, empty when it has none.
        void: why it is void, empty when it is not.
        practice: whether it is practice.
        replaces: number of the log that it replaces, 0 for none.
    """

    bench: str
    number: int
    log: str
    title: str
    day: str
    by: str
    state: str
    entries: int
    samples: int
    sealed: str
    void: str
    practice: int
    replaces: int

    @property
    def name(self) -> LogName:
        """Its name."""
        return LogName(self.bench, self.number)


class Wanted(NamedTuple):
    """Which logs are asked for; empty fields ask for nothing.

    Attributes:
        sample: id of a sample, or of the sample that one repeats.
        state: one of `STATES`.
        since, until: first and last day, YYYY-MM-DD.
        bench: the bench.
        title: part of the title, capitals or not.
        log: furnace run or circuit test.
    """

    sample: str = ""
    state: str = ""
    since: str = ""
    until: str = ""
    bench: str = ""
    title: str = ""
    log: str = ""

    @property
    def look(self) -> Look:
        """How closely the logs must be looked at for it: sample and state change with an entry."""
        return "all" if self.sample or self.state else "new"


class RegisterCounts(NamedTuple):
    """How many numbers of a register are left open, sealed and void."""

    open: int
    sealed: int
    void: int


class Progress(NamedTuple):
    """How far the reading of a bench is.

    Attributes:
        bench: the bench.
        what: its newest logs, before anything else; its register, counted in bytes; or its logs.
        done, total: how much was read, and of how much.
    """

    bench: str
    what: Literal["newest", "register", "logs"]
    done: int
    total: int


Watch = Callable[[Progress], object]
"""Told how far it is, between two stretches of writing; what it raises ends the reading there."""


class Page(NamedTuple):
    """One page of a list: its rows, and how many there are on all pages."""

    rows: tuple[Row, ...]
    total: int


_WORDS = "' ' || lower(bench) || ' ' || log || ' ' || replace(folded, ':', ' ')"
_NUMBERS = "lower(bench) || printf('-%06d', number)", "printf('%04d', number)"


def beginning(words: Iterable[str]) -> tuple[str, list[str]]:
    """The condition that every word begins one of a log: of its title, its kind, or its number.

    A number is found by its first figures as it is printed, `0147`, and whole without its zeros.

    Args:
        words: in small letters, without blanks.
    """
    parts, values = [], []
    for word in words:
        places = [f"instr({_WORDS}, ?)"]
        values.append(f" {word}")
        if any(sign.isdigit() for sign in word):
            places += [f"instr({place}, ?) = 1" for place in _NUMBERS]
            places.append("CAST(number AS TEXT) = ?")
            values += [word] * (len(_NUMBERS) + 1)
        parts.append(f"({' OR '.join(places)})")
    return " AND ".join(parts) or "1", values


def where(wanted: Wanted) -> tuple[str, list[str]]:
    """The condition of a query, and the values bound to it."""
    held = "SELECT bench, number FROM samples WHERE"
    parts = (
        (f"{_STATE} = ?", [wanted.state]),
        ("day >= ?", [wanted.since]),
        ("day <= ?", [wanted.until]),
        ("bench = ?", [wanted.bench]),
        ("instr(folded, ?)", [wanted.title.casefold()]),
        ("log = ?", [wanted.log]),
        (f"(bench, number) IN ({held} id = ? UNION {held} of = ?)", [wanted.sample] * 2),
    )
    asked = [(text, values) for text, values in parts if values[0]]
    found = [value for _, values in asked for value in values]
    return " AND ".join(text for text, _ in asked) or "1", found
