"""`assaybench countersign`: a person's own signed statement about a sealed log."""

from typing import Any

import click

from assaybench.cli.logbooks import by_option, desk_of, in_logbook, keeper_of, text_of, words_of
from assaybench.cli.options import emit, once, shape_of, terminal
from assaybench.cli.sealing import head_of, head_options
from assaybench.cli.secrets import key_options, signer_of
from assaybench.logbook.folder import log_name
from assaybench.logbook.sealed_log import SealedLog, sealed_log
from assaybench.logbook.statements import countersign, sealed_with, unsigned
from assaybench.metrology.figure import flag
from assaybench.report import seal_view
from assaybench.report.answer import Answer


@click.command(name="countersign")
@click.argument("words", nargs=-1, metavar="NUMBER")
@once("--text", metavar="TEXT", help="What was looked at and found.")
@head_options
@key_options
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Sign a statement about the sealed log NUMBER with your own key.

    The log stays as it is. Without --meaning it was reviewed.
    """
    (number,), _ = words_of(typed["words"], ["NUMBER"])
    shape, desk = shape_of(typed), desk_of(typed)
    name = log_name(number, desk.bench)
    keeper = keeper_of(desk, typed)
    log = sealed_log(desk.book, name, desk.files)
    head = head_of(desk, typed, keeper.by, log.entries, "reviewed")
    text = text_of(typed, "text")
    if terminal() and not (shape.json or shape.plain):
        emit(_before(log), shape)
    signer = signer_of(typed, desk.settings, desk.files)
    stated = countersign(desk.book, name, keeper, signer, head, text)
    key, same = stated.fingerprint, {"name": stated.path.name, "who": head.name}
    left = [p for p in unsigned(desk.book, name, desk.files) if p != stated.path]
    emit(
        Answer(
            command="countersign",
            inputs={"log": name.spelled, "text": text},
            figures={},
            rows=seal_view.stated_rows(stated),
            sections=tuple(seal_view.stated_sections(desk.book, stated)),
            flags=(
                *seal_view.key_flags(stated),
                *([flag("statement_same_key", **same)] if sealed_with(log, key) else []),
                *(flag("statement_unsigned", name=path.name) for path in left),
            ),
            records={"statement": [seal_view.stated_tree(desk.book, stated)]},
        ),
        shape,
    )


def _before(log: SealedLog) -> Answer:
    """What the statement is about, before the passphrase is asked for."""
    values = log.entries[-1].values
    rows = (
        ("about", log.name.spelled),
        ("sealed by", f"{values.get('name')}, {values.get('role')}"),
        ("meaning", str(values.get("meaning"))),
        ("entries", str(len(log.entries))),
    )
    section = seal_view.long_section("SHA-512 of the log", log.sha512)
    return Answer("countersign", {"log": log.name.spelled}, {}, rows, sections=(section,))
