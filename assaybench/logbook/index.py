"""The index of a logbook: a cache that finds logs fast, and is believed for nothing that counts.

One SQLite file for each logbook root, in the user's cache folder. It holds one row for each number:
what the register says of it and the outline of its log. It can be deleted at any time. A file that
is stale is brought up to date, one that is corrupt is made anew, one that is locked or cannot be
written is done without: the same tables are then filled in a passing place and thrown away.
Figures, links, signatures and registers are always read from the record itself.

How it knows that it is current:

- the registers by the names, sizes, times and identities of their files; of one whose known
  bytes are as they were, only what follows is gone through;
- which logs there are, and files put in the place of others, by the time of each folder of logs;
- the logs of a page by their own size, time and identity, looked at before the page is shown;
- after an update that looks at "all", every log by the same.

What it cannot see: a change within a log that is not looked at, or one that keeps size, time and
identity of its file. Programs that mean to deceive can do that; `verify` reads everything. A folder
that changed within two seconds before it was listed is listed again the next time, because a disk
may give two changes one time.
"""

import hashlib
import json
import sqlite3
import time
from collections.abc import Callable, Iterable
from contextlib import closing, suppress
from pathlib import Path
from typing import TypeVar

from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.index_fill import Filler
from assaybench.logbook.index_tables import (
    COLUMNS,
    FORMAT,
    TABLES,
    Look,
    Page,
    RegisterCounts,
    Row,
    Wanted,
    Watch,
    Writing,
    beginning,
    where,
)
from assaybench.logbook.survey import Finding
from assaybench.messages import BadInput, say
from assaybench.record.register_kinds import Allotted

T = TypeVar("T")
WAIT_SECONDS = 2.0
"""How long to wait for another command that writes the index; it writes in small pieces."""
_TROUBLE = (sqlite3.Error, OSError, ValueError, TypeError)
"""What a file that was spoilt, or a folder that cannot be written, may lead to."""


class Index:
    """An open index; `with_index` gives it."""

    def __init__(
        self,
        book: Logbook,
        files: Files,
        place: Path | None,
        *,
        clock_ns: Callable[[], int] = time.time_ns,
        tell: Callable[[int], None] = lambda _n: None,
        wait_seconds: float = WAIT_SECONDS,
    ) -> None:
        """Open the file of an index, or a passing one.

        Raises:
            sqlite3.Error: when it cannot be used.
        """
        self._book = book
        # an empty name is a passing database that SQLite keeps on the disk when it grows
        self._base = sqlite3.connect(place or "", timeout=wait_seconds, isolation_level=None)
        self._filler = Filler(self._base, book, files, clock_ns, tell)
        try:
            self._prepare()
        except sqlite3.Error:
            self._base.close()
            raise

    def _prepare(self) -> None:
        if self._version() == 0:
            with Writing(self._base):
                if self._version() == 0:
                    for statement in TABLES.split(";"):
                        self._base.execute(statement)
                    self._base.execute(f"PRAGMA user_version = {FORMAT}")
        if self._version() != FORMAT:
            raise sqlite3.DatabaseError("an index of another format")

    def _version(self) -> object:
        return self._base.execute("PRAGMA user_version").fetchone()[0]

    def close(self) -> None:
        """Close it."""
        self._base.close()

    def update(self, look: Look, watch: Watch = lambda _progress: None) -> None:
        """Bring it up to date.

        Args:
            look: `new` looks at registers and folders, `all` at every log besides.
            watch: told how far it is, the newest logs first; the index may be asked meanwhile.

        Raises:
            NotDone: when a folder or a register cannot be read.
        """
        self._filler.update(look, watch)

    def read_register(self, bench: str, watch: Watch = lambda _progress: None) -> bool:
        """Bring what the register of a bench says up to date; whether nothing is amiss with it.

        Raises:
            NotDone: when it cannot be read.
        """
        return self._filler.read_register(bench, watch)

    def left_open(self, bench: str, most: int) -> tuple[list[Allotted], RegisterCounts]:
        """The numbers of a register that are neither sealed nor void, and how many of each.

        Args:
            bench: whose register.
            most: how many numbers are given, the newest.
        """
        rows = self._base.execute(
            "SELECT number, log, title FROM allotted WHERE bench = ? AND void = '' AND NOT seal"
            " ORDER BY number DESC LIMIT ?",
            (bench, most),
        )
        total, void, sealed = self._base.execute(
            "SELECT count(*), total(void <> ''), total(seal AND void = '') FROM allotted"
            " WHERE bench = ?",
            (bench,),
        ).fetchone()
        counts = RegisterCounts(total - int(void) - int(sealed), int(sealed), int(void))
        return [Allotted(number, log, title) for number, log, title in rows], counts

    def page(self, wanted: Wanted, lines: int, page: int) -> Page:
        """One page of the logs that are asked for, newest first; its logs are looked at.

        Args:
            wanted: which logs.
            lines: rows of a page.
            page: number of the page, from 1.
        """
        found = self._page(wanted, lines, page)
        stale = [row.name for row in found.rows if not self._is_current(row.name)]
        if not stale:
            return found
        self._filler.read(iter(stale))
        return self._page(wanted, lines, page)

    def beginning(self, words: Iterable[str], most: int) -> Page:
        """The logs of which every word begins one, newest first, and how many there are.

        Args:
            words: first letters of words of the title, of the kind, or of the number.
            most: how many are given.
        """
        return self._listed(beginning([word.casefold() for word in words]), most, 0)

    def _page(self, wanted: Wanted, lines: int, page: int) -> Page:
        return self._listed(where(wanted), lines, (page - 1) * lines)

    def _listed(self, condition: tuple[str, list[str]], lines: int, first: int) -> Page:
        asked, values = condition
        total = self._base.execute(f"SELECT count(*) FROM logs WHERE {asked}", values).fetchone()[0]  # noqa: S608  the words are ours, values are bound
        rows = self._base.execute(
            f"SELECT {COLUMNS} FROM logs WHERE {asked}"  # noqa: S608  the same
            " ORDER BY ms DESC, number DESC, bench DESC LIMIT ? OFFSET ?",
            (*values, lines, first),
        )
        return Page(tuple(Row(*row) for row in rows), total)

    def _is_current(self, name: LogName) -> bool:
        known = self._base.execute(
            "SELECT size, changed, identity FROM logs"
            " WHERE bench = ? AND number = ? AND file <> ''",
            name,
        ).fetchone()
        return bool(known == self._filler.stand(name))

    def holders(self, names: Iterable[str]) -> list[LogName]:
        """The logs that hold a sample of one of these ids, or one that repeats it."""
        found: dict[LogName, None] = {}
        for name in sorted(set(names)):
            rows = self._base.execute(
                "SELECT bench, number FROM samples WHERE id = ?"
                " UNION SELECT bench, number FROM samples WHERE of = ?",
                (name, name),
            )
            found |= dict.fromkeys(LogName(*row) for row in rows)
        return sorted(found)

    def rows_of(self, names: Iterable[LogName]) -> list[Row]:
        """The rows of these logs that have a file, oldest first."""
        found = [
            row
            for name in names
            for row in self._base.execute(
                f"SELECT ms, {COLUMNS} FROM logs WHERE bench = ? AND number = ? AND file <> ''",  # noqa: S608  the words are ours
                name,
            )
        ]
        return [Row(*row[1:]) for row in sorted(found)]

    def replaced_by(self) -> dict[LogName, LogName]:
        """The logs that another one replaces, and which; a void number replaces nothing."""
        rows = self._base.execute(
            "SELECT bench, replaces, number FROM logs WHERE replaces > 0 AND void = ''"
        )
        return {LogName(bench, old): LogName(bench, new) for bench, old, new in rows}

    def unseen(self) -> int:
        """How many numbers have a log that is missing or cannot be read."""
        rows = self._base.execute(
            "SELECT count(*) FROM logs"
            " WHERE file = 'not read' OR (known AND file = '' AND void = '')"
        )
        return int(rows.fetchone()[0])

    def findings(self) -> list[Finding]:
        """What the registers say against each other and against the logs that are there."""
        found = [
            Finding(code, sentence, tuple(Path(path) for path in json.loads(paths)))
            for code, sentence, paths in self._base.execute("SELECT * FROM findings")
        ]
        for code, asked in (
            ("number_without_log", "known AND file = '' AND void = ''"),
            ("log_without_number", "NOT known"),
        ):
            rows = self._base.execute(
                f"SELECT bench, number FROM logs WHERE {asked} ORDER BY bench, number"  # noqa: S608  the words are ours
            )
            found += [
                Finding(code, say(code, bench=bench, n=n), (self._book.register(bench),))
                for bench, n in rows
            ]
        return found


