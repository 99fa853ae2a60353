"""Storing one entry by a command: checked in full first, then written, then told."""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from assaybench.cli.logbooks import PROGRAM, Desk, allotted, by_of, now, read
from assaybench.logbook.faults import NotDone, NotWritable
from assaybench.logbook.folder import LogName
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.opening import open_log
from assaybench.logbook.register import WAIT_SECONDS
from assaybench.messages import BadInput, say
from assaybench.metrology.figure import Flag, flag
from assaybench.record.entries import Effective, Entry, effective
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
        entries: its entries now, the stored one last.
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
    def row(self) -> tuple[str, str]:
        """The row that says it."""
        return ("stored", f"entry {self.entries[-1].n} of {self.name.spelled}")


def store(
    desk: Desk, typed: dict[str, Any], number: str, make: Callable[[list[Entry]], Wanted]
) -> Stored:
    """Check an entry in full, then store it; it is on the disk when this returns.

    Everything is checked before the log is opened for writing, so a fault changes nothing; and
    once more behind the lock, since another command may have been faster.

    Args:
        desk: where.
        typed: the options; --by counts.
        number: the log, as typed.
        make: the entry that is wanted, from all entries of the log.

    Raises:
        BadInput: one line for each fault; nothing was written.
        NotDone: the log is damaged or sealed, another command writes it, or the disk refuses.
    """
    log = read(desk, number)
    known = allotted(desk, log.name)
    if known is None:
        raise BadInput.of("number_not_allotted", n=log.name.number)
    if known.void:
        raise BadInput.of("number_void", n=log.name.number, why=known.void)
    if log.damaged:
        raise NotWritable([f.text for f in log.flags])
    if log.verdict.newer:
        raise NotDone([say("log_newer")])
    if not log.entries:
        raise NotDone([say("log_empty", name=log.name.spelled)])
    faults: list[str] = []
    by = by_of(desk, typed, faults)
    keeper = Keeper(by, now, desk.files, PROGRAM)
    wanted = make(log.entries)
    _must_fit(log.entries, keeper, wanted._replace(faults=[*faults, *wanted.faults]))
    entries: list[Entry] = []
    with open_log(
        log.path,
        keeper,
        lock=desk.book.lock(log.path),
        each=entries.append,
        session=False,
        wait_seconds=WAIT_SECONDS,
    ) as file:
        if file.read_only is not None:
            raise NotWritable([file.read_only])
        wanted = make(entries)
        _must_fit(entries, keeper, wanted)
        stored = file.append(wanted.kind, wanted.values)
        flags = [flag("entry_unfinished", name=torn.file) for torn in file.recovered]
    return Stored(log.name, entries, [*entries, stored], flags)


def _must_fit(entries: list[Entry], keeper: Keeper, wanted: Wanted) -> None:
    trial = Entry(len(entries) + 1, keeper.now(), keeper.by, wanted.kind, wanted.values)
    must_fit(entries, trial, wanted.faults)
