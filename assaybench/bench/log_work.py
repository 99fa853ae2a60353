"""What is done with one log of the logbook: read, reported, bundled, replaced, made void."""

from pathlib import Path
from typing import NamedTuple

from assaybench.bench.desk import Desk
from assaybench.bench.writing import write_new
from assaybench.logbook.bundle import REPORT, bundle
from assaybench.logbook.faults import NotDone, disk_reason
from assaybench.logbook.folder import LogName
from assaybench.logbook.recovery import torn_files
from assaybench.logbook.register import Register
from assaybench.logbook.reissuing import reissue
from assaybench.logbook.signing import signature_path
from assaybench.logbook.statements import statement_paths
from assaybench.logbook.whole_log import (
    ReadLog,
    is_there,
    must_have_results,
    read_whole,
    state_of,
)
from assaybench.messages import BadInput, quoted, say
from assaybench.record.entries import Entry, effective
from assaybench.report.log_report import Where, Wish, report_of
from assaybench.report.text import text_report


class Log(NamedTuple):
    """A log as its page shows it.

    Attributes:
        read: the log as it was read.
        samples: how many it holds.
        sealed: its `sealed` entry; None while it is open.
        statements: signed statements beside it.
        torn: unfinished ends that were kept aside.
        register_seal: whether the register says that it is sealed.
        half: whether its seal was begun and a part of it is not there.
    """

    read: ReadLog
    samples: int
    sealed: Entry | None
    statements: int
    torn: int
    register_seal: bool
    half: bool = False

    @property
    def is_sealed(self) -> bool:
        """Whether its seal is whole, and its file is as it was written."""
        return self.sealed is not None and not self.half and self.read.verdict.state == "sound"

    @property
    def signer(self) -> dict[str, str]:
        """Printed name, role and meaning of its seal."""
        values = self.sealed.values if self.sealed is not None else {}
        return {key: str(values.get(key, "")) for key in ("name", "role", "meaning")}


def read_log(desk: Desk, name: LogName) -> Log:
    """Read one log; nothing is locked or changed.

    Raises:
        BadInput: when it is not there.
        NotDone: when it cannot be read.
    """
    read = read_whole(desk.files, desk.book, name)
    samples = sum(e.kind == "sample" and e.withdrawn is None for e in effective(read.entries))
    sealed = read.own[-1] if read.own and read.own[-1].kind == "sealed" else None
    statements = len(statement_paths(desk.book, name, desk.files))
    known = state_of(desk.files, desk.book, name).numbers.get(name.number)
    register_seal = known is not None and known.seal is not None
    torn = len(torn_files(desk.files, read.path))
    parts = (signature_path(read.path), desk.book.mark(name))
    there = register_seal and all(is_there(desk.files, part) for part in parts)
    half = sealed is not None and not there
    return Log(read, samples, sealed, statements, torn, register_seal, half)


def _where(desk: Desk) -> Where:
    return Where(desk.files, desk.book, desk.cache_folder())


def _report(desk: Desk, log: Log) -> bytes:
    must_have_results(log.read)
    report, _ = report_of(_where(desk), log.read, Wish(desk.program))
    return text_report(report).encode()


def make_report(desk: Desk, log: Log) -> str:
    """Write the report of a log to a new file; the sentence says where.

    Raises:
        BadInput: what stands in the way of results.
        NotDone: when the logbook cannot be read or the disk refuses.
    """
    path = write_new(desk, log.read.name.spelled, _report(desk, log))
    return say("written_to", path=path)


def make_bundle(desk: Desk, log: Log, typed: str, usual: Path) -> str:
    """Make a bundle of a sealed log, with its report; the sentence says where.

    Args:
        desk: where.
        log: the log.
        typed: the folder that was typed, empty for the usual one; a bare name is taken among the
            reports.
        usual: the folder that is made when none is typed.

    Raises:
        BadInput: when the folder is there already, or cannot be one.
        NotDone: when it could not be made; nothing is left of it.
    """
    if "\0" in typed:
        raise BadInput.of("file_unreadable", x=quoted(typed), why=say("not_a_folder"))
    folder = usual
    if typed:
        try:
            folder = (usual.parent / Path(typed).expanduser()).absolute()
        except (RuntimeError, ValueError) as fault:
            why = say("not_a_folder")
            raise BadInput.of("file_unreadable", x=quoted(typed), why=why) from fault
    _made(desk, usual.parent)
    made = bundle(desk.files, desk.book, log.read.name, folder, {REPORT: _report(desk, log)})
    return say("bundle_made", n=len(made.names), path=folder)


def _made(desk: Desk, folder: Path) -> None:
    try:
        desk.files.make_folder(folder)
    except OSError as fault:
        line = say("file_not_made", name=folder.name, why=disk_reason(fault))
        raise NotDone([line]) from fault


def reissued(desk: Desk, old: LogName, why: str) -> str:
    """Begin the log that replaces a sealed one; the sentence names it.

    Raises:
        BadInput: it is not sealed, or replaced already.
        NotDone: it is not as it was sealed, or the disk refuses.
    """
    name, file = reissue(desk.book, old, desk.keeper(), why)
    file.close()
    return say("log_reissued", new=name.spelled, old=old.spelled)


def voided(desk: Desk, name: LogName, why: str) -> str:
    """Make a number void; the sentence says so.

    Raises:
        BadInput: it is sealed, void already, or was never allotted.
        NotDone: the register cannot be written.
    """
    with Register(desk.book, name.bench, desk.keeper()) as register:
        register.void(name.number, why)
    return say("log_voided", name=name.spelled)
