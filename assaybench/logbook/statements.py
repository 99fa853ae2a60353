"""Statements: what another person, or the same one, signs about a sealed log with his own key.

A statement is a small file beside the log, `NNNNNN.statement-K.toml`, that names the log's digest;
the log itself never changes. It is signed in memory first; then the file is made, its signature put
beside it, and the register learns of both. A statement that was broken off is gone on with when the
same person says the same again; one of somebody else is left alone.
"""

import re
from collections.abc import Sequence
from hashlib import sha512
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone, NotWritable
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName, names_in
from assaybench.logbook.keys import Signer
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.register import Register
from assaybench.logbook.seal import SealHead, name_key
from assaybench.logbook.seal_look import must_be_usable
from assaybench.logbook.sealed_log import SealedLog, sealed_log
from assaybench.logbook.signed_entry import cut_off, one_entry
from assaybench.logbook.signing import (
    MARK_OF_PASSING,
    Beside,
    beside,
    held,
    keep_from_writing,
    put_beside,
    signature_path,
    whole_file,
    writable,
)
from assaybench.logbook.store import read_all, replace
from assaybench.messages import BadInput, say
from assaybench.record import strict
from assaybench.record.frame import Chain, framed
from assaybench.record.signed_kinds import LARGEST_SIGNED, STATEMENT_BY_NAME

MOST_STATEMENTS = 999


class Stated(NamedTuple):
    """A signed statement.

    Attributes:
        name: the log.
        path: the statement's file.
        sha512: digest of the log.
        signer: printed name, role and meaning.
        text: what was looked at and found.
        fingerprint: of the key that signed.
        steps: what was done now: statement, signature, register, read-only.
        principal: whose key it is, as `allowed_signers` spells it.
        added: whether the key was new to this logbook.
        lost: lines of `allowed_signers` that came from no register and are gone.
    """

    name: LogName
    path: Path
    sha512: str
    signer: SealHead
    text: str
    fingerprint: str
    steps: tuple[str, ...]
    principal: str
    added: bool
    lost: tuple[str, ...]


class _Place(NamedTuple):
    """Where a statement goes: its file, and the bytes that stand there already."""

    path: Path
    data: bytes | None


def countersign(
    book: Logbook, name: LogName, keeper: Keeper, signer: Signer, head: SealHead, text: str = ""
) -> Stated:
    """Sign a statement about a sealed log, or go on with one that was broken off.

    Args:
        book: the logbook.
        name: the log.
        keeper: who writes.
        signer: who signs.
        head: printed name, role, and what the signature stands for.
        text: what was looked at and found, empty for nothing more.

    Raises:
        BadInput: the log is not sealed, another person sealed it with this key, or this key said
            just this before; nothing was written.
        NotDone: the log is not as it was sealed, the key does not sign, the disk refuses.
    """
    files = keeper.files
    must_be_usable(book, signer, keeper)
    with held(book, name, keeper):
        log = sealed_log(book, name, files)
        must_be_own_key(log, signer.key.fingerprint, head.name)
        values: dict[str, object] = {
            "number": name.number,
            "bench": name.bench,
            "sha512": log.sha512,
            "size": log.size,
            **head._asdict(),
            "fingerprint": signer.key.fingerprint,
            **({"text": text} if text else {}),
        }
        ready = strict.ready(Chain(STATEMENT_BY_NAME), keeper.by, "statement", values)
        place = _place(book, log, files, ready)
        chain = Chain(STATEMENT_BY_NAME)
        fresh = framed(chain, keeper.now(), keeper.by, "statement", ready).data
        data = place.data if place.data and not cut_off(place.data, STATEMENT_BY_NAME) else fresh
        armor = signer.sign(data, sshsig.STATEMENT)
        steps: list[str] = []
        try:
            _write(files, place, data, steps)
            if put_beside(files, place.path, data, sshsig.STATEMENT, signer, armor):
                steps.append("signature")
            named = name_key(book, name.bench, keeper, signer, head.name)
            _enter(book, log, keeper, signer, place.path, data, steps)
            if keep_from_writing(files, [place.path, signature_path(place.path)]):
                steps.append("read-only")
        except (NotDone, BadInput) as fault:
            if not steps:
                raise
            line = say("statement_half", name=place.path.name, done=", ".join(steps))
            if isinstance(fault, NotDone):
                fault.lines = (*fault.lines, line)
                raise
            raise NotDone([*fault.lines, line]) from fault
    fingerprint = signer.key.fingerprint
    return Stated(
        name, place.path, log.sha512, head, text, fingerprint, tuple(steps), *named
    )  # fmt: skip


