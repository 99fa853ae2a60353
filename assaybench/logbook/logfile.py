"""One log open for writing: every entry is checked, framed and on the disk before it is stored.

`opening.open_log` gives it. The register is kept by the same code, with a table of its own.
"""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import NamedTuple, Self

from assaybench.logbook.appender import Appender
from assaybench.logbook.faults import NotWritable
from assaybench.logbook.files import Files
from assaybench.logbook.lock import Lock
from assaybench.logbook.recovery import Torn
from assaybench.record import strict
from assaybench.record.entries import Entry
from assaybench.record.frame import Chain, framed
from assaybench.record.frame_read import Verdict

Clock = Callable[[], datetime]
Row = tuple[str, Mapping[str, object]]
"""Kind and own keys of an entry that is to be made."""


class Keeper(NamedTuple):
    """Who writes, with which clock, on which disk, with which program.

    Attributes:
        by: initials.
        clock: gives the time now, with its offset.
        files: the disk.
        program: program and version, as entries name it.
    """

    by: str
    clock: Clock
    files: Files
    program: str

    def now(self) -> datetime:
        """The time now to whole milliseconds, with its offset.

        Raises:
            ValueError: for a clock without an offset, a fault of the program.
        """
        now = self.clock()
        if now.tzinfo is None:
            raise ValueError("a clock without an offset")
        beyond = now.microsecond % 1000
        return now.replace(microsecond=now.microsecond - beyond) if beyond else now


class LogFile:
    """A log that was opened.

    Attributes:
        path: the file.
        verdict: what it was when it was opened.
        recovered: torn ends that were recorded when it was opened.
        read_only: why it takes no entries, None when it does.
    """

    def __init__(
        self, keeper: Keeper, path: Path, lock: Lock, chain: Chain, appender: Appender
    ) -> None:
        self.path = path
        self.verdict = Verdict("sound", 0, 0, 0, "")
        self.recovered: list[Torn] = []
        self._keeper = keeper
        self._lock = lock
        self._chain = chain
        self._appender = appender

    @property
    def read_only(self) -> str | None:
        """Why it takes no entries, None when it does."""
        return self._appender.closed

    @property
    def n(self) -> int:
        """Number of the last stored entry, 0 when there is none."""
        return self._chain.n

    @property
    def link(self) -> str:
        """Link of the last stored entry."""
        return self._chain.link

    @property
    def size(self) -> int:
        """Stored bytes."""
        return self._appender.size

    def append(self, kind: str, values: Mapping[str, object], *, by: str | None = None) -> Entry:
        """Store one entry; it is on the disk when this returns.

        Args:
            kind: name of its kind.
            values: its own keys.
            by: initials; left out, those the log was opened with.

        Raises:
            BadInput: one line for each fault of the entry; nothing was written.
            NotStored: the disk refused; nothing of it is left in the file.
            Unconfirmed: the disk failed; it may stand in the file, which is closed for writing.
            NotWritable: the log takes no entries.
        """
        return self.append_all([(kind, values)], by=by)[0]

    def append_all(
        self,
        rows: Iterable[Row],
        *,
        by: str | None = None,
        before_writing: Callable[[bytes], object] | None = None,
    ) -> list[Entry]:
        """Store several entries with one write, all or, when the disk refuses, none.

        A power cut within it may leave the first of them stored; whole entries are never torn.

        Args:
            rows: kind and own keys of each.
            by: initials; left out, those the log was opened with.
            before_writing: called with the bytes that are about to be added; whatever it raises,
                nothing is written.

        Raises:
            BadInput, NotStored, Unconfirmed, NotWritable: as `append`.
        """
        appender, by = self._appender, by or self._keeper.by
        if appender.closed is not None:
            raise NotWritable([appender.closed])
        before, size = self._chain.place, appender.size
        entries: list[Entry] = []
        parts: list[bytes] = []
        try:
            for kind, values in rows:
                entry, data = self._next(kind, values, by)
                entries.append(entry)
                parts.append(data)
            data = b"".join(parts)
            if before_writing is not None:
                before_writing(data)
            appender.append(data)
        finally:
            # also after an interrupt: the chain and the stored length never part
            if appender.size == size:
                self._chain.back_to(before)
        return entries

    def _next(self, kind: str, values: Mapping[str, object], by: str) -> tuple[Entry, bytes]:
        values, at = strict.ready(self._chain, by, kind, values), self._keeper.now()
        data, link = framed(self._chain, at, by, kind, values)
        self._chain.step(kind, link)
        return Entry(self._chain.n, at, by, kind, values), data

    def close(self) -> None:
        """Close the file and give its lock back; nothing happens when it is closed."""
        self._appender.close()
        self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()
