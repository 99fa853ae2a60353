"""Signed files one by one: a signature over a whole file, statements and register marks.

Each file is read once; its SHA-512 serves the signature and the register alike. What is wrong is
told, never raised: a check goes on to the next file.
"""

from collections.abc import Mapping
from hashlib import sha512
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone, not_read
from assaybench.logbook.files import Files
from assaybench.logbook.signed_entry import one_entry
from assaybench.logbook.signing import signature_path
from assaybench.logbook.sshkeys import NotValid, PublicKey
from assaybench.logbook.sshsig import Signature
from assaybench.logbook.store import read_all
from assaybench.logbook.verify_found import Found, SignedSeen, Signer, found, label
from assaybench.messages import say
from assaybench.record.entries import Entry
from assaybench.record.frame import Table
from assaybench.record.signed_kinds import LARGEST_SIGNED

NOT_FITTING = "signature_other"
"""The code of a signature that was read and is of other bytes, or by another key."""


class Over(NamedTuple):
    """What the signature of a file came to.

    Attributes:
        signature: as it was read; None when there is none, or it could not be read.
        key: the key whose signature it is; None when it does not hold.
        code: code of what is wrong with it, empty when it holds.
        why: the same in one line.
    """

    signature: Signature | None
    key: PublicKey | None
    code: str = ""
    why: str = ""


def read_plain(files: Files, path: Path, most: int) -> bytes | None:
    """As `read_all`, of an ordinary file alone: another one might never come to its end.

    Raises:
        NotDone: when it is no ordinary file, or cannot be read.
    """
    try:
        status = files.stat(path)
    except OSError as fault:
        raise not_read(path, fault) from fault
    if status is not None and not status.plain:
        raise NotDone([say("not_read", name=path.name, why=say("file_not_plain"))])
    return read_all(files, path, most) if status is not None else None


def over(files: Files, path: Path, data: bytes, digest: bytes, namespace: str) -> Over | None:
    """What the signature beside a file came to; None when there is no such file.

    Args:
        files: the disk.
        path: the signed file.
        data: its bytes.
        digest: their SHA-512.
        namespace: what the signature must be for.

    Raises:
        NotDone: when the signature cannot be read from the disk.
    """
    armor = read_plain(files, signature_path(path), sshsig.LARGEST_SIGNATURE)
    if armor is None:
        return None
    signature = None
    try:
        signature = sshsig.parse(armor)
        sshsig.check_digest(signature, digest, data, namespace)
    except NotValid as fault:
        return Over(signature, None, fault.code, fault.line)
    return Over(signature, signature.key)


def signer_of(entry: Entry) -> Signer:
    """Who signed, by the words of a `sealed`, `statement` or `mark` entry."""
    texts = (str(entry.values.get(name, "")) for name in ("name", "role", "meaning", "fingerprint"))
    return Signer(entry.at, *texts)


def fingerprint_differs(path: Path, said: str, key: PublicKey) -> list[Found]:
    """The finding that a file names another key than the one that signed it."""
    own = key.fingerprint
    if said == own:
        return []
    return [
        found("bad", "fingerprint_differs", path, name=label(path), said=said[:19], own=own[:19])
    ]


def signed_file(files: Files, path: Path, table: Table, namespace: str) -> SignedSeen | None:
    """A statement or a mark with its signature; None when there is no such file.

    Args:
        files: the disk.
        path: the file.
        table: its kinds; the file holds one entry of the first.
        namespace: what its signature must be for.

    Raises:
        NotDone: when it cannot be read from the disk.
    """
    data = read_plain(files, path, LARGEST_SIGNED)
    if data is None:
        return None
    digest, place = sha512(data), str(path)
    entry, why = one_entry(data, table)
    seen = over(files, path, data, digest.digest(), namespace)
    findings: list[Found] = []
    if entry is None:
        findings.append(found("bad", "signed_file_broken", path, name=label(path), why=why))
    if seen is None:
        findings.append(found("bad", "signature_missing", path, name=label(path)))
    elif seen.key is None:
        findings.append(found("bad", "signature_not", path, name=label(path), why=seen.why))
    signer, key = (signer_of(entry) if entry else None), (seen.key if seen else None)
    if signer is not None and key is not None:
        findings += fingerprint_differs(path, signer.fingerprint, key)
    values: Mapping[str, object] = entry.values if entry else {}
    return SignedSeen(place, signer, dict(values), digest.hexdigest(), key, tuple(findings))


def unread(path: Path | str, fault: NotDone) -> list[Found]:
    """The findings of a file that could not be read."""
    return [Found("undone", "not_read", line, str(path)) for line in fault.lines]
