"""Storing an entry by a command: checked in full first, then written, then told."""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from assaybench import PROGRAM
from assaybench.cli.logbooks import Desk, allotted, by_of, read
from assaybench.logbook.clock import machine_time
from assaybench.logbook.faults import NotDone, NotWritable
from assaybench.logbook.folder import LogName
from assaybench.logbook.history import history
from assaybench.logbook.logfile import Keeper, Row
from assaybench.logbook.opening import open_log
from assaybench.logbook.register import WAIT_SECONDS, go_on_line
from assaybench.logbook.survey import never_allotted
from assaybench.logbook.whole_log import ReadLog
from assaybench.messages import BadInput, say
from assaybench.metrology.figure import Flag, flag
from assaybench.record.entries import Effective, Entry, effective
from assaybench.record.reissue import as_stored, joined
from assaybench.record.trial import must_fit


class Wanted(NamedTuple):
    """An entry that is to be stored, and the faults found while it was read."""

    kind: str
    values: dict[str, object]
    faults: Sequence[str] = ()


class Stored(NamedTuple):
    """What storing an entry came to.

    Attributes:
        name: name of the log.
        before: its entries before.
        entries: its entries now, the stored ones last.
        flags: torn ends that were moved aside on the way.
    """

    name: LogName
    before: list[Entry]
    entries: list[Entry]
    flags: list[Flag]

    @property
    def counting(self) -> list[Effective]:
        """All entries as they count now."""
        return effective(self.entries)

    @property
    def new(self) -> list[Effective]:
        """The entries that were stored; the last one is what was asked for."""
        return self.counting[len(self.before) :]

    @property
    def row(self) -> tuple[str, str]:
        """The row that says it."""
        return ("stored", f"entry {self.entries[-1].n} of {self.name.spelled}")


Rows = Callable[[Sequence[Entry], Wanted], Sequence[Row]]
"""What is stored for an entry that was checked: itself, perhaps with others before it."""


Last = Callable[[LogName, Sequence[Row]], Sequence[Row]]
"""Does what must be done right before rows of a log are stored, and returns them."""


def alone(_entries: Sequence[Entry], wanted: Wanted) -> list[Row]:
    """The entry by itself."""
    return [(wanted.kind, wanted.values)]


def store(
    desk: Desk,
    typed: dict[str, Any],
    number: str,
    make: Callable[[list[Entry]], Wanted],
    rows: Rows = alone,
    last: Last | None = None,
) -> Stored:
    """Check an entry in full, then store it; it is on the disk when this returns.

    Everything is checked before the log is opened for writing, so a fault changes nothing; and
    once more behind the lock, since another command may have been faster.

    Args:
        desk: where.
        typed: the options; --by counts.
        number: the log, as typed.
        make: the entry that is wanted, from all entries of the log.
        rows: what is stored for it, from these entries; the entry itself is the last of them.
        last: called behind the lock when everything was checked, right before storing.

    Raises:
        BadInput: one line for each fault; nothing was written.
        NotDone: the log is damaged or sealed, another command writes it, or the disk refuses.
    """
    log = read(desk, number)
    _must_take_entries(desk, log)
    faults: list[str] = []
    by = by_of(desk, typed, faults)
    keeper = Keeper(by, machine_time, desk.files, PROGRAM)
    wanted = make(log.entries)
    _fitting(log.entries, keeper, wanted._replace(faults=[*faults, *wanted.faults]), rows)
    own: list[Entry] = []
    with open_log(
        log.path,
        keeper,
        lock=desk.book_of(log.name).lock(log.path),
        each=own.append,
        session=False,
        wait_seconds=WAIT_SECONDS,
    ) as file:
        if file.read_only is not None:
            raise NotWritable([file.read_only])
        parts = history(desk.files, log.path, own)
        before = joined(parts)
        fit = _fitting(before, keeper, make(before), rows)
        if last is not None:
            fit = last(log.name, fit)
        made = file.append_all((kind, as_stored(kind, values, parts)) for kind, values in fit)
        flags = [flag("entry_unfinished", name=torn.file) for torn in file.recovered]
    parts[-1] = parts[-1]._replace(entries=[*own, *made])
    return Stored(log.name, before, joined(parts), flags)


def _must_take_entries(desk: Desk, log: ReadLog) -> None:
    """Refuse a log that takes no entries.

    Raises:
        BadInput, NotDone: with the reason.
    """
    known = allotted(desk, log.name)
    if known is None and not log.name.practice:
        never_allotted(desk.book, log.name, desk.files)
    if known is not None and known.void:
        raise BadInput.of("number_void", n=log.name.number, why=known.void)
    if log.damaged:
        raise NotWritable([f.text for f in log.flags])
    if log.verdict.newer:
        raise NotDone([say("log_newer")])
    if not log.entries:
        lines = [say("log_empty", name=log.name.spelled)]
        raise NotDone([*lines, go_on_line(log.name, known.log)] if known else lines)


def _fitting(entries: Sequence[Entry], keeper: Keeper, wanted: Wanted, rows: Rows) -> Sequence[Row]:
    """The rows of an entry, when each may follow those before it."""
    trial = [*entries]
    _try(trial, keeper, (wanted.kind, wanted.values), wanted.faults)
    found = rows(entries, wanted)
    if found != alone(entries, wanted):
        del trial[len(entries) :]
        for row in found:
            _try(trial, keeper, row)
    return found


def _try(trial: list[Entry], keeper: Keeper, row: Row, faults: Sequence[str] = ()) -> None:
    entry = Entry(len(trial) + 1, keeper.now(), keeper.by, *row)
    must_fit(trial, entry, faults)
    trial.append(entry)
