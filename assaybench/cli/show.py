"""`assaybench show`: the entries of a log in order, amended values struck, gaps told."""

from collections import Counter
from collections.abc import Sequence
from datetime import timedelta
from itertools import pairwise
from typing import Any, NamedTuple

import click

from assaybench.cli.logbooks import ReadLog, desk_of, in_logbook, read, shape_of, words_of
from assaybench.cli.options import emit
from assaybench.messages import say
from assaybench.metrology.figure import flag
from assaybench.record.entries import Effective, Entry, effective
from assaybench.report import entry_lines
from assaybench.report.answer import Answer, Section, table_section

GAP = timedelta(minutes=15)
"""A longer time between two entries is told. A choice: no rule of the trade says how long."""
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
    log = read(desk_of(typed), number)
    emit(answer(log), shape)
    return NOT_GOOD if log.damaged else 0


def answer(log: ReadLog) -> Answer:
    """The answer of `show`."""
    entries = effective(log.entries)
    breaks = breaks_of(log.entries)
    flags = log.flags
    back = [b for b in breaks.values() if b.back]
    if back:
        flags.append(flag("clock_back", n=len(back)))
    return Answer(
        command="show",
        inputs={"log": log.name.spelled},
        figures={},
        rows=tuple(_rows(log, entries)),
        sections=tuple(_days(entries, breaks)),
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
                }
            ],
            "entries": [entry_lines.tree(entry) for entry in entries],
            "breaks": [
                {"id": n, "what": "clock back" if b.back else "gap", "seconds": b.seconds}
                for n, b in breaks.items()
            ],
        },
    )


class Break(NamedTuple):
    """A gap before an entry, or a step of the clock back, in seconds."""

    seconds: float
    back: bool

    @property
    def sentence(self) -> str:
        """As the page tells it."""
        return say("entry_back" if self.back else "entry_gap", t=_span(self.seconds))


def breaks_of(entries: Sequence[Entry]) -> dict[int, Break]:
    """Gaps and backward steps of the clock, by the number of the entry behind them."""
    found = {}
    for before, entry in pairwise(entries):
        apart = entry.at - before.at
        if apart < timedelta(0):
            found[entry.n] = Break(-apart.total_seconds(), back=True)
        elif apart > GAP:
            found[entry.n] = Break(apart.total_seconds(), back=False)
    return found


def _span(seconds: float) -> str:
    """A time in whole minutes and hours; below a minute in seconds."""
    minutes = int(seconds // 60)
    if minutes < 1:
        return f"{seconds:.3f} s"
    if minutes < 60:
        return f"{minutes} min"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if hours < 48 else f"{hours // 24} days"


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
    }
    return [(label, str(text)) for label, text in said.items() if text]


def _readings(entries: Sequence[Effective]) -> str:
    """How many readings of each thing count: `charge 12, gold 11`."""
    counted = Counter(
        e.text("what") for e in entries if e.kind == "reading" and e.withdrawn is None
    )
    return ", ".join(f"{what} {n}" for what, n in counted.items())


def _count(entries: Sequence[Effective], kind: str) -> str:
    n = sum(1 for entry in entries if entry.kind == kind)
    return str(n) if n else ""


def _days(entries: Sequence[Effective], breaks: dict[int, Break]) -> list[Section]:
    """The entries under the date they were made, in the order of the log."""
    days: list[tuple[str, list[str]]] = []
    for entry in entries:
        day = entry_lines.day_of(entry.entry.at)
        if not days or days[-1][0] != day:
            days.append((day, []))
        if entry.n in breaks:
            days[-1][1].append(" " * entry_lines.INDENT + breaks[entry.n].sentence)
        days[-1][1].extend(entry_lines.lines(entry))
    return [table_section(day, lines) for day, lines in days]
