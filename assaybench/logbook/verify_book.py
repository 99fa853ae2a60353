"""A log held against its register, its mark and the keys; a register against its marks."""

import re
from collections.abc import Collection, Iterator, Sequence
from pathlib import Path
from typing import Literal, NamedTuple

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, names_in
from assaybench.logbook.marks import GivenMark
from assaybench.logbook.survey import survey
from assaybench.logbook.verify_bench import BenchRegister
from assaybench.logbook.verify_found import Found, LogSeen, SignedSeen, found, label
from assaybench.logbook.verify_keys import Keys, Trust
from assaybench.logbook.verify_signed import unread
from assaybench.record.register_kinds import Allotted

State = Literal["sealed", "open", "void", "damaged"]
_NOTES = ("register_copy", "register_torn")
_ASKED_ELSEWHERE = ("number_without_log", "log_without_number")


class LogFound(NamedTuple):
    """What a log is, held against everything.

    Attributes:
        seen: what it is, seen alone.
        state: sealed, open, void, or damaged where nobody can say which.
        trust: who names the key of its seal; None when no signature holds.
        findings: all findings about it.
    """

    seen: LogSeen
    state: State
    trust: Trust | None
    findings: tuple[Found, ...]

    @property
    def good(self) -> bool:
        """Whether nothing about it is bad or undone."""
        return all(finding.level == "note" for finding in self.findings)


class Held(NamedTuple):
    """What a log is held against.

    Attributes:
        register: the register of its bench, None when there is none.
        whole: whether a register is to be there: a logbook, not a bundle or a lone file.
        marked: whether marks are looked for: a logbook or a bundle, not a lone file.
        keys: judges of keys.
        require_trusted: whether only keys that were named count.
    """

    register: BenchRegister | None
    whole: bool
    keys: Keys
    marked: bool = False
    require_trusted: bool = False


def judged(seen: LogSeen, held: Held) -> LogFound:
    """A log that was seen alone, held against register, mark and keys."""
    register = held.register
    allotted = register.state.numbers.get(seen.name.number) if register else None
    findings = [*seen.findings]
    if register is not None:
        findings += _by_register(seen, allotted)
    trust: Trust | None = None
    if seen.key is not None and seen.sealed is not None:
        use, more = held.keys.judge(seen.key, sshsig.LOG, seen.sealed, seen.path)
        trust = use.trust
        findings += more
        if held.require_trusted and trust != "named":
            findings.append(found("bad", "verify_not_trusted", seen.path, name=_name(seen)))
    for statement in seen.statements:
        findings += [*statement.findings, *_judged_statement(seen, statement, held)]
    findings += _statements(seen, register)
    findings += _mark(seen, held)
    return LogFound(seen, _state(seen, allotted), trust, tuple(findings))


def _judged_statement(seen: LogSeen, statement: SignedSeen, held: Held) -> list[Found]:
    """The key of a statement: whose it is, and whether it is the key that sealed the log."""
    if statement.key is None or statement.signer is None:
        return []
    path, name = statement.path, label(statement.path)
    use, told = held.keys.judge(statement.key, sshsig.STATEMENT, statement.signer, path)
    if held.require_trusted and use.trust != "named":
        told.append(found("bad", "statement_not_trusted", path, name=name))
    if statement.key == seen.key:
        who = statement.signer.name
        told.append(found("note", "statement_same_key", path, name=name, who=who))
    return told


def _state(seen: LogSeen, allotted: Allotted | None) -> State:
    """What a log is; a sealed one stays so whatever was done to its file."""
    if allotted is not None and allotted.void:
        return "void"
    if seen.sealed is not None or (allotted is not None and allotted.seal is not None):
        return "sealed"
    return "damaged" if seen.verdict == "damaged" else "open"


def _name(seen: LogSeen) -> str:
    return seen.name.spelled


def _by_register(seen: LogSeen, allotted: Allotted | None) -> Iterator[Found]:
    """Digest and size of a log against what the register recorded."""
    n = seen.name.number
    if allotted is None:
        yield found("bad", "verify_unknown_number", seen.path, name=_name(seen))
        return
    if not seen.verdict:
        return
    old = seen.replaces.number if seen.replaces else 0
    if old != allotted.replaces:
        fields = {"name": _name(seen), "old": old or "none", "said": allotted.replaces or "none"}
        yield found("bad", "verify_replaces_other", seen.path, **fields)
    if allotted.seal is None:
        if seen.sealed is not None:
            yield found("bad", "verify_not_registered", seen.path, name=_name(seen), n=n)
        return
    if (seen.sha512, seen.size) == allotted.seal:
        return
    fields = {"name": _name(seen), "size": seen.size, "was": allotted.seal.size}
    cut = seen.sealed is None and seen.size < allotted.seal.size
    code = "verify_cut" if cut else "verify_changed"
    yield found("bad", code, seen.path, **fields)


