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
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.marks import read_mark
from assaybench.logbook.signed_entry import one_entry
from assaybench.logbook.signing import signature_path
from assaybench.logbook.statements import statement_paths
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
    return printed(log, found, seal, flags, wish), not flags


def printed(
    log: ReadLog, across: Across, seal: Sealed, flags: Sequence[Flag], wish: Wish
) -> Report:
    """What a report says, of all that was read for it.

    Args:
        log: the log.
        across: its results and determinations.
        seal: what is known of its seal.
        flags: what a reader must know beside what the log says of itself.
        wish: what the report is to be of.
    """
    return Report(
        name=log.name,
        found=across.found,
        families=across.families,
        others=across.others,
        link=log.verdict.link,
        program=wish.program,
        flags=(*log.flags, *flags),
        seal=seal,
        issued=wish.issued,
        only=wish.samples,
        with_sum=wish.with_sum,
    )


def _seal(where: Where, log: ReadLog) -> tuple[Sealed, list[Flag]]:
    """What the register knows of the seal; a flag when the file is not what was sealed."""
    known = state_of(where.files, where.book, log.name).numbers.get(log.name.number)
    if known is None or known.seal is None:
        return Sealed(), []
    data = read_all(where.files, log.path, LARGEST_LOG) or b""
    same = (sha512(data).hexdigest(), len(data)) == known.seal
    flags = [] if same else [flag("report_not_sealed", name=log.path.name)]
    return seal_of(where.files, where.book, log.name, *known.seal), flags


def seal_of(files: Files, book: Logbook, name: LogName, digest: str, size: int) -> Sealed:
    """What is known of the seal of a log: its digest, its mark, the signed statements about it.

    A statement counts from its signature on, whether the register knows it yet or not: a bundle
    has no register, and says the same.

    Args:
        files: the disk.
        book: the logbook, or a bundle.
        name: the log.
        digest: SHA-512 of its file, as hex.
        size: of its file, bytes.

    Raises:
        NotDone: when the mark or a statement cannot be read.
    """
    mark = read_mark(files, book.mark(name))
    paths = [path for _, path in statement_paths(book, name, files)]
    signed = [path for path in paths if read_all(files, signature_path(path), 1) is not None]
    return Sealed(
        digest,
        size,
        mark.mark.short if mark is not None and mark.mark is not None else "",
        tuple(_said(files, path) for path in signed),
    )


def _said(files: Files, path: Path) -> Statement:
    """What a statement says; nothing but its name where it holds none."""
    entry, _ = one_entry(read_all(files, path, LARGEST_SIGNED) or b"", STATEMENT_BY_NAME)
    values = entry.values if entry is not None else {}
    return Statement(path.name, *(str(values.get(key, "")) for key in Statement._fields[1:]))
