"""Verify: whether a logbook, a bundle of it or lone logs are as they were signed.

For each log frame, links, signature, key, register, mark, statements, kept files, and whether its
figures come out again; for the logbook gaps, strangers, forks and cuts. Nothing is changed or
locked. What was found is handed on log by log, so memory does not grow with the logbook.
"""

from collections.abc import Callable, Collection, Container, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.marks import GivenMark
from assaybench.logbook.verify_bench import (
    BenchRegister,
    Listing,
    bench_register,
    listing,
    strange_logs,
    strange_marks,
)
from assaybench.logbook.verify_book import (
    Held,
    LogFound,
    judged,
    marks_held,
    register_findings,
)
from assaybench.logbook.verify_found import Found, Recomputed, found
from assaybench.logbook.verify_keys import Keys, KeyUse, Named
from assaybench.logbook.verify_log import LogJob, look
from assaybench.logbook.verify_pool import cores, look_at_all
from assaybench.logbook.verify_signed import unread
from assaybench.logbook.verify_signers import own_signers
from assaybench.record.entries import Entry

MOST_KEPT = 1_000
"""Findings, and logs, that are kept; all are counted."""


class Ask(NamedTuple):
    """How to verify.

    Attributes:
        recompute: whether figures are worked out again.
        processes: at most so many; 0 for one on each core.
        named: the keys that the one who checks names.
        require_trusted: whether a log counts only when one of those sealed it.
        marks: marks from reports that a register must hold.
    """

    recompute: bool = True
    processes: int = 0
    named: Named = Named()
    require_trusted: bool = False
    marks: tuple[GivenMark, ...] = ()


class RegisterSaid(NamedTuple):
    """A register as it is reported: its bench, entries, last link, and entries a mark covers."""

    bench: str
    entries: int
    link: str
    marked: int


@dataclass(slots=True)
class Verified:
    """What verifying came to.

    Attributes:
        counts: logs by state.
        not_good: logs about which something is bad or undone.
        recomputed: logs by the outcome of recomputing.
        levels: findings by level.
        findings: the first of them, those that are not good before notes.
        left_out: findings that are not kept.
        logs: the first logs, and the first that are not good.
        keys: what each key signed.
        registers: the registers.
        held: marks from reports that a register holds.
    """

    counts: dict[str, int] = field(default_factory=dict)
    not_good: int = 0
    recomputed: dict[Recomputed, int] = field(default_factory=dict)
    levels: dict[str, int] = field(default_factory=dict)
    findings: list[Found] = field(default_factory=list)
    left_out: int = 0
    logs: list[LogFound] = field(default_factory=list)
    keys: list[KeyUse] = field(default_factory=list)
    registers: list[RegisterSaid] = field(default_factory=list)
    held: set[GivenMark] = field(default_factory=set)

    @property
    def total(self) -> int:
        """How many logs were looked at."""
        return sum(self.counts.values())

    @property
    def status(self) -> int:
        """Exit status: 1 something is not good, 3 something could not be done, else 0."""
        if self.levels.get("bad"):
            return 1
        return 3 if self.levels.get("undone") else 0

    def add(self, log: LogFound) -> None:
        """Count one log in."""
        self.counts[log.state] = self.counts.get(log.state, 0) + 1
        outcome = log.seen.recomputed
        if outcome:
            self.recomputed[outcome] = self.recomputed.get(outcome, 0) + 1
        self.not_good += not log.good
        if len(self.logs) < MOST_KEPT // 2 or (not log.good and len(self.logs) < MOST_KEPT):
            self.logs.append(log)
        self.tell(log.findings)

    def tell(self, findings: Iterable[Found]) -> None:
        """Count findings in."""
        for finding in findings:
            self.levels[finding.level] = self.levels.get(finding.level, 0) + 1
            room = MOST_KEPT if finding.level != "note" else MOST_KEPT // 2
            if len(self.findings) < room:
                self.findings.append(finding)
            else:
                self.left_out += 1


Progress = Callable[[int, int], object]
"""Called with how many logs are done, and of how many."""


