"""One bench of a logbook: its register gone through once, its folders listed, strangers told."""

import re
from array import array
from collections.abc import Container, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName, names_in
from assaybench.logbook.reading import LogReading
from assaybench.logbook.verify_found import Found, found
from assaybench.logbook.verify_signed import unread
from assaybench.record.entries import Entry
from assaybench.record.forks import shared
from assaybench.record.frame_read import Verdict
from assaybench.record.packed_numbers import PackedNumbers
from assaybench.record.register_kinds import LARGEST_REGISTER, REGISTER_BY_NAME, RegisterState

_OF_A_LOG = re.compile(
    r"([0-9]{6})\."
    r"(?:(toml)|toml\.sig|(statement-[0-9]{1,3}\.toml|torn-[0-9]{1,3}|attached)"
    r"|(statement-[0-9]{1,3}\.toml)\.sig)"
)
_OF_A_MARK = re.compile(r"([0-9]{6})\.toml(\.sig)?")
_LINK = 32
_LINKS_WAITING = 500
MOST_TOLD = 200
"""Strangers of one folder that are told one by one."""


class Links:
    """The links of a register by the number of their entry, packed to 32 bytes each."""

    def __init__(self) -> None:
        self._packed = bytearray()

    def __len__(self) -> int:
        return len(self._packed) // _LINK

    def of(self, n: int) -> str:
        """The link of entry n, from 1; empty when there is no such entry."""
        return self._packed[_LINK * (n - 1) : _LINK * n].hex() if n > 0 else ""

    def take(self, links: list[str]) -> None:
        """Take over links, in order; the list is left empty."""
        self._packed += bytes.fromhex("".join(links))
        links.clear()


class SealedAt:
    """The entries that sealed numbers, 4 bytes for each number up to the largest one sealed."""

    def __init__(self) -> None:
        self._entries = array("I")

    def __contains__(self, number: object) -> bool:
        return isinstance(number, int) and self.of(number) > 0

    def of(self, number: int) -> int:
        """The entry that sealed a number; 0 when none did."""
        return self._entries[number] if 0 <= number < len(self._entries) else 0

    def take(self, number: int, entry: int) -> None:
        """Keep which entry sealed a number."""
        self._entries.extend([0] * (number + 1 - len(self._entries)))
        self._entries[number] = entry

    @property
    def last(self) -> int:
        """The last entry that sealed a number; 0 when none did."""
        return max(self._entries, default=0)


def _packed() -> RegisterState:
    return RegisterState(numbers=PackedNumbers())


@dataclass(slots=True)
class BenchRegister:
    """What the register of a bench says, in little memory.

    Attributes:
        path: its file.
        state: numbers, signers and faults, after all its good entries.
        links: link of each good entry.
        sealed_at: entry that sealed a number.
        statements: SHA-512 of a statement, by number and file name; empty when none is said.
        verdict: what the file is.
    """

    path: Path
    state: RegisterState = field(default_factory=_packed)
    links: Links = field(default_factory=Links)
    sealed_at: SealedAt = field(default_factory=SealedAt)
    statements: dict[tuple[int, str], bytes] = field(default_factory=dict)
    verdict: Verdict | None = None

    def add(self, entry: Entry) -> None:
        """Go on by one entry; of one that the register contradicts only the fault is kept."""
        faults = len(self.state.faults)
        self.state.add(entry)
        values = entry.values
        number, digest = values.get("number"), values.get("sha512")
        if len(self.state.faults) > faults or not isinstance(number, int):
            return
        if entry.kind == "sealed":
            self.sealed_at.take(number, entry.n)
        elif entry.kind == "statement":
            said = bytes.fromhex(digest) if isinstance(digest, str) else b""
            self.statements[number, str(values.get("file", ""))] = said

    def missing(self, there: Iterable[int]) -> list[LogName]:
        """Numbers that are neither void nor have a log."""
        allotted = self.state.missing(set(there))
        return [LogName(self.state.bench, a.number) for a in allotted]


def bench_register(files: Files, path: Path) -> BenchRegister | None:
    """The register of a bench, up to its first bad byte; None when there is none.

    Raises:
        NotDone: when it cannot be read from the disk.
    """
    if files.stat(path) is None:
        return None
    reading = LogReading(
        files, path, table=REGISTER_BY_NAME, most=LARGEST_REGISTER, keep_links=True
    )
    register = BenchRegister(path)
    for entry in reading:
        register.add(entry)
        if len(reading.links) > _LINKS_WAITING:
            register.links.take(reading.links)
    register.links.take(reading.links)
    register.verdict = reading.verdict
    return register


