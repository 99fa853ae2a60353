"""Files kept beside a log: a photo of a tray, a certificate; its entries hold their digests.

Choices: a file keeps its own name as far as every disk takes it; where that name is taken by other
bytes the copy is numbered, `tray-2.jpg`, and the same bytes are never kept twice. The copy is on
the disk before its entry, so an entry never names a file that was not there; a copy without an
entry is harmless, is told, and serves when the file is attached again.
"""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from contextlib import suppress
from hashlib import sha256
from pathlib import Path, PurePath
from typing import NamedTuple

from assaybench.logbook.faults import NotDone, disk_reason, not_read
from assaybench.logbook.files import Files
from assaybench.logbook.folder import DEVICES, Logbook, LogName, names_in
from assaybench.logbook.store import create, passing_name, read_all
from assaybench.messages import BadInput, quoted, say
from assaybench.record.entries import Effective, Entry, effective

LARGEST_ATTACHMENT = 50_000_000
"""Bytes; a choice. A logbook is carried by git, which takes no larger files kindly."""
LONGEST_NAME = 100
LONGEST_END = 16
MOST_COPIES = 999
KIND = "attachment"
_UNSAFE = re.compile(r"[^\w.+@() -]|^[. -]+|[. ]+$")
"""What a name of a file does not hold here: signs that a disk, a shell or an eye may mistake."""


class Attached(NamedTuple):
    """A file that is to be kept beside a log: its name there, and its bytes."""

    name: str
    data: bytes

    @property
    def keys(self) -> dict[str, object]:
        """The keys of its entry."""
        digest = sha256(self.data).hexdigest()
        return {"file": self.name, "size": len(self.data), "sha256": digest}


def file_of(files: Files, path: Path) -> Attached:
    """Read a file that a person wants to keep.

    Raises:
        BadInput: for a folder, a device, a missing, unreadable or too large file, with the reason.
    """
    try:
        status = files.stat(path)
    except (OSError, ValueError) as fault:
        why = disk_reason(fault) if isinstance(fault, OSError) else say("file_gone")
        raise BadInput.of("file_unreadable", x=quoted(str(path)), why=why) from fault
    if status is None:
        raise BadInput.of("file_unreadable", x=quoted(str(path)), why=say("file_gone"))
    if status.folder:
        raise BadInput.of("attachment_folder", x=quoted(str(path)))
    if not status.plain:
        raise BadInput.of("attachment_no_file", x=quoted(str(path)))
    try:
        data = read_all(files, path, LARGEST_ATTACHMENT)
    except NotDone as fault:
        raise BadInput(fault.lines) from fault
    if data is None:
        raise BadInput.of("file_unreadable", x=quoted(str(path)), why=say("file_gone"))
    if len(data) > LARGEST_ATTACHMENT:
        size = max(status.size, len(data))
        raise BadInput.of("attachment_large", x=quoted(path.name), n=size, most=LARGEST_ATTACHMENT)
    return Attached(safe_name(path.name), data)


def safe_name(text: str) -> str:
    """A name for a file that every disk takes and no eye mistakes; `_` for signs it does not.

    Raises:
        BadInput: when nothing is left of it.
    """
    name = _UNSAFE.sub("_", unicodedata.normalize("NFC", PurePath(text).name))
    end = PurePath(name).suffix[:LONGEST_END]
    name = f"{name.removesuffix(PurePath(name).suffix)[: LONGEST_NAME - len(end)]}{end}"
    name = unicodedata.normalize("NFC", name)
    if not name.strip("_. "):
        raise BadInput.of("attachment_no_name", x=quoted(text))
    return f"_{name}" if DEVICES.fullmatch(name.split(".")[0].upper()) else name


def attach(files: Files, book: Logbook, name: LogName, attached: Attached) -> Attached:
    """Copy a file beside a log; it is on the disk when this returns, under the name returned.

    The caller holds the lock of the log. What a copy that was cut off left there is taken away.

    Raises:
        BadInput: when there are too many files of its name.
        NotDone: when it could not be made; nothing of it is there then.
        Unconfirmed: when it is there but the disk did not confirm it.
    """
    folder = book.attached(name)
    try:
        if files.stat(folder) is None:
            files.make_folder(folder)
            files.sync_folder(folder.parent)
    except OSError as fault:
        raise NotDone([say("file_not_made", name=folder.name, why=disk_reason(fault))]) from fault
    _clear(files, folder)
    for candidate in _names(attached.name):
        kept = attached._replace(name=candidate)
        try:
            create(files, folder / candidate, attached.data)
            with suppress(OSError):  # a guard against slips; without it the copy is as good
                files.make_read_only(folder / candidate)
        except FileExistsError:
            if _holds(files, folder / candidate, attached.data):
                return kept
        else:
            return kept
    raise BadInput.of(
        "attachment_full", x=quoted(attached.name), folder=folder.name, most=MOST_COPIES
    )


