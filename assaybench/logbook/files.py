"""The calls to the operating system that the logbook makes, as one object that can be replaced.

Nothing above this file calls the disk itself, so a test can let any call fail, or stop dead after
it. Paths are `pathlib` paths; sizes are bytes.
"""

import os
import stat
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

_BINARY = getattr(os, "O_BINARY", 0)
_FULL_SYNC = 51  # F_FULLFSYNC of macOS, where fsync leaves the data in the disk's own cache
_TRIES, _PAUSE_SECONDS = 5, 0.05

READ = os.O_RDONLY | _BINARY
APPEND = os.O_RDWR | os.O_APPEND | _BINARY
CREATE = os.O_RDWR | os.O_CREAT | os.O_EXCL | _BINARY


class Status(NamedTuple):
    """What a file is: its size, and the number that tells it from another of the same name.

    Attributes:
        size: in bytes.
        identity: numbers of its disk and of itself.
        mode: its type and rights, as the system packs them.
        changed_ns: when its content was last changed, ns, as the disk says.
    """

    size: int
    identity: tuple[int, int]
    mode: int
    changed_ns: int

    @property
    def folder(self) -> bool:
        """Whether it is a folder."""
        return stat.S_ISDIR(self.mode)

    @property
    def plain(self) -> bool:
        """Whether it is an ordinary file: no folder, device or pipe."""
        return stat.S_ISREG(self.mode)


class Files:
    """The real disk."""

    def open(self, path: Path, flags: int) -> int:
        """Open a file and return its descriptor; a new one can be read by everybody."""
        return os.open(path, flags, 0o644)

    def open_private(self, path: Path) -> int:
        """Make a file that only its owner can read and return its descriptor.

        On Windows the folder alone decides who can read it.
        """
        return os.open(path, CREATE, 0o600)

    def shared(self, path: Path) -> bool:
        """Whether others than its owner have any right on a file; where nobody can say, not."""
        return os.name != "nt" and bool(os.stat(path).st_mode & 0o077)  # noqa: PTH116

    def close(self, descriptor: int) -> None:
        """Close a descriptor."""
        os.close(descriptor)

    def read(self, descriptor: int, most: int) -> bytes:
        """The next bytes, empty at the end."""
        return os.read(descriptor, most)

    def seek(self, descriptor: int, place: int) -> None:
        """Go to a place, in bytes from the start of the file."""
        os.lseek(descriptor, place, os.SEEK_SET)

    def write(self, descriptor: int, data: bytes) -> int:
        """Write and return how many bytes were taken, which may be fewer."""
        return os.write(descriptor, data)

    def fsync(self, descriptor: int) -> None:
        """Return when what was written has reached the disk."""
        if sys.platform == "darwin":
            import fcntl

            fcntl.fcntl(descriptor, _FULL_SYNC)
            return
        os.fsync(descriptor)

    def truncate(self, descriptor: int, size: int) -> None:
        """Cut a file to a size."""
        os.ftruncate(descriptor, size)

    def status(self, descriptor: int) -> Status:
        """What an open file is."""
        return _status(os.fstat(descriptor))

    def stat(self, path: Path | str) -> Status | None:
        """What stands under a path; None when nothing does."""
        try:
            return _status(os.stat(path))  # noqa: PTH116  beside its twin fstat
        except (FileNotFoundError, NotADirectoryError):
            return None

    def behind_links(self, path: Path) -> Path:
        """Where the file of a path lies, or would lie, when names on the way are links."""
        return Path(os.path.realpath(path))

    def link(self, source: Path, target: Path) -> None:
        """Give a file a second name; fails when the name is taken."""
        os.link(source, target)

    def replace(self, source: Path, target: Path) -> None:
        """Rename a file over another in one step."""
        for _ in range(_TRIES if os.name == "nt" else 1):
            try:
                source.replace(target)
            except PermissionError as fault:
                # a virus scanner may hold the file for a moment
                held = fault
                time.sleep(_PAUSE_SECONDS if os.name == "nt" else 0)
            else:
                return
        raise held

    def unlink(self, path: Path) -> None:
        """Take a name away."""
        path.unlink()

    def writable(self, path: Path) -> bool:
        """Whether a file may be written by anybody, whatever the rights of this process."""
        return bool(os.stat(path).st_mode & 0o222)  # noqa: PTH116  beside its twin fstat

    def make_read_only(self, path: Path) -> None:
        """Let nobody write a file by mistake; who owns it can still undo this."""
        path.chmod(0o444)

    def sync_folder(self, path: Path) -> None:
        """Return when the names in a folder have reached the disk; some systems cannot say."""
        if os.name == "nt":
            return
        descriptor = os.open(path, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)

    def listdir(self, path: Path) -> list[str]:
        """Names in a folder, sorted; none when there is no such folder."""
        try:
            return sorted(os.listdir(path))  # noqa: PTH208  names alone are asked for
        except FileNotFoundError:
            return []

    def scan(self, path: Path) -> Iterator[tuple[str, Status]]:
        """Names in a folder with what stands under them, in no order; none without a folder."""
        try:
            found = os.scandir(path)
        except FileNotFoundError:
            return
        with found:
            for entry in found:
                # what is gone between the listing and the look was not there
                with suppress(FileNotFoundError):
                    yield entry.name, _status(entry.stat())

    def make_folder(self, path: Path) -> None:
        """Make a folder and those above it that are missing."""
        path.mkdir(parents=True, exist_ok=True)

    def remove_folder(self, path: Path) -> None:
        """Take an empty folder away."""
        path.rmdir()


def _status(found: os.stat_result) -> Status:
    identity = (found.st_dev, found.st_ino)
    return Status(found.st_size, identity, found.st_mode, found.st_mtime_ns)
