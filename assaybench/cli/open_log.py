"""`assaybench open`: a number from the register, then its log."""

from typing import Any

import click

from assaybench.cli.logbooks import (
    Desk,
    allotted,
    by_option,
    desk_of,
    in_logbook,
    keeper_of,
    shape_of,
    words_of,
)
from assaybench.cli.options import emit, once
from assaybench.logbook.faults import NotWritable
from assaybench.logbook.folder import Logbook, LogName, log_name
from assaybench.logbook.logfile import Keeper, LogFile
from assaybench.logbook.practice import new_practice
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import OPEN_WORDS, LogHead, go_on, new_log
from assaybench.logbook.whole_log import is_there
from assaybench.messages import BadInput, quoted
from assaybench.record import check
from assaybench.record.handsheet import METHOD_VERSION
from assaybench.report.answer import Answer

LOGS = {word: log for log, word in OPEN_WORDS.items()}


@click.command(name="open")
@click.argument("words", nargs=-1, metavar="run|circuit|self-test")
@click.option("--practice", is_flag=True, help="A practice log P-1: in no register, never sealed.")
@once("--number", metavar="NUMBER", help="Go on with this number, whose log is missing or empty.")
@by_option
@once("--title", metavar="TEXT", help="What people call it.")
@in_logbook
def command(**typed: Any) -> None:
    """Open a new log: of a furnace run, a circuit test, or self-tests of the program.

    The number is taken for ever; a log that is not wanted is made void.
    """
    (what,), _ = words_of(typed["words"], ["run|circuit|self-test"])
    if what not in LOGS:
        choices = ", ".join(LOGS)
        raise BadInput.of("choice_unknown", x=quoted(what), what="open", choices=choices)
    if typed["practice"] and typed["number"] is not None:
        raise BadInput.of("practice_number")
    shape, desk = shape_of(typed), desk_of(typed)
    head = LogHead(LOGS[what], METHOD_VERSION, _title(typed["title"]))
    name = log_name(typed["number"], desk.bench) if typed["number"] is not None else None
    keeper = keeper_of(desk, typed)
    if typed["practice"]:
        name, log = new_practice(desk.practice, keeper, head)
    elif name is not None:
        log = _gone_on(desk, name, keeper, head)
    else:
        desk.book.make(desk.files)
        name, log = new_log(desk.book, desk.bench, keeper, head)
    log.close()
    inputs: dict[str, object] = {"log": what, "title": head.title}
    made = made_answer("open", desk.book_of(name), name, inputs)
    emit(made, shape, practice=name.practice)


def _title(text: str | None) -> str:
    if text is None:
        return ""
    try:
        return check.text(text)
    except BadInput as fault:
        raise fault.named("--title") from fault


def _gone_on(desk: Desk, name: LogName, keeper: Keeper, head: LogHead) -> LogFile:
    """The log of a number whose log was never made, or holds no whole entry.

    Raises:
        BadInput: when the number is not allotted, is of another kind of log, or has its log.
        NotDone: when the log is damaged, or the disk refuses.
    """
    if name.practice:
        raise BadInput.of("practice_number")
    known = allotted(desk, name)
    if known is None:
        # looked at first, so that a slip never begins a register
        raise BadInput.of("number_not_allotted", n=name.number)
    if known.log != head.log:
        what = OPEN_WORDS.get(known.log, known.log)
        raise BadInput.of("number_of", n=name.spelled, log=known.log, what=what)
    if is_there(desk.files, desk.book.log(name)):
        entries, _ = read_log(desk.files, desk.book.log(name))
        if entries:
            raise BadInput.of("log_there", name=name.spelled, n=len(entries))
    log = go_on(desk.book, name, keeper, head)
    if log.read_only is not None:
        log.close()
        raise NotWritable([log.read_only])
    return log


def made_answer(command: str, book: Logbook, name: LogName, inputs: dict[str, object]) -> Answer:
    """The answer of a command that made a log: its number and where it stands."""
    path = str(book.log(name))
    place = {"id": name.spelled, "bench": name.bench, "number": name.number, "path": path}
    return Answer(
        command=command,
        inputs=inputs,
        figures={},
        rows=(("number", name.spelled), ("log", path)),
        records={"log": [place]},
    )
