"""Opening logs at the bench: going on with one, a new one, one for practice."""

from pathlib import Path

from assaybench.bench.desk import Desk
from assaybench.bench.open_logs import FURNACE_RUN
from assaybench.bench.run_log import RunLog, aim_of, void_look
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.history import history
from assaybench.logbook.opening import open_log
from assaybench.logbook.practice import new_practice
from assaybench.logbook.register import LogHead, new_log
from assaybench.messages import BadInput, say
from assaybench.record.entries import Entry
from assaybench.record.handsheet import METHOD_VERSION
from assaybench.record.run import DEFAULT_AIM


def open_run(desk: Desk, name: LogName) -> RunLog:
    """Go on with a log; what a power cut left torn is moved aside and recorded.

    Raises:
        BadInput: nobody said who weighs.
        NotDone: it is busy, cannot be read, or its number is void. A damaged or sealed one is
            opened to be read: `file.read_only` says why.
    """
    if void := void_look(desk, name).why():
        # opening notes the session in the log, and a void number takes no entry
        raise NotDone([say("bench_void", n=name.number, why=void)])
    path = desk.book.log(name)
    return _opened(desk, path, desk.book.lock(path), name)


def new_run(desk: Desk, title: str = "", log: str = FURNACE_RUN) -> RunLog:
    """Take the next number of the bench and begin a furnace run, or a circuit test, under it.

    Raises:
        BadInput: nobody said who weighs.
        NotDone: the register or the disk refused; the lines tell whether a number was taken.
    """
    desk.book.make(desk.files)
    head = LogHead(log, METHOD_VERSION, title)
    name, file = new_log(desk.book, desk.bench, desk.keeper(), head)
    file.close()
    path = desk.book.log(name)
    run = _opened(desk, path, desk.book.lock(path), name, session=False)
    return _with_aim(run)


def _with_aim(run: RunLog) -> RunLog:
    """The user's aim, noted where results look for it, when it is not the usual one."""
    wanted = run.desk.settings.aim
    if aim_of(wanted) != DEFAULT_AIM:
        run.append("method", {"item": "aim", "value": wanted})
    return run


def practice_run(desk: Desk) -> RunLog:
    """Begin a practice run: in no register, outside every logbook, never sealed.

    Raises:
        BadInput: nobody said who weighs.
        NotDone: the disk refused.
    """
    book = Logbook(desk.practice_folder())
    name, log = new_practice(book, desk.keeper(), LogHead(FURNACE_RUN, METHOD_VERSION))
    log.close()
    path = book.log(name)
    return _with_aim(_opened(desk, path, book.lock(path), None, session=False))


def _opened(
    desk: Desk, path: Path, lock: Path, name: LogName | None, *, session: bool = True
) -> RunLog:
    own: list[Entry] = []
    file = open_log(path, desk.keeper(), lock=lock, each=own.append, session=session)
    try:
        return RunLog(desk, file, history(desk.files, path, own), name)
    except BadInput as fault:
        file.close()
        raise NotDone(fault.lines) from fault
    except BaseException:
        file.close()
        raise
