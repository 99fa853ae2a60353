"""What a check of a logbook finds: findings of three levels, and what was seen of each log.

A finding is a *note* (harmless, and said), *bad* (not good: exit status 1) or *undone* (it could
not be checked: exit status 3). Records here are small and plain: they pass between processes.
"""

from datetime import datetime
from pathlib import Path
from typing import Literal, NamedTuple

from assaybench.logbook.folder import LogName
from assaybench.logbook.sshkeys import PublicKey
from assaybench.messages import say
from assaybench.record.reissue import Replaced

Level = Literal["note", "bad", "undone"]
Recomputed = Literal["", "recomputes", "differently", "not", "refused"]
"""Not asked for, then the three outcomes, then: a newer program made part of the log."""


class Found(NamedTuple):
    """One finding.

    Attributes:
        level: note, bad or undone.
        code: its code in the table of messages.
        sentence: what is, and what to do.
        path: the file it is about, empty for the whole.
    """

    level: Level
    code: str
    sentence: str
    path: str = ""


def found(level: Level, code: str, path: Path | str = "", **fields: object) -> Found:
    """A finding of one code of the table; a file's own name cannot write on the terminal."""
    shown = {name: _printable(value) for name, value in fields.items()}
    return Found(level, code, say(code, **shown), str(path))


def _printable(value: object) -> object:
    if not isinstance(value, str) or value.isprintable():
        return value
    return "".join(sign if sign.isprintable() else "·" for sign in value)


def label(path: Path | str) -> str:
    """A file as findings name it: its folders tell a log from the mark of the same number."""
    parts = Path(path).parts
    return "/".join(parts[-3:] if parts[-3:-2] == ("marks",) else parts[-2:])


class Signer(NamedTuple):
    """What a signed file says of who signed it.

    Attributes:
        at: time of its entry, by the clock of the machine that made it.
        name, role, meaning: printed name, role and meaning; empty in a mark.
        fingerprint: of the signing key, as the file says.
    """

    at: datetime
    name: str
    role: str
    meaning: str
    fingerprint: str


class SignedSeen(NamedTuple):
    """A statement or a mark as it was read, with its signature.

    Attributes:
        path: its file.
        signer: who signed by its own words; None when it could not be read.
        values: its own keys; empty when it could not be read.
        sha512: digest of the file.
        key: the key whose signature holds; None when none does.
        findings: what is not good about it alone.
    """

    path: str
    signer: Signer | None
    values: dict[str, object]
    sha512: str
    key: PublicKey | None
    findings: tuple[Found, ...]


class LogSeen(NamedTuple):
    """What one log is, seen alone; whether the register agrees is asked elsewhere.

    Attributes:
        name: the name it stands under.
        path: its file.
        verdict: sound, torn or damaged.
        entries: good entries.
        size: bytes.
        sha512: digest of the whole file.
        newer: whether a newer program wrote part of it.
        sealed: who sealed it, None while it is open.
        key: the key whose signature over the whole file holds; None when none does.
        statements: statements beside it.
        mark: the register mark made when it was sealed.
        replaces: the older log it replaces.
        recomputed: whether its figures come out again.
        findings: what was found of it alone.
    """

    name: LogName
    path: str
    verdict: str
    entries: int
    size: int
    sha512: str
    newer: bool
    sealed: Signer | None
    key: PublicKey | None
    statements: tuple[SignedSeen, ...]
    mark: SignedSeen | None
    replaces: Replaced | None
    recomputed: Recomputed
    findings: tuple[Found, ...]
