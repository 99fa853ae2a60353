"""`assaybench verify`: whether a logbook is as it was signed."""

import re
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Self

import click

from assaybench import PROGRAM
from assaybench.cli.logbooks import Desk, allotted, desk_of, in_logbook
from assaybench.cli.options import Faults, emit, is_terminal, once, shape_of
from assaybench.logbook import settings_fields
from assaybench.logbook.allowed_signers import LARGEST_SIGNERS, Listed, read_signers
from assaybench.logbook.checked import Checked, checked_file, note_checked
from assaybench.logbook.clock import machine_time
from assaybench.logbook.faults import NotDone, NotGood
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName, log_name, names_in
from assaybench.logbook.index import cache_folder
from assaybench.logbook.marks import given_mark
from assaybench.logbook.store import read_all
from assaybench.logbook.verify import Ask, Verified, verify_book, verify_files
from assaybench.logbook.verify_book import marks_not_held
from assaybench.logbook.verify_keys import Named
from assaybench.logbook.whole_log import is_there, status_of
from assaybench.messages import BadInput, printable, quoted, say
from assaybench.report.bundle_report import texts_of_bundle
from assaybench.report.verify_view import answer_of
from assaybench.units import parse

MOST_PROCESSES = 64
BAR = 20
"""Signs of the bar that shows how far it is."""
_LOG_FILE = re.compile(r"[0-9]{6}\.toml")


@click.command(name="verify")
@click.argument("words", nargs=-1, metavar="[PATH|NUMBER]...")
@once("--signers", metavar="FILE", help="Keys that you name, in the form of allowed_signers.")
@click.option("--fingerprint", multiple=True, metavar="FP", help="A key that you name.")
@click.option("--require-trusted", is_flag=True, help="Only keys that you name count.")
@click.option("--mark", multiple=True, metavar="N:DIGEST", help="A mark printed on a report.")
@click.option("--no-recompute", is_flag=True, help="Leave the figures alone.")
@once("--jobs", metavar="N", help="Processes at most; one for each core when left out.")
@in_logbook
def command(**typed: Any) -> int:
    """Check links, signatures, register, marks and figures of the logbook.

    Or of logs by NUMBER, of log files, of a folder, of a bundle. Nothing is changed. Exit status 1
    when something is not good, 3 when something could not be checked.
    """
    shape, desk = shape_of(typed), desk_of(typed)
    ask = _ask(typed, desk)
    targets = _targets(desk, typed["words"])
    result = Verified()
    with Bar() as bar:
        for root, only in targets.books.items():
            verify_book(desk.files, Logbook(root), ask, only=only, progress=bar, result=result)
            if only is None:
                result.tell(texts_of_bundle(desk.files, Logbook(root), PROGRAM))
        if targets.loose:
            verify_files(desk.files, targets.loose, ask, progress=bar, result=result)
    result.tell(marks_not_held(ask.marks, result.held))
    if not targets.loose and targets.books == {desk.book.root: None}:
        _note(desk, ask, result)
    words = [*typed["words"]]
    inputs: dict[str, object] = {
        "what": words,
        "recompute": ask.recompute,
        "require_trusted": ask.require_trusted,
        "marks": [mark.text for mark in ask.marks],
    }
    where = printable(", ".join(words) if words else str(desk.book.root))
    emit(answer_of(result, inputs, where, recomputed=ask.recompute), shape)
    return result.status


def _note(desk: Desk, ask: Ask, result: Verified) -> None:
    """Note in the cache when the whole logbook was checked, and what that came to.

    A check without figures is less than that; a key that is not named is no fault of the logbook.
    """
    if ask.recompute and not (ask.require_trusted and result.status):
        checked = Checked(machine_time(), result.total, result.status)
        note_checked(desk.files, checked_file(desk.book, cache_folder()), checked)


def _ask(typed: dict[str, Any], desk: Desk) -> Ask:
    """How to verify, from the options.

    Raises:
        BadInput: with every fault of them.
    """
    faults = Faults()
    jobs = faults.take("--jobs", _jobs, typed["jobs"]) or 0
    marks = [faults.take("--mark", given_mark, text) for text in typed["mark"]]
    fingerprints = [faults.take("--fingerprint", _fingerprint, x) for x in typed["fingerprint"]]
    listed = faults.take("--signers", _signers, desk.files, typed["signers"])
    faults.done()
    named = {text for text in fingerprints if text} | set(desk.settings.trusted)
    return Ask(
        recompute=not typed["no_recompute"],
        processes=jobs,
        named=Named(tuple(listed or ()), frozenset(named)),
        require_trusted=typed["require_trusted"],
        marks=tuple(mark for mark in marks if mark is not None),
    )


