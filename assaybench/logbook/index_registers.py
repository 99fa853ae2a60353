"""The registers of a logbook in its index: each read on from where it was left.

A register only grows. When its file is the same one and begins with the very bytes that were gone
through before, only the entries behind them are; else it is read anew. Entries go into rows as they
are read, and each stretch of rows says how far it goes: memory stays flat, and what was broken off
is gone on with.
"""

import sqlite3
from collections.abc import Iterable, Iterator, MutableMapping
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, NamedTuple, NoReturn

from assaybench.logbook.faults import not_read
from assaybench.logbook.files import READ, Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.index_tables import Progress, Stand, Watch, Writing
from assaybench.logbook.store import read_open
from assaybench.record.entries import Entry
from assaybench.record.frame import Chain, Place
from assaybench.record.frame_read import Reader
from assaybench.record.register_kinds import (
    LARGEST_REGISTER,
    REGISTER_BY_NAME,
    Allotted,
    RegisterState,
    Seal,
)

if TYPE_CHECKING:
    from hashlib import _Hash as Hash

STRETCH = 1 << 20
"""Bytes of a register that become rows in one stretch of writing, some 3,000 entries."""
HALFWAY = -1
"""Takes the place of the size while a register is not yet read to its end."""
HEAD = ("log", "title", "folded", "ms", "day", "by")
"""Columns that the head of a log fills, and the register where there is none."""
_COLUMNS = f"bench, number, void, seal, {', '.join(HEAD)}"
_HEADS = ", ".join(f"{key} = CASE WHEN headless THEN excluded.{key} ELSE {key} END" for key in HEAD)
TAKE_OVER = f"""INSERT INTO logs (known, {_COLUMNS})
 SELECT 1, {_COLUMNS} FROM allotted WHERE bench = ? AND number = ?
 ON CONFLICT (bench, number) DO UPDATE
 SET known = 1, void = excluded.void, seal = excluded.seal, {_HEADS}"""  # noqa: S608  the names of columns are ours, values are bound
"""What the register says of a number, taken over into its row."""


class ReadTo(NamedTuple):
    """How far a register was read.

    Attributes:
        size, changed, identity: the stand of its file, once it was read to its end.
        entries, link: where its chain stands.
        good: bytes up to there.
        digest: their SHA-256.
        quiet: whether nothing was amiss so far.
    """

    size: int
    changed: int
    identity: str
    entries: int
    link: str
    good: int
    digest: str
    quiet: int


class RegisterRows(MutableMapping[int, Allotted]):
    """The numbers of a register as rows: what the rules of registers ask for, and for the list.

    Log and title are kept but come back empty, and so do the figures of a seal.
    """

    def __init__(self, base: sqlite3.Connection, bench: str) -> None:
        self._base, self._bench = base, bench

    def __getitem__(self, number: int) -> Allotted:
        row = self._base.execute(
            "SELECT replaces, seal, void FROM allotted WHERE bench = ? AND number = ?",
            (self._bench, number),
        ).fetchone()
        if row is None:
            raise KeyError(number)
        replaces, seal, void = row
        return Allotted(number, "", "", replaces, Seal("", 0) if seal else None, void)

    def __setitem__(self, number: int, known: Allotted) -> None:
        title, seal = known.title, int(known.seal is not None)
        self._base.execute(
            "INSERT INTO allotted (bench, number, log, title, folded, void, seal, replaces)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (bench, number) DO UPDATE"
            " SET void = excluded.void, seal = excluded.seal",
            (self._bench, number, known.log, title, title.casefold(), known.void, seal,
             known.replaces),
        )  # fmt: skip

    def __delitem__(self, number: int) -> NoReturn:
        raise TypeError("a number stays taken")

    def __iter__(self) -> Iterator[int]:
        rows = self._base.execute(
            "SELECT number FROM allotted WHERE bench = ? ORDER BY number", (self._bench,)
        )
        return (number for (number,) in rows)

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def follow(self, entry: Entry) -> None:
        """Add when and by whom a number was allotted, and take it over into the list."""
        number = entry.values["number"]
        if entry.kind == "opened":
            ms, day = int(entry.at.timestamp() * 1000), entry.at.date().isoformat()
            self._base.execute(
                "UPDATE allotted SET ms = ?, day = ?, by = ? WHERE bench = ? AND number = ?",
                (ms, day, entry.by, self._bench, number),
            )
        self._base.execute(TAKE_OVER, (self._bench, number))

    def replacing(self) -> dict[int, int]:
        """The log that replaces a log, by its number."""
        rows = self._base.execute(
            "SELECT replaces, number FROM allotted WHERE bench = ? AND replaces AND void = ''",
            (self._bench,),
        )
        return dict(rows.fetchall())


