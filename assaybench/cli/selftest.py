"""`assaybench selftest`: the published cases worked out on this machine, and a record of it."""

from collections.abc import Sequence
from typing import Any, NamedTuple

import click

from assaybench import PROGRAM
from assaybench.cli.logbooks import Desk, by_option, desk_of, in_logbook, keeper_of, words_of
from assaybench.cli.options import emit, once, shape_of
from assaybench.cli.storing import Stored, Wanted, store
from assaybench.logbook.attachments import KIND, Attached, attach
from assaybench.logbook.clock import machine_time
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import LogName, log_name
from assaybench.logbook.logfile import Keeper, Row
from assaybench.logbook.register import LogHead, new_log
from assaybench.logbook.selftest_record import (
    ALL,
    Surroundings,
    case_tree,
    record_of,
    rows_of,
    surroundings,
    worst_text,
)
from assaybench.messages import say
from assaybench.metrology.figure import Flag, Verdict, flag
from assaybench.published.selftest import Checked, Subject, by_subject, check_all, summed_up
from assaybench.record.entries import Entry
from assaybench.record.handsheet import METHOD_VERSION
from assaybench.report.answer import Answer, Section, table_section
from assaybench.report.tables import aligned

AGREE, DIFFER = 0, 1
NEW = "new"
"""Stands for `--record` without a number; no log is called so."""
SELF_TEST = "self-test"
HEADS = ("subject", "cases", "sources", "answers", "agree", "worst difference")


@click.command(name="selftest")
@click.argument("words", nargs=-1, metavar="")
@once(
    "--record",
    metavar="[NUMBER]",
    is_flag=False,
    flag_value=NEW,
    help="Keep a record of it in the open log NUMBER, or in a new log.",
)
@by_option
@in_logbook
def command(**typed: Any) -> int:
    """Work out every published case on this machine and hold it against its source.

    Exit status 1 when one does not agree. With --record, the table is attached to a log and a note
    says the outcome, also when cases do not agree; seal that log to sign it.
    """
    words_of(typed["words"], [])
    shape, desk = shape_of(typed), desk_of(typed)
    place = typed["record"]
    keeper = name = None
    if place is not None:
        keeper = keeper_of(desk, typed)
        name = None if place == NEW else log_name(place, desk.bench)
    checked, around = check_all(), surroundings()
    kept = keep(desk, typed, keeper, name, checked, around) if keeper is not None else None
    emit(answer(checked, around, kept), shape, practice=bool(kept and kept.name.practice))
    return status_of(checked)


def status_of(checked: Sequence[Checked]) -> int:
    """The exit status."""
    return AGREE if all(one.agrees for one in checked) else DIFFER


class Kept(NamedTuple):
    """Where a record is kept: its log, its file there, and what storing it told."""

    name: LogName
    file: Attached
    stored: Stored


def keep(
    desk: Desk,
    typed: dict[str, Any],
    keeper: Keeper,
    name: LogName | None,
    checked: Sequence[Checked],
    around: Surroundings,
) -> Kept:
    """Keep the record in a log: its file first, then the two entries.

    Args:
        desk: where.
        typed: the options; --by counts.
        keeper: who writes.
        name: the log; None for a new one.
        checked: every case.
        around: on what they were worked out.

    Raises:
        BadInput, NotDone: as `storing.store`; a log or a copy that was made is told.
    """
    file = record_of(checked, around, keeper, machine_time())
    made: list[str] = []
    if name is None:
        title = say("selftest_title", program=PROGRAM)
        desk.book.make(desk.files)
        name, log = new_log(
            desk.book, desk.bench, keeper, LogHead(SELF_TEST, METHOD_VERSION, title)
        )
        log.close()
        made.append(say("selftest_log", name=name.spelled))
    kept, every = [file], summed_up(ALL, checked)

    def rows(_entries: Sequence[Entry], _wanted: Wanted) -> list[Row]:
        return rows_of(every, around, keeper, file)

    def copied(of: LogName, _rows: Sequence[Row]) -> Sequence[Row]:
        kept[0] = attach(desk.files, desk.book_of(of), of, file)
        made.append(say("attachment_left", x=kept[0].name))
        return rows_of(every, around, keeper, kept[0])

    def wanted(_entries: list[Entry]) -> Wanted:
        return Wanted(KIND, file.keys)

    try:
        stored = store(desk, typed, name.spelled, wanted, rows, copied)
    except NotDone as fault:
        fault.lines = (*fault.lines, *made)
        raise
    return Kept(name, kept[0], stored)


