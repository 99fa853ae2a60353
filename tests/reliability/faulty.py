"""A disk that fails where a test wants it to, and people with a clock for it."""

import errno
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Literal, TypeVar

from assaybench.logbook.files import Files, Status
from assaybench.logbook.logfile import Keeper

T = TypeVar("T")
How = Literal["refuse", "half", "after", "stop", "never"]
PROGRAM = "assaybench 0.1.0"


class Stopped(BaseException):
    """The process is dead from here on: no handler for failures may run."""


class Faulty(Files):
    """Counts the calls that can change the disk or the state; one of them goes wrong.

    Attributes:
        calls: names of the calls so far.
    """

    def __init__(self, at: int = 0, how: How = "never", error: int = errno.EIO) -> None:
        """Let call number `at`, from 1, go wrong.

        Args:
            at: which call; 0 for none.
            how: `refuse`: it does nothing and fails; `half`: a write takes half, then fails;
                `after`: it is done and fails all the same; `stop`: it is done and the process dies.
            error: number of the error.
        """
        self.at, self.how, self.error = at, how, error
        self.calls: list[str] = []
        self.dead = False

    def _call(self, name: str, act: Callable[[], T], half: Callable[[], object] | None = None) -> T:
        if self.dead:
            raise Stopped
        self.calls.append(name)
        if len(self.calls) != self.at or self.how == "never":
            return act()
        if self.how == "half" and half is not None:
            half()
        elif self.how in ("after", "stop"):
            act()
        if self.how == "stop":
            self.dead = True
            raise Stopped
        raise OSError(self.error, "made to fail")

    def open(self, path: Path, flags: int) -> int:
        return self._call("open", lambda: super(Faulty, self).open(path, flags))

    def open_private(self, path: Path) -> int:
        return self._call("open_private", lambda: super(Faulty, self).open_private(path))

    def close(self, descriptor: int) -> None:
        # a dead process closes its files as well; closing is no way to lose what was synced
        super().close(descriptor)
        if self.dead:
            raise Stopped

    def read(self, descriptor: int, most: int) -> bytes:
        return self._call("read", lambda: super(Faulty, self).read(descriptor, most))

    def seek(self, descriptor: int, place: int) -> None:
        self._call("seek", lambda: super(Faulty, self).seek(descriptor, place))

    def write(self, descriptor: int, data: bytes) -> int:
        real = super().write
        part = data[: len(data) // 2]
        return self._call("write", lambda: real(descriptor, data), lambda: real(descriptor, part))

    def fsync(self, descriptor: int) -> None:
        self._call("fsync", lambda: super(Faulty, self).fsync(descriptor))

    def truncate(self, descriptor: int, size: int) -> None:
        self._call("truncate", lambda: super(Faulty, self).truncate(descriptor, size))

    def status(self, descriptor: int) -> Status:
        return self._call("status", lambda: super(Faulty, self).status(descriptor))

    def stat(self, path: Path | str) -> Status | None:
        return self._call("stat", lambda: super(Faulty, self).stat(path))

    def link(self, source: Path, target: Path) -> None:
        self._call("link", lambda: super(Faulty, self).link(source, target))

    def replace(self, source: Path, target: Path) -> None:
        self._call("replace", lambda: super(Faulty, self).replace(source, target))

    def unlink(self, path: Path) -> None:
        self._call("unlink", lambda: super(Faulty, self).unlink(path))

    def sync_folder(self, path: Path) -> None:
        self._call("sync_folder", lambda: super(Faulty, self).sync_folder(path))

    def listdir(self, path: Path) -> list[str]:
        return self._call("listdir", lambda: super(Faulty, self).listdir(path))

    def make_folder(self, path: Path) -> None:
        self._call("make_folder", lambda: super(Faulty, self).make_folder(path))

    def remove_folder(self, path: Path) -> None:
        self._call("remove_folder", lambda: super(Faulty, self).remove_folder(path))

    def writable(self, path: Path) -> bool:
        return self._call("writable", lambda: super(Faulty, self).writable(path))

    def make_read_only(self, path: Path) -> None:
        self._call("make_read_only", lambda: super(Faulty, self).make_read_only(path))


class NoLinks(Files):
    """A disk without hard links, such as many sticks have."""

    def link(self, source: Path, target: Path) -> None:
        raise OSError(errno.EPERM, "no hard links here")


class FullDisk(Files):
    """A disk that takes only so many bytes more.

    Attributes:
        room: bytes that it still takes; a test may set it anew.
    """

    def __init__(self, room: int) -> None:
        self.room = room

    def write(self, descriptor: int, data: bytes) -> int:
        if self.room <= 0:
            raise OSError(errno.ENOSPC, "no room")
        taken = super().write(descriptor, data[: self.room])
        self.room -= taken
        return taken


class Clock:
    """A clock that goes on by a second at every look."""

    def __init__(self) -> None:
        self.now = datetime(2026, 6, 9, 14, 2, 11, 480_123, timezone(timedelta(hours=2)))

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


def keeper(files: Files | None = None, by: str = "KB") -> Keeper:
    """Somebody with a clock, on a disk."""
    return Keeper(by, Clock(), files or Files(), PROGRAM)
