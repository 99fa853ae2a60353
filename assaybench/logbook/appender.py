"""Appending to an open framed file: on the disk before it returns, or taken back and told so.

What `append` returned for is acknowledged. After its own failed write the appender cuts the file
back to the last acknowledged byte. When that fails too, or the disk could not say whether data
reached it, the file is closed for writing: only opening it again, which reads every link, tells.
"""

import errno
from contextlib import suppress
from pathlib import Path

from assaybench.logbook.faults import NotDone, NotStored, NotWritable, Unconfirmed, disk_reason
from assaybench.logbook.files import Files
from assaybench.logbook.store import write_all
from assaybench.messages import say

# a full disk refuses new data and keeps the old; any other failure to sync leaves both in doubt
_FULL = (errno.ENOSPC, errno.EDQUOT)


class Appender:
    """The end of one open file.

    Attributes:
        path: the file.
        size: its acknowledged length in bytes.
        closed: why nothing more can be written, None while it can.
    """

    def __init__(self, files: Files, path: Path, descriptor: int, size: int, most: int) -> None:
        self.path = path
        self.size = size
        self.closed: str | None = None
        self._files = files
        # a text is looked up sooner than a path, and it is at every entry
        self._name = str(path)
        self._descriptor = descriptor
        self._most = most
        self._begun = False
        self._identity: tuple[int, int] | None = None

    def append(self, data: bytes) -> None:
        """Add bytes at the end; they are on the disk when this returns.

        Raises:
            NotStored: when they are not stored and nothing of them is left.
            Unconfirmed: when they may be there, wholly or in part.
            NotWritable: when the file was closed for writing, or another program changed it.
        """
        if self.closed is not None:
            raise NotWritable([self.closed])
        if self._begun:
            # an interrupt struck between writing and acknowledging
            self._cut_back(None)
        self._look()
        if self.size + len(data) > self._most:
            raise NotStored([say("log_full", name=self.path.name, most=self._most)])
        self._begun = True
        try:
            write_all(self._files, self._descriptor, data)
        except OSError as fault:
            self._cut_back(fault)
            raise self._not_stored(fault) from fault
        try:
            self._files.fsync(self._descriptor)
        except OSError as fault:
            self._cut_back(fault)
            if fault.errno not in _FULL:
                self._close_for_writing(say("log_closed_disk", name=self.path.name))
            raise self._not_stored(fault) from fault
        self.size += len(data)
        self._begun = False

    def cut(self) -> None:
        """Cut away what stands behind the acknowledged end, and see it to the disk.

        Raises:
            OSError: when the disk refuses.
        """
        self._files.truncate(self._descriptor, self.size)
        self._files.fsync(self._descriptor)

    def close(self) -> None:
        """Close the file; nothing happens when it is closed."""
        if self._descriptor >= 0:
            descriptor, self._descriptor = self._descriptor, -1
            self._close_for_writing(say("log_closed", name=self.path.name))
            with suppress(OSError):
                # every acknowledged byte was synced before, so nothing hangs on this call
                self._files.close(descriptor)

    def _look(self) -> None:
        """Refuse when the file under this name is not the one that was opened, as long as known."""
        try:
            if self._identity is None:
                # what a descriptor stands for never changes, so it is asked once
                self._identity = self._files.status(self._descriptor).identity
            named = self._files.stat(self._name)
        except OSError as fault:
            raise self._not_stored(fault) from fault
        if named is None or named.identity != self._identity or named.size != self.size:
            self._close_for_writing(say("log_changed", name=self.path.name))
            raise NotWritable([say("log_changed", name=self.path.name)])

    def _cut_back(self, fault: OSError | None) -> None:
        try:
            self.cut()
        except OSError as second:
            self._close_for_writing(say("log_closed_unsure", name=self.path.name))
            why = disk_reason(fault or second)
            raise Unconfirmed([say("not_confirmed", name=self.path.name, why=why)]) from second
        self._begun = False

    def _close_for_writing(self, why: str) -> None:
        if self.closed is None:
            self.closed = why

    def _not_stored(self, fault: OSError) -> NotDone:
        return NotStored([say("not_stored", name=self.path.name, why=disk_reason(fault))])
