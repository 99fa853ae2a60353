"""What the registers of a logbook say when they are held against each other and against the logs.

Told, never mended: two entries of one number, two registers of one bench that grew apart, older
copies, numbers without a log and logs without a number.
"""

from itertools import combinations
from pathlib import Path
from typing import NamedTuple, NoReturn

from assaybench.logbook.faults import NotDone, NotWritable
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName, names_in
from assaybench.logbook.store import read_all
from assaybench.messages import BadInput, say
from assaybench.record.forks import Branch, branches, shared
from assaybench.record.register_kinds import (
    LARGEST_REGISTER,
    REGISTER_BY_NAME,
    RegisterState,
    state_of,
)


class Finding(NamedTuple):
    """One thing that should be looked at.

    Attributes:
        code: its code in the table of messages.
        sentence: one line saying it.
        paths: the files it is about.
    """

    code: str
    sentence: str
    paths: tuple[Path, ...]


class RegisterFile(NamedTuple):
    """One register file that was read.

    Attributes:
        path: the file.
        branches: its histories, one unless it was merged.
        state: what its first history says.
    """

    path: Path
    branches: tuple[Branch, ...]
    state: RegisterState


class Survey(NamedTuple):
    """All registers of a logbook, and what was found."""

    registers: tuple[RegisterFile, ...]
    findings: tuple[Finding, ...]


def survey(book: Logbook, files: Files) -> Survey:
    """Read every register of a logbook and hold them against each other and the logs.

    Raises:
        NotDone: when a file cannot be read.
    """
    registers = [
        read_register(files, book.registers / name)
        for name in names_in(files, book.registers)
        if name.endswith(".toml") and not name.startswith(".")
    ]
    findings = [finding for register in registers for finding in _alone(book, register)]
    findings += [
        _against(one, other)
        for one, other in combinations(registers, 2)
        if one.state.bench and one.state.bench == other.state.bench
    ]
    for bench in book.benches(files):
        findings += _logs(book, files, bench, registers)
    return Survey(tuple(registers), tuple(findings))


def read_register(files: Files, path: Path) -> RegisterFile:
    """One register file with all its histories.

    Raises:
        NotDone: when it cannot be read.
    """
    data = read_all(files, path, LARGEST_REGISTER)
    if data is None:
        raise NotDone([say("not_read", name=path.name, why=say("file_gone"))])
    found = branches(data, REGISTER_BY_NAME, LARGEST_REGISTER)
    return RegisterFile(path, tuple(found), state_of(found[0].entries))


def never_allotted(book: Logbook, name: LogName, files: Files) -> NoReturn:
    """Refuse a number that the register does not give; one that cannot be known is not denied.

    Raises:
        BadInput: when the register is whole and never allotted it.
        NotDone: when the register is damaged or gone, so that nobody can say.
    """
    path = book.register(name.bench)
    if read_all(files, path, 1) is None:
        if book.numbers(files, name.bench):
            raise NotDone([say("register_gone", bench=name.bench, name=path.name)])
    else:
        verdict = read_register(files, path).branches[-1].verdict
        if verdict.state == "damaged":
            raise NotWritable([say("register_damaged", name=path.name, why=verdict.sentence)])
    raise BadInput.of("number_not_allotted", n=name.number)


def _alone(book: Logbook, register: RegisterFile) -> list[Finding]:
    """What one file says of itself."""
    path, bench = register.path, register.state.bench
    name = path.name
    found = [_finding("forked_inside", path, name=name, n=b.after) for b in register.branches[1:]]
    verdict = register.branches[-1].verdict
    if verdict.state != "sound":
        code = "register_torn" if verdict.state == "torn" else "register_damaged"
        found.append(_finding(code, path, name=name, why=verdict.sentence))
    if bench and path != book.register(bench):
        found.append(_finding("register_stranger", path, name=name, bench=bench))
    faults = register.state.faults
    return found + [_finding("register_fault", path, name=name, why=line) for line in faults]


def _against(one: RegisterFile, other: RegisterFile) -> Finding:
    """Two registers of one bench: grown apart, or one an older copy of the other."""
    mine, theirs = one.branches[0].links, other.branches[0].links
    n = shared(mine, theirs)
    paths, bench = (one.path, other.path), one.state.bench
    if n < min(len(mine), len(theirs)):
        names = {"a": one.path.name, "b": other.path.name}
        return _finding("forked_registers", *paths, bench=bench, n=n, **names)
    older, newer = sorted((one, other), key=lambda register: len(register.branches[0].links))
    names = {"a": older.path.name, "b": newer.path.name}
    return _finding("register_copy", *paths, bench=bench, n=n, **names)


def _logs(book: Logbook, files: Files, bench: str, registers: list[RegisterFile]) -> list[Finding]:
    """Numbers of a bench's own register against its logs."""
    there = set(book.numbers(files, bench))
    own = next((r for r in registers if r.path == book.register(bench)), None)
    state = own.state if own else RegisterState()
    path = book.register(bench)
    found = [
        _finding("number_without_log", path, n=allotted.number, bench=bench)
        for allotted in state.missing(there)
    ]
    strangers = sorted(there - set(state.numbers))
    found += [_finding("log_without_number", path, n=n, bench=bench) for n in strangers]
    return found


def _finding(code: str, *paths: Path, **fields: object) -> Finding:
    return Finding(code, say(code, **fields), paths)
