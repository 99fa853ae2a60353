"""When a logbook was verified last, and what that came to: a note in the cache, for people.

It is no part of the record and proves nothing: whoever can write the user's cache can write it.
"""

import os
import tomllib
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.store import read_all, replace

_LARGEST = 1_000


class Checked(NamedTuple):
    """A check of the whole logbook.

    Attributes:
        at: when.
        logs: how many logs were looked at.
        status: what it came to, as the exit status of `verify`.
    """

    at: datetime
    logs: int
    status: int


def checked_file(book: Logbook, folder: Path) -> Path:
    """The file of the note: its name is a digest of the root, as that of the index.

    Args:
        book: the logbook.
        folder: folder of the indexes.
    """
    from hashlib import sha256

    root = str(book.root.absolute()).encode("utf-8", "surrogatepass")
    return folder / f"{sha256(root).hexdigest()[:32]}.checked"


def note_checked(files: Files, path: Path, checked: Checked) -> None:
    """Write it down; where that cannot be, it is done without."""
    text = (
        f"at = {checked.at.isoformat(timespec='seconds')}\n"
        f"logs = {checked.logs}\nstatus = {checked.status}\n"
    )
    try:
        files.make_folder(path.parent)
        replace(files, path, text.encode(), mark=str(os.getpid()))
    except (NotDone, OSError):
        return


def last_checked(files: Files, path: Path) -> Checked | None:
    """The last check, None when none is known."""
    try:
        data = read_all(files, path, _LARGEST)
        if data is None:
            return None
        tree = tomllib.loads(data.decode())
        at, logs, status = tree["at"], tree["logs"], tree["status"]
    except (NotDone, ValueError, KeyError):
        return None
    if isinstance(at, datetime) and at.tzinfo and isinstance(logs, int) and isinstance(status, int):
        return Checked(at, logs, status)
    return None