class RegisterFiller:
    """Fills the rows of an index from the registers."""

    def __init__(
        self, base: sqlite3.Connection, book: Logbook, files: Files, stretch: int = STRETCH
    ) -> None:
        self._base, self._book, self._files, self._stretch = base, book, files, stretch

    def take_over(self, name: LogName) -> None:
        """Take over what the register says of a log; nothing when it does not know it."""
        self._base.execute(TAKE_OVER, name)

    def read(self, bench: str, stand: Stand | None, watch: Watch = lambda _progress: None) -> bool:
        """Bring the rows of a register up to date; say whether nothing is amiss with it.

        Args:
            bench: its bench.
            stand: the stand of its file, None when there is none.
            watch: told how far it is.

        Raises:
            NotDone: when the disk cannot read it.
        """
        if stand is None:
            with Writing(self._base):
                self._clear(bench)
                self._leave_out(bench)
            return True
        while True:
            known = self._read_to(bench)
            if known is not None and known[:3] == stand:
                return bool(known.quiet)
            # when another program went on with it meanwhile, its rows are gone on from
            self._go_on(bench, stand, known, watch)

    def _read_to(self, bench: str) -> ReadTo | None:
        row = self._base.execute(
            f"SELECT {', '.join(ReadTo._fields)} FROM read_to WHERE bench = ?",  # noqa: S608  the names are ours
            (bench,),
        ).fetchone()
        return None if row is None else ReadTo(*row)

    def _go_on(self, bench: str, stand: Stand, known: ReadTo | None, watch: Watch) -> None:
        path = self._book.register(bench)
        try:
            descriptor = self._files.open(path, READ)
        except OSError as fault:
            raise not_read(path, fault) from fault
        try:
            self._read(bench, stand, known, descriptor, watch)
        except OSError as fault:
            raise not_read(path, fault) from fault
        finally:
            self._files.close(descriptor)

    def _read(
        self, bench: str, stand: Stand, known: ReadTo | None, descriptor: int, watch: Watch
    ) -> None:
        """Make rows of what follows, stretch by stretch, until another program does."""
        reading = self._begun(bench, stand, known, descriptor)
        anew, last = reading.begun == 0, False
        while not last:
            data = read_open(self._files, descriptor, self._stretch)
            entries = reading.taken(data)
            last = len(data) < self._stretch or reading.reader.stopped
            with Writing(self._base):
                if self._read_to(bench) != known:
                    return
                if anew:
                    self._clear(bench)
                anew = False
                reading.add(entries)
                if not reading.own:
                    # somebody else's, under this name: none of it counts
                    self._clear(bench)
                    last = True
                known = reading.read_to(stand, last=last)
                self._keep(bench, known)
                if last:
                    self._leave_out(bench)
            watch(Progress(bench, "register", known.good, stand[0]))

    def _begun(self, bench: str, stand: Stand, known: ReadTo | None, descriptor: int) -> "_Reading":
        """The reading of an open register from where it goes on."""
        rows, part = RegisterRows(self._base, bench), self._part(known, stand, descriptor)
        if known is None or part is None:
            self._files.seek(descriptor, 0)
            reader = Reader(REGISTER_BY_NAME, most=LARGEST_REGISTER)
            return _Reading(bench, rows, RegisterState(numbers=rows), reader, sha256())
        self._files.seek(descriptor, known.good)
        chain = Chain.behind(REGISTER_BY_NAME, Place(known.entries, known.link))
        reader = Reader(REGISTER_BY_NAME, most=LARGEST_REGISTER - known.good, chain=chain)
        state = RegisterState(bench, rows, replacing=rows.replacing())
        return _Reading(bench, rows, state, reader, part, known.good, bool(known.quiet))

    def _part(self, known: ReadTo | None, stand: Stand, descriptor: int) -> "Hash | None":
        """The digest of what was gone through before, to go on from; None to begin anew."""
        if known is None or known.identity != stand[2] or known.good > stand[0]:
            return None
        if not known.quiet and known.size != HALFWAY:
            return None
        part, left = sha256(), known.good
        while left and (data := read_open(self._files, descriptor, min(left, self._stretch))):
            part.update(data)
            left -= len(data)
        return part if part.hexdigest() == known.digest else None

    def _keep(self, bench: str, known: ReadTo) -> None:
        marks = ", ".join("?" * (1 + len(known)))
        self._base.execute(f"INSERT OR REPLACE INTO read_to VALUES ({marks})", (bench, *known))  # noqa: S608  marks alone

    def _clear(self, bench: str) -> None:
        """Let the rows of a bench say nothing that a register said."""
        no_head = "log = '', title = '', folded = '', ms = 0, day = '', by = ''"
        for statement in (
            "DELETE FROM allotted WHERE bench = ?",
            "DELETE FROM read_to WHERE bench = ?",
            "UPDATE logs SET known = 0, void = '', seal = 0 WHERE bench = ?",
            f"UPDATE logs SET {no_head} WHERE bench = ? AND headless",  # noqa: S608  the names are ours
        ):
            self._base.execute(statement, (bench,))

    def _leave_out(self, bench: str) -> None:
        """Take away the rows of numbers that neither the register nor the folder has."""
        self._base.execute("DELETE FROM logs WHERE bench = ? AND NOT known AND file = ''", (bench,))


