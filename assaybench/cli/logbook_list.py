"""`assaybench logbook`: the logs of the logbook, newest first, and what their registers tell."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import click

from assaybench.cli.log_results import reading_many
from assaybench.cli.logbooks import Desk, desk_of, in_logbook, no_book, words_of
from assaybench.cli.open_log import LOGS
from assaybench.cli.options import Faults, emit, once, shape_of
from assaybench.logbook.files import Files
from assaybench.logbook.folder import bench_name
from assaybench.logbook.index import Index, cache_folder, with_index
from assaybench.logbook.index_tables import STATES, Page, Row, Wanted
from assaybench.logbook.survey import Finding
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Flag, flag
from assaybench.record import check
from assaybench.record.typed import typed_day
from assaybench.report.answer import Answer, table_section
from assaybench.report.page import MOST
from assaybench.report.tables import aligned
from assaybench.units import parse

LINES, MOST_LINES, MOST_PAGES = 20, 1000, 1_000_000
SHOWN_FINDINGS = 20
HEADS = ("number", "opened", "what", "by", "samples", "state", "title")
LEFT = (0, 1, 2, 3, 5, 6)
LEAST_TITLE = 8
"""Signs of a title that are shown at least; JSON has the whole title."""
KINDS = {log: word for word, log in LOGS.items()}
BAD_FINDINGS = frozenset({"forked_registers", "forked_inside", "register_damaged", "register_gone"})
"""What a register says that makes the list not good."""
NOT_GOOD = 1


class Asked(NamedTuple):
    """What a command line asks for: which logs, how many lines, which page."""

    wanted: Wanted
    lines: int
    page: int


class Found(NamedTuple):
    """A page of the list, and what is to be looked at in the logbook."""

    page: Page
    findings: list[Finding]


@click.command(name="logbook")
@click.argument("words", nargs=-1, metavar="")
@once("--sample", metavar="ID", help="Logs with this sample, or one that repeats it.")
@once("--state", metavar="STATE", help=f"Logs of this state: {', '.join(STATES)}.")
@once("--since", metavar="DATE", help="Logs opened on this day or later: 2026-06-09.")
@once("--until", metavar="DATE", help="Logs opened on this day or before.")
@once("--title", metavar="TEXT", help="Logs with this in their title.")
@once("--kind", metavar="run|circuit|self-test", help="Logs of one kind alone.")
@once("--lines", metavar="N", help=f"Logs on a page; {LINES} unless said.")
@once("--page", metavar="N", help="Which page; the first unless said.")
@in_logbook
def command(**typed: Any) -> int:
    """List the logs of the logbook, newest first; --bench lists one bench alone.

    Below stand gaps in the numbers, logs without a number and registers that fork. Exit status 1
    for a register that forks, is damaged or gone, or when a log on the page is damaged.
    """
    words_of(typed["words"], [])
    shape = shape_of(typed)
    asked, desk = asked_of(typed), desk_of(typed)
    found = listed(desk, asked)
    told = answer(asked, found)
    emit(replace(told, flags=(*no_book(desk), *told.flags)), shape)
    return NOT_GOOD if not_good(found) else 0


def asked_of(typed: dict[str, Any]) -> Asked:
    """What the options ask for.

    Raises:
        BadInput: one line for each option that cannot be read.
    """
    faults = Faults()

    def of(name: str, reader: Any, *more: Any, default: Any = "") -> Any:
        if typed[name] is None:
            return default
        return faults.take(f"--{name}", reader, typed[name], *more)

    wanted = Wanted(
        sample=of("sample", _text),
        state=of("state", _choice, "state", STATES),
        since=of("since", _day),
        until=of("until", _day),
        bench=of("bench", bench_name),
        title=of("title", _text),
        log=LOGS.get(of("kind", _choice, "kind", tuple(LOGS)) or "", ""),
    )
    lines = of("lines", parse.whole, 1, MOST_LINES, default=LINES)
    page = of("page", parse.whole, 1, MOST_PAGES, default=1)
    faults.done()
    return Asked(wanted, lines, page)


def _text(given: str) -> str:
    return check.text(given)


def _choice(given: str, what: str, choices: Sequence[str]) -> str:
    if given not in choices:
        listed_ = ", ".join(choices)
        raise BadInput.of("choice_unknown", x=quoted(given), what=what, choices=listed_)
    return given


def _day(given: str) -> str:
    return typed_day(given).isoformat()


def listed(desk: Desk, asked: Asked) -> Found:
    """The page that is asked for, by the index of the logbook.

    Raises:
        NotDone: when the logbook cannot be read.
    """

    def job(index: Index) -> Found:
        index.update(asked.wanted.look)
        page = index.page(asked.wanted, asked.lines, asked.page)
        return Found(page, _with_gone(desk.files, index.findings()))

    return with_index(desk.book, desk.files, cache_folder(), job, tell=reading_many)


def _with_gone(files: Files, findings: list[Finding]) -> list[Finding]:
    """The findings; for a bench without its register that alone, not each log it does not know."""
    unknown = {f.paths[0] for f in findings if f.code == "log_without_number"}
    gone = sorted(path for path in unknown if files.stat(path) is None)
    said = [
        Finding("register_gone", say("register_gone", bench=path.stem, name=path.name), (path,))
        for path in gone
    ]
    return said + [f for f in findings if f.code != "log_without_number" or f.paths[0] not in gone]


def not_good(found: Found) -> bool:
    """Whether something on the page, or a register, is not as it was written."""
    return any(row.state == "damaged" for row in found.page.rows) or any(
        finding.code in BAD_FINDINGS for finding in found.findings
    )


def answer(asked: Asked, found: Found) -> Answer:
    """The answer of `logbook`."""
    rows, total = found.page
    first = (asked.page - 1) * asked.lines
    pages = max(-(-total // asked.lines), 1)
    shown = f"{first + 1} to {first + len(rows)} of {total}" if rows else f"none of {total}"
    said = {name: value for name, value in asked.wanted._asdict().items() if value}
    table = _table(rows)
    return Answer(
        command="logbook",
        inputs={**said, "page": asked.page, "lines": asked.lines},
        figures={},
        rows=(("logs", shown), ("page", f"{asked.page} of {pages}")),
        sections=(table_section("Newest first", table),) if rows else (),
        flags=tuple(_flags(found)),
        records={
            "logs": [_tree(row) for row in rows],
            "pages": [{"id": asked.page, "of": pages, "logs": total}],
            "findings": [
                {"id": f.code, "text": f.sentence, "paths": [str(path) for path in f.paths]}
                for f in found.findings
            ],
        },
    )


def _table(rows: Sequence[Row]) -> list[str]:
    """The lines of the list; a title has what the other columns leave of the page."""
    bare = [_line(row) for row in rows]
    taken = max(map(len, aligned((*HEADS[:-1], "|"), [(*line, "|") for line in bare], LEFT))) - 1
    room = max(MOST - 4 - taken, LEAST_TITLE)
    cut = (r.title if len(r.title) <= room else f"{r.title[: room - 1]}…" for r in rows)
    return aligned(HEADS, [(*line, title) for line, title in zip(bare, cut, strict=True)], LEFT)


def _line(row: Row) -> tuple[str, ...]:
    samples = str(row.samples) if row.samples else ""
    return row.name.spelled, row.day, KINDS.get(row.log, ""), row.by, samples, row.state


def _flags(found: Found) -> list[Flag]:
    flags = [Flag(f.code, f.sentence) for f in found.findings[:SHOWN_FINDINGS]]
    if len(found.findings) > SHOWN_FINDINGS:
        flags.append(flag("findings_more", n=len(found.findings) - SHOWN_FINDINGS))
    return flags


def _tree(row: Row) -> dict[str, object]:
    return {
        "id": row.name.spelled,
        "bench": row.bench,
        "number": row.number,
        "day": row.day,
        "log": row.log,
        "title": row.title,
        "by": row.by,
        "state": row.state,
        "entries": row.entries,
        "samples": row.samples,
        "sealed": row.sealed or None,
        "void": row.void,
        "practice": bool(row.practice),
        "replaces": row.replaces or None,
    }
