"""What `assaybench results` needs of a log named by its number."""

from typing import Any

from assaybench.cli.logbooks import desk_of, read
from assaybench.logbook.faults import NotDone
from assaybench.messages import say
from assaybench.record.entries import Entry
from assaybench.report.entry_lines import day_of
from assaybench.report.results_view import Source


def source_of(number: str, typed: dict[str, Any]) -> tuple[Source, list[Entry], bool]:
    """The entries of a log, where they come from, and whether the file is damaged.

    Raises:
        BadInput: when there is no such log.
        NotDone: when it cannot be read, holds no entry, or a newer program made part of it.
    """
    log = read(desk_of(typed), number)
    name = log.name.spelled
    if log.verdict.newer:
        raise NotDone([say("log_newer")])
    if not log.entries:
        raise NotDone([say("log_empty", name=name)])
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
    source = Source(name, {"log": name}, shown, ("log", record), log.flags)
    return source, log.entries, log.damaged
