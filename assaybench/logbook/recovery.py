"""A torn end is moved aside before it is cut off, so that nothing on the disk is ever lost.

Every step may be the last before the next power cut: the copy is whole and on the disk before the
cut, a copy that is there already is not made twice, and a copy that no `recovered` entry names yet
gets its entry when the file is opened next.
"""

import re
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook.faults import NotDone, disk_reason, not_read
from assaybench.logbook.files import READ, Files
from assaybench.logbook.store import create, read_all, read_open
from assaybench.messages import say
from assaybench.record.frame import LONGEST_LINE, MOST_KEYS

MOST_COPIES = 999
LARGEST_END = (MOST_KEYS + 8) * (LONGEST_LINE + 1)
"""No unfinished entry is larger, in bytes."""


class Torn(NamedTuple):
    """A torn end that was moved aside: the file it stands in, and its size in bytes."""

    file: str
    size: int


def torn_files(files: Files, path: Path) -> list[Torn]:
    """The torn ends kept beside a file, in order.

    Raises:
        NotDone: when the folder cannot be read.
    """
    form = re.compile(rf"{re.escape(path.stem)}\.torn-([0-9]{{1,3}})")
    found: list[tuple[int, Torn]] = []
    try:
        for name in files.listdir(path.parent):
            match = form.fullmatch(name)
            status = files.stat(path.with_name(name)) if match else None
            if match and status is not None:
                found.append((int(match[1]), Torn(name, status.size)))
    except OSError as fault:
        raise not_read(path.parent, fault) from fault
    return [torn for _, torn in sorted(found)]


def set_aside(files: Files, path: Path, good: int, size: int) -> Torn:
    """Copy the torn end of a file beside it; it is on the disk when this returns.

    Args:
        files: the disk.
        path: the file.
        good: bytes up to the end of its last good entry.
        size: bytes of the whole file.

    Raises:
        NotDone: when it could not be done; the file itself is unchanged.
    """
    end = _end(files, path, good, size)
    there = torn_files(files, path)
    for torn in there:
        same = torn.size == len(end)
        if same and read_all(files, path.with_name(torn.file), len(end)) == end:
            return torn
    taken = {torn.file for torn in there}
    names = (f"{path.stem}.torn-{k}" for k in range(1, MOST_COPIES + 1))
    name = next((name for name in names if name not in taken), None)
    if name is None:
        raise NotDone([say("torn_too_many", name=path.name, most=MOST_COPIES)])
    try:
        create(files, path.with_name(name), end)
    except (NotDone, FileExistsError) as fault:
        raise NotDone([say("torn_not_kept", name=path.name), *_lines(fault)]) from fault
    return Torn(name, len(end))


def _lines(fault: NotDone | FileExistsError) -> tuple[str, ...]:
    return fault.lines if isinstance(fault, NotDone) else (disk_reason(fault),)


def _end(files: Files, path: Path, good: int, size: int) -> bytes:
    """The bytes from the last good entry on."""
    try:
        descriptor = files.open(path, READ)
        try:
            files.seek(descriptor, good)
            end = read_open(files, descriptor, min(size - good, LARGEST_END) + 1)
        finally:
            files.close(descriptor)
    except OSError as fault:
        raise not_read(path, fault) from fault
    if len(end) != size - good:
        raise NotDone([say("log_changed", name=path.name)])
    return end
