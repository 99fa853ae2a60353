"""`assaybench import`: a hand sheet becomes a log, marked as entered from paper."""

import dataclasses
import hashlib
from pathlib import Path
from typing import Any

import click

from assaybench.cli.logbooks import by_option, desk_of, in_logbook, keeper_of, shape_of, words_of
from assaybench.cli.open_log import made_answer
from assaybench.cli.options import emit
from assaybench.cli.results import read_file
from assaybench.logbook.faults import NotDone
from assaybench.logbook.logfile import Keeper, Row
from assaybench.logbook.register import LogHead, new_log
from assaybench.messages import BadInput, say
from assaybench.record import handsheet, strict
from assaybench.record.frame import LARGEST_LOG, Chain, framed
from assaybench.record.handsheet import METHOD_VERSION, Sheet
from assaybench.record.kinds import BY_NAME
from assaybench.record.replay import replay
from assaybench.report.answer import Answer

LONGEST_NAME = 120
_ROOM = 1_000_000
"""Bytes that are kept free in a new log for what follows the paper."""


@click.command(name="import")
@click.argument("words", nargs=-1, metavar="SHEET")
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Make a log of the hand sheet SHEET, with the date on the paper.

    The last entry is a note that names the sheet, its digest and who stands behind it.
    """
    (file,), _ = words_of(typed["words"], ["SHEET"])
    shape, desk = shape_of(typed), desk_of(typed)
    keeper = keeper_of(desk, typed)
    content = read_file(file)
    try:
        sheet = handsheet.read(content)
        replay(sheet.entries)
        rows = rows_of(sheet, file, content)
        head = head_of(sheet)
        _must_fit(keeper, rows, sheet)
    except BadInput as fault:
        raise fault.named(file) from fault
    desk.book.make(desk.files)
    name, log = new_log(desk.book, desk.bench, keeper, head)
    try:
        with log:
            log.append_all(rows)
    except NotDone as fault:
        fault.lines = (*fault.lines, say("import_cut", name=name.spelled))
        raise
    inputs: dict[str, object] = {"sheet": file, "paper_date": head.paper_date}
    answer = made_answer("import", desk.book, name, inputs)
    more = (
        ("title", head.title),
        ("entered from paper, dated", head.paper_date),
        ("entries", str(len(rows) + 1)),
    )
    emit(_with_rows(answer, more), shape)


def head_of(sheet: Sheet) -> LogHead:
    """The head of the log of a sheet."""
    log = str(sheet.entries[0].values["log"])
    return LogHead(log, METHOD_VERSION, sheet.title, sheet.date.isoformat())


def rows_of(sheet: Sheet, file: str, content: bytes) -> list[Row]:
    """The entries behind the first one; the last is a note that all of the sheet is there."""
    rows: list[Row] = [(entry.kind, entry.values) for entry in sheet.entries[1:]]
    note = say(
        "entered_from_paper",
        name=Path(file).name[-LONGEST_NAME:],
        t=sheet.date.isoformat(),
        by=sheet.entries[0].by,
        n=len(rows),
        sha=hashlib.sha256(content).hexdigest(),
    )
    return [*rows, ("note", {"text": note})]


def _must_fit(keeper: Keeper, rows: list[Row], sheet: Sheet) -> None:
    """Make every entry in memory first, so that a number is never taken for a log that cannot be.

    Raises:
        BadInput: one line for each fault.
    """
    chain, size = Chain(BY_NAME), 0
    opened = (sheet.entries[0].kind, sheet.entries[0].values)
    for kind, values in (opened, *rows):
        ready = strict.ready(chain, keeper.by, kind, values)
        data, link = framed(chain, keeper.now(), keeper.by, kind, ready)
        chain.step(kind, link)
        size += len(data)
    if size > LARGEST_LOG - _ROOM:
        raise BadInput.of("sheet_too_large", n=size, most=LARGEST_LOG - _ROOM)


def _with_rows(answer: Answer, more: tuple[tuple[str, str], ...]) -> Answer:
    return dataclasses.replace(answer, rows=(*answer.rows, *more))