def _jobs(text: str | None) -> int:
    return 0 if text is None else parse.whole(text, 1, MOST_PROCESSES)


def _fingerprint(text: str) -> str:
    trusted = settings_fields.BY_NAME["trusted"]
    trusted.read(trusted, [text])
    return text


def _signers(files: Files, name: str | None) -> list[Listed]:
    """The keys of a file that the one who checks keeps himself; each bad line of it is a fault."""
    if name is None:
        return []
    data = None if "\0" in name else read_all(files, Path(name), LARGEST_SIGNERS)
    if data is None:
        raise BadInput.of("file_unreadable", x=quoted(name), why=say("file_gone"))
    listed, lines = read_signers(data)
    if lines:
        raise BadInput(lines)
    return listed


@dataclass(slots=True)
class Targets:
    """What is to be looked at.

    Attributes:
        books: folders of logbooks or bundles, with the logs that are asked for; None for all.
        loose: log files outside any logbook.
    """

    books: dict[Path, set[LogName] | None] = field(default_factory=dict)
    loose: list[Path] = field(default_factory=list)

    def add(self, root: Path, names: set[LogName] | None) -> None:
        """Ask for logs of a logbook, or for all of it."""
        before = self.books.get(root, set())
        self.books[root] = None if names is None or before is None else before | names


def _targets(desk: Desk, words: Sequence[str]) -> Targets:
    """What is meant by the arguments; the whole logbook when there are none.

    Raises:
        BadInput: one line for each that is neither a log nor a file nor a folder with logs.
        NotDone: when there is no logbook, or a folder cannot be read.
    """
    targets, faults = Targets(), Faults()
    if not words:
        if not is_there(desk.files, desk.book.root):
            raise NotDone([say("not_read", name=str(desk.book.root), why=say("file_gone"))])
        targets.add(desk.book.root, None)
    for word in words:
        faults.take("", _target, targets, desk, word)
    faults.done()
    return targets


def _target(targets: Targets, desk: Desk, word: str) -> None:
    path = Path(word)
    status = None if word.isdigit() or "\0" in word else status_of(desk.files, path)
    if status is None:
        _number(targets, desk, word)
        return
    path = path.absolute()
    if not status.folder:
        _file(targets, path, word)
        return
    if path.name == "logs":
        path = path.parent
    parts = names_in(desk.files, path)
    if "logs" in parts or "registers" in parts:
        targets.add(path, None)
        return
    logs = [path / name for name in parts if _LOG_FILE.fullmatch(name)]
    if not logs:
        raise BadInput.of("verify_no_logs", x=quoted(word))
    for log in logs:
        _file(targets, log, word)


def _number(targets: Targets, desk: Desk, word: str) -> None:
    try:
        name = log_name(word, desk.bench)
    except BadInput as fault:
        raise BadInput.of("verify_what", x=quoted(word)) from fault
    if not is_there(desk.files, desk.book.log(name)):
        known = allotted(desk, name)
        if known is not None and known.seal is not None:
            raise NotGood([say("verify_gap_sealed", name=name.spelled)])
        raise BadInput.of("log_missing", name=name.spelled, x=quoted(str(desk.book.root))[1:-1])
    targets.add(desk.book.root, {name})


def _file(targets: Targets, path: Path, word: str) -> None:
    """A log file: within its logbook where it stands in one, else alone."""
    if path.suffix != ".toml" or ".statement-" in path.name:
        raise BadInput.of("verify_not_a_log", x=quoted(word))
    if path.parent.parent.name == "logs":
        book = Logbook(path.parents[2])
        name = book.name_of(path)
        if name is not None:
            targets.add(book.root, {name})
            return
    targets.loose.append(path)


class Bar:
    """How far it is, on the error stream, when a person looks at it."""

    def __init__(self) -> None:
        self._shown = is_terminal(sys.stderr)
        self._next = 0.0
        self._width = 0

    def __enter__(self) -> Self:
        return self

    def __call__(self, done: int, total: int) -> None:
        """Show that so many logs of all are done; seldom, since a terminal is slow."""
        now = time.monotonic() if self._shown else 0.0
        if not self._shown or now < self._next:
            return
        self._next = now + 0.1
        full = BAR * done // max(total, 1)
        text = f"  [{'#' * full}{'.' * (BAR - full)}] checked {done} of {total}"
        self._width = max(self._width, len(text))
        sys.stderr.write(f"\r{text}")
        sys.stderr.flush()

    def __exit__(self, *fault: object) -> None:
        if self._width:
            sys.stderr.write(f"\r{' ' * self._width}\r")
            sys.stderr.flush()
