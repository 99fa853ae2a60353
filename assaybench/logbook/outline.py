"""The outline of a log: what a list of logs shows of it, read from its entries."""

from pathlib import Path
from typing import NamedTuple

from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.history import history
from assaybench.logbook.reading import LogReading, read_log
from assaybench.record.entries import Effective, Entry, effective
from assaybench.record.reissue import Part, joined

READ_KINDS = frozenset({"opened", "sample", "amendment", "withdrawn", "replaces", "sealed"})
"""Kinds that an outline is made of; the others are counted and let go, so memory stays flat."""
NOT_READ = "not read"


class Sampled(NamedTuple):
    """A sample of a log: its id, the one it repeats, its role and which part it is."""

    id: str
    of: str
    role: str
    part: str


class Outline(NamedTuple):
    """What a list shows of one log, and what finds it again.

    Attributes:
        log: furnace run or circuit test, empty when it holds no whole entry.
        title: what people call it.
        opened_ms: when it was opened, ms since 1970.
        day: the date of that, where it was opened.
        by: who opened it.
        entries: how many good entries.
        file: sound, torn, damaged, or not read when the disk refused.
        sealed: the date of its last `sealed` entry, empty when it has none.
        practice: whether it is practice.
        replaces: number of the log that it replaces, 0 for none.
        samples: its samples, in order.
    """

    log: str = ""
    title: str = ""
    opened_ms: int = 0
    day: str = ""
    by: str = ""
    entries: int = 0
    file: str = NOT_READ
    sealed: str = ""
    practice: bool = False
    replaces: int = 0
    samples: tuple[Sampled, ...] = ()


def outline(files: Files, path: Path) -> Outline:
    """Read a log for the list; one that the disk does not give is told as not read."""
    reading = LogReading(files, path)
    kept: list[Entry] = []
    n = 0
    try:
        for entry in reading:
            n = entry.n
            if entry.kind in READ_KINDS:
                kept.append(entry)
        state = reading.verdict.state
    except NotDone:
        return Outline(entries=n)
    # a correction that names another log is of an entry of the log that this one replaces
    own = (entry for entry in kept if "log" not in entry.values or entry.kind == "opened")
    found = [e for e in effective(own) if e.withdrawn is None]
    if not found or found[0].kind != "opened":
        return Outline(entries=n, file=state)
    head = found[0]
    old = next((e.whole("number") or 0 for e in found if e.kind == "replaces"), 0)
    at = head.entry.at
    return Outline(
        log=head.text("log"),
        title=head.text("title"),
        opened_ms=int(at.timestamp() * 1000),
        day=at.date().isoformat(),
        by=head.entry.by,
        entries=n,
        file=state,
        sealed=_last_day(found, "sealed"),
        practice=head.values.get("practice") is True,
        replaces=old,
        samples=tuple(
            Sampled(e.text("id"), e.text("of"), e.text("role"), e.text("part"))
            for e in (_whole(files, path) if old else found)
            if e.kind == "sample"
        ),
    )


def _whole(files: Files, path: Path) -> list[Effective]:
    """What counts of a reissued log, with the logs that it replaces as far as they are there."""
    entries, _ = read_log(files, path)
    try:
        parts = history(files, path, entries)
    except NotDone:
        parts = [Part(0, entries)]
    return [e for e in effective(joined(parts)) if e.withdrawn is None]


def _last_day(entries: list[Effective], kind: str) -> str:
    days = [e.entry.at.date().isoformat() for e in entries if e.kind == kind]
    return days[-1] if days else ""