def _clear(files: Files, folder: Path) -> None:
    """Take away passing files of copies that were cut off; one that stays is harmless."""
    left: list[str] = []
    with suppress(OSError):
        left = files.listdir(folder)
    for name in left:
        copied = name.removeprefix(".").removesuffix(".tmp")
        if name == passing_name(copied) and _is_safe(copied):
            with suppress(OSError):
                files.unlink(folder / name)


def _names(name: str) -> Iterable[str]:
    stem, end = PurePath(name).stem, PurePath(name).suffix
    yield name
    yield from (f"{stem}-{k}{end}" for k in range(2, MOST_COPIES + 1))


def _holds(files: Files, path: Path, data: bytes) -> bool:
    """Whether a file has just these bytes; one that cannot be read has not."""
    try:
        status = files.stat(path)
        same = status is not None and status.plain and status.size == len(data)
        return same and read_all(files, path, len(data)) == data
    except (OSError, NotDone):
        return False


class Amiss(NamedTuple):
    """An attachment that is not as its entry says, or a file that no entry names.

    Attributes:
        n: number of the entry, 0 for a file without one.
        code: its code in the table of messages.
        sentence: one line saying it.
        path: the file.
    """

    n: int
    code: str
    sentence: str
    path: Path

    @property
    def bad(self) -> bool:
        """Whether something is not as it was attached; a file without an entry is harmless."""
        return self.code != "attachment_unnamed"


def attachments_amiss(
    files: Files, book: Logbook, name: LogName, entries: Sequence[Entry]
) -> list[Amiss]:
    """What is amiss with the files beside a log, in the order of its entries.

    Every file is read. An entry that was withdrawn is not asked about, its file not missed.

    Args:
        files: the disk.
        book: the logbook.
        name: the log.
        entries: of its own file; those of a log that it replaces are asked about there.

    Raises:
        NotDone: when the folder cannot be read.
    """
    folder = book.attached(name)
    named = [entry for entry in effective(entries) if entry.kind == KIND]
    found = [
        amiss
        for entry in named
        if entry.withdrawn is None and (amiss := _amiss(files, folder, entry)) is not None
    ]
    known = {entry.text("file") for entry in named}
    for other in names_in(files, folder) if _is_folder(files, folder) else ():
        if other not in known and not other.startswith("."):
            said = say("attachment_unnamed", x=quoted(other))
            found.append(Amiss(0, "attachment_unnamed", said, folder / other))
    return found


def _is_folder(files: Files, path: Path) -> bool:
    try:
        status = files.stat(path)
    except OSError as fault:
        raise not_read(path, fault) from fault
    return status is not None and status.folder


def _amiss(files: Files, folder: Path, entry: Effective) -> Amiss | None:
    name, size = entry.text("file"), entry.whole("size")
    if not _is_safe(name):
        said = say("attachment_strange", n=entry.n, x=quoted(name))
        return Amiss(entry.n, "attachment_strange", said, folder)
    path = folder / name
    fields = {"n": entry.n, "x": quoted(name)}
    try:
        status = files.stat(path)
        if status is None:
            return Amiss(entry.n, "attachment_gone", say("attachment_gone", **fields), path)
        if status.plain and status.size == size:
            data = read_all(files, path, status.size) or b""
            if sha256(data).hexdigest() == entry.text("sha256"):
                return None
    except (OSError, NotDone) as fault:
        why = disk_reason(fault) if isinstance(fault, OSError) else " ".join(fault.lines)
        said = say("attachment_unread", why=why.rstrip("."), **fields)
        return Amiss(entry.n, "attachment_unread", said, path)
    return Amiss(entry.n, "attachment_changed", say("attachment_changed", **fields), path)


def _is_safe(name: str) -> bool:
    try:
        return safe_name(name) == name
    except BadInput:
        return False
