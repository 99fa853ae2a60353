"""The kinds of the register's entries, and the state of a register after all of them.

A register numbers the logs of one bench. It stands in the same frame as a log, with these few kinds
of its own. A number is allotted here before its log exists, so a log that went missing, a number
taken twice or two copies that grew apart all show.

Choice where the format is silent: the first entry, `begun`, names the bench, so that a register is
known by what it holds and not by its file name alone.
"""

import re
from collections.abc import Iterable, Mapping, MutableMapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from typing import NamedTuple

from assaybench.messages import quoted, say
from assaybench.record.entries import Entry, whole_or_zero
from assaybench.record.kinds import Key, Kind

LARGEST_REGISTER = 256_000_000
LARGEST_NUMBER = 999_999
LOGS = ("furnace run", "circuit test", "self-test")
SIGNER_EVENTS = ("added", "retired", "compromised")
_SHA512 = re.compile(r"[0-9a-f]{128}")


def _number(help_: str = "number of the log") -> Key:
    return Key("number", "whole", help_, required=True)


REGISTER_KINDS = (
    Kind("begun", 1, "The register begins.", (
        Key("bench", "id", "the bench whose logs it numbers", required=True),
        Key("program", "text", "program and version that began it", required=True),
    )),
    Kind("opened", 1, "A number was allotted; its log follows.", (
        _number(),
        Key("log", "choice", "what the log is of", required=True, choices=LOGS),
        Key("title", "text", "what people call it"),
        Key("replaces", "whole", "the sealed log that it replaces"),
    )),
    Kind("sealed", 1, "A log was sealed.", (
        _number(),
        Key("sha512", "text", "digest of the whole log", required=True),
        Key("size", "whole", "its size in bytes", required=True),
    )),
    Kind("void", 1, "A number that holds no result; it stays taken.", (
        _number(),
        Key("reason", "text", "why", required=True),
    )),
    Kind("signer", 1, "What became of a signing key.", (
        Key("fingerprint", "text", "fingerprint of the key", required=True),
        Key("event", "choice", "what became of it", required=True, choices=SIGNER_EVENTS),
        Key("name", "text", "printed name of the signer"),
        Key("key", "text", "the public key, one line"),
        Key("since", "time", "from when on, when not from now on"),
        Key("reason", "text", "why"),
    )),
    Kind("statement", 1, "A person signed a statement about a log.", (
        _number(),
        Key("file", "text", "name of the statement's file", required=True),
        Key("sha512", "text", "its digest", required=True),
        Key("fingerprint", "text", "fingerprint of the key that signed it", required=True),
    )),
    Kind("recovered", 1, "A torn end of the register was moved aside.", (
        Key("file", "text", "where it is kept", required=True),
        Key("size", "whole", "its bytes", required=True),
    )),
)  # fmt: skip
REGISTER_BY_NAME = {kind.name: kind for kind in REGISTER_KINDS}


class Seal(NamedTuple):
    """What the register knows of a sealed log: SHA-512 of the file and its size in bytes."""

    sha512: str
    size: int


@dataclass(slots=True)
class Allotted:
    """A number and what became of it.

    Attributes:
        number: the number.
        log: what the log is of.
        title: what people call it, empty when nobody said.
        replaces: number of the log that it replaces, 0 when it replaces none.
        seal: its seal, None while it is open.
        void: the reason why it is void, empty when it is not.
        statements: names of the statements' files about it.
    """

    number: int
    log: str
    title: str
    replaces: int = 0
    seal: Seal | None = None
    void: str = ""
    statements: list[str] = field(default_factory=list)


