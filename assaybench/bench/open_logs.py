"""The logs of a bench that are left open, as they lie there: read, never opened or changed.

`named_logs` only names them, from the register; what that needs is all the first page waits for.
`open_logs` reads them too, and loads what replays them.
"""

import os
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import NamedTuple

from assaybench.bench.characters import capital
from assaybench.bench.desk import Desk
from assaybench.bench.jobs import Post
from assaybench.bench.long_register import is_long, long_register
from assaybench.bench.sheet import Beside
from assaybench.logbook.faults import Holder, NotDone
from assaybench.logbook.folder import LogName
from assaybench.logbook.lock import holder
from assaybench.logbook.reading import read_log
from assaybench.logbook.signing import signature_path
from assaybench.logbook.survey import read_register
from assaybench.messages import BadInput, say
from assaybench.record.entries import Entry
from assaybench.record.frame_read import Verdict
from assaybench.record.register_kinds import Allotted

MOST_READ = 12
"""Logs that are read for the contents page, those used last; the others are only counted."""
LAST_SEALED = 8
"""Sealed logs, the newest numbers, whose mark is looked for: a seal may have broken off."""
FURNACE_RUN = "furnace run"
CIRCUIT_TEST = "circuit test"
_MINUTE = 60.0
_NOT_WORK = ("session", "recovered")


class OpenLog(NamedTuple):
    """A log that is neither void nor wholly sealed.

    Attributes:
        name: bench and number.
        log: furnace run or circuit test.
        title: what people call it.
        where: where the work was left, in a few words; empty when it was not read.
        there: whether its log is there; a power cut may have left a number without one.
        entries: its good entries; none when it is missing or was not read.
        verdict: what its file is; None when it was not read.
        left: who had it open when the program ended without closing it, with number of process.
    """

    name: LogName
    log: str
    title: str
    where: str = ""
    there: bool = True
    entries: tuple[Entry, ...] = ()
    verdict: Verdict | None = None
    left: Holder = Holder()

    @property
    def spelled(self) -> str:
        """As the pages call it: `furnace run 0147`."""
        return f"{self.log} {self.name.number:04}"

    @property
    def busy(self) -> bool:
        """Whether the program that has it open is still there."""
        return self.left.pid > 0 and _alive(self.left)

    @property
    def stopped(self) -> bool:
        """Whether the program went away without closing it, or left a torn end."""
        torn = self.verdict is not None and self.verdict.state == "torn"
        return not self.busy and not self.damage and (torn or self.left.pid > 0)

    @property
    def seal_begun(self) -> bool:
        """Whether its seal was begun: a step of it is left, or it would not be left open."""
        return bool(self.entries) and self.entries[-1].kind == "sealed"

    @property
    def damage(self) -> str:
        """What is wrong with its file, when something else than a power cut changed it."""
        if self.verdict is None or self.verdict.state != "damaged":
            return ""
        name = f"{self.name.number:06}.toml"
        return say("log_damaged", name=name, why=self.verdict.sentence)

    @property
    def last(self) -> Entry | None:
        """The last entry of work."""
        return next((e for e in reversed(self.entries) if e.kind not in _NOT_WORK), None)


class OpenLogs(NamedTuple):
    """What is left open on a bench.

    Attributes:
        logs: those that were read, the one used last first.
        others: the others, only named.
        fault: why the register could not be read, empty when it could.
        sealed: how many logs of the bench are sealed.
        void: how many numbers of it are void.
        read: whether the logs were read, not only named.
        more: how many others are left open that are not even named here.
    """

    logs: tuple[OpenLog, ...] = ()
    others: tuple[OpenLog, ...] = ()
    fault: str = ""
    sealed: int = 0
    void: int = 0
    read: bool = False
    more: int = 0

    def of(self, log: str) -> list[OpenLog]:
        """Those of a kind that were read: furnace run or circuit test."""
        return [one for one in self.logs if one.log == log]

    @property
    def work(self) -> list[OpenLog]:
        """The furnace runs and circuit tests that were read, the one used last first."""
        return [one for one in self.logs if one.log in (FURNACE_RUN, CIRCUIT_TEST)]

    @property
    def all_work(self) -> list[OpenLog]:
        """All furnace runs, then all circuit tests."""
        return [*self.all_of(FURNACE_RUN), *self.all_of(CIRCUIT_TEST)]

    def all_of(self, log: str) -> list[OpenLog]:
        """All of a kind."""
        return [one for one in (*self.logs, *self.others) if one.log == log]