def answer(checked: Sequence[Checked], around: Surroundings, kept: Kept | None = None) -> Answer:
    """The answer of `selftest`.

    Args:
        checked: every case.
        around: on what they were worked out.
        kept: where its record is, when one was asked for.
    """
    every, subjects = summed_up(ALL, checked), by_subject(checked)
    records: dict[str, list[dict[str, object]]] = {
        "subjects": [_subject_tree(row) for row in (*subjects, every)],
        "cases": [case_tree(one) for one in checked],
        "libraries": [{"id": name, "version": found} for name, found in around.libraries],
    }
    recorded: tuple[tuple[str, str], ...] = ()
    if kept is not None:
        entries = [entry.n for entry in kept.stored.new]
        recorded = (("record kept in", kept.name.spelled), ("its table", kept.file.name))
        place: dict[str, object] = {
            "id": kept.name.spelled,
            "file": kept.file.name,
            "entries": entries,
        }
        records["record"] = [place]
    return Answer(
        command="selftest",
        inputs={
            "program": PROGRAM,
            "method_version": METHOD_VERSION,
            "python": around.python,
            "platform": around.platform,
        },
        figures={},
        verdict=_verdict(every),
        rows=(
            ("program", PROGRAM),
            ("version of the method", str(METHOD_VERSION)),
            ("Python", around.python),
            ("machine", around.platform),
            *recorded,
        ),
        sections=tuple(_sections(checked, [*subjects, every], around)),
        flags=tuple(_flags(every, kept)),
        records=records,
    )


def _subject_tree(row: Subject) -> dict[str, object]:
    return {"id": row.name, **{k: v for k, v in row._asdict().items() if k != "name"}}


def _verdict(every: Subject) -> Verdict:
    bad = every.cases - every.agree
    if bad:
        reason = say("selftest_differ", bad=bad, cases=every.cases)
        return Verdict("selftest_differ", "does not agree", reason)
    reason = say("selftest_agree", n=every.answers, cases=every.cases)
    return Verdict("selftest_agree", "agrees", reason)


def _sections(
    checked: Sequence[Checked], subjects: Sequence[Subject], around: Surroundings
) -> list[Section]:
    lines = aligned(HEADS, [_cells(row) for row in subjects])
    found = [table_section("Published cases by subject", lines)]
    bad = [line for one in checked if not one.agrees for line in _differing(one)]
    if bad:
        found.append(Section("Not as their source has it", tuple((line, "") for line in bad)))
    return [*found, Section("Libraries", around.libraries)]


def _cells(row: Subject) -> list[str]:
    counts = (row.cases, row.sources, row.answers, row.agree)
    return [row.name, *(str(n) for n in counts), worst_text(row.worst)]


def _differing(one: Checked) -> list[str]:
    """One line for each answer that is not as its source has it."""
    if one.fault:
        return [say("selftest_fault", x=one.case.id, why=one.fault)]
    return [
        say(
            "selftest_answer",
            x=one.case.id,
            answer=outcome.answer.name,
            found=str(outcome.found),
            printed=outcome.answer.printed,
        )
        for outcome in one.outcomes
        if not outcome.agrees
    ]


def _flags(every: Subject, kept: Kept | None) -> list[Flag]:
    told = kept.stored.flags if kept is not None else []
    return [
        *told,
        flag("selftest_evidence"),
        flag("selftest_memory", n=every.cases - every.seen),
    ]
