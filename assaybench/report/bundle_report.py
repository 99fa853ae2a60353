"""The texts of a bundle held against its log: no signature covers them, so they are printed anew.

What a report says of other logs, or of the log that replaces its own, a bundle cannot show; a text
of another version is worded otherwise. Then nothing is compared, and that is said.
"""

from typing import NamedTuple

from assaybench.logbook.bundle import HOW_TO_CHECK, REPORT, how_to_check_in
from assaybench.logbook.determinations import Elsewhere, determinations
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.store import read_all
from assaybench.logbook.verify_found import Found, found
from assaybench.logbook.verify_log import read_digested
from assaybench.logbook.whole_log import read_whole
from assaybench.messages import BadInput, say
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.report.log_report import Across, Wish, printed, seal_of
from assaybench.report.results_text import ELSEWHERE
from assaybench.report.text import text_report

_LARGEST_TEXT = 50_000_000
_OUTSIDE = (
    say("log_replaced", by="X").partition("X")[0],
    say("logs_unseen", n="X").partition("X")[0],
)
"""How lines begin that follow from other logs."""
_PROGRAM_LINE = "program of this report"


class _Text(NamedTuple):
    """A text of a bundle: its name, what it is, what it would be anew."""

    name: str
    there: bytes
    anew: bytes


def texts_of_bundle(files: Files, book: Logbook, program: str) -> list[Found]:
    """What is to be told of the report and of HOW-TO-CHECK.txt in a bundle; nothing of a logbook.

    Args:
        files: the disk.
        book: the folder.
        program: program and version that check.

    Raises:
        NotDone: when the folder cannot be read.
    """
    benches = book.benches(files)
    report = read_all(files, book.root / REPORT, _LARGEST_TEXT)
    how = read_all(files, book.how_to_check, _LARGEST_TEXT)
    if files.stat(book.registers) is not None or len(benches) != 1 or report is None or not how:
        return []
    name = LogName(benches[0], max(book.numbers(files, benches[0]), default=0))
    why = _not_comparable(report.decode("utf-8", "replace"), program)
    if why:
        return [found("note", "bundle_uncovered", book.root / REPORT, why=why)]
    try:
        anew = _printed(files, book, name, program)
        how_anew = how_to_check_in(files, book, name)
    except BadInput:
        why = say("bundle_no_results")
        return [found("note", "bundle_uncovered", book.root / REPORT, why=why)]
    except NotDone as fault:
        # told, not raised: what was found of the log would be lost
        why = " ".join(fault.lines)
        return [found("undone", "bundle_uncovered", book.root / REPORT, why=why)]
    texts = (_Text(REPORT, report, anew), _Text(HOW_TO_CHECK, how, how_anew))
    told = [_altered(book, text) for text in texts if text.there != text.anew]
    return told or [found("note", "bundle_printed", book.root / REPORT)]


def _altered(book: Logbook, text: _Text) -> Found:
    there, anew = text.there.split(b"\n"), text.anew.split(b"\n")
    same = next((n for n, pair in enumerate(zip(there, anew, strict=False)) if pair[0] != pair[1]),
                min(len(there), len(anew)))  # fmt: skip
    return found("bad", "bundle_altered", book.root / text.name, name=text.name, line=same + 1)


def _not_comparable(text: str, program: str) -> str:
    """Why a report cannot be printed anew from its bundle; empty when it can."""
    made = next((line for line in text.splitlines() if _PROGRAM_LINE in line), "")
    if not made.endswith(f" {program}"):
        return say("bundle_other_version")
    lines = {line.strip() for line in text.splitlines()}
    if ELSEWHERE in lines or any(line.startswith(_OUTSIDE) for line in lines):
        return say("bundle_other_logs")
    return ""


def _printed(files: Files, book: Logbook, name: LogName, program: str) -> bytes:
    """The report of the log of a bundle, as it was printed when the bundle was made."""
    log, read = read_whole(files, book, name), read_digested(files, book.log(name))
    alone = Elsewhere((), None, 0)
    worked_out = results(replay(log.entries))
    own = Across(worked_out, alone, determinations(book, files, name, worked_out, alone))
    digest, size = ("", 0) if read is None else (read.digest.hex(), len(read.data))
    seal = seal_of(files, book, name, digest, size)
    return text_report(printed(log, own, seal, (), Wish(program))).encode()
