"""Small whole files: made once and never overwritten, or replaced in one step.

Either the old content is there or the new, never a mixture, whatever call fails or is the last one
before the power does. The caller holds the lock that guards the name.
"""

import errno
from pathlib import Path

from assaybench.logbook.faults import NotDone, Unconfirmed, disk_reason, not_read
from assaybench.logbook.files import CREATE, READ, Files
from assaybench.messages import say

_PIECE = 1 << 16
# what a disk without hard links answers: some sticks and network shares
_NO_LINKS = (errno.EPERM, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EMLINK)


def read_all(files: Files, path: Path, most: int) -> bytes | None:
    """The bytes of a file; None when there is none. A larger one gives `most` + 1 bytes of it.

    Raises:
        NotDone: when it cannot be read.
    """
    try:
        descriptor = files.open(path, READ)
    except FileNotFoundError:
        return None
    except OSError as fault:
        raise not_read(path, fault) from fault
    try:
        return read_open(files, descriptor, most + 1)
    except OSError as fault:
        raise not_read(path, fault) from fault
    finally:
        files.close(descriptor)


def read_open(files: Files, descriptor: int, most: int) -> bytes:
    """At most so many bytes of an open file, from where it stands.

    Raises:
        OSError: when a call fails.
    """
    parts: list[bytes] = []
    while most > 0 and (piece := files.read(descriptor, min(_PIECE, most))):
        parts.append(piece)
        most -= len(piece)
    return b"".join(parts)


def write_all(files: Files, descriptor: int, data: bytes) -> None:
    """Write all of the data, in as many calls as the system wants.

    Raises:
        OSError: when a call fails, or takes nothing; a part may have been written.
    """
    while data:
        taken = files.write(descriptor, data)
        if taken <= 0:
            raise OSError(errno.EIO, "the system took no bytes")
        data = data[taken:]


def passing_name(name: str) -> str:
    """The name of a file while `create` writes it."""
    return f".{name}.tmp"


def create(files: Files, path: Path, data: bytes) -> None:
    """Make a file that is not there yet, whole; it is on the disk when this returns.

    The content is written under a passing name, then linked to its own, which never overwrites. On
    a disk without hard links the file is made under its own name, and may be left short by a power
    cut; readers of such files tell.

    Raises:
        FileExistsError: when there is a file of this name; it is not touched.
        NotDone: when it could not be made; there is no such file then.
        Unconfirmed: when it, or a part of it, is there but the disk did not confirm it.
    """
    passing = path.with_name(passing_name(path.name))
    try:
        _must_be_free(files, path)
        _written(files, passing, data)
        linked = _linked(files, passing, path)
    except FileExistsError:
        _away(files, passing)
        raise
    except OSError as fault:
        _away(files, passing)
        raise _not_made(files, path, data, fault) from fault
    _away(files, passing)
    if not linked:
        _make_in_place(files, path, data)
    _confirm(files, path)


def _must_be_free(files: Files, path: Path) -> None:
    if files.stat(path) is not None:
        raise FileExistsError(errno.EEXIST, "there is one already", str(path))


def _not_made(files: Files, path: Path, data: bytes, fault: OSError) -> NotDone:
    """A call failed on the way: look what is there before saying that it was not made."""
    try:
        there = read_all(files, path, len(data))
    except NotDone:
        there = b""
    fields = {"name": path.name, "why": disk_reason(fault)}
    if there is None:
        return NotDone([say("file_not_made", **fields)])
    return Unconfirmed([say("file_unconfirmed" if there == data else "file_half", **fields)])


def _written(files: Files, path: Path, data: bytes) -> None:
    """A new file with this content, on the disk; one left over from a power cut gives way."""
    if files.stat(path) is not None:
        files.unlink(path)
    _fill(files, files.open(path, CREATE), data)


def _fill(files: Files, descriptor: int, data: bytes) -> None:
    try:
        write_all(files, descriptor, data)
        files.fsync(descriptor)
    finally:
        files.close(descriptor)


def _linked(files: Files, passing: Path, path: Path) -> bool:
    """Whether the disk has hard links; then the file has its name."""
    try:
        files.link(passing, path)
    except OSError as fault:
        if fault.errno in _NO_LINKS:
            return False
        raise
    return True


def _make_in_place(files: Files, path: Path, data: bytes) -> None:
    try:
        descriptor = files.open(path, CREATE)
    except FileExistsError:
        raise
    except OSError as fault:
        raise _not_made(files, path, data, fault) from fault
    try:
        _fill(files, descriptor, data)
    except OSError as fault:
        _away(files, path)
        raise _not_made(files, path, data, fault) from fault


def _confirm(files: Files, path: Path) -> None:
    try:
        files.sync_folder(path.parent)
    except OSError as fault:
        line = say("file_unconfirmed", name=path.name, why=disk_reason(fault))
        raise Unconfirmed([line]) from fault


def _away(files: Files, path: Path) -> None:
    """Take a passing file away; one that stays is harmless and gives way to the next."""
    try:
        files.unlink(path)
    except OSError:
        return


def replace(files: Files, path: Path, data: bytes, *, mark: str) -> None:
    """Give a file new content in one step; it is on the disk when this returns.

    Args:
        files: the disk.
        path: the file, whether or not it is there.
        data: its new content.
        mark: part of the passing name, one that no other process uses at this moment.

    Raises:
        NotDone: when it could not be done; the old content is there then.
        Unconfirmed: when the new content is there but the disk did not confirm it.
    """
    passing = path.with_name(passing_name(f"{path.name}.{mark}"))
    try:
        _written(files, passing, data)
        files.replace(passing, path)
    except OSError as fault:
        _away(files, passing)
        line = say("file_not_changed", name=path.name, why=disk_reason(fault))
        raise NotDone([line]) from fault
    _confirm(files, path)
