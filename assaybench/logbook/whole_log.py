"""A log as it is read by its number: entries, what the file is, what the register says of it.

Nothing is locked or changed.
"""

import re
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook.faults import NotDone, NotGood, not_read
from assaybench.logbook.files import Files, Status
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.history import history
from assaybench.logbook.reading import read_log
from assaybench.logbook.survey import read_register
from assaybench.messages import BadInput, printable, say
from assaybench.metrology.figure import Flag, flag
from assaybench.record.entries import Entry
from assaybench.record.frame_read import Verdict
from assaybench.record.register_kinds import RegisterState
from assaybench.record.reissue import joined, replaced

_DIGEST = re.compile(r"\b[0-9a-f]{64}\b")


class ReadLog(NamedTuple):
    """A log that was read.

    Attributes:
        name: its name.
        path: its file.
        entries: its good entries; of one that replaces another log, those of both in one count.
        verdict: what the file is.
        void: why its number is void, empty when it is not.
        own: the entries of its own file.
        replaced_by: number of the log that replaces it, 0 for none.
    """

    name: LogName
    path: Path
    entries: list[Entry]
    verdict: Verdict
    void: str
    own: list[Entry]
    replaced_by: int

    @property
    def damaged(self) -> bool:
        """Whether something else than the program changed it."""
        return self.verdict.state == "damaged"

    @property
    def opened(self) -> dict[str, object]:
        """The keys of its first entry; none when it holds no whole entry."""
        return dict(self.own[0].values) if self.own else {}

    @property
    def flags(self) -> list[Flag]:
        """What a reader must know of the file, beside what its entries say."""
        found: list[Flag] = []
        if self.damaged:
            found.append(flag("log_damaged", name=self.path.name, why=self.verdict.sentence))
        elif self.verdict.state == "torn":
            found.append(flag("log_unfinished"))
        if self.void:
            found.append(flag("number_void", n=self.name.number, why=self.void))
        if self.opened.get("paper_date") and not self._whole_paper():
            found.append(flag("import_part"))
        own = (self.opened.get("bench"), self.opened.get("number"))
        if self.entries and own != self.name:
            other = f"{own[0]}-{own[1]}"
            found.append(flag("log_other", name=self.name.spelled, other=other))
        if self.name.practice:
            found.append(flag("practice_log", name=self.name.spelled))
        if self.verdict.newer:
            found.append(flag("log_newer"))
        old = replaced(self.own)
        if old is not None:
            name = LogName(self.name.bench, old.number).spelled
            found.append(flag("log_replaces", old=name, why=old.reason))
        if self.replaced_by:
            name = LogName(self.name.bench, self.replaced_by).spelled
            found.append(flag("log_replaced", by=name))
        return found

    def _whole_paper(self) -> bool:
        """Whether the note that ends every import is there, which holds the digest of the sheet."""
        notes = (entry for entry in self.entries if entry.kind == "note")
        return any(_DIGEST.search(str(note.values.get("text", ""))) for note in notes)


def is_there(files: Files, path: Path) -> bool:
    """Whether there is a file of this name.

    Raises:
        NotDone: when the disk cannot say.
    """
    return status_of(files, path) is not None


def status_of(files: Files, path: Path) -> Status | None:
    """What stands under a path that a person may have typed; None when nothing does.

    Raises:
        NotDone: when the disk cannot say, as of a name that is too long.
    """
    try:
        return files.stat(path)
    except OSError as fault:
        raise not_read(path, fault) from fault


def state_of(files: Files, book: Logbook, name: LogName) -> RegisterState:
    """What the register of a log's bench says; nothing when there is none, as of practice.

    Raises:
        NotDone: when it cannot be read.
    """
    path = book.register(name.bench)
    if name.practice or not is_there(files, path):
        return RegisterState()
    return read_register(files, path).state


def read_whole(files: Files, book: Logbook, name: LogName) -> ReadLog:
    """Read a log by its number, joined with those that it replaces.

    Args:
        files: the disk.
        book: the logbook, or the folder of practice that is laid out like one.
        name: the log.

    Raises:
        BadInput: when there is no such log.
        NotDone: when it cannot be read.
    """
    path = book.log(name)
    if not is_there(files, path):
        raise BadInput.of("log_missing", name=name.spelled, x=printable(str(book.root)))
    own, verdict = read_log(files, path)
    entries = joined(history(files, path, own))
    state = state_of(files, book, name)
    known = state.numbers.get(name.number)
    void, by = known.void if known else "", state.replaced_by(name.number)
    return ReadLog(name, path, entries, verdict, void, own, by)


def must_have_results(log: ReadLog) -> ReadLog:
    """Refuse a log that this program cannot take results from.

    Raises:
        NotGood: when it is damaged before its second entry: it is not said to be empty.
        NotDone: when it holds no entry, or a newer program made part of it.
    """
    if log.verdict.newer:
        raise NotDone([say("log_newer")])
    if not log.entries and log.damaged:
        why = log.verdict.sentence
        raise NotGood([say("log_damaged", name=log.path.name, why=why)])
    if not log.entries:
        raise NotDone([say("log_empty", name=log.name.spelled)])
    return log