def open_logs(
    desk: Desk, mine: LogName | None = None, post: Post = lambda _done, _total: None
) -> OpenLogs:
    """Read what is left open on the desk's bench; nothing is locked or changed.

    Args:
        desk: where.
        mine: the log that this program has open.
        post: told how far a long register is read, in bytes.
    """
    named = _named_by_index(desk, post) if is_long(desk) else named_logs(desk)
    logs = [_read(desk, log) for log in named.logs]
    logs = [log._replace(left=Holder()) if log.name == mine else log for log in logs]
    return named._replace(logs=tuple(logs), read=True)


def _named_by_index(desk: Desk, post: Post) -> OpenLogs:
    """Name what is left open on a bench with a long register."""
    try:
        left, counts = long_register(desk, post)
    except NotDone as fault:
        return OpenLogs(fault=fault.lines[0])
    logs = _by_use(desk, left)
    return OpenLogs(logs[:MOST_READ], logs[MOST_READ:], sealed=counts.sealed, void=counts.void,
                    more=counts.open - len(logs))  # fmt: skip


def named_logs(desk: Desk) -> OpenLogs:
    """Name what is left open on the desk's bench, the log used last first; none is read.

    A long register is left alone, and nothing is named: reading it would keep somebody waiting.
    """
    if is_long(desk):
        return OpenLogs()
    path = desk.book.register(desk.bench)
    try:
        if desk.files.stat(path) is None:
            return OpenLogs()
        state = read_register(desk.files, path).state
    except (NotDone, OSError) as fault:
        lines = fault.lines if isinstance(fault, NotDone) else (str(fault.strerror),)
        return OpenLogs(fault=lines[0])
    numbers = state.numbers.values()
    sealed = [a for a in numbers if a.seal is not None]
    half = _not_marked(desk, sealed[-LAST_SEALED:])
    logs = _by_use(desk, [*half, *(a for a in numbers if a.seal is None and not a.void)])
    void = sum(bool(a.void) for a in numbers)
    return OpenLogs(logs[:MOST_READ], logs[MOST_READ:], sealed=len(sealed) - len(half), void=void)


def _not_marked(desk: Desk, sealed: Iterable[Allotted]) -> list[Allotted]:
    """Those whose seal is in the register and broke off before its mark was signed."""
    found = []
    for allotted in sealed:
        mark = desk.book.mark(LogName(desk.bench, allotted.number))
        parts = (mark, signature_path(mark))
        if any(desk.files.stat(part) is None for part in parts):
            found.append(allotted)
    return found


def _by_use(desk: Desk, allotted: Iterable[Allotted]) -> tuple[OpenLog, ...]:
    """Logs by their names, the one that was used last first."""
    found = sorted(allotted, key=lambda a: (_changed(desk, a), a.number), reverse=True)
    return tuple(_named(desk, a) for a in found)


def _changed(desk: Desk, allotted: Allotted) -> int:
    """When a log was last written, ns; 0 when it is not there."""
    status = _status(desk, LogName(desk.bench, allotted.number))
    return status or 0


def _status(desk: Desk, name: LogName) -> int | None:
    try:
        found = desk.files.stat(desk.book.log(name))
    except OSError:
        return None
    return None if found is None else found.changed_ns


def _named(desk: Desk, allotted: Allotted) -> OpenLog:
    name = LogName(desk.bench, allotted.number)
    there = _status(desk, name) is not None
    return OpenLog(name, allotted.log, allotted.title, there=there)


