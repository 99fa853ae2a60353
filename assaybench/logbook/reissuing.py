"""Reissuing a sealed log: a new log that replaces it, with a reason; the old one stays as it is.

The register learns first that a number replaces another; then the new log is made with both of its
first entries at once. When that breaks off in between, reissuing again makes the missing log.
"""

from pathlib import Path

from assaybench.logbook.faults import NotDone, disk_reason
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.logfile import Keeper, LogFile
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import Register
from assaybench.logbook.sealed_log import sealed_log
from assaybench.logbook.signing import held
from assaybench.logbook.store import read_all
from assaybench.messages import BadInput, say
from assaybench.record import check
from assaybench.record.handsheet import METHOD_VERSION
from assaybench.record.register_kinds import RegisterState


def reissue(book: Logbook, old: LogName, keeper: Keeper, reason: str) -> tuple[LogName, LogFile]:
    """Make the log that replaces a sealed one, and open it.

    Args:
        book: the logbook.
        old: the sealed log.
        keeper: who does it.
        reason: why; reports on the new log print it.

    Raises:
        BadInput: the old log is not sealed, or replaced already; nothing was written.
        NotDone: it is not as it was sealed, or the disk refuses; with the number when one was
            taken.
    """
    reason = check.text(reason)
    found = sealed_log(book, old, keeper.files)
    before, title = found.entries[0].values, found.known.title
    with Register(book, old.bench, keeper) as register:
        number = _begun(book, register.state, old, keeper)
        if not number:
            number = register.allot(found.known.log, title, replaces=old.number)
    name = LogName(old.bench, number)
    opened = {
        **{key: before[key] for key in ("title", "paper_date") if key in before},
        "log": found.known.log,
        "number": number,
        "bench": old.bench,
        "method_version": METHOD_VERSION,
        "program": keeper.program,
    }
    replaces = {"number": old.number, "sha512": found.sha512, "reason": reason}
    path = book.log(name)
    try:
        log = open_log(
            path,
            keeper,
            lock=book.lock(path),
            first=("opened", opened),
            then=[("replaces", replaces)],
            session=False,
        )
    except NotDone as fault:
        fault.lines = (*fault.lines, say("reissue_half", name=name.spelled, old=old.spelled))
        raise
    return name, log


def _begun(book: Logbook, state: RegisterState, old: LogName, keeper: Keeper) -> int:
    """The number of a reissue that was broken off before its log was whole; 0 without one.

    Raises:
        BadInput: when the old log is replaced.
        NotDone: when the new log cannot be read, or is written by another command.
    """
    name = LogName(old.bench, state.replaced_by(old.number))
    if not name.number:
        return 0
    path = book.log(name)
    with held(book, name, keeper):
        if read_all(keeper.files, path, 1) is not None:
            entries, verdict = read_log(keeper.files, path)
            if len(entries) > 1 or verdict.state == "damaged":
                raise BadInput.of("number_replaced", n=old.number, by=name.number)
            _make_way(keeper.files, path)
    return name.number


def _make_way(files: Files, path: Path) -> None:
    """Take away what a power cut on a disk without hard links left of a new log.

    It is less than the two first entries, which are the program's own and are made anew.
    """
    try:
        files.unlink(path)
    except OSError as fault:
        why = disk_reason(fault)
        raise NotDone([say("file_not_changed", name=path.name, why=why)]) from fault