@dataclass(slots=True)
class RegisterState:
    """What a register says, after all its entries.

    Attributes:
        bench: the bench, empty for an empty register.
        numbers: by number, in the order of allotment; who asks little may give a smaller mapping.
        signers: the entries about each signing key, by fingerprint, in order.
        recovered: names of the files that torn ends were moved to.
        faults: what should not be in a register, one line each.
        replacing: the log that replaces a log, by its number; a void one replaces nothing.
    """

    bench: str = ""
    numbers: MutableMapping[int, Allotted] = field(default_factory=dict)
    signers: dict[str, list[Entry]] = field(default_factory=dict)
    recovered: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    replacing: dict[int, int] = field(default_factory=dict)

    @property
    def next_number(self) -> int:
        """The number that comes next: one above the largest ever allotted."""
        return max(self.numbers, default=0) + 1

    def add(self, entry: Entry) -> None:
        """Apply one entry; what contradicts the entries before it is told and changes nothing."""
        values = entry.values
        lines = self.refusals(entry.kind, values)
        if lines:
            self.faults += [f"entry {entry.n}: {line}" for line in lines]
            return
        match entry.kind:
            case "begun":
                self.bench = str(values.get("bench", ""))
            case "opened":
                self._opened(values)
            case "sealed" | "void" | "statement":
                self._changed(entry.kind, values)
            case "signer":
                self.signers.setdefault(str(values.get("fingerprint", "")), []).append(entry)
            case "recovered":
                self.recovered.append(str(values.get("file", "")))

    def _opened(self, values: Mapping[str, object]) -> None:
        number, old = whole_or_zero(values.get("number")), whole_or_zero(values.get("replaces"))
        log, title = str(values.get("log", "")), str(values.get("title", ""))
        self.numbers[number] = Allotted(number, log, title, old)
        if old:
            self.replacing[old] = number

    def _changed(self, kind: str, values: Mapping[str, object]) -> None:
        known = self.numbers[whole_or_zero(values.get("number"))]
        if kind == "sealed":
            known.seal = Seal(str(values.get("sha512", "")), whole_or_zero(values.get("size")))
        elif kind == "statement":
            known.statements.append(str(values.get("file", "")))
        else:
            known.void = str(values.get("reason", ""))
            if known.void and self.replacing.get(known.replaces) == known.number:
                del self.replacing[known.replaces]
        # put back for a mapping that holds no such objects
        self.numbers[known.number] = known

    def replaced_by(self, number: int) -> int:
        """The log that replaces a log, 0 when none does; a void one does not."""
        return self.replacing.get(number, 0)

    def missing(self, there: AbstractSet[int]) -> list[Allotted]:
        """Numbers that are neither void nor among the logs that are there."""
        return [a for n, a in self.numbers.items() if n not in there and not a.void]

    def refusals(self, kind: str, values: Mapping[str, object]) -> list[str]:
        """Why an entry cannot follow the entries so far, one line each; empty when it can."""
        return list(_refusals(self, kind, values))


def _refusals(state: RegisterState, kind: str, values: Mapping[str, object]) -> Iterable[str]:
    digest = values.get("sha512")
    asked = isinstance(digest, str) or kind == "sealed"
    if asked and not _SHA512.fullmatch(str(digest or "")):
        yield say("value_sha512", x=quoted(str(digest or "")))
    if kind not in ("opened", "sealed", "void", "statement"):
        return
    number = whole_or_zero(values.get("number"))
    known = state.numbers.get(number)
    if kind == "opened":
        if known is not None:
            yield say("number_taken", n=number)
        if not 1 <= number <= LARGEST_NUMBER:
            yield say("number_not_whole", x=quoted(str(number)), least=1, most=LARGEST_NUMBER)
        yield from _not_replaced(state, values)
    elif known is None:
        yield say("number_not_allotted", n=number)
    elif kind != "statement" and known.void:
        yield say("number_void", n=number, why=known.void)
    elif kind != "statement" and known.seal is not None:
        yield say("number_sealed", n=number)
    elif kind == "statement" and known.seal is None:
        yield say("number_not_sealed", n=number)


def _not_replaced(state: RegisterState, values: Mapping[str, object]) -> Iterable[str]:
    """Why a log cannot replace another: only a sealed one is replaced, and once."""
    if "replaces" not in values:
        return
    old = whole_or_zero(values["replaces"])
    known = state.numbers.get(old)
    if known is None:
        yield say("number_not_allotted", n=old)
    elif known.seal is None:
        yield say("number_not_sealed", n=old)
    elif state.replaced_by(old):
        yield say("number_replaced", n=old, by=state.replaced_by(old))


def state_of(entries: Iterable[Entry]) -> RegisterState:
    """The state of a register after these entries."""
    state = RegisterState()
    for entry in entries:
        state.add(entry)
    return state
