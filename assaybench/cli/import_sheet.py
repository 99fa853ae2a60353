"""`assaybench import`: a hand sheet becomes a log, marked as entered from paper."""

import dataclasses
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path, PurePath
from typing import Any

import click

from assaybench.cli.log_results import reading_many
from assaybench.cli.logbooks import Desk, by_option, desk_of, in_logbook, keeper_of, words_of
from assaybench.cli.open_log import made_answer
from assaybench.cli.options import emit, once, shape_of
from assaybench.cli.results import read_file
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.importing import Imported, Paper, import_sheet
from assaybench.logbook.index import Index, cache_folder, with_index
from assaybench.logbook.index_tables import Row, Wanted
from assaybench.logbook.reading import read_log
from assaybench.messages import BadInput, say
from assaybench.metrology.figure import Flag, flag
from assaybench.record.replay import replay
from assaybench.record.slips import questions_of

MOST_ALIKE = 1000
"""Logs of one title that are looked through for the same sheet."""
COLUMN_FILES = (".csv", ".tsv", ".txt")


@click.command(name="import")
@click.argument("words", nargs=-1, metavar="SHEET")
@once("--head", metavar="FILE", help="For samples in columns (CSV): a hand sheet of the rest.")
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Make a log of the hand sheet SHEET, with the date on the paper.

    SHEET may be a CSV file, one line a sample, its columns the keys of a sample in a hand sheet;
    everything else stands in the hand sheet of --head.

    The last entry is a note that names the sheet, its digest and who stands behind it.
    """
    (file,), _ = words_of(typed["words"], ["SHEET"])
    shape, desk = shape_of(typed), desk_of(typed)
    keeper = keeper_of(desk, typed)
    paper = _paper(file, typed["head"])
    made = import_sheet(desk.book, desk.bench, keeper, paper)
    inputs: dict[str, object] = {"sheet": file, "paper_date": made.head.paper_date}
    answer = made_answer("import", desk.book, made.name, inputs)
    more = (
        ("title", made.head.title),
        ("entered from paper, dated", made.head.paper_date),
        ("entries", str(made.entries)),
    )
    told = (*_held(desk, made, paper), *_slips(desk.files, desk.book.log(made.name)))
    emit(dataclasses.replace(answer, rows=(*answer.rows, *more), flags=told), shape)


def _paper(file: str, head: str | None) -> Paper:
    """The files that were named, read."""
    in_columns = PurePath(file).suffix.lower() in COLUMN_FILES
    if in_columns and head is None:
        raise BadInput.of("argument_missing", what="--head", accepted=say("columns_no_head"))
    if head is not None and not in_columns:
        raise BadInput.of("columns_no_head").named("--head")
    return Paper(file, read_file(file), None if head is None else read_file(head))


def _held(desk: Desk, made: Imported, paper: Paper) -> tuple[Flag, ...]:
    """That another log of this sheet is there; its note has the digest, and its title is the same.

    A log that cannot be read is passed over: this is a courtesy, and the import is done.
    """
    wanted = Wanted(title=made.head.title, log=made.head.log)

    def job(index: Index) -> tuple[Row, ...]:
        index.update("new")
        return index.page(wanted, MOST_ALIKE, 1).rows

    with suppress(NotDone):
        for row in with_index(desk.book, desk.files, cache_folder(), job, tell=reading_many):
            path = desk.book.log(row.name)
            if row.name != made.name and not row.void and _holds(desk.files, path, paper.sha256):
                return (flag("sheet_held", name=row.name.spelled, n=made.name.spelled),)
    return ()


def _holds(files: Files, log: Path, digest: str) -> bool:
    """Whether a note of a log has the digest of a sheet."""
    with suppress(NotDone):
        notes = (entry for entry in read_log(files, log)[0] if entry.kind == "note")
        return any(digest in str(note.values.get("text", "")) for note in notes)
    return False


def _slips(files: Files, log: Path) -> Iterator[Flag]:
    """What would have been asked at the bench: told, and stored as the paper has it."""
    entries, _ = read_log(files, log)
    for n, question in questions_of(replay(entries)):
        yield Flag("please_look_again", say("slip_on_paper", n=n, x=question.seen))