def _statements(seen: LogSeen, register: BenchRegister | None) -> Iterator[Found]:
    """Statements that are there against those that the register names."""
    if register is None:
        return
    allotted = register.state.numbers.get(seen.name.number)
    named = allotted.statements if allotted else []
    there = {Path(statement.path).name: statement for statement in seen.statements}
    for name in named:
        if name not in there:
            yield found("bad", "verify_statement_gone", seen.path, name=name, log=_name(seen))
    for name, statement in there.items():
        recorded = register.statements.get((seen.name.number, name))
        if recorded is None:
            yield found("bad", "verify_statement_alone", statement.path, name=name)
        elif recorded.hex() != statement.sha512:
            yield found("bad", "verify_statement_changed", statement.path, name=name)


def _mark(seen: LogSeen, held: Held) -> Iterator[Found]:
    """The mark made when a log was sealed, against its register."""
    mark, register = seen.mark, held.register
    if mark is None:
        if held.whole and register is not None and seen.name.number in register.sealed_at:
            yield found("bad", "verify_mark_gone", seen.path, name=_name(seen), n=seen.name.number)
        elif held.marked and not held.whole and seen.sealed is not None:
            yield found("note", "verify_mark_none", seen.path, name=_name(seen))
        return
    yield from mark.findings
    yield from held.keys.judge_signed(mark, sshsig.MARK)
    if mark.signer is None:
        return
    if (mark.values["bench"], mark.values["number"]) != seen.name:
        yield found("bad", "verify_mark_other", mark.path, name=label(mark.path))
    elif register is not None:
        yield from _mark_holds(mark, register)


def _mark_holds(mark: SignedSeen, register: BenchRegister) -> Iterator[Found]:
    count, number = mark.values["count"], mark.values["number"]
    if not isinstance(count, int) or not isinstance(number, int):
        return
    fields = {"name": register.path.name, "n": count, "there": len(register.links)}
    if count > len(register.links):
        yield found("bad", "verify_register_cut", mark.path, **fields)
    elif register.links.of(count) != mark.values["last_link"]:
        yield found("bad", "verify_register_other", mark.path, **fields)
    elif not 0 < register.sealed_at.of(number) <= count:
        yield found("bad", "verify_mark_early", mark.path, **fields)


def marks_held(
    given: Sequence[GivenMark], registers: Sequence[BenchRegister]
) -> list[tuple[GivenMark, Found]]:
    """Marks from reports that a register holds, each with the finding that says so."""
    held = []
    for mark in given:
        holding = [r for r in registers if r.links.of(mark.entries).startswith(mark.link)]
        for register in holding[:1]:
            fields = {"x": mark.shown, "name": register.path.name}
            held.append((mark, found("note", "mark_holds", register.path, **fields)))
    return held


def marks_not_held(given: Sequence[GivenMark], held: Collection[GivenMark]) -> list[Found]:
    """Marks from reports that no register holds."""
    return [found("bad", "mark_not_held", x=mark.shown) for mark in given if mark not in held]


def register_findings(
    files: Files, book: Logbook, registers: Sequence[BenchRegister]
) -> list[Found]:
    """What is not good about the registers alone: damage, forks, copies, contradictions."""
    names = [n for n in names_in(files, book.registers) if not n.startswith(".")]
    own = {
        r.path.name for r in registers if r.state.bench and r.path == book.register(r.state.bench)
    }
    torn = re.compile(r".+\.torn-[0-9]{1,3}")
    quiet = all(r.verdict and r.verdict.state == "sound" and not r.state.faults for r in registers)
    told = [
        found("note", "verify_stranger", book.registers / name, name=name)
        for name in names
        if not name.endswith(".toml") and not torn.fullmatch(name)
    ]
    told += [
        found("note", "verify_newer", register.path, name=register.path.name)
        for register in registers
        if register.verdict and register.verdict.newer
    ]
    if quiet and own == {name for name in names if name.endswith(".toml")}:
        return told
    try:
        findings = survey(book, files).findings
    except NotDone as fault:
        return [*told, *unread(book.registers, fault)]
    return told + [
        Found("note" if f.code in _NOTES else "bad", f.code, f.sentence, str(f.paths[0]))
        for f in findings
        if f.code not in _ASKED_ELSEWHERE
    ]
