"""`assaybench results`: what the samples and products of a hand sheet or a log say."""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from assaybench.cli.options import emit, once, output, shape_of
from assaybench.logbook.faults import disk_reason
from assaybench.messages import BadInput, quoted, say
from assaybench.record import handsheet
from assaybench.report.answer import Answer
from assaybench.report.results_view import Source, answer_of


@click.command(name="results")
@click.argument("file", nargs=-1, metavar="FILE|NUMBER")
@click.option("--sample", "samples", multiple=True, metavar="ID", help="Only this sample, in full.")
@once("--bench", metavar="NAME", help="Bench of the log NUMBER.")
@once("--logbook", metavar="DIR", help="Folder of the logbook of the log NUMBER.")
@output
def command(**typed: Any) -> int:
    """Grades, verdicts, checks and recoveries of a hand sheet FILE or the log NUMBER.

    A hand sheet is a TOML file of readings from paper; the README describes it. A number is digits
    only, or P-1 of practice: write ./12 for a file of that name. Of a sample that other logs hold
    too, it says how many of all determinations are shown, and where the others are. Exit status 1
    when the log is damaged.
    """
    if len(typed["file"]) != 1:
        accepted = say("form_results")
        if not typed["file"]:
            raise BadInput.of("argument_missing", what="A file", accepted=accepted)
        raise BadInput.of("argument_unexpected", x=quoted(typed["file"][1]), accepted=accepted)
    shape = shape_of(typed)
    name, samples, with_sum = typed["file"][0], typed["samples"], typed["as_sum"]
    if _is_log(name):
        from assaybench.cli import log_results

        desk, log = log_results.log_of(name, typed)
        found = log_results.answer_with_n_of_all(desk, log, samples, with_sum=with_sum)
        emit(found, shape, practice=log.name.practice)
        return int(log.damaged)
    emit(answer(name, read_file(name), samples, with_sum=with_sum), shape)
    return 0


def _is_log(name: str) -> bool:
    """Whether the number of a log was typed, or that of a practice log, P-1."""
    if name[:2].upper() != "P-":
        return name.isascii() and name.isdigit()
    from assaybench.logbook.folder import is_practice

    return is_practice(name)


def read_file(name: str) -> bytes:
    """The bytes of a file that a person named, never more than a sheet may have.

    Raises:
        BadInput: when it cannot be read, with the reason, or is too large: a device has no end.
    """
    most = handsheet.LARGEST_BYTES
    try:
        with Path(name).open("rb") as file:
            content = file.read(most + 1)
            size = max(len(content), os.fstat(file.fileno()).st_size)
    except (OSError, ValueError) as fault:
        why = disk_reason(fault) if isinstance(fault, OSError) else say("not_a_file")
        raise BadInput.of("file_unreadable", x=quoted(name), why=why) from fault
    if len(content) > most:
        raise BadInput.of("sheet_too_large", n=size, most=most).named(name)
    return content


def answer(
    name: str, content: bytes, only: Sequence[str] = (), *, with_sum: bool = False
) -> Answer:
    """The answer of `results`.

    Args:
        name: what the file is called, for faults.
        content: its bytes.
        only: ids of samples to show in full; empty shows all in one table.
        with_sum: whether the sums of the samples are asked for.

    Raises:
        BadInput: every fault of the sheet, each led by the file and its place.
    """
    try:
        sheet = handsheet.read(content)
    except BadInput as fault:
        raise fault.named(name) from fault
    day = sheet.date.isoformat()
    source = Source(
        name,
        {"file": name},
        (("hand sheet", sheet.title), ("date on the paper", day)),
        ("sheet", {"id": "sheet", "title": sheet.title, "date": day}),
    )
    return answer_of(source, sheet.entries, only, with_sum=with_sum)
