"""`assaybench reissue`: a log that replaces a sealed one, with a reason."""

from dataclasses import replace
from typing import Any

import click

from assaybench.cli.logbooks import (
    by_option,
    desk_of,
    in_logbook,
    keeper_of,
    reason_of,
    reason_option,
    words_of,
)
from assaybench.cli.open_log import made_answer
from assaybench.cli.options import emit, shape_of
from assaybench.logbook.folder import log_name
from assaybench.logbook.reissuing import reissue


@click.command(name="reissue")
@click.argument("words", nargs=-1, metavar="NUMBER")
@reason_option
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Make the log that replaces the sealed log NUMBER; the old one stays sealed as it is.

    Nothing is copied: the new log begins with all the old one says. Correct it, then seal it.
    Entries keep their numbers; those of the new log run on from them.
    """
    (number,), _ = words_of(typed["words"], ["NUMBER"])
    reason = reason_of(typed)
    shape, desk = shape_of(typed), desk_of(typed)
    keeper = keeper_of(desk, typed)
    old = log_name(number, desk.bench)
    name, log = reissue(desk.book, old, keeper, reason)
    log.close()
    inputs: dict[str, object] = {"log": old.spelled, "reason": reason}
    made = made_answer("reissue", desk.book, name, inputs, old.spelled)
    emit(replace(made, rows=(*made.rows, ("reason", reason))), shape)
