"""A bundle: one sealed log with all that it takes to check it, in a folder of its own.

It has the layout of a logbook, so `verify FOLDER` and the lines of HOW-TO-CHECK.txt work in it:

    logs/BENCH/000012.toml     the log, its signature, statements, torn ends, attachments
    logs/BENCH/000007.toml     the log that it replaces, likewise, and so on
    marks/BENCH/000012.toml    the register mark of its seal, with its signature
    allowed_signers   HOW-TO-CHECK.txt   and what else is given, such as a report

The register is left out: it names the logs of other clients. The mark stands for it. A bundle is
made under a passing name, checked, and named last; an interrupted one leaves no folder behind that
looks whole.
"""

import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from itertools import count
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook.allowed_signers import LARGEST_SIGNERS, read_signers
from assaybench.logbook.faults import NotDone, NotGood, Unconfirmed, disk_reason
from assaybench.logbook.files import CREATE, READ, Files
from assaybench.logbook.folder import Logbook, LogName, names_in
from assaybench.logbook.how_to_check import Bundled, Facts, how_to_check
from assaybench.logbook.signed_entry import one_entry
from assaybench.logbook.signing import signature_path
from assaybench.logbook.statements import statement_paths
from assaybench.logbook.store import read_all, write_all
from assaybench.logbook.verify import Ask, Verified, verify_book
from assaybench.logbook.verify_bench import listing
from assaybench.logbook.verify_found import Found
from assaybench.logbook.verify_log import read_digested
from assaybench.logbook.whole_log import is_there
from assaybench.messages import BadInput, say
from assaybench.record.reissue import replaced
from assaybench.record.signed_kinds import LARGEST_SIGNED, STATEMENT_BY_NAME

_PIECE = 1 << 16
REPORT, HOW_TO_CHECK = "report.txt", "HOW-TO-CHECK.txt"


class Bundle(NamedTuple):
    """A bundle that was made.

    Attributes:
        names: its files, as paths within it.
        told: what is not good about keys of statements in it, one line each.
    """

    names: list[str]
    told: tuple[str, ...]


def bundle(
    files: Files, book: Logbook, name: LogName, folder: Path, extra: Mapping[str, bytes]
) -> Bundle:
    """Make the bundle of a sealed log; the folder is there whole, or not at all.

    Args:
        files: the disk.
        book: the logbook.
        name: the log.
        folder: where; nothing may stand there yet.
        extra: further files of the folder by name, such as a report.

    Returns:
        The bundle; a key of a statement that is not good keeps nothing back, and is told.

    Raises:
        BadInput: when the folder is there already, or the log is not sealed or not there.
        NotGood: when the log or the bundle is not good; nothing is left of it.
        NotDone: when it could not be made, or its name cannot be looked for; nothing is left of it.
        Unconfirmed: when it is there but the disk did not confirm its name.
    """
    if is_there(files, folder):
        raise BadInput.of("bundle_exists", x=folder.name)
    names = _with_older(files, book, name)
    passing = _passing(files, folder)
    made = _Copy(files, passing)
    try:
        for one in names:
            made.log(book, one)
        made.write("allowed_signers", read_all(files, book.allowed_signers, LARGEST_SIGNERS) or b"")
        made.write(HOW_TO_CHECK, how_to_check_in(files, book, name))
        for file, data in extra.items():
            made.write(file, data)
        told = _must_be_good(files, passing, book, names)
        for part in sorted(made.folders, key=lambda path: len(path.parts), reverse=True):
            files.sync_folder(part)
        files.replace(passing, folder)
    except BaseException as fault:
        made.away()
        if isinstance(fault, OSError):
            line = say("file_not_made", name=folder.name, why=disk_reason(fault))
            raise NotDone([line]) from fault
        raise
    try:
        files.sync_folder(folder.parent)
    except OSError as fault:
        line = say("file_unconfirmed", name=folder.name, why=disk_reason(fault))
        raise Unconfirmed([line]) from fault
    return Bundle(made.names, told)


def _passing(files: Files, folder: Path) -> Path:
    """A passing name that is free; one that a power cut left is not touched."""
    names = (f".{folder.name}.{os.getpid()}-{k}.tmp" for k in count(1))
    return next(p for p in map(folder.with_name, names) if files.stat(p) is None)


def _with_older(files: Files, book: Logbook, name: LogName) -> list[LogName]:
    """A sealed log, and those that it replaces, the newest first."""
    names = [name]
    while True:
        path = book.log(names[-1])
        read = read_digested(files, path)
        if read is None:
            raise BadInput.of("log_missing", name=names[-1].spelled, x=str(book.root))
        if read.verdict.state == "damaged":
            why = read.verdict.sentence
            raise NotGood([say("verify_damaged", name=names[-1].spelled, why=why)])
        if not read.entries or read.entries[-1].kind != "sealed":
            raise BadInput.of("bundle_not_sealed", name=names[-1].spelled)
        old = replaced(read.entries)
        if old is None or not 0 < old.number < names[-1].number:
            return names
        names.append(LogName(name.bench, old.number))


