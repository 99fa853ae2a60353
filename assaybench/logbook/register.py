"""The register of one bench: numbers first, then logs; nothing is numbered twice.

A number is on the disk before its log is made. When the log could not be made, or went missing
while it was open, the number stays taken: it is told, and can be gone on with or made void.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import NamedTuple, Self

from assaybench.logbook.faults import NotDone, NotWritable
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.logfile import Keeper, LogFile, Row
from assaybench.logbook.opening import open_log
from assaybench.messages import BadInput, say
from assaybench.record.entries import Entry
from assaybench.record.register_kinds import (
    LARGEST_REGISTER,
    REGISTER_BY_NAME,
    Allotted,
    RegisterState,
)

WAIT_SECONDS = 2.0
"""How long to wait for another command of this bench, which holds the register for a moment."""


OPEN_WORDS = {"furnace run": "run", "circuit test": "circuit", "self-test": "self-test"}
"""What `open` calls a log."""


class LogHead(NamedTuple):
    """What the first entry of a log says, beside its number and bench.

    Attributes:
        log: furnace run, circuit test or self-test.
        method_version: version of the method its results follow.
        title: what people call it, empty when nobody said.
        paper_date: date on the paper it was entered from, empty when it was not.
    """

    log: str
    method_version: int
    title: str = ""
    paper_date: str = ""


class Register:
    """A register open for writing.

    Attributes:
        book: the logbook.
        bench: its bench.
        state: what it says, this moment.
        file: its file.
    """

    def __init__(
        self, book: Logbook, bench: str, keeper: Keeper, wait_seconds: float = WAIT_SECONDS
    ) -> None:
        """Open the register of a bench; one that is missing is begun.

        Raises:
            LogBusy: another command holds it for longer than a moment.
            NotDone: it cannot be opened, or it is of another bench.
        """
        self.book, self.bench = book, bench
        self.state = RegisterState()
        self._files = keeper.files
        path = book.register(bench)
        self.file: LogFile = open_log(
            path,
            keeper,
            lock=book.lock(path),
            table=REGISTER_BY_NAME,
            most=LARGEST_REGISTER,
            each=self.state.add,
            first=("begun", {"bench": bench, "program": keeper.program}),
            session=False,
            wait_seconds=wait_seconds,
        )
        if self.state.bench not in ("", bench):
            self.close()
            raise NotDone([say("register_of", name=path.name, bench=self.state.bench)])

    def allot(self, log: str, title: str = "", replaces: int = 0) -> int:
        """Allot the next number; it is taken for ever when this returns.

        Args:
            log: what the log is of.
            title: what people call it.
            replaces: number of the sealed log that it replaces, 0 when it replaces none.

        Raises:
            BadInput, NotStored, Unconfirmed, NotWritable: as `LogFile.append`.
        """
        self._must_write()
        number = self.state.next_number
        there = self.book.numbers(self._files, self.bench)
        if there and there[-1] >= number:
            # an old copy of the register: never make a log under a number that one has
            raise NotDone([say("register_behind", n=there[-1], bench=self.bench)])
        values = {"number": number, "log": log, **_said(title=title)}
        self._add("opened", values | ({"replaces": replaces} if replaces else {}))
        return number

    def sealed(self, number: int, sha512: str, size: int) -> Entry:
        """Record that a log was sealed: digest of the file and its size in bytes."""
        return self._add("sealed", {"number": number, "sha512": sha512, "size": size})

    def void(self, number: int, reason: str) -> Entry:
        """Make a number void; it stays taken, and so does its log where there is one."""
        return self._add("void", {"number": number, "reason": reason})

    def statement(self, number: int, file: str, sha512: str, fingerprint: str) -> Entry:
        """Record a signed statement about a sealed log."""
        values = {"number": number, "file": file, "sha512": sha512, "fingerprint": fingerprint}
        return self._add("statement", values)

    def signer(
        self,
        fingerprint: str,
        event: str,
        *,
        name: str = "",
        key: str = "",
        since: datetime | None = None,
        reason: str = "",
    ) -> Entry:
        """Record what became of a signing key: added, retired or compromised."""
        values: dict[str, object] = {"fingerprint": fingerprint, "event": event}
        values |= _said(name=name, key=key, reason=reason)
        if since is not None:
            values["since"] = since
        return self._add("signer", values)

    def missing(self) -> list[Allotted]:
        """Numbers that are neither void nor have a log on the disk."""
        return self.state.missing(set(self.book.numbers(self._files, self.bench)))

    def _add(self, kind: str, values: Mapping[str, object]) -> Entry:
        self._must_write()
        lines = self.state.refusals(kind, values)
        if lines:
            raise BadInput(lines)
        entry = self.file.append(kind, values)
        self.state.add(entry)
        return entry

    def _must_write(self) -> None:
        if self.file.read_only is not None:
            raise NotWritable([self.file.read_only])

    def close(self) -> None:
        """Close it and give its lock back."""
        self.file.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *fault: object) -> None:
        self.close()


def _said(**texts: str) -> dict[str, object]:
    """Those keys for which something was said."""
    return {name: text for name, text in texts.items() if text}


def new_log(
    book: Logbook, bench: str, keeper: Keeper, head: LogHead, then: Sequence[Row] = ()
) -> tuple[LogName, LogFile]:
    """Allot a number, then make its log and open it.

    Args:
        book: the logbook.
        bench: whose register gives the number.
        keeper: who writes.
        head: what the first entry says.
        then: entries that are made with it: the file holds all of them, or is not there.

    Raises:
        BadInput: for a head that is not allowed; nothing was written.
        NotDone: with the number when one was taken and the log could not be made.
    """
    with Register(book, bench, keeper) as register:
        number = register.allot(head.log, head.title)
    return _started(book, LogName(bench, number), keeper, head, then)


def go_on(
    book: Logbook, name: LogName, keeper: Keeper, head: LogHead, then: Sequence[Row] = ()
) -> LogFile:
    """Open the log of a number that was allotted; one that is missing is made, as by `new_log`.

    Raises:
        BadInput: when the number was not allotted, is void, was sealed, or replaces a log.
    """
    with Register(book, name.bench, keeper) as register:
        allotted = register.state.numbers.get(name.number)
        if allotted is None:
            raise BadInput.of("number_not_allotted", n=name.number)
        if allotted.void:
            raise BadInput.of("number_void", n=name.number, why=allotted.void)
        if allotted.seal is not None:
            raise BadInput.of("number_sealed", n=name.number)
        if allotted.replaces:
            raise BadInput.of("number_replaces", n=name.number, old=allotted.replaces)
        head = head._replace(log=allotted.log, title=head.title or allotted.title)
    return _started(book, name, keeper, head, then)[1]


def _started(
    book: Logbook, name: LogName, keeper: Keeper, head: LogHead, then: Sequence[Row]
) -> tuple[LogName, LogFile]:
    values: dict[str, object] = {
        "log": head.log,
        "number": name.number,
        "bench": name.bench,
        "method_version": head.method_version,
        "program": keeper.program,
        **_said(title=head.title, paper_date=head.paper_date),
    }
    path = book.log(name)
    try:
        lock = book.lock(path)
        log = open_log(path, keeper, lock=lock, first=("opened", values), then=then)
    except NotDone as fault:
        if head.paper_date:
            left = say("import_cut", name=name.spelled)
        else:
            left = go_on_line(name, head.log)
        fault.lines = (*fault.lines, left)
        raise
    return name, log


def go_on_line(name: LogName, log: str) -> str:
    """The line that names the command to go on with a number whose log is missing or empty."""
    return say("number_allotted", name=name.spelled, what=OPEN_WORDS.get(log, "run"))