class Listing(NamedTuple):
    """What stands in the folder of a bench's logs.

    Attributes:
        numbers: of the logs, in order.
        beside: statements, torn ends and attachments of a log, by number.
        lost: files about a log that is not there.
        unknown: names that no part of a logbook has.
    """

    numbers: list[int]
    beside: dict[int, tuple[str, ...]]
    lost: list[str]
    unknown: list[str]


def listing(files: Files, folder: Path) -> Listing:
    """The names in the folder of a bench's logs, sorted out; files in the making are no part.

    Raises:
        NotDone: when it cannot be read.
    """
    numbers: list[int] = []
    beside: dict[int, list[str]] = {}
    lost: list[tuple[int, str]] = []
    unknown: list[str] = []
    statements: set[str] = set()
    for name in names_in(files, folder):
        match = _OF_A_LOG.fullmatch(name)
        if match is None:
            if not name.startswith("."):
                unknown.append(name)
            continue
        number = int(match[1])
        if match[2]:
            numbers.append(number)
        elif not numbers or numbers[-1] != number:
            # names are sorted, so a log stands before what is about it, but for `.attached`
            lost.append((number, name))
        if match[3]:
            beside.setdefault(number, []).append(name)
            statements.add(name)
        elif match[4] and f"{match[1]}.{match[4]}" not in statements:
            lost.append((-1, name))
    there = set(numbers)
    gone = [name for number, name in lost if number not in there]
    return Listing(numbers, {n: tuple(names) for n, names in beside.items()}, gone, unknown)


def strange_logs(files: Files, book: Logbook, bench: str, there: Listing) -> list[Found]:
    """What stands among the logs of a bench and is none: copies, lost files, unknown ones."""
    folder = book.logs(bench)
    told = [
        found("bad", "verify_lost", folder / name, name=name, bench=bench)
        for name in there.lost[:MOST_TOLD]
    ]
    for name in there.unknown[:MOST_TOLD]:
        told += _stranger(files, book, folder / name)
    left = len(there.lost) + len(there.unknown) - len(told)
    if left > 0:
        told.append(found("bad", "verify_more_strangers", folder, n=left, name=folder.name))
    return told


def _stranger(files: Files, book: Logbook, path: Path) -> list[Found]:
    """A file that is no part of a logbook: a copy of a log, or something else."""
    unknown = [found("note", "verify_stranger", path, name=path.name)]
    if path.suffix != ".toml" and ".toml" not in path.name:
        return unknown
    try:
        return _copy(files, book, path) or unknown
    except NotDone as fault:
        return unread(path, fault)


def _copy(files: Files, book: Logbook, path: Path) -> list[Found]:
    """A log under another name, held against the log whose name it gives itself."""
    links, first, sound = _links(files, path)
    if first is None or first.kind != "opened":
        return []
    bench, number = first.values.get("bench"), first.values.get("number")
    if not isinstance(number, int):
        return []
    own = book.log(LogName(str(bench), number))
    fields = {"name": path.name, "log": LogName(str(bench), number).spelled}
    if files.stat(own) is None:
        return [found("bad", "verify_copy_alone", path, **fields)]
    theirs, _, _ = _links(files, own)
    n = shared(links, theirs)
    if n < len(links):
        return [found("bad", "verify_fork", path, n=n, **fields)]
    if not sound:
        return [found("bad", "verify_copy_changed", path, n=n, **fields)]
    return [found("note", "verify_copy", path, **fields)]


def _links(files: Files, path: Path) -> tuple[list[str], Entry | None, bool]:
    """Links of the good entries, the first entry, and whether nothing else stands behind them."""
    reading = LogReading(files, path, keep_links=True)
    first = None
    for entry in reading:
        first = first or entry
    return reading.links, first, reading.verdict.state != "damaged"


def strange_marks(files: Files, book: Logbook, bench: str, sealed: Container[int]) -> list[Found]:
    """Marks of logs that are not sealed or not there, and what else stands among the marks."""
    folder = book.root / "marks" / bench
    told: list[Found] = []
    marks: set[int] = set()
    for name in names_in(files, folder):
        match = _OF_A_MARK.fullmatch(name)
        if name.startswith(".") or len(told) >= MOST_TOLD:
            continue
        if match is None:
            # a second mark under another name is how a synchroniser keeps two of one number
            if ".toml" in name and not name.endswith(".sig"):
                told.append(found("bad", "verify_mark_copy", folder / name, name=name))
            else:
                told.append(found("note", "verify_stranger", folder / name, name=name))
        elif int(match[1]) not in sealed and int(match[1]) not in marks:
            marks.add(int(match[1]))
            told.append(found("bad", "verify_mark_alone", folder / name, name=f"{bench}/{name}"))
    return told
