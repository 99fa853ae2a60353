"""`assaybench void`: a number that holds no result; it stays taken, and so does its log."""

from typing import Any

import click

from assaybench.cli.logbooks import (
    allotted,
    by_option,
    desk_of,
    in_logbook,
    keeper_of,
    reason_of,
    reason_option,
    words_of,
)
from assaybench.cli.options import emit, shape_of
from assaybench.logbook.folder import log_name
from assaybench.logbook.register import Register
from assaybench.logbook.survey import never_allotted
from assaybench.messages import BadInput
from assaybench.report.answer import Answer


@click.command(name="void")
@click.argument("words", nargs=-1, metavar="NUMBER")
@reason_option
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Make the number NUMBER void: it is never used again and takes no entries.

    Its log, where there is one, stays and can be shown.
    """
    (number,), _ = words_of(typed["words"], ["NUMBER"])
    reason = reason_of(typed)
    shape, desk = shape_of(typed), desk_of(typed)
    keeper = keeper_of(desk, typed)
    name = log_name(number, desk.bench)
    if name.practice:
        raise BadInput.of("practice_number")
    if allotted(desk, name) is None:
        # looked at first, so that a slip never begins a register
        never_allotted(desk.book, name, desk.files)
    with Register(desk.book, name.bench, keeper) as register:
        register.void(name.number, reason)
    emit(
        Answer(
            command="void",
            inputs={"log": name.spelled, "reason": reason},
            figures={},
            rows=(("void", name.spelled), ("reason", reason)),
            records={"log": [{"id": name.spelled, "void": reason}]},
        ),
        shape,
    )
