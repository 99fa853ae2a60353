"""`assaybench enter NUMBER attachment`: a file is copied beside the log, then its entry."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from assaybench.cli.logbooks import Desk
from assaybench.cli.storing import Rows, Stored, Wanted, store
from assaybench.cli.typed_entry import values_of
from assaybench.logbook.attachments import KIND, Attached, attach, file_of
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import LogName
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, say
from assaybench.record.entries import Entry
from assaybench.record.kinds import BY_NAME

WORKED_OUT = ("size", "sha256")


class Attaching:
    """Keeps one file beside a log, and stores its entry."""

    def __init__(self, desk: Desk, pairs: Sequence[str]) -> None:
        """Read the file that is named.

        Args:
            desk: where.
            pairs: keys of the entry as typed; `file` is a path.
        """
        self.desk = desk
        self.faults: list[str] = []
        values = values_of(pairs, BY_NAME[KIND].by_name, self.faults)
        self.faults += [say("attachment_stated", x=key) for key in WORKED_OUT if key in values]
        self.values = {key: value for key, value in values.items() if key not in WORKED_OUT}
        # stands in for a file that is missing, so that the other keys are checked all the same
        self.attached = Attached("x", b"")
        self.copied = False
        named = self.values.get("file")
        if isinstance(named, str):
            try:
                self.attached = file_of(desk.files, Path(named).expanduser())
            except (BadInput, RuntimeError) as fault:
                # a home folder that is not known is no file either
                lines = fault.lines if isinstance(fault, BadInput) else (str(fault),)
                self.faults += [f"file: {line}" for line in lines]
        given = {key: self.attached.keys[key] for key in WORKED_OUT}
        if "file" in self.values:
            given["file"] = self.attached.name
        self.values.update(given)

    def store(self, typed: dict[str, Any], number: str, rows: Rows) -> Stored:
        """Check the entry, copy the file, store the entry.

        Raises:
            BadInput, NotDone: as `storing.store`; a copy that was made is told.
        """
        try:
            return store(self.desk, typed, number, self._wanted, rows, self._copied)
        except NotDone as fault:
            if self.copied:
                fault.lines = (*fault.lines, say("attachment_left", x=self.attached.name))
            raise

    def _wanted(self, _entries: list[Entry]) -> Wanted:
        return Wanted(KIND, dict(self.values), self.faults)

    def _copied(self, name: LogName, rows: Sequence[Row]) -> Sequence[Row]:
        self.attached = attach(self.desk.files, self.desk.book_of(name), name, self.attached)
        self.copied = True
        return [(kind, {**values, "file": self.attached.name}) for kind, values in rows]
