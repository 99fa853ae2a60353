"""Sealing a log: its figures, the signer's word and the signature, then the register and a mark.

Everything is made and signed in memory first, so a wrong passphrase writes nothing. Then, in this
order: the last entries are appended; the signature is put beside the log; the register learns of
the key, where it is new, and of the seal; a mark of the register is written and signed; the files
are made read-only. Whatever breaks this off, `seal` goes on at the missing step, with the same key.
"""

from collections.abc import Sequence
from hashlib import sha512
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook import signers, sshsig
from assaybench.logbook.allowed_signers import principal_of
from assaybench.logbook.faults import NotDone, NotWritable, Unconfirmed
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.history import history
from assaybench.logbook.keys import Signer
from assaybench.logbook.logfile import Keeper, LogFile, Row
from assaybench.logbook.marks import finish_mark, read_mark
from assaybench.logbook.opening import open_log
from assaybench.logbook.register import WAIT_SECONDS, Register
from assaybench.logbook.seal_look import (
    READ_ONLY,
    archived,
    must_be_own,
    must_be_usable,
    must_end,
    register_state,
    steps_left,
    worked_out,
)
from assaybench.logbook.signing import (
    held,
    keep_from_writing,
    must_be,
    put_beside,
    signature_path,
)
from assaybench.logbook.store import read_all
from assaybench.messages import BadInput, say
from assaybench.record import sealing
from assaybench.record.entries import Entry
from assaybench.record.frame import LARGEST_LOG
from assaybench.record.frame_read import Reader
from assaybench.record.handsheet import METHOD_VERSION
from assaybench.record.kinds import BY_NAME
from assaybench.record.reissue import joined


class SealHead(NamedTuple):
    """Who signs, as people read it.

    Attributes:
        name: printed name.
        role: what the person does here.
        meaning: what the signature stands for.
    """

    name: str
    role: str
    meaning: str = "weighed"


class Sealed(NamedTuple):
    """A seal.

    Attributes:
        name: the log.
        path: its file.
        sha512: its digest.
        size: its size in bytes.
        fingerprint: of the key that signed.
        signer: printed name, role and meaning, as the log holds them.
        mark: the register mark, `N:DIGEST`.
        steps: what was done now, of `STEPS`; fewer than all when a seal was gone on with.
        principal: whose key it is, as `allowed_signers` spells it.
        added: whether the key was new to this logbook.
        lost: lines of `allowed_signers` that came from no register and are gone.
        torn: files that unfinished entries were moved to.
    """

    name: LogName
    path: Path
    sha512: str
    size: int
    fingerprint: str
    signer: SealHead
    mark: str
    steps: tuple[str, ...]
    principal: str
    added: bool
    lost: tuple[str, ...]
    torn: tuple[str, ...] = ()


def seal(
    book: Logbook, name: LogName, keeper: Keeper, signer: Signer, head: SealHead | None
) -> Sealed:
    """Seal a log, or go on with a seal that was broken off.

    Args:
        book: the logbook.
        name: the log.
        keeper: who writes.
        signer: who signs; for a seal that was begun, the same key.
        head: what the `sealed` entry says; None only where one was begun.

    Raises:
        BadInput: when it cannot be sealed, one line for each reason; nothing was written.
        NotDone: the log is damaged, the key does not sign or is another one, the disk refuses; when
            a step was done, the last line says which and how to go on.
    """
    files, path = keeper.files, book.log(name)
    register_state(book, name, files)
    entries: list[Entry] = []
    with open_log(
        path,
        keeper,
        lock=book.lock(path),
        each=entries.append,
        session=False,
        wait_seconds=WAIT_SECONDS,
    ) as log:
        if log.verdict.newer:
            raise NotDone([say("log_newer")])
        if log.verdict.state == "damaged" or not entries:
            raise NotWritable([log.read_only or say("log_empty", name=name.spelled)])
        must_be_own(name, entries)
        if entries[-1].kind == "sealed":
            must_end(path, log.verdict)
        torn = tuple(kept.file for kept in log.recovered)
        if entries[-1].kind != "sealed":
            if log.read_only is not None or head is None:
                raise NotWritable([log.read_only or say("log_closed", name=path.name)])
            must_be_usable(book, signer, keeper)
            armor = _append(book, name, keeper, signer, head, log, entries)
            return _finish(book, name, keeper, signer, armor, ["log"])._replace(torn=torn)
    with held(book, name, keeper):
        left = steps_left(book, name, files, register_state(book, name, files))
        if not left:
            raise BadInput.of("number_sealed", n=name.number)
        must_be(str(entries[-1].values.get("fingerprint")), signer, path.name)
        return _finish(book, name, keeper, signer, None, [])


def make_read_only(book: Logbook, name: LogName, keeper: Keeper) -> Sealed:
    """Make the files of a finished seal read-only again, as after a copy; no key is needed.

    Raises:
        BadInput: when it cannot be, or nothing is left to do.
        NotDone: when more than that is left of the seal, or the disk refuses.
    """
    files, path = keeper.files, book.log(name)
    with held(book, name, keeper):
        left = steps_left(book, name, files, register_state(book, name, files))
        if not left:
            raise BadInput.of("number_sealed", n=name.number)
        data = read_all(files, path, LARGEST_LOG) or b""
        head, made = _head_in(path, data), read_mark(files, book.mark(name))
        if left != (READ_ONLY,) or made is None or made.mark is None:
            raise NotDone([say("seal_half", name=name.spelled, done="not all")])
        keep_from_writing(files, archived(book, name))
    fingerprint = str(Reader(BY_NAME).feed(data)[-1].values.get("fingerprint", ""))
    known, _ = signers.known_signers(signers.events_of(book, files))
    owners = (one.principal for one in known if one.key.fingerprint == fingerprint)
    principal = next(owners, principal_of(head.name))
    digest = sha512(data).hexdigest()
    return Sealed(
        name, path, digest, len(data), fingerprint, head, made.mark.short, left,
        principal, added=False, lost=(),
    )  # fmt: skip


