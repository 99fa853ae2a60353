"""`assaybench open`: a number from the register, then its log."""

from collections.abc import Sequence
from typing import Any

import click

from assaybench.cli.logbooks import (
    Desk,
    allotted,
    by_option,
    desk_of,
    in_logbook,
    keeper_of,
    text_of,
    words_of,
)
from assaybench.cli.options import Decorated, Faults, emit, once, shape_of
from assaybench.logbook.faults import NotWritable
from assaybench.logbook.folder import Logbook, LogName, log_name
from assaybench.logbook.logfile import Keeper, LogFile, Row
from assaybench.logbook.practice import new_practice
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import OPEN_WORDS, LogHead, go_on, new_log
from assaybench.logbook.survey import never_allotted
from assaybench.logbook.whole_log import is_there
from assaybench.messages import BadInput, printable, quoted
from assaybench.record import check
from assaybench.record.handsheet import METHOD_VERSION
from assaybench.record.method_items import ITEMS
from assaybench.report.answer import Answer

LOGS = {word: log for log, word in OPEN_WORDS.items()}
HEAD = tuple(item for item in ITEMS if item.in_head)
"""Items of the method that the head of a report repeats: an option each."""


def _of_head(function: Decorated) -> Decorated:
    """The options of the head of a report."""
    for item in reversed(HEAD):
        said = f"For reports: {item.help}."
        function = once(f"--{item.name}", metavar="TEXT", help=said)(function)
    return function


@click.command(name="open")
@click.argument("words", nargs=-1, metavar="run|circuit|self-test")
@click.option("--practice", is_flag=True, help="A practice log P-1: in no register, never sealed.")
@once("--number", metavar="NUMBER", help="Go on with this number, whose log is missing or empty.")
@by_option
@once("--title", metavar="TEXT", help="What people call it.")
@_of_head
@in_logbook
def command(**typed: Any) -> None:
    """Open a new log: of a furnace run, a circuit test, or self-tests of the program.

    The number is taken for ever; a log that is not wanted is made void. What the options below
    --title say stands in the head of its report, as entries `method`.
    """
    (what,), _ = words_of(typed["words"], ["run|circuit|self-test"])
    if what not in LOGS:
        choices = ", ".join(LOGS)
        raise BadInput.of("choice_unknown", x=quoted(what), what="open", choices=choices)
    if typed["practice"] and typed["number"] is not None:
        raise BadInput.of("practice_number")
    shape, desk = shape_of(typed), desk_of(typed)
    head = LogHead(LOGS[what], METHOD_VERSION, text_of(typed, "title"))
    name = log_name(typed["number"], desk.bench) if typed["number"] is not None else None
    keeper = keeper_of(desk, typed)
    said = _said(typed)
    rows: list[Row] = [("method", {"item": i, "value": text}) for i, text in said.items()]
    if typed["practice"]:
        name, log = new_practice(desk.practice, keeper, head, rows)
    elif name is not None:
        log = _gone_on(desk, name, keeper, head, rows)
    else:
        desk.book.make(desk.files)
        name, log = new_log(desk.book, desk.bench, keeper, head, rows)
    log.close()
    inputs: dict[str, object] = {"log": what, "title": head.title, **said}
    made = made_answer("open", desk.book_of(name), name, inputs)
    emit(made, shape, practice=name.practice)


def _said(typed: dict[str, Any]) -> dict[str, str]:
    """What the head of a report is to say, by item of the method.

    Raises:
        BadInput: one line for each text that cannot be kept.
    """
    faults = Faults()
    texts = {item.name: typed[item.name] for item in HEAD if typed[item.name] is not None}
    said = {name: faults.take(f"--{name}", check.text, text) for name, text in texts.items()}
    faults.done()
    return {name: text for name, text in said.items() if text is not None}


def _gone_on(
    desk: Desk, name: LogName, keeper: Keeper, head: LogHead, rows: Sequence[Row]
) -> LogFile:
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
        never_allotted(desk.book, name, desk.files)
    if known.log != head.log:
        what = OPEN_WORDS.get(known.log, known.log)
        raise BadInput.of("number_of", n=name.spelled, log=known.log, what=what)
    if is_there(desk.files, desk.book.log(name)):
        entries, _ = read_log(desk.files, desk.book.log(name))
        if entries:
            raise BadInput.of("log_there", name=name.spelled, n=len(entries))
    log = go_on(desk.book, name, keeper, head, rows)
    if log.read_only is not None:
        log.close()
        raise NotWritable([log.read_only])
    return log


def made_answer(
    command: str, book: Logbook, name: LogName, inputs: dict[str, object], old: str = ""
) -> Answer:
    """The answer of a command that made a log: its number, where it stands, and what it replaces.

    Args:
        command: its name.
        book: the logbook.
        name: the log.
        inputs: what was asked for.
        old: the log that it replaces; empty when it replaces none.
    """
    path = str(book.log(name))
    replaced = {"replaces": old} if old else {}
    place = {"id": name.spelled, "bench": name.bench, "number": name.number, "path": path}
    return Answer(
        command=command,
        inputs=inputs,
        figures={},
        rows=(("number", name.spelled), ("log", printable(path)), *replaced.items()),
        records={"log": [place | replaced]},
    )
