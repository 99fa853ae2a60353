"""A log that is only read at the bench: sealed, void, damaged, or of another kind.

Nothing is locked and nothing is written; every page that would store something is told why not.
"""

from assaybench.bench.desk import Desk
from assaybench.bench.run_log import RunLog
from assaybench.logbook.appender import Appender
from assaybench.logbook.faults import NotDone
from assaybench.logbook.history import history
from assaybench.logbook.lock import Lock
from assaybench.logbook.logfile import Keeper, LogFile
from assaybench.logbook.whole_log import ReadLog, must_have_results
from assaybench.messages import BadInput, say
from assaybench.record.frame import LARGEST_LOG, Chain
from assaybench.record.kinds import BY_NAME

_NO_FILE = -1


def read_run(desk: Desk, log: ReadLog) -> RunLog:
    """A log as the pages of the bench know it, taking no entries.

    Args:
        desk: where.
        log: the log as it was read.

    Raises:
        NotDone: when a log that it replaces is gone, it holds no entry, or a newer program made
            part of it.
    """
    must_have_results(log)
    appender = Appender(desk.files, log.path, _NO_FILE, log.verdict.good, LARGEST_LOG)
    appender.closed = _why(log)
    keeper = Keeper(desk.by, desk.clock, desk.files, desk.program)
    lock = Lock(desk.files, desk.book.lock(log.path), log.path.name)
    file = LogFile(keeper, log.path, lock, Chain(BY_NAME), appender)
    file.verdict = log.verdict
    try:
        return RunLog(desk, file, history(desk.files, log.path, log.own), log.name)
    except BadInput as fault:
        raise NotDone(fault.lines) from fault


def _why(log: ReadLog) -> str:
    """Why its file takes no entries; that its number is void, the run finds itself."""
    if log.damaged:
        return say("log_damaged", name=log.path.name, why=log.verdict.sentence)
    if log.own[-1].kind == "sealed":
        return say("log_sealed")
    return say("log_only_read")
