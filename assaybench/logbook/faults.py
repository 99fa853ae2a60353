"""What could not be done, with the state that is left told truthfully (exit status 3)."""

from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from assaybench.messages import quoted, say


class NotDone(Exception):
    """Something could not be done; nothing else was changed than the lines say.

    Attributes:
        lines: what was tried, what is there now, what to do.
    """

    def __init__(self, lines: Iterable[str]) -> None:
        self.lines = tuple(lines)
        super().__init__("\n".join(self.lines))


class NotStored(NotDone):
    """An entry was not stored and nothing of it is left in the file; it may be tried again."""


class Unconfirmed(NotDone):
    """The disk failed so that the file may or may not hold it: look before typing it again."""


class NotWritable(NotDone):
    """A file that is only read: damaged, sealed, or closed for writing after a failure."""


class WrongPassphrase(NotDone):
    """A key was not opened with what was typed; nothing was written, and it may be typed again."""


class NotGood(NotDone):
    """Something was checked and is not good, so nothing was made of it (exit status 1)."""


class NotPrinted(NotDone):
    """The answer could not be printed; what was done before is done."""


class Holder(NamedTuple):
    """Who writes a file now, as the lock's holder wrote it down.

    Attributes:
        pid: number of the process, 0 when it is not known.
        host: name of the computer.
        by: initials.
        since: when it began, as written.
    """

    pid: int = 0
    host: str = ""
    by: str = ""
    since: str = ""


class LogBusy(NotDone):
    """Another process writes this file.

    Attributes:
        holder: who.
    """

    def __init__(self, name: str, holder: Holder) -> None:
        self.holder = holder
        if holder.pid:
            line = say(
                "log_busy",
                name=name,
                by=quoted(holder.by)[1:-1],
                pid=holder.pid,
                host=quoted(holder.host)[1:-1],
                since=quoted(holder.since)[1:-1],
            )
        else:
            line = say("log_busy_unnamed", name=name)
        super().__init__([line])


def not_read(path: Path, fault: OSError) -> NotDone:
    """The fault of a file or folder that cannot be read; its name is cut where it has no end."""
    return NotDone([say("not_read", name=quoted(path.name)[1:-1], why=disk_reason(fault))])


def disk_reason(fault: OSError) -> str:
    """The plain reason of a failed call, for a message."""
    import errno

    known = {
        errno.ENOSPC: "disk_full",
        errno.EDQUOT: "disk_share_full",
        errno.EIO: "disk_fails",
        errno.EACCES: "disk_no_right",
        errno.EPERM: "disk_no_right",
        errno.EROFS: "disk_read_only",
        errno.ENOENT: "file_gone",
        errno.EISDIR: "disk_folder_there",
        errno.ENOTDIR: "disk_file_there",
        errno.EEXIST: "disk_there_already",
        errno.ENAMETOOLONG: "disk_name_long",
    }
    code = known.get(fault.errno or 0)
    return say(code) if code else quoted(fault.strerror or type(fault).__name__)[1:-1]
