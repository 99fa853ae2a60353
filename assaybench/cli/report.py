"""`assaybench report`: a log, or one sample of it, as a report that a client can keep."""

from hashlib import sha256
from pathlib import Path
from typing import Any

import click

from assaybench import PROGRAM
from assaybench.cli.log_results import log_of, where_of
from assaybench.cli.logbooks import words_of
from assaybench.cli.options import emit_text, once
from assaybench.logbook.store import create
from assaybench.messages import BadInput, printable, quoted, say
from assaybench.record.typed import typed_day
from assaybench.report.entry_lines import day_of
from assaybench.report.log_report import Wish, report_of
from assaybench.report.text import text_report

NOT_GOOD = 1


@click.command(name="report")
@click.argument("words", nargs=-1, metavar="NUMBER")
@click.option("--text", "as_text", is_flag=True, help="Plain text; the form there is.")
@click.option("--sample", "samples", multiple=True, metavar="ID", help="Of this sample alone.")
@click.option("--sum", "as_sum", is_flag=True, help="With the sum of each sample.")
@once("--issued", metavar="DATE", help="Date of issue to print: 2026-06-09.")
@once("--out", metavar="FILE", help="Write it to this new file instead.")
@once("--bench", metavar="NAME", help="Bench of the log NUMBER.")
@once("--logbook", metavar="DIR", help="Folder of the logbook.")
def command(**typed: Any) -> int:
    """Report the log NUMBER: results, all determinations, checks, corrections, seal.

    The same log gives the same text on every day. The entries `method item=laboratory value=…`,
    likewise place, client, received and sampling, fill its head. Exit status 1 when the log is
    damaged, or is not what was sealed.
    """
    (number,), _ = words_of(typed["words"], ["NUMBER"])
    if not typed["as_text"]:
        raise BadInput.of("argument_missing", what="--text", accepted=say("report_form"))
    issued = _issued(typed["issued"])
    out = None if typed["out"] is None else _free(typed["out"])
    desk, log = log_of(number, typed)
    wish = Wish(PROGRAM, typed["samples"], issued, with_sum=typed["as_sum"])
    report, good = report_of(where_of(desk), log, wish)
    text = text_report(report)
    if out is None:
        emit_text(text.removesuffix("\n"))
    else:
        data = text.encode()
        create(desk.files, out, data)
        emit_text(f"report: {printable(str(out))}\nSHA-256: {sha256(data).hexdigest()}")
    return 0 if good and not log.damaged else NOT_GOOD


def _issued(given: str | None) -> str:
    if given is None:
        return ""
    try:
        return day_of(typed_day(given))
    except BadInput as fault:
        raise fault.named("--issued") from fault


def _free(given: str) -> Path:
    """The path of a file that is not there yet.

    Raises:
        BadInput: when it is, or cannot be looked for.
    """
    try:
        path = Path(given).absolute()
        there = path.exists()
    except (OSError, ValueError) as fault:
        raise BadInput.of("file_unreadable", x=quoted(given), why=say("not_a_file")) from fault
    if there or not given.strip():
        raise BadInput.of("report_exists", x=quoted(given)).named("--out")
    return path