def _read(desk: Desk, found: OpenLog) -> OpenLog:
    if not found.there:
        return found
    path = desk.book.log(found.name)
    try:
        entries, verdict = read_log(desk.files, path)
    except NotDone as fault:
        return found._replace(where=fault.lines[0])
    left = holder(desk.files, desk.book.lock(path))
    found = found._replace(entries=tuple(entries), verdict=verdict, left=left)
    return found._replace(where=_where(desk, found, verdict))


def _where(desk: Desk, log: OpenLog, verdict: Verdict) -> str:
    if verdict.state == "damaged":
        return say("bench_left_damaged", n=verdict.line)
    if log.seal_begun:
        return say("bench_left_seal")
    if log.log == CIRCUIT_TEST:
        from assaybench.bench.circuit_model import where_left
    elif log.log == FURNACE_RUN:
        from assaybench.bench.tray import where_left
    else:
        return say("bench_left_entries", n=len(log.entries))
    try:
        return where_left(log.entries, desk.settings.tray, desk.settings.cups)
    except BadInput:
        return say("bench_left_entries", n=len(log.entries))


def broken_off(log: OpenLog, now: datetime) -> str:
    """What was stored and what was not, of a log whose program went away; empty for another."""
    if log.seal_begun:
        return "" if log.busy or log.damage else say("seal_broke_off")
    last = log.last
    if not log.stopped or last is None:
        return ""
    from assaybench.record.gaps import Break

    seconds = (now - last.at).total_seconds()
    gap = Break(abs(seconds), back=seconds < 0).sentence
    if 0 <= seconds < _MINUTE:
        gap = say("bench_gap_short")
    at = f"{last.at.astimezone(now.tzinfo):%H:%M}"
    n = sum(entry.kind not in _NOT_WORK for entry in log.entries)
    return say("work_broke_off", t=at, pos=log.where, n=n, gap=gap)


def told_of(logs: Sequence[OpenLog], now: datetime) -> list[str | Beside]:
    """What broke off, what is damaged, what is open elsewhere."""
    said: list[str | Beside] = []
    for i, log in enumerate(logs):
        broken = broken_off(log, now)
        if broken:
            # beside the first line it is clear which log is meant
            told = say("bench_of_log", log=log.spelled.capitalize(), said=broken)
            said.append(Beside(i + 2, told) if i else Beside(1, broken))
        if broken and log.verdict is not None and log.verdict.state == "torn":
            torn = log.verdict.size - log.verdict.good
            said.append(say("bench_torn_end", n=torn))
    said += [log.damage for log in logs if log.damage]
    said += [
        say("bench_busy", log=log.spelled, by=log.left.by, t=log.left.since[11:16])
        for log in logs
        if log.busy
    ]
    return said


def balances_of(log: OpenLog, now: datetime) -> list[str]:
    """What there is to say of the balances of a log; those not checked today in one sentence."""
    from assaybench.record.replay import replay
    from assaybench.record.suspect import last_check

    try:
        state = replay(log.entries)
    except BadInput:
        return []
    found = []
    unchecked = []
    for name in state.balances:
        check = last_check(state, name)
        if check is None or check[0].entry.at.astimezone(now.tzinfo).date() != now.date():
            unchecked.append(name)
            continue
        at = f"{check[0].entry.at.astimezone(now.tzinfo):%H:%M}"
        code = {True: "balance_good", False: "balance_not_good", None: "balance_checked"}[check[1]]
        found.append(say(code, name=capital(name), t=at))
    if len(unchecked) == 1:
        found.append(say("balance_not_checked", name=capital(unchecked[0])))
    elif unchecked:
        found.append(say("balances_not_checked", names=", ".join(unchecked)))
    return found


def balance_names(log: OpenLog) -> list[str]:
    """The balances that a log describes, in order."""
    return list(dict.fromkeys(str(e.values["name"]) for e in log.entries if e.kind == "balance"))


def _alive(left: Holder) -> bool:
    """Whether a program may still be there; where the system cannot be asked, not."""
    import socket

    if left.host != socket.gethostname():
        return True
    if os.name != "posix" or left.pid == os.getpid():
        return False
    try:
        os.kill(left.pid, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True
