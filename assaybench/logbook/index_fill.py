"""Bringing the index of a logbook up to date: registers, folders of logs, logs, in that order."""

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from heapq import nlargest
from pathlib import Path

from assaybench.logbook.faults import not_read
from assaybench.logbook.files import Files, Status
from assaybench.logbook.folder import Logbook, LogName, log_number
from assaybench.logbook.index_registers import RegisterFiller
from assaybench.logbook.index_tables import Look, Progress, Stand, Watch, Writing, stand_of
from assaybench.logbook.outline import Outline, outline
from assaybench.logbook.survey import Finding, survey

RACE_NS = 2_000_000_000
"""A folder is believed unchanged when it was listed this long after its last change; the coarsest
times of disks in use, those of sticks, have steps of 2 s."""
NEWEST = 60
"""Logs that are read before anything else: a page of the list in a high terminal."""
PIECE = 200
"""Logs that are read in one stretch of writing; others who wait get their turn between two."""
MANY = 1_000
"""From so many logs to read on, somebody is told that it takes a while."""


class Filler:
    """Fills the tables of an index from the record."""

    def __init__(
        self,
        base: sqlite3.Connection,
        book: Logbook,
        files: Files,
        clock_ns: Callable[[], int],
        tell: Callable[[int], None],
    ) -> None:
        self._base = base
        self._book = book
        self._files = files
        self._clock_ns = clock_ns
        self._tell = tell
        self._own = RegisterFiller(base, book, files)
        self._begun: set[str] = set()

    def update(self, look: Look, watch: Watch = lambda _progress: None) -> None:
        """Bring the tables up to date.

        Args:
            look: `new` looks at registers and folders, `all` at every log besides.
            watch: told how far it is.

        Raises:
            NotDone: when a folder or a register cannot be read.
        """
        benches = self._book.benches(self._files)
        for bench in benches:
            self._newest(bench, watch)
        self._registers(benches, watch)
        for bench in benches:
            self._bench(bench, look, watch)
        rows = self._base.execute("SELECT bench FROM folders").fetchall()
        for (bench,) in rows:
            if bench not in benches:
                self._forget_bench(bench)

    def _newest(self, bench: str, watch: Watch) -> None:
        """Of a bench that was never read, its newest logs first: somebody may wait for them."""
        known = self._base.execute(
            "SELECT 1 FROM logs WHERE bench = ? AND file <> '' LIMIT 1", (bench,)
        ).fetchone()
        if known is not None:
            return
        numbers = self._book.numbers(self._files, bench)
        if len(numbers) >= MANY:
            self._tell(len(numbers))
        newest = nlargest(NEWEST, numbers)
        self.read(LogName(bench, number) for number in newest)
        self._begun.add(bench)
        watch(Progress(bench, "newest", len(newest), len(newest)))

    def read_register(self, bench: str, watch: Watch) -> bool:
        """Bring what the register of a bench says up to date; whether nothing is amiss with it.

        Raises:
            NotDone: when it cannot be read.
        """
        status = self._stat(self._book.register(bench))
        return self._own.read(bench, None if status is None else stand_of(status), watch)

    def _registers(self, benches: list[str], watch: Watch) -> None:
        stands = {name: stand_of(status) for name, status in self._scan(self._book.registers)}
        signature = json.dumps([str(self._book.root), benches, sorted(stands.items())])
        known = self._base.execute("SELECT signature FROM registers").fetchone()
        if known is not None and known[0] == signature:
            return
        own = {bench: f"{bench}.toml" for bench in benches}
        quiet = [self._own.read(bench, stands.get(name), watch) for bench, name in own.items()]
        others = {n for n in stands if n.endswith(".toml") and not n.startswith(".")}
        strange = not all(quiet) or not others <= set(own.values())
        # only where something is amiss all of them are held in memory, against each other
        self._told(survey(self._book, self._files).findings if strange else (), signature)

    def _told(self, findings: Iterable[Finding], signature: str) -> None:
        """Keep what was found; gaps and strangers are asked of the rows instead."""
        with Writing(self._base) as base:
            base.execute("DELETE FROM findings")
            base.executemany(
                "INSERT INTO findings VALUES (?, ?, ?)",
                (
                    (f.code, f.sentence, json.dumps([str(path) for path in f.paths]))
                    for f in findings
                    if f.code not in ("number_without_log", "log_without_number")
                ),
            )
            base.execute("DELETE FROM registers")
            base.execute("INSERT INTO registers VALUES (?)", (signature,))

    def _bench(self, bench: str, look: Look, watch: Watch) -> None:
        folder = self._book.logs(bench)
        now, status = self._clock_ns(), self._stat(folder)
        changed = 0 if status is None else status.changed_ns
        known = self._base.execute(
            "SELECT changed, listed FROM folders WHERE bench = ?", (bench,)
        ).fetchone()
        quiet = known is not None and known[0] == changed and known[1] - changed > RACE_NS
        if quiet and look == "new":
            return
        self._list(bench, folder, watch)
        if not quiet:
            with Writing(self._base) as base:
                base.execute(
                    "INSERT OR REPLACE INTO folders VALUES (?, ?, ?)", (bench, changed, now)
                )

    def _list(self, bench: str, folder: Path, watch: Watch) -> None:
        """Hold every log of a bench against its row; read those that changed."""
        base = self._base
        base.execute(
            "CREATE TEMP TABLE IF NOT EXISTS seen"
            " (number INTEGER PRIMARY KEY, size INTEGER, changed INTEGER, identity TEXT)"
        )
        base.execute("BEGIN")
        base.execute("DELETE FROM seen")
        base.executemany("INSERT OR IGNORE INTO seen VALUES (?, ?, ?, ?)", self._stands(folder))
        base.execute("COMMIT")
        other = base.execute(
            "SELECT s.number FROM seen s LEFT JOIN logs l ON l.bench = ? AND l.number = s.number"
            " WHERE l.number IS NULL OR l.file = '' OR l.size <> s.size"
            " OR l.changed <> s.changed OR l.identity <> s.identity"
            " UNION SELECT number FROM logs WHERE bench = ? AND file <> ''"
            " AND number NOT IN (SELECT number FROM seen) ORDER BY number DESC",
            (bench, bench),
        ).fetchall()
        if len(other) >= MANY and bench not in self._begun:
            self._tell(len(other))
        for at in range(0, len(other), PIECE):
            piece = other[at : at + PIECE]
            self.read(LogName(bench, number) for (number,) in piece)
            watch(Progress(bench, "logs", at + len(piece), len(other)))

    def _stands(self, folder: Path) -> Iterator[tuple[int, int, int, str]]:
        for name, status in self._scan(folder):
            number = log_number(name)
            if number is not None:
                yield (number, *stand_of(status))

    def read(self, names: Iterator[LogName]) -> None:
        """Read logs into their rows, in one stretch of writing."""
        with Writing(self._base):
            for name in names:
                self._read(name)

    def _read(self, name: LogName) -> None:
        """Read one log; its stand is taken before, so that a later change is seen the next time."""
        stand = self.stand(name)
        if stand is None:
            self._forget(name)
            return
        found = outline(self._files, self._book.log(name))
        self._base.execute("DELETE FROM samples WHERE bench = ? AND number = ?", name)
        self._base.executemany(
            "INSERT INTO samples VALUES (?, ?, ?, ?, ?, ?)", ((*s, *name) for s in found.samples)
        )
        said = {
            **_of_outline(found),
            **dict(zip(("size", "changed", "identity"), stand, strict=True)),
        }
        keys, again = ", ".join(said), ", ".join(f"{key} = excluded.{key}" for key in said)
        marks = ", ".join("?" * len(said))
        self._base.execute(
            f"INSERT INTO logs (bench, number, {keys}) VALUES (?, ?, {marks})"  # noqa: S608  the names are ours, values are bound
            f" ON CONFLICT (bench, number) DO UPDATE SET {again}",
            (*name, *said.values()),
        )
        if not found.log:
            self._own.take_over(name)

    def _forget(self, name: LogName) -> None:
        """A log that is there no more; its number stays when the register knows it."""
        self._base.execute("DELETE FROM samples WHERE bench = ? AND number = ?", name)
        self._base.execute("DELETE FROM logs WHERE bench = ? AND number = ? AND NOT known", name)
        self._base.execute(
            "UPDATE logs SET file = '', entries = 0, samples = 0, sealed = '', replaces = 0,"
            " practice = 0, size = NULL, headless = 1 WHERE bench = ? AND number = ?",
            name,
        )
        self._own.take_over(name)

    def _forget_bench(self, bench: str) -> None:
        with Writing(self._base) as base:
            for table in ("logs", "samples", "folders", "read_to", "allotted"):
                base.execute(f"DELETE FROM {table} WHERE bench = ?", (bench,))  # noqa: S608  the names are ours

    def stand(self, name: LogName) -> Stand | None:
        """What the file of a log is now; None when there is none."""
        status = self._stat(self._book.log(name))
        return None if status is None else stand_of(status)

    def _stat(self, path: Path) -> Status | None:
        try:
            return self._files.stat(path)
        except OSError as fault:
            raise not_read(path, fault) from fault

    def _scan(self, folder: Path) -> Iterator[tuple[str, Status]]:
        try:
            yield from self._files.scan(folder)
        except OSError as fault:
            raise not_read(folder, fault) from fault


def _of_outline(found: Outline) -> dict[str, object]:
    """The columns that a log fills."""
    return {
        "log": found.log,
        "title": found.title,
        "folded": found.title.casefold(),
        "ms": found.opened_ms,
        "day": found.day,
        "by": found.by,
        "headless": int(not found.log),
        "file": found.file,
        "entries": found.entries,
        "sealed": found.sealed,
        "practice": int(found.practice),
        "replaces": found.replaces,
        "samples": len(found.samples),
    }