# --- the steps -----------------------------------------------------------------------------------


def _append(
    book: Logbook,
    name: LogName,
    keeper: Keeper,
    signer: Signer,
    head: SealHead,
    log: LogFile,
    entries: Sequence[Entry],
) -> bytes:
    """Append the last entries, the whole signed before anything is written; give the signature."""
    files, path = keeper.files, book.log(name)
    if read_all(files, signature_path(path), 1) is not None:
        raise NotDone([say("signature_early", name=signature_path(path).name)])
    found, shown = worked_out(name, joined(history(files, path, entries)))
    if shown.open:
        raise BadInput(shown.open)
    rows: list[Row] = [
        ("results", values)
        for values in sealing.values_of(
            sealing.Recorded(METHOD_VERSION, keeper.program, sealing.figures_of(found))
        )
    ]
    said = {**head._asdict(), "fingerprint": signer.key.fingerprint}
    rows.append(("sealed", said))
    signed: list[bytes] = []
    begun = log.link

    def sign(more: bytes) -> None:
        whole = (read_all(files, path, LARGEST_LOG) or b"") + more
        signed.append(signer.sign(_checked(path, whole, begun, len(entries)), sshsig.LOG))

    try:
        log.append_all(rows, before_writing=sign)
    except Unconfirmed as fault:
        fault.lines = (*fault.lines, say("seal_unsure", name=name.spelled))
        raise
    return signed[0]


def _checked(path: Path, whole: bytes, link: str, count: int) -> bytes:
    """What is to be signed, read once more: nothing is signed that does not hold from end to end.

    Raises:
        NotWritable: when another program changed the log.
    """
    reader = Reader(BY_NAME, keep_links=True)
    entries = reader.feed(whole)
    links = reader.links or []
    sound = reader.end().state == "sound" and entries[-1].kind == "sealed"
    if not sound or links[count - 1] != link:
        raise NotWritable([say("log_changed", name=path.name)])
    return whole


def _finish(
    book: Logbook,
    name: LogName,
    keeper: Keeper,
    signer: Signer,
    armor: bytes | None,
    done: list[str],
) -> Sealed:
    """Every step after the log holds its seal; each is left out where it is done."""
    files, path = keeper.files, book.log(name)
    try:
        data = read_all(files, path, LARGEST_LOG) or b""
        digest = sha512(data).hexdigest()
        head = _head_in(path, data)
        if put_beside(files, path, data, sshsig.LOG, signer, armor):
            done.append("signature")
        named = name_key(book, name.bench, keeper, signer, head.name)
        with Register(book, name.bench, keeper) as register:
            if _registered(register, name, digest, len(data)):
                done.append("register")
            mark, made = finish_mark(book, register, name, keeper, signer)
        if made:
            done.append("mark")
        if keep_from_writing(files, archived(book, name)):
            done.append("read-only")
    except NotDone as fault:
        fault.lines = (*fault.lines, _half(name, done))
        raise
    except BadInput as fault:
        raise NotDone([*fault.lines, _half(name, done)]) from fault
    fingerprint = signer.key.fingerprint
    return Sealed(
        name, path, digest, len(data), fingerprint, head, mark.short, tuple(done), *named
    )  # fmt: skip


def _head_in(path: Path, data: bytes) -> SealHead:
    """What the `sealed` entry says of the signer."""
    entries = Reader(BY_NAME).feed(data)
    if not entries or entries[-1].kind != "sealed":
        raise NotWritable([say("log_changed", name=path.name)])
    return SealHead(*(str(entries[-1].values.get(key, "")) for key in SealHead._fields))


class Named(NamedTuple):
    """A key that the logbook names.

    Attributes:
        principal: whose it is, as `allowed_signers` spells it.
        added: whether it is new to this logbook.
        lost: lines of `allowed_signers` that came from no register and are gone.
    """

    principal: str
    added: bool
    lost: tuple[str, ...]


def name_key(book: Logbook, bench: str, keeper: Keeper, signer: Signer, name: str) -> Named:
    """See to it that the logbook names a key.

    Raises:
        BadInput, NotDone: as `signers.add_signer`.
    """
    fingerprint = signer.key.fingerprint
    if fingerprint not in signers.events_of(book, keeper.files):
        change = signers.add_signer(book, bench, keeper, signer.key, name)
        return Named(change.signer.principal, change.changed, change.lost)
    known, lost = signers.write_signers(book, keeper)
    names = (one.principal for one in known if one.key == signer.key)
    return Named(next(names, principal_of(name)), added=False, lost=lost)


def _half(name: LogName, done: Sequence[str]) -> str:
    return say("seal_half", name=name.spelled, done=", ".join(done) or "nothing more")


def _registered(register: Register, name: LogName, digest: str, size: int) -> bool:
    """Enter the seal in the register; say whether that was done now."""
    known = register.state.numbers.get(name.number)
    if known is None or known.seal is None:
        register.sealed(name.number, digest, size)
        return True
    if known.seal != (digest, size):
        raise NotDone([say("seal_other", name=name.spelled)])
    return False
