"""The calls to the operating system that the logbook makes, as one object that can be replaced.

Nothing above this file calls the disk itself, so a test can let any call fail, or stop dead after
it. Paths are `pathlib` paths; sizes are bytes.
"""

import os
import sys
import time
from pathlib import Path
from typing import NamedTuple

_BINARY = getattr(os, "O_BINARY", 0)
_FULL_SYNC = 51  # F_FULLFSYNC of macOS, where fsync leaves the data in the disk's own cache
_TRIES, _PAUSE_SECONDS = 5, 0.05

READ = os.O_RDONLY | _BINARY
APPEND = os.O_RDWR | os.O_APPEND | _BINARY
CREATE = os.O_RDWR | os.O_CREAT | os.O_EXCL | _BINARY


class Status(NamedTuple):
    """What a file is: its size, and the number that tells it from another of the same name."""

    size: int
    identity: tuple[int, int]
    folder: bool


class Files:
    """The real disk."""

    def open(self, path: Path, flags: int) -> int:
        """Open a file and return its descriptor; a new one can be read by everybody."""
        return os.open(path, flags, 0o644)

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

    def stat(self, path: Path) -> Status | None:
        """What stands under a path; None when nothing does."""
        try:
            return _status(os.stat(path))  # noqa: PTH116  beside its twin fstat
        except (FileNotFoundError, NotADirectoryError):
            return None

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

    def make_folder(self, path: Path) -> None:
        """Make a folder and those above it that are missing."""
        path.mkdir(parents=True, exist_ok=True)


def _status(found: os.stat_result) -> Status:
    import stat

    return Status(found.st_size, (found.st_dev, found.st_ino), stat.S_ISDIR(found.st_mode))
