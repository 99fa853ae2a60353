"""`assaybench export --bundle`: a sealed log and all that it takes to check it, for a client."""

from pathlib import Path
from typing import Any

import click

from assaybench import PROGRAM
from assaybench.cli.log_results import log_of, where_of
from assaybench.cli.logbooks import in_logbook
from assaybench.cli.options import emit, once, shape_of
from assaybench.logbook.bundle import REPORT, bundle
from assaybench.messages import BadInput, printable, quoted, say
from assaybench.metrology.figure import flag
from assaybench.report.answer import Answer, Section
from assaybench.report.log_report import Wish, report_of
from assaybench.report.text import text_report


@click.command(name="export")
@once("--bundle", metavar="NUMBER", help="The sealed log to hand on.")
@once("--out", metavar="FOLDER", help="The new folder; left out, one named after the log.")
@in_logbook
def command(**typed: Any) -> None:
    """Make a folder that a client can check without this program.

    It holds the log, its signatures, statements, mark and attachments, the logs it replaces, the
    keys, how to check, and a report. The folder is made whole or not at all.
    """
    if typed["bundle"] is None:
        raise BadInput.of("argument_missing", what="--bundle", accepted=say("bundle_needs"))
    shape = shape_of(typed)
    desk, log = log_of(typed["bundle"], typed)
    folder = _folder(typed["out"], log.name.spelled)
    report, _ = report_of(where_of(desk), log, Wish(PROGRAM))
    extra = {REPORT: text_report(report).encode()}
    made = bundle(desk.files, desk.book, log.name, folder, extra)
    names = made.names
    answer = Answer(
        command="export",
        inputs={"log": log.name.spelled, "out": str(folder)},
        figures={},
        rows=(
            ("bundle of", log.name.spelled),
            ("folder", printable(str(folder))),
            ("files", str(len(names))),
        ),
        sections=(Section("Files", tuple((name, "") for name in sorted(names)), table=True),),
        flags=(
            *(flag("bundle_statement_key", why=" ".join(why.split())) for why in made.told),
            flag("bundle_how"),
        ),
        records={"files": [{"id": name} for name in sorted(names)]},
    )
    emit(answer, shape)


def _folder(given: str | None, name: str) -> Path:
    """The folder that is to be made.

    Raises:
        BadInput: for what cannot name one.
    """
    if given is None:
        return Path(name).absolute()
    if not given.strip() or "\0" in given:
        raise BadInput.of("file_unreadable", x=quoted(given), why=say("not_a_folder"))
    return Path(given).absolute()