def with_index(
    book: Logbook,
    files: Files,
    folder: Path,
    job: Callable[[Index], T],
    *,
    clock_ns: Callable[[], int] = time.time_ns,
    tell: Callable[[int], None] = lambda _n: None,
    wait_seconds: float = WAIT_SECONDS,
) -> T:
    """Do a job with the index of a logbook, whatever state its file is in.

    Args:
        book: the logbook.
        files: the disk.
        folder: folder of the indexes, made when it is missing.
        job: what is asked of the index; it brings it up to date itself.
        clock_ns: gives the time now, ns since 1970.
        tell: called with the number of logs when many must be read.
        wait_seconds: how long to wait for another command that writes it.

    Raises:
        NotDone: when not even a passing index can be had, or the record cannot be read.
    """

    def done(place: Path | None) -> T:
        with closing(
            Index(book, files, place, clock_ns=clock_ns, tell=tell, wait_seconds=wait_seconds)
        ) as index:
            return job(index)

    path = file_of(book, folder)
    for _ in ("as it is", "made anew"):
        try:
            folder.mkdir(parents=True, exist_ok=True)
            return done(path)
        except BadInput:
            raise
        except _TROUBLE as fault:
            if _is_busy(fault):
                break
            _delete(path)
    try:
        return done(None)
    except sqlite3.Error as fault:
        raise NotDone([say("index_failed", why=str(fault))]) from fault


def file_of(book: Logbook, folder: Path) -> Path:
    """The file of the index of a logbook: its name is a digest of the root."""
    root = str(book.root.absolute()).encode("utf-8", "surrogatepass")
    return folder / f"{hashlib.sha256(root).hexdigest()[:32]}.sqlite3"


def cache_folder() -> Path:
    """The user's folder of the indexes."""
    import platformdirs

    return platformdirs.user_cache_path("assaybench", appauthor=False) / "logbooks"


def _is_busy(fault: Exception) -> bool:
    """Whether somebody else writes it; then it is left alone."""
    return isinstance(fault, sqlite3.OperationalError) and "locked" in str(fault)


def _delete(path: Path) -> None:
    for end in ("", "-journal"):
        with suppress(OSError):
            path.with_name(f"{path.name}{end}").unlink()