def verify_book(
    files: Files,
    book: Logbook,
    ask: Ask,
    *,
    result: Verified,
    only: Collection[LogName] | None = None,
    progress: Progress | None = None,
) -> None:
    """Verify a logbook or a bundle of it.

    Args:
        files: the disk.
        book: its folder; a bundle has the same layout and no registers.
        ask: how.
        result: where what is found is counted in.
        only: the logs that are asked for; None for all, with gaps and strangers.
        progress: told after each log.

    Raises:
        NotDone: when the folders cannot be read.
    """
    whole = files.stat(book.registers) is not None
    benches = book.benches(files)
    if only is not None:
        benches = [bench for bench in benches if any(name.bench == bench for name in only)]
    lists = {bench: listing(files, book.logs(bench)) for bench in benches}
    total = sum(len(there.numbers) for there in lists.values()) if only is None else len(only)
    jobs = _jobs(book, lists, only, recompute=ask.recompute)
    processes = ask.processes or cores()
    looked = look_at_all(files, jobs, total, recompute=ask.recompute, processes=processes)
    with closing(looked) as seen_logs:
        # the first look starts the processes; registers are read while they work
        first = next(seen_logs, None)
        registers, unreadable = _registers(files, book, benches)
        result.tell(unreadable)
        events = _events(registers)
        listed, faults = own_signers(files, book.root, events)
        result.tell(faults)
        keys = Keys(ask.named, listed, events)
        seen_all = chain([first] if first else [], seen_logs)
        for done, seen in enumerate(seen_all, start=1):
            held = Held(
                registers[seen.name.bench],
                whole,
                keys,
                marked=True,
                require_trusted=ask.require_trusted,
            )
            result.add(judged(seen, held))
            if progress is not None:
                progress(done, total)
    result.tell(keys.told())
    own = [register for register in registers.values() if register is not None]
    if only is None:
        result.tell(_around(files, book, lists, registers, whole=whole))
        result.tell(register_findings(files, book, own))
    held_marks = marks_held(ask.marks, own)
    result.held |= {mark for mark, _ in held_marks}
    result.tell(told for _, told in held_marks)
    result.keys += keys.uses.values()
    result.registers += [_said(register) for register in own]


def _jobs(
    book: Logbook,
    lists: Mapping[str, Listing],
    only: Collection[LogName] | None,
    *,
    recompute: bool,
) -> Iterator[LogJob]:
    """The logs to look at, one after the other."""
    for bench, there in lists.items():
        for number in there.numbers:
            name = LogName(bench, number)
            if only is None or name in only:
                beside = there.beside.get(number, ())
                yield LogJob(name, book.log(name), beside, book.mark(name), recompute, book.root)


def _registers(
    files: Files, book: Logbook, benches: Sequence[str]
) -> tuple[dict[str, BenchRegister | None], list[Found]]:
    """The register of each bench; what cannot be read is told and taken as not there."""
    registers: dict[str, BenchRegister | None] = {}
    told: list[Found] = []
    for bench in benches:
        path = book.register(bench)
        try:
            registers[bench] = bench_register(files, path)
        except NotDone as fault:
            registers[bench] = None
            told += unread(path, fault)
    return registers, told


def _events(registers: dict[str, BenchRegister | None]) -> dict[str, list[Entry]]:
    """What the registers say of each signing key."""
    events: dict[str, list[Entry]] = {}
    for register in registers.values():
        for fingerprint, entries in (register.state.signers if register else {}).items():
            events.setdefault(fingerprint, []).extend(entries)
    return {key: sorted(entries, key=lambda e: e.at) for key, entries in events.items()}


def _around(
    files: Files,
    book: Logbook,
    lists: dict[str, Listing],
    registers: dict[str, BenchRegister | None],
    *,
    whole: bool,
) -> Iterator[Found]:
    """Gaps and strangers of each bench; of a bundle, that gaps cannot be told."""
    for bench, there in lists.items():
        register = registers[bench]
        sealed: Container[int] = frozenset(there.numbers)
        if register is None:
            path = book.register(bench)
            if whole:
                yield found("bad", "register_gone", path, name=path.name, bench=bench)
            else:
                yield found("note", "bundle_only", path, bench=bench)
        else:
            sealed = register.sealed_at
            for missing in register.missing(there.numbers):
                was_sealed = missing.number in register.sealed_at
                code = "verify_gap_sealed" if was_sealed else "verify_gap"
                yield found("bad", code, register.path, name=missing.spelled)
        try:
            yield from strange_logs(files, book, bench, there)
            yield from strange_marks(files, book, bench, sealed)
        except NotDone as fault:
            yield from unread(book.logs(bench), fault)


def _said(register: BenchRegister) -> RegisterSaid:
    n = len(register.links)
    link = register.links.of(n)
    return RegisterSaid(register.state.bench, n, link, register.sealed_at.last)


def verify_files(
    files: Files,
    paths: Sequence[Path],
    ask: Ask,
    *,
    result: Verified,
    progress: Progress | None = None,
) -> None:
    """Verify lone logs: files outside any logbook, each with what stands beside it.

    Args:
        files: the disk.
        paths: the logs.
        ask: how.
        result: where what is found is counted in.
        progress: told after each log.

    Raises:
        NotDone: when a folder cannot be read.
    """
    lists: dict[Path, tuple[Listing, Keys]] = {}
    for done, path in enumerate(paths, start=1):
        folder = path.parent
        if folder not in lists:
            listed, faults = own_signers(files, folder, {})
            result.tell(faults)
            lists[folder] = listing(files, folder), Keys(ask.named, listed, {})
        there, keys = lists[folder]
        number = path.name[:6]
        beside = there.beside.get(int(number), ()) if number.isdecimal() else ()
        seen = look(files, LogJob(LogName("", 0), path, beside, None, ask.recompute))
        held = Held(None, whole=False, keys=keys, require_trusted=ask.require_trusted)
        result.add(judged(seen, held))
        if progress is not None:
            progress(done, len(paths))
    for _, keys in lists.values():
        result.keys += keys.uses.values()
