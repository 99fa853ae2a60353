"""The report of a log, put together from the log, its register and the other logs it rests on."""

from collections.abc import Callable, Sequence
from hashlib import sha512
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook.determinations import (
    Elsewhere,
    Family,
    determinations,
    families,
    other_logs,
)
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.marks import read_mark
from assaybench.logbook.signed_entry import one_entry
from assaybench.logbook.store import read_all
from assaybench.logbook.whole_log import ReadLog, state_of
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Flag, flag
from assaybench.record.frame import LARGEST_LOG
from assaybench.record.replay import State, replay
from assaybench.record.results import Results, results
from assaybench.record.signed_kinds import LARGEST_SIGNED, STATEMENT_BY_NAME
from assaybench.report.text import Report, Sealed, Statement


class Where(NamedTuple):
    """Where logs are looked for.

    Attributes:
        files: the disk.
        book: the logbook.
        cache: folder of the indexes.
        tell: called with the number of logs when many must be read.
    """

    files: Files
    book: Logbook
    cache: Path
    tell: Callable[[int], None] = lambda _n: None


class Across(NamedTuple):
    """The determinations of a log's samples wherever they stand, and the results of the log."""

    found: Results
    others: Elsewhere
    families: tuple[Family, ...]


def across(where: Where, log: ReadLog) -> Across:
    """All determinations of the samples of a log.

    Raises:
        BadInput: what stands in the way of its results.
        NotDone: when the logbook cannot be read.
    """
    state = replay(log.entries)
    others = elsewhere(where, log, state)
    found = results(state)
    held = determinations(where.book, where.files, log.name, found, others)
    return Across(found, others, held)


def elsewhere(where: Where, log: ReadLog, state: State) -> Elsewhere:
    """The other logs that hold determinations of a log's samples; none for practice.

    Args:
        where: where they are looked for.
        log: the log.
        state: what it says.

    Raises:
        NotDone: when the logbook cannot be read.
    """
    if log.name.practice:
        return Elsewhere((), None, 0)
    asked = families(state)
    return other_logs(where.book, where.files, log.name, asked, cache=where.cache, tell=where.tell)


class Wish(NamedTuple):
    """What a report is to be of.

    Attributes:
        program: program and version that make it.
        samples: ids of the samples asked for; empty asks for all.
        issued: date of issue, empty when nobody said.
        with_sum: whether the sums are printed.
    """

    program: str
    samples: Sequence[str] = ()
    issued: str = ""
    with_sum: bool = False


def report_of(where: Where, log: ReadLog, wish: Wish) -> tuple[Report, bool]:
    """What a report says, and whether the file is what was sealed.

    Raises:
        BadInput: for a sample that the log does not hold, or what stands in the way of results.
        NotDone: when the logbook cannot be read.
    """
    found = across(where, log)
    known = found.found.run.state.samples
    unknown = [
        say("sample_not_in_log", x=quoted(name), choices=", ".join(known) or "none yet")
        for name in wish.samples
        if name not in known
    ]
    if unknown:
        raise BadInput(unknown).named("--sample")
    seal, flags = _seal(where, log)
    report = Report(
        name=log.name,
        found=found.found,
        families=found.families,
        others=found.others,
        link=log.verdict.link,
        program=wish.program,
        flags=(*log.flags, *flags),
        seal=seal,
        issued=wish.issued,
        only=wish.samples,
        with_sum=wish.with_sum,
    )
    return report, not flags


def _seal(where: Where, log: ReadLog) -> tuple[Sealed, list[Flag]]:
    """What the register knows of the seal; a flag when the file is not what was sealed."""
    known = state_of(where.files, where.book, log.name).numbers.get(log.name.number)
    if known is None or known.seal is None:
        return Sealed(), []
    data = read_all(where.files, log.path, LARGEST_LOG) or b""
    same = (sha512(data).hexdigest(), len(data)) == known.seal
    flags = [] if same else [flag("report_not_sealed", name=log.path.name)]
    mark = _mark(where, log.name)
    said = tuple(statement_said(where.files, log.path.with_name(name)) for name in known.statements)
    return Sealed(known.seal.sha512, known.seal.size, mark, said), flags


def statement_said(files: Files, path: Path) -> Statement:
    """What a statement says; nothing but its name where it cannot be read."""
    try:
        data = read_all(files, path, LARGEST_SIGNED) or b""
    except NotDone:
        data = b""
    entry, _ = one_entry(data, STATEMENT_BY_NAME)
    values = entry.values if entry is not None else {}
    return Statement(path.name, *(str(values.get(key, "")) for key in Statement._fields[1:]))


def _mark(where: Where, name: LogName) -> str:
    """The mark of the register as `N:DIGEST`; empty without one that can be read."""
    try:
        found = read_mark(where.files, where.book.mark(name))
    except NotDone:
        return ""
    return found.mark.short if found is not None and found.mark is not None else ""
