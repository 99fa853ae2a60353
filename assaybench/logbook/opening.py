"""Opening a log, or a register, for writing: lock, read every link, mend what may be mended.

A damaged file is never mended: it stays as it is, can be read up to its first bad line, and takes
nothing more. A torn end, which is what a power cut leaves, is moved aside and recorded.
"""

from collections.abc import Callable, Sequence
from pathlib import Path

from assaybench.logbook.appender import Appender
from assaybench.logbook.faults import NotDone, Unconfirmed, disk_reason, not_read
from assaybench.logbook.files import APPEND, READ
from assaybench.logbook.lock import Lock
from assaybench.logbook.logfile import Keeper, LogFile, Row
from assaybench.logbook.reading import pieces
from assaybench.logbook.recovery import set_aside, torn_files
from assaybench.logbook.store import create
from assaybench.messages import say
from assaybench.record import strict
from assaybench.record.entries import Entry
from assaybench.record.frame import LARGEST_LOG, Chain, Table, framed
from assaybench.record.frame_read import Reader, Verdict
from assaybench.record.kinds import BY_NAME


def open_log(
    path: Path,
    keeper: Keeper,
    *,
    lock: Path | None = None,
    table: Table = BY_NAME,
    most: int = LARGEST_LOG,
    each: Callable[[Entry], object] | None = None,
    first: Row | None = None,
    then: Sequence[Row] = (),
    session: bool = True,
    wait_seconds: float = 0.0,
) -> LogFile:
    """Open a log, or a register, to go on with it.

    Args:
        path: the file; it must be there, unless `first` is given.
        keeper: who writes, with which clock and disk.
        lock: the lock file; left out, `NAME.lock` beside the file.
        table: the kinds of the file.
        most: its largest size in bytes.
        each: called with every good entry, in order, those added here as well.
        first: the first entry, written when the file is missing or holds no whole entry.
        then: entries that are made with the first one, or not at all.
        session: whether to record that the program was started on it.
        wait_seconds: how long to wait for another writer.

    A file made here has no session; one is recorded when it is gone on with.

    Returns:
        The log. It is only read when it is damaged, sealed, or may not be written here; then
        `read_only` says why, and no lock is held.

    Raises:
        LogBusy: another process writes it.
        NotDone: it is not there or cannot be read, or its torn end could not be moved aside; then
            nothing in it was changed.
        NotStored, Unconfirmed: the entries that opening makes could not be stored.
    """
    held = Lock(keeper.files, lock or path.with_suffix(".lock"), path.name)
    held.acquire(keeper.by, keeper.now(), wait_seconds)
    log: LogFile | None = None
    try:
        opening = _Opening(path, keeper, table, most, each)
        rows = [] if first is None else [first, *then]
        made = bool(rows) and opening.make(rows)
        log = opening.log(held)
        if log.read_only is None:
            opening.go_on(log, rows, session=session and not made)
    except BaseException:
        if log is not None:
            log.close()
        held.release()
        raise
    if log.read_only is not None:
        held.release()
    return log


class _Opening:
    """Reads a file to its end, then mends what may be mended."""

    def __init__(
        self,
        path: Path,
        keeper: Keeper,
        table: Table,
        most: int,
        each: Callable[[Entry], object] | None,
    ) -> None:
        self.path, self.keeper, self.most, self.each = path, keeper, most, each
        self.reader = Reader(table, most=most)
        self.named: set[str] = set()

    def make(self, rows: Sequence[Row]) -> bool:
        """Make the file with its first entries, whole, when there is none; say whether it was."""
        if self._there():
            return False
        chain, data, by = Chain(self.reader.chain.table), b"", self.keeper.by
        for kind, values in rows:
            ready = strict.ready(chain, by, kind, values)
            made = framed(chain, self.keeper.now(), by, kind, ready)
            chain.step(kind, made.link)
            data += made.data
        try:
            self.keeper.files.make_folder(self.path.parent)
            create(self.keeper.files, self.path, data)
        except FileExistsError:
            # made by another in the meantime, before it asked for the lock
            return False
        except OSError as fault:
            why = disk_reason(fault)
            raise NotDone([say("file_not_made", name=self.path.name, why=why)]) from fault
        return True

    def _there(self) -> bool:
        try:
            return self.keeper.files.stat(self.path) is not None
        except OSError as fault:
            raise not_read(self.path, fault) from fault

    def log(self, lock: Lock) -> LogFile:
        """The log as it stands, its torn end moved aside."""
        files = self.keeper.files
        locked: str | None = None
        try:
            descriptor = files.open(self.path, APPEND)
        except PermissionError as fault:
            # a sealed log is made read-only; it can be read all the same
            locked = say("log_no_right", name=self.path.name, why=disk_reason(fault))
            descriptor = self._only_read(fault)
        except OSError as fault:
            raise not_read(self.path, fault) from fault
        appender = Appender(files, self.path, descriptor, 0, self.most)
        try:
            for entry in pieces(files, descriptor, self.path, self.reader):
                self._seen(entry)
            verdict = self.reader.end()
            appender.size = verdict.good
            log = LogFile(self.keeper, self.path, lock, self.reader.chain, appender)
            log.verdict = verdict
            appender.closed = self._why_read_only(verdict) or locked
            if verdict.state == "torn" and appender.closed is None:
                self._cut(appender, verdict)
        except BaseException:
            appender.close()
            raise
        return log

    def _only_read(self, fault: PermissionError) -> int:
        try:
            return self.keeper.files.open(self.path, READ)
        except OSError:
            raise not_read(self.path, fault) from fault

    def _seen(self, entry: Entry) -> None:
        if entry.kind == "recovered":
            self.named.add(str(entry.values.get("file", "")))
        if self.each is not None:
            self.each(entry)

    def _why_read_only(self, verdict: Verdict) -> str | None:
        if verdict.state == "damaged":
            return say("log_damaged", name=self.path.name, why=verdict.sentence)
        chain = self.reader.chain
        last = chain.kind_of(chain.n)
        if last is not None and last.name == "sealed" and strict.is_log(chain):
            return say("log_sealed")
        return None

    def _cut(self, appender: Appender, verdict: Verdict) -> None:
        set_aside(self.keeper.files, self.path, verdict.good, verdict.size)
        try:
            appender.cut()
        except OSError as fault:
            line = say("torn_not_cut", name=self.path.name, why=disk_reason(fault))
            raise Unconfirmed([line]) from fault

    def go_on(self, log: LogFile, first: Sequence[Row], *, session: bool) -> None:
        """Record what was moved aside and, when asked for, that the program goes on here.

        In a file without a whole entry nothing can stand before the first ones.
        """
        if log.n == 0 and not first:
            return
        fresh = [t for t in torn_files(self.keeper.files, self.path) if t.file not in self.named]
        rows: list[Row] = [("recovered", {"file": t.file, "size": t.size}) for t in fresh]
        if log.n == 0:
            rows[:0] = first
        elif session:
            rows.append(("session", {"program": self.keeper.program, "resumed": True}))
        if rows:
            for entry in log.append_all(rows):
                self._seen(entry)
        log.recovered = fresh