def how_to_check_in(files: Files, book: Logbook, name: LogName) -> bytes:
    """The text of a bundle: about this log, the one who sealed it, and each who stated something.

    Args:
        files: the disk.
        book: the logbook, or the bundle itself.
        name: the log.

    Raises:
        NotDone: when a file of it cannot be read.
    """
    rows, _ = read_signers(read_all(files, book.allowed_signers, LARGEST_SIGNERS) or b"")
    people = [(row.principal, row.key.fingerprint) for row in rows]
    names = {fingerprint: principal for principal, fingerprint in people}
    read = read_digested(files, book.log(name))
    own = str(read.entries[-1].values.get("fingerprint", "")) if read else ""
    people.sort(key=lambda person: person[1] != own)
    statements = []
    for _, path in statement_paths(book, name, files):
        if read_all(files, signature_path(path), 1) is not None:
            entry, _ = one_entry(read_all(files, path, LARGEST_SIGNED) or b"", STATEMENT_BY_NAME)
            key = str(entry.values.get("fingerprint", "")) if entry else ""
            statements.append((path.name, names.get(key, "NAME")))
    marked = files.stat(book.mark(name)) is not None
    bundled = Bundled(name, tuple(statements), marked=marked)
    return how_to_check(Facts((name.bench,), tuple(people), bundled))


def _must_be_good(
    files: Files, folder: Path, book: Logbook, names: Sequence[LogName]
) -> tuple[str, ...]:
    """Refuse to hand out a bundle that does not hold; give what is told of keys of statements.

    The logbook knows more of a key than the bundle: where it finds the same, its words are said.
    """
    bad = _bad(files, Logbook(folder), None)
    if not bad:
        return ()
    known = [one for one in _bad(files, book, names) if _of_statement_key(one)]
    told = known or [one for one in bad if _of_statement_key(one)]
    bad = [one for one in bad if not _of_statement_key(one)]
    if bad:
        own = [one for one in _bad(files, book, names) if not _of_statement_key(one)]
        raise NotGood([say("bundle_not_good"), *(one.sentence for one in own or bad)])
    return tuple(one.sentence for one in told)


def _bad(files: Files, book: Logbook, only: Sequence[LogName] | None) -> list[Found]:
    result = Verified()
    verify_book(files, book, Ask(processes=1), result=result, only=only)
    return [one for one in result.findings if one.level == "bad"]


def _of_statement_key(one: Found) -> bool:
    """Whether all that is not good is the key of a statement: the log's own seal may be good."""
    return ".statement-" in Path(one.path).name and one.code.startswith("key_")


class _Copy:
    """Copies files into a folder, and can take them all away again.

    Attributes:
        names: the files, as paths within the folder.
        folders: the folders made.
    """

    def __init__(self, files: Files, root: Path) -> None:
        self.names: list[str] = []
        self.folders: list[Path] = []
        self._files, self._root = files, root

    def log(self, book: Logbook, name: LogName) -> None:
        """A log with everything about it."""
        for path in _about(self._files, book, name):
            self._file(path, path.relative_to(book.root).as_posix())

    def write(self, name: str, data: bytes) -> None:
        """A file of these bytes."""
        descriptor = self._made(name)
        try:
            write_all(self._files, descriptor, data)
            self._files.fsync(descriptor)
        finally:
            self._files.close(descriptor)

    def _file(self, path: Path, name: str) -> None:
        """A copy of a file, piece by piece, as attachments may be large."""
        source = self._files.open(path, READ)
        try:
            descriptor = self._made(name)
            try:
                while piece := self._files.read(source, _PIECE):
                    write_all(self._files, descriptor, piece)
                self._files.fsync(descriptor)
            finally:
                self._files.close(descriptor)
        finally:
            self._files.close(source)

    def _made(self, name: str) -> int:
        path = self._root / name
        if path.parent not in self.folders:
            self._files.make_folder(path.parent)
            missing = [p for p in (path.parent, *path.parent.parents) if _within(p, self._root)]
            self.folders += [p for p in missing if p not in self.folders]
        descriptor = self._files.open(path, CREATE)
        self.names.append(name)
        return descriptor

    def away(self) -> None:
        """Take everything away; what stays has a passing name and is told by nobody."""
        for name in self.names:
            with suppress(OSError):
                self._files.unlink(self._root / name)
        for folder in sorted(self.folders, key=lambda path: len(path.parts), reverse=True):
            with suppress(OSError):
                self._files.remove_folder(folder)


def _within(path: Path, root: Path) -> bool:
    return path == root or root in path.parents


def _about(files: Files, book: Logbook, name: LogName) -> Iterator[Path]:
    """The files about a log that are there."""
    log, mark = book.log(name), book.mark(name)
    beside = [log.with_name(text) for text in _beside(files, book, name)]
    for path in (log, signature_path(log), *beside, mark, signature_path(mark)):
        status = files.stat(path)
        if status is None:
            continue
        if not status.folder:
            yield path
            continue
        for part in names_in(files, path):
            inside = files.stat(path / part)
            if inside is not None and not inside.folder and not part.startswith("."):
                yield path / part


def _beside(files: Files, book: Logbook, name: LogName) -> Iterable[str]:
    for text in listing(files, book.logs(name.bench)).beside.get(name.number, ()):
        yield text
        if text.endswith(".toml"):
            yield f"{text}.sig"
