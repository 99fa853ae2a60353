"""Reading a framed file from the disk: entries one by one, and the verdict at its end.

Nothing is locked and nothing is changed. The file is read in pieces, so memory stays flat.
"""

from collections.abc import Iterator
from pathlib import Path

from assaybench.logbook.faults import not_read
from assaybench.logbook.files import READ, Files
from assaybench.record.entries import Entry
from assaybench.record.frame import LARGEST_LOG, Table
from assaybench.record.frame_read import Reader, Verdict
from assaybench.record.kinds import BY_NAME

PIECE = 1 << 16


class LogReading:
    """The entries of one file, to be gone through once.

    Attributes:
        path: the file.
    """

    def __init__(
        self,
        files: Files,
        path: Path,
        *,
        table: Table = BY_NAME,
        most: int = LARGEST_LOG,
        keep_links: bool = False,
    ) -> None:
        self.path = path
        self._verdict: Verdict | None = None
        self._files = files
        self._reader = Reader(table, most=most, keep_links=keep_links)

    @property
    def verdict(self) -> Verdict:
        """What the file is, after its entries were gone through.

        Raises:
            RuntimeError: before that, since only the whole file has a verdict.
        """
        if self._verdict is None:
            raise RuntimeError("a verdict before the end of the file")
        return self._verdict

    @property
    def links(self) -> list[str]:
        """Links of the entries so far; empty unless they were asked for."""
        return self._reader.links or []

    def __iter__(self) -> Iterator[Entry]:
        """The good entries, in order; after the last one the verdict is there.

        Raises:
            NotDone: when the file is not there or cannot be read.
        """
        try:
            descriptor = self._files.open(self.path, READ)
        except OSError as fault:
            raise not_read(self.path, fault) from fault
        try:
            yield from pieces(self._files, descriptor, self.path, self._reader)
        finally:
            self._files.close(descriptor)
        self._verdict = self._reader.end()


def pieces(files: Files, descriptor: int, path: Path, reader: Reader) -> Iterator[Entry]:
    """Feed a reader from an open file, from where it stands, up to its end or first bad byte.

    Raises:
        NotDone: when the disk cannot read it.
    """
    while not reader.stopped:
        try:
            piece = files.read(descriptor, PIECE)
        except OSError as fault:
            raise not_read(path, fault) from fault
        if not piece:
            return
        yield from reader.feed(piece)


def read_log(
    files: Files, path: Path, *, table: Table = BY_NAME, most: int = LARGEST_LOG
) -> tuple[list[Entry], Verdict]:
    """All good entries of a file and the verdict on it.

    Raises:
        NotDone: when the file is not there or cannot be read.
    """
    reading = LogReading(files, path, table=table, most=most)
    entries = list(reading)
    return entries, reading.verdict
