"""`assaybench show`: the entries of a log in order, amended values struck, gaps told."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

import click

from assaybench.cli.logbooks import desk_of, in_logbook, read, words_of
from assaybench.cli.options import emit, shape_of
from assaybench.logbook.attachments import Amiss, attachments_amiss
from assaybench.logbook.whole_log import ReadLog
from assaybench.messages import BadInput
from assaybench.metrology.figure import Flag, flag
from assaybench.record.due import next_due
from assaybench.record.entries import Effective, effective
from assaybench.record.gaps import Break, breaks_of
from assaybench.record.replay import replay
from assaybench.report import entry_lines
from assaybench.report.answer import Answer, Section, table_section

NOT_GOOD = 1


@click.command(name="show")
@click.argument("words", nargs=-1, metavar="NUMBER")
@in_logbook
def command(**typed: Any) -> int:
    """Show the log NUMBER: every entry, in order; what was amended stands struck.

    Exit status 1 when the file is damaged; its good entries are shown.
    """
    (number,), _ = words_of(typed["words"], ["NUMBER"])
    shape = shape_of(typed)
    desk = desk_of(typed)
    log = read(desk, number)
    beside = attachments_amiss(desk.files, desk.book_of(log.name), log.name, log.own)
    room = entry_lines.UNBROKEN if shape.plain else entry_lines.ROOM
    emit(answer(log, beside, room), shape, practice=log.name.practice)
    return NOT_GOOD if log.damaged else 0


def answer(log: ReadLog, beside: Sequence[Amiss] = (), room: int = entry_lines.ROOM) -> Answer:
    """The answer of `show`.

    Args:
        log: the log.
        beside: what is amiss with the files beside it.
        room: columns of a line of an entry.
    """
    entries = effective(log.entries)
    breaks = breaks_of(log.entries)
    flags = [*log.flags, *(Flag(amiss.code, amiss.sentence) for amiss in beside)]
    back = [b for b in breaks.values() if b.back]
    if back:
        flags.append(flag("clock_back", n=len(back)))
    return Answer(
        command="show",
        inputs={"log": log.name.spelled},
        figures={},
        rows=tuple(_rows(log, entries)),
        sections=tuple(_days(entries, breaks, room)),
        flags=tuple(flags),
        records={
            "log": [
                {
                    "id": log.name.spelled,
                    "path": str(log.path),
                    "state": log.verdict.state,
                    "first_bad_line": log.verdict.line or None,
                    "link": log.verdict.link,
                    "void": log.void,
                    "next_due": _due(log) or None,
                }
            ],
            "entries": [entry_lines.tree(entry) for entry in entries],
            "breaks": [
                {"id": n, "what": "clock back" if b.back else "gap", "seconds": b.seconds}
                for n, b in breaks.items()
            ],
        },
    )


def _rows(log: ReadLog, entries: Sequence[Effective]) -> list[tuple[str, str]]:
    opened = log.opened
    said = {
        "log": log.name.spelled,
        "of": opened.get("log"),
        "title": opened.get("title"),
        "entered from paper, dated": opened.get("paper_date"),
        "entries": str(len(entries)),
        "readings": _readings(entries),
        "amended": _count(entries, "amendment"),
        "withdrawn": _count(entries, "withdrawn"),
        "left out": _count(entries, "left_out"),
        "next due": _due(log),
    }
    return [(label, str(text)) for label, text in said.items() if text]


def _due(log: ReadLog) -> str:
    """What is weighed next, `gold of KV-012, B6`; empty when nothing is."""
    if log.void or log.damaged or any(entry.kind == "sealed" for entry in log.own):
        return ""
    try:
        due = next_due(replay(log.entries))
    except BadInput:  # the results tell why
        return ""
    return "" if due is None else due.text


def _readings(entries: Sequence[Effective]) -> str:
    """How many readings of each thing count: `charge 12, gold 11`."""
    counted = Counter(
        e.text("what") for e in entries if e.kind == "reading" and e.withdrawn is None
    )
    return ", ".join(f"{what} {n}" for what, n in counted.items())


def _count(entries: Sequence[Effective], kind: str) -> str:
    n = sum(1 for entry in entries if entry.kind == kind)
    return str(n) if n else ""


def _days(entries: Sequence[Effective], breaks: dict[int, Break], room: int) -> list[Section]:
    """The entries under the date they were made, in the order of the log."""
    days: list[tuple[str, list[str]]] = []
    for entry in entries:
        day = entry_lines.day_of(entry.entry.at)
        if not days or days[-1][0] != day:
            days.append((day, []))
        if entry.n in breaks:
            days[-1][1].append(" " * entry_lines.INDENT + breaks[entry.n].sentence)
        days[-1][1].extend(entry_lines.lines(entry, room))
    return [table_section(day, lines) for day, lines in days]
