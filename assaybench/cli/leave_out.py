"""`assaybench leave-out`: a determination out of the mean, with a reason; it stays visible."""

from typing import Any

import click

from assaybench.assay import sorts
from assaybench.cli.logbooks import (
    by_option,
    desk_of,
    in_logbook,
    reason_of,
    reason_option,
    words_of,
)
from assaybench.cli.options import emit, shape_of
from assaybench.cli.storing import Stored, Wanted, store
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Flag
from assaybench.record.entries import Entry
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.sample_grades import SampleGrade
from assaybench.report import entry_lines
from assaybench.report.answer import Answer, Section, figure_tree, table_section
from assaybench.units import write


@click.command(name="leave-out")
@click.argument("words", nargs=-1, metavar="NUMBER SAMPLE")
@reason_option
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Leave the determination SAMPLE of the log NUMBER out of the mean of its sample.

    It is counted and printed all the same, with the reason and who left it out.
    """
    (number, sample), _ = words_of(typed["words"], ["NUMBER", "SAMPLE"])
    reason = reason_of(typed)
    shape, desk = shape_of(typed), desk_of(typed)

    def wanted(entries: list[Entry]) -> Wanted:
        state = replay(entries)
        faults = []
        if sample not in state.samples:
            choices = ", ".join(state.samples) or "none yet"
            faults = [say("sample_not_in_log", x=quoted(sample), choices=choices)]
        elif sample in state.left_out:
            why = state.left_out[sample]
            faults = [say("left_out_already", x=quoted(sample), why=why)]
        return Wanted("left_out", {"sample": sample, "reason": reason}, faults)

    stored = store(desk, typed, number, wanted)
    emit(answer(stored), shape, practice=stored.name.practice)


def answer(stored: Stored) -> Answer:
    """The answer of `leave-out`: the entry, and the grade with n of N."""
    entry = stored.counting[-1]
    state = replay(stored.entries)
    sample = entry.text("sample")
    of = state.samples[sample].text("of") or sample
    grades: list[SampleGrade] = []
    flags: list[Flag] = stored.flags
    try:
        grades = [g for g in results(state).grades if g.id == of]
    except BadInput as fault:
        flags += [Flag("no_results", line) for line in fault.lines]
    sections = [table_section("Entry", entry_lines.lines(entry))]
    sections += [Section(_title(grade), tuple(_grade_rows(grade))) for grade in grades]
    return Answer(
        command="leave-out",
        inputs={"log": stored.name.spelled},
        figures={},
        rows=(stored.row,),
        sections=tuple(sections),
        flags=tuple(flags),
        records={
            "entries": [entry_lines.tree(entry)],
            "grades": [_grade_tree(grade) for grade in grades],
        },
    )


def _title(found: SampleGrade) -> str:
    return f"Grade, {found.words}" if found.mixed else "Grade"


def _grade_rows(found: SampleGrade) -> list[tuple[str, str]]:
    """n of N with the grade, mean and median; of a sample with two sorts those of one sort."""
    used, every = len(found.grade.used), len(found.grade.every)
    mean, median = found.grade.mean_of_all, found.grade.median_of_all
    all_ = f"all {every} {found.words}".strip()
    return [
        (f"{found.id}, {used} of {found.of_all} determinations", found.figure.text),
        (f"mean of {all_}", f"{write.short(mean, 3)} g/t"),
        (f"median of {all_}", f"{write.short(median, 3)} g/t"),
    ]


def _grade_tree(found: SampleGrade) -> dict[str, object]:
    return {
        "id": found.id,
        "correction": sorts.words(found.sort),
        "figures": {"grade_gold": figure_tree(found.figure)},
        "determinations": found.of_all,
        "used": len(found.grade.used),
        "mean_of_all": found.grade.mean_of_all,
        "median_of_all": found.grade.median_of_all,
    }
