"""One writer for each file: a lock, and beside it a note of who holds it.

The lock is the system's own (`filelock`), so it is free again when its holder dies. The note stands
in a file of its own, since on some systems a locked file cannot be read; it is for people only.
"""

import os
import tomllib
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from assaybench.logbook.faults import Holder, LogBusy, NotDone, disk_reason
from assaybench.logbook.files import CREATE, Files
from assaybench.logbook.store import read_all, write_all
from assaybench.messages import say

if TYPE_CHECKING:
    from filelock import BaseFileLock

_LARGEST_NOTE = 2_000


class Lock:
    """The right to write one file.

    Attributes:
        path: the lock file.
        name: what the locked file is called, for messages.
    """

    def __init__(self, files: Files, path: Path, name: str) -> None:
        self.path = path
        self.name = name
        self._files = files
        self._lock: BaseFileLock | None = None

    def acquire(self, by: str, since: datetime, wait_seconds: float = 0.0) -> None:
        """Take the lock and note down who has it.

        Args:
            by: initials of the holder.
            since: the time now.
            wait_seconds: how long to wait for another holder.

        Raises:
            LogBusy: when another holds it, with who that is.
            NotDone: when it cannot be taken for another reason.
        """
        from filelock import FileLock, Timeout

        try:
            self._files.make_folder(self.path.parent)
            lock = FileLock(self.path, timeout=wait_seconds, thread_local=False)
            lock.acquire()
        except Timeout as fault:
            if not os.access(self.path, os.W_OK):
                why = say("lock_no_right")
                raise NotDone([say("lock_failed", name=self.name, why=why)]) from fault
            raise LogBusy(self.name, holder(self._files, self.path)) from fault
        except (OSError, NotImplementedError) as fault:
            why = disk_reason(fault) if isinstance(fault, OSError) else say("lock_unknown_here")
            raise NotDone([say("lock_failed", name=self.name, why=why)]) from fault
        self._lock = lock
        # the note only names the holder: without it the lock still holds
        with suppress(OSError):
            self._note(by, since)

    def _note(self, by: str, since: datetime) -> None:
        import socket

        import tomli_w

        path = note_path(self.path)
        note = {
            "pid": os.getpid(),
            "host": socket.gethostname(),
            "by": by,
            "since": since.isoformat(timespec="seconds"),
        }
        if self._files.stat(path) is not None:
            self._files.unlink(path)
        descriptor = self._files.open(path, CREATE)
        try:
            write_all(self._files, descriptor, tomli_w.dumps(note).encode())
        finally:
            self._files.close(descriptor)

    def release(self) -> None:
        """Give the lock back; nothing happens when it is not held."""
        lock, self._lock = self._lock, None
        if lock is None:
            return
        # the note goes first: once the lock is free it may be another's
        with suppress(OSError):
            self._files.unlink(note_path(self.path))
        lock.release()


def note_path(lock: Path) -> Path:
    """The file that says who holds a lock."""
    return lock.with_suffix(".holder")


def holder(files: Files, lock: Path) -> Holder:
    """Who holds a lock, as far as the note beside it tells."""
    try:
        data = read_all(files, note_path(lock), _LARGEST_NOTE) or b""
        note = tomllib.loads(data.decode())
    except (NotDone, ValueError, RecursionError):
        return Holder()
    pid, rest = note.get("pid"), [note.get(name) for name in ("host", "by", "since")]
    if not isinstance(pid, int) or not all(isinstance(text, str) for text in rest):
        return Holder()
    host, by, since = (str(text) for text in rest)
    return Holder(pid, host, by, since)
