"""What `assaybench results` and `report` need of a log named by its number."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import click

from assaybench.cli.logbooks import Desk, desk_of, read
from assaybench.logbook.determinations import determinations
from assaybench.logbook.index import cache_folder
from assaybench.logbook.whole_log import ReadLog, must_have_results
from assaybench.messages import say
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.report import determinations_view
from assaybench.report.answer import Answer, Records
from assaybench.report.entry_lines import day_of
from assaybench.report.log_report import Where, elsewhere
from assaybench.report.results_view import Source, answer_of


def log_of(number: str, typed: dict[str, Any]) -> tuple[Desk, ReadLog]:
    """A log whose results are asked for.

    Raises:
        BadInput: when there is no such log.
        NotDone: when it cannot be read, holds no entry, or a newer program made part of it.
    """
    desk = desk_of(typed)
    return desk, must_have_results(read(desk, number))


def source_of(log: ReadLog) -> Source:
    """Where the entries of a log come from."""
    name = log.name.spelled
    opened, began = log.opened, log.entries[0].at
    title, paper = str(opened.get("title", "")), str(opened.get("paper_date", ""))
    rows = [("log", name), ("title", title), ("opened", day_of(began))]
    if paper:
        rows[2] = ("entered from paper, dated", paper)
    record: dict[str, object] = {
        "id": name,
        "title": title,
        "date": paper or began.date().isoformat(),
        "from_paper": bool(paper),
        "state": log.verdict.state,
    }
    shown = tuple((label, text) for label, text in rows if text)
    return Source(name, {"log": name}, shown, ("log", record), log.flags)


def where_of(desk: Desk) -> Where:
    """Where a command looks for logs."""
    return Where(desk.files, desk.book, cache_folder(), reading_many)


def reading_many(n: int) -> None:
    """Tell that many logs are read, which takes a while."""
    click.echo(say("index_reading", n=n), err=True)


def answer_with_n_of_all(
    desk: Desk, log: ReadLog, only: Sequence[str], *, with_sum: bool
) -> Answer:
    """The answer of `results` for a log, with n of N across the logbook.

    Raises:
        BadInput, NotDone: as `across`.
    """
    own = answer_of(source_of(log), log.entries, only, with_sum=with_sum)
    state = replay(log.entries)
    others = elsewhere(where_of(desk), log, state)
    if not (others.rows or state.left_out or only):
        extra = determinations_view.flags((), others, only)
        return replace(own, flags=(*own.flags, *extra)) if extra else own
    found = results(state)
    held = determinations(desk.book, desk.files, log.name, found, others)
    view = determinations_view

    def records() -> Records:
        own_records = own.records() if callable(own.records) else own.records
        return {**own_records, "determinations": view.records(held, only)}

    return replace(
        own,
        sections=(*own.sections, *view.sections(held, found.grades, only)),
        flags=(*own.flags, *view.flags(held, others, only)),
        records=records,
    )