def must_be_own_key(log: SealedLog, fingerprint: str, name: str) -> None:
    """Refuse the key that sealed a log under another person's name.

    Args:
        log: the log.
        fingerprint: of the key that is to sign.
        name: printed name of who is to sign.

    Raises:
        BadInput: naming who sealed it.
    """
    was = str(log.entries[-1].values.get("name", ""))
    if sealed_with(log, fingerprint) and was.split() != name.split():
        raise BadInput.of("statement_key_sealed", name=log.name.spelled, was=was, now=name)


def sealed_with(log: SealedLog, fingerprint: str) -> bool:
    """Whether this key sealed the log."""
    return log.entries[-1].values.get("fingerprint") == fingerprint


def _write(files: Files, place: _Place, data: bytes, steps: list[str]) -> None:
    if place.data is None:
        whole_file(files, place.path, data)
        steps.append("statement")
    elif place.data != data:
        replace(files, place.path, data, mark=MARK_OF_PASSING)
        steps.append("statement")


def _enter(
    book: Logbook,
    log: SealedLog,
    keeper: Keeper,
    signer: Signer,
    path: Path,
    data: bytes,
    steps: list[str],
) -> None:
    """Tell the register, when it does not know the statement."""
    with Register(book, log.name.bench, keeper) as register:
        if path.name not in register.state.numbers[log.name.number].statements:
            digest = sha512(data).hexdigest()
            number, fingerprint = log.name.number, signer.key.fingerprint
            register.statement(number, path.name, digest, fingerprint)
            steps.append("register")


def statement_paths(book: Logbook, name: LogName, files: Files) -> list[tuple[int, Path]]:
    """The statements about a log, by their number K.

    Raises:
        NotDone: when the folder cannot be read.
    """
    form = re.compile(rf"{name.number:06}\.statement-([1-9][0-9]{{0,2}})\.toml")
    folder = book.logs(name.bench)
    matches = (form.fullmatch(file) for file in names_in(files, folder))
    return sorted((int(m[1]), folder / m[0]) for m in matches if m)


def _place(book: Logbook, log: SealedLog, files: Files, wanted: dict[str, object]) -> _Place:
    """Where a statement goes: one of the same words that was broken off, or the next number.

    Raises:
        BadInput: when this key said just this before.
        NotWritable: when there are too many.
    """
    paths = statement_paths(book, log.name, files)
    for _, path in paths:
        data = read_all(files, path, LARGEST_SIGNED) or b""
        entry, _ = one_entry(data, STATEMENT_BY_NAME)
        signed = read_all(files, signature_path(path), 1) is not None
        if entry is None and cut_off(data, STATEMENT_BY_NAME) and not signed:
            return _Place(path, data)
        if entry is not None and dict(entry.values) == wanted:
            if _done(files, log, path, data):
                raise BadInput.of("statement_there", name=path.name)
            return _Place(path, data)
    k = max((k for k, _ in paths), default=0) + 1
    if k > MOST_STATEMENTS:
        raise NotWritable([say("statements_many", name=log.name.spelled, most=MOST_STATEMENTS)])
    return _Place(book.statement(log.name, k), None)


def _done(files: Files, log: SealedLog, path: Path, data: bytes) -> bool:
    signed = beside(files, path, data, sshsig.STATEMENT)[0] is Beside.GOOD
    kept = signed and not any(writable(files, one) for one in (path, signature_path(path)))
    return kept and path.name in log.known.statements


def unsigned(book: Logbook, name: LogName, files: Files) -> Sequence[Path]:
    """Statements about a log that were broken off before they were signed.

    Raises:
        NotDone: when they cannot be read.
    """
    paths = [path for _, path in statement_paths(book, name, files)]
    return [path for path in paths if read_all(files, signature_path(path), 1) is None]
