"""`assaybench open`: a number from the register, then its log."""

from typing import Any

import click

from assaybench.cli.logbooks import by_option, desk_of, in_logbook, keeper_of, shape_of, words_of
from assaybench.cli.options import emit, once
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.register import LogHead, new_log
from assaybench.messages import BadInput, quoted
from assaybench.record import check
from assaybench.record.handsheet import METHOD_VERSION
from assaybench.report.answer import Answer

LOGS = {"run": "furnace run", "circuit": "circuit test"}


@click.command(name="open")
@click.argument("words", nargs=-1, metavar="run|circuit")
@by_option
@once("--title", metavar="TEXT", help="What people call it.")
@in_logbook
def command(**typed: Any) -> None:
    """Open a new log: of a furnace run, or of a circuit test.

    The number is taken for ever; a log that is not wanted is made void.
    """
    (what,), _ = words_of(typed["words"], ["run|circuit"])
    if what not in LOGS:
        choices = ", ".join(LOGS)
        raise BadInput.of("choice_unknown", x=quoted(what), what="open", choices=choices)
    title = ""
    if typed["title"] is not None:
        try:
            title = check.text(typed["title"])
        except BadInput as fault:
            raise fault.named("--title") from fault
    shape, desk = shape_of(typed), desk_of(typed)
    keeper = keeper_of(desk, typed)
    desk.book.make(desk.files)
    name, log = new_log(desk.book, desk.bench, keeper, LogHead(LOGS[what], METHOD_VERSION, title))
    log.close()
    emit(made_answer("open", desk.book, name, {"log": what, "title": title}), shape)


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