@dataclass(slots=True)
class _Reading:
    """A register that is being gone through.

    Attributes:
        bench, rows, state, reader: whose, and what its entries go into.
        part: digest of the bytes of its good entries.
        begun: where in its file the reader began, bytes.
        quiet: whether nothing was amiss before that.
    """

    bench: str
    rows: RegisterRows
    state: RegisterState
    reader: Reader
    part: "Hash"
    begun: int = 0
    quiet: bool = True
    _rest: bytes = b""

    @property
    def own(self) -> bool:
        """Whether it is of its bench, as far as it says."""
        return self.state.bench == self.bench or not self.reader.chain.n

    def taken(self, data: bytes) -> list[Entry]:
        """The entries that are complete with these bytes."""
        before, rest = self.reader.good, self._rest + data
        entries = self.reader.feed(data)
        whole = self.reader.good - before
        self.part.update(rest[:whole])
        self._rest = rest[whole:]
        return entries

    def add(self, entries: Iterable[Entry]) -> None:
        """Apply entries to the rows; one that the register contradicts changes nothing."""
        for entry in entries:
            faults = len(self.state.faults)
            self.state.add(entry)
            counts = len(self.state.faults) == faults
            if counts and entry.kind in ("opened", "sealed", "void"):
                self.rows.follow(entry)

    def read_to(self, stand: Stand, *, last: bool) -> ReadTo:
        """How far it was read; after the last bytes with the stand of its file."""
        sound = not last or self.reader.end().state == "sound"
        return ReadTo(
            *(stand if last else (HALFWAY, 0, stand[2])),
            *self.reader.chain.place,
            self.begun + self.reader.good,
            self.part.hexdigest(),
            int(self.quiet and sound and self.own and not self.state.faults),
        )
