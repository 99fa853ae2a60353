"""`assaybench seal`: what would be signed is shown, then the log is closed and signed."""

from dataclasses import replace
from typing import Any

import click

from assaybench.cli.log_results import answer_with_n_of_all
from assaybench.cli.logbooks import Desk, by_option, desk_of, in_logbook, keeper_of, read, words_of
from assaybench.cli.options import emit, shape_of, terminal
from assaybench.cli.sealing import head_of, head_options
from assaybench.cli.secrets import key_options, signer_of
from assaybench.logbook.folder import log_name
from assaybench.logbook.seal import Sealed, make_read_only, seal
from assaybench.logbook.seal_look import READ_ONLY, Ready, look
from assaybench.logbook.whole_log import ReadLog
from assaybench.messages import BadInput
from assaybench.metrology.figure import flag
from assaybench.report import seal_view
from assaybench.report.answer import Answer


@click.command(name="seal")
@click.argument("words", nargs=-1, metavar="NUMBER")
@click.option("--review", is_flag=True, help="Only show what would be signed.")
@head_options
@key_options
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Seal the log NUMBER: show all that will be signed, then sign it.

    Giving the passphrase is the consent. The log takes no entries after that; reissue makes one
    that replaces it. A seal that was broken off is gone on with, with the same key.
    """
    (number,), _ = words_of(typed["words"], ["NUMBER"])
    shape, desk = shape_of(typed), desk_of(typed)
    name = log_name(number, desk.bench)
    log = read(desk, number)
    ready = look(desk.book, name, desk.files)
    shown = review_answer(desk, log, ready)
    if typed["review"]:
        emit(shown, shape)
        return
    keeper = keeper_of(desk, typed)
    head = None
    if ready.begun is None:
        head = head_of(desk, typed, keeper.by, ready.entries, "weighed")
    if ready.review is not None and ready.review.open:
        raise BadInput(ready.review.open)
    aside = terminal() and not (shape.json or shape.plain)
    if aside:
        emit(shown, shape)
    if ready.left == (READ_ONLY,):
        sealed = make_read_only(desk.book, name, keeper)
    else:
        signer = signer_of(typed, desk.settings, desk.files)
        sealed = seal(desk.book, name, keeper, signer, head)
    done = answer(desk, sealed)
    emit(done if aside else joined(shown, done), shape)


def review_answer(desk: Desk, log: ReadLog, ready: Ready) -> Answer:
    """What would be signed; of a seal that was begun, what is left of it.

    Raises:
        BadInput, NotDone: what stands in the way of results.
    """
    records = {"review": [seal_view.review_tree(ready)]}
    inputs: dict[str, object] = {"log": ready.name.spelled}
    rows = (("log", ready.name.spelled), *seal_view.review_rows(ready))
    if ready.review is None:
        return Answer("seal", inputs, {}, rows, records=records)
    found = answer_with_n_of_all(desk, log, (), with_sum=False)
    return replace(
        found,
        command="seal",
        inputs=inputs,
        rows=rows,
        sections=(*seal_view.review_sections(ready.review), *found.sections),
        records=records,
    )


def answer(desk: Desk, sealed: Sealed) -> Answer:
    """What was done."""
    torn = [flag("entry_unfinished", name=name) for name in sealed.torn]
    return Answer(
        command="seal",
        inputs={"log": sealed.name.spelled},
        figures={},
        rows=seal_view.sealed_rows(sealed),
        sections=tuple(seal_view.sealed_sections(desk.book, sealed)),
        flags=(*torn, *seal_view.key_flags(sealed)),
        records={"seal": [seal_view.sealed_tree(desk.book, sealed)]},
    )


def joined(shown: Answer, done: Answer) -> Answer:
    """The review and what was done as one answer."""
    records = [a.records() if callable(a.records) else a.records for a in (shown, done)]
    return replace(
        shown,
        rows=(*shown.rows, *done.rows),
        sections=(*shown.sections, *done.sections),
        flags=(*shown.flags, *done.flags),
        records={**records[0], **records[1]},
    )
