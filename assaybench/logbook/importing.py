"""A hand sheet becomes a log, marked as entered from paper; and where the demo is."""

import hashlib
from importlib.resources import files as resources
from importlib.resources.abc import Traversable
from pathlib import PurePath
from typing import NamedTuple

from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.logfile import Keeper, Row
from assaybench.logbook.register import LogHead, new_log
from assaybench.messages import BadInput, say
from assaybench.record import columns, handsheet, strict
from assaybench.record.frame import LARGEST_LOG, Chain, framed
from assaybench.record.handsheet import METHOD_VERSION, Sheet
from assaybench.record.kinds import BY_NAME
from assaybench.record.replay import replay

LONGEST_NAME = 120
DEMO_SHEETS = ("furnace-run.toml", "gravity-test.toml", "metallics-and-bar.toml")
DEMO_CIRCUIT = ("circuit/closed-test.toml", "circuit/tailings-contradict.toml")
DEMO_HEAPS = tuple(f"circuit/heap-{name}.toml" for name in ("a", "b", "c", "a-again"))
DEMO_RUNS = "circuit/mat-trial.txt"
"""Runs before and after a change, with the line that compares them."""
_ROOM = 1_000_000
"""Bytes that are kept free in a new log for what follows the paper."""


class Imported(NamedTuple):
    """A log made of a hand sheet.

    Attributes:
        name: bench and number.
        head: what its first entry says.
        entries: how many it has.
    """

    name: LogName
    head: LogHead
    entries: int


class Paper(NamedTuple):
    """What a log is made of.

    Attributes:
        file: what the hand sheet is called, or the samples in columns.
        content: its bytes.
        head: for samples in columns, the hand sheet of everything else; else nothing.
    """

    file: str
    content: bytes
    head: bytes | None = None

    def sheet(self) -> Sheet:
        """The sheet.

        Raises:
            BadInput: one line for each fault.
        """
        if self.head is None:
            return handsheet.read(self.content)
        return columns.read(self.content, self.head)

    @property
    def bytes(self) -> bytes:
        """All that was read, for the digest: columns first, then the head."""
        return self.content + (self.head or b"")

    @property
    def sha256(self) -> str:
        """Their digest, as the note in the log has it."""
        return hashlib.sha256(self.bytes).hexdigest()


def import_sheet(book: Logbook, bench: str, keeper: Keeper, paper: Paper) -> Imported:
    """Make a log of a hand sheet, with the date on the paper.

    The last entry is a note that names the sheet, its digest and who stands behind it. Every entry
    is made in memory first, so that a number is never taken for a log that cannot be; and the file
    is made whole, so that a log never holds a part of its sheet.

    Args:
        book: the logbook; made when it is not there.
        bench: whose register gives the number.
        keeper: who writes.
        paper: the sheet.

    Raises:
        BadInput: one line for each fault of the sheet, led by the file; nothing was written.
        NotDone: the disk refused; the lines tell whether a number was taken.
    """
    try:
        sheet = paper.sheet()
        replay(sheet.entries)
        rows = rows_of(sheet, paper)
        _must_fit(keeper, rows, sheet)
    except BadInput as fault:
        raise fault.named(paper.file) from fault
    head = head_of(sheet)
    book.make(keeper.files)
    name, log = new_log(book, bench, keeper, head, rows)
    log.close()
    return Imported(name, head, len(rows) + 1)


def head_of(sheet: Sheet) -> LogHead:
    """The head of the log of a sheet."""
    log = str(sheet.entries[0].values["log"])
    return LogHead(log, METHOD_VERSION, sheet.title, sheet.date.isoformat())


def rows_of(sheet: Sheet, paper: Paper) -> list[Row]:
    """The entries behind the first one; the last is a note that all of the sheet is there."""
    rows: list[Row] = [(entry.kind, entry.values) for entry in sheet.entries[1:]]
    note = say(
        "entered_from_paper",
        name=PurePath(paper.file).name[-LONGEST_NAME:],
        t=sheet.date.isoformat(),
        by=sheet.entries[0].by,
        n=len(rows),
        sha=paper.sha256,
    )
    return [*rows, ("note", {"text": note})]


def _must_fit(keeper: Keeper, rows: list[Row], sheet: Sheet) -> None:
    """Make every entry in memory.

    Raises:
        BadInput: one line for each fault.
    """
    chain, size = Chain(BY_NAME), 0
    opened = (sheet.entries[0].kind, sheet.entries[0].values)
    for kind, values in (opened, *rows):
        ready = strict.ready(chain, keeper.by, kind, values)
        data, link = framed(chain, keeper.now(), keeper.by, kind, ready)
        chain.step(kind, link)
        size += len(data)
    if size > LARGEST_LOG - _ROOM:
        raise BadInput.of("sheet_too_large", n=size, most=LARGEST_LOG - _ROOM)


def demo_folder() -> Traversable:
    """The folder of the demo: inside the installed package, or beside it in a checkout."""
    installed = resources("assaybench").joinpath("_demo")
    if installed.is_dir():
        return installed
    return resources("assaybench").joinpath("..").joinpath("demo")
