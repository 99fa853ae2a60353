"""Putting a signature beside a file, once, and going on where that was broken off."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from enum import Enum
from pathlib import Path

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone, Unconfirmed, disk_reason, not_read
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.keys import Signer
from assaybench.logbook.lock import Lock
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.register import WAIT_SECONDS
from assaybench.logbook.sshkeys import NotValid, PublicKey
from assaybench.logbook.store import create, read_all, replace
from assaybench.messages import say

_END = b"-----END SSH SIGNATURE-----\n"
MARK_OF_PASSING = "sealing"


class Beside(Enum):
    """What stands beside a file as its signature."""

    NOTHING = "nothing"
    HALF = "half"
    GOOD = "good"


def signature_path(path: Path) -> Path:
    """The signature of a file stands beside it."""
    return path.with_name(f"{path.name}.sig")


def beside(
    files: Files, path: Path, data: bytes, namespace: str
) -> tuple[Beside, PublicKey | None]:
    """What stands as the signature of a file, and the key that made it.

    *Half* is what a power cut leaves on a disk without hard links: a file without its last line.

    Args:
        files: the disk.
        path: the signed file.
        data: its bytes.
        namespace: what the signature is for.

    Raises:
        NotDone: when it cannot be read, or is no signature of these bytes.
    """
    place = signature_path(path)
    armor = read_all(files, place, sshsig.LARGEST_SIGNATURE)
    if armor is None:
        return Beside.NOTHING, None
    if not armor.endswith(_END):
        return Beside.HALF, None
    try:
        signature = sshsig.parse(armor)
        sshsig.check(signature, data, namespace)
    except NotValid as fault:
        line = say("signature_stands", name=place.name, of=path.name, why=fault.line)
        raise NotDone([line]) from fault
    return Beside.GOOD, signature.key


def put_beside(
    files: Files,
    path: Path,
    data: bytes,
    namespace: str,
    signer: Signer,
    armor: bytes | None = None,
) -> bool:
    """See to it that the signature of a file stands beside it; say whether it was made here.

    Args:
        files: the disk.
        path: the signed file.
        data: its bytes.
        namespace: what the signature is for.
        signer: who signs.
        armor: the signature, when it was made before.

    Raises:
        NotDone: when it cannot be made or written, or one of another key stands there.
        Unconfirmed: when it is there but the disk did not confirm it.
    """
    there, key = beside(files, path, data, namespace)
    if there is Beside.GOOD:
        must_be(key, signer, path.name)
        return False
    place = signature_path(path)
    made = signer.sign(data, namespace) if armor is None else armor
    if there is Beside.HALF:
        replace(files, place, made, mark=MARK_OF_PASSING)
        return True
    try:
        create(files, place, made)
    except FileExistsError as fault:
        raise NotDone([say("file_not_made", name=place.name, why=disk_reason(fault))]) from fault
    return True


def must_be(key: PublicKey | str | None, signer: Signer, name: str) -> None:
    """Refuse to go on with another key than something was begun with.

    Args:
        key: the key, or its fingerprint.
        signer: who would sign now.
        name: the file.

    Raises:
        NotDone: naming both fingerprints.
    """
    begun = key.fingerprint if isinstance(key, PublicKey) else key or ""
    if begun != signer.key.fingerprint:
        raise NotDone([say("key_other", name=name, was=begun, now=signer.key.fingerprint)])


def whole_file(files: Files, path: Path, data: bytes) -> None:
    """Make a small file that must not be there yet.

    Raises:
        NotDone: when it could not be made.
        Unconfirmed: when it, or a part of it, is there but the disk did not confirm it.
    """
    try:
        files.make_folder(path.parent)
        create(files, path, data)
    except Unconfirmed:
        raise
    except OSError as fault:
        raise NotDone([say("file_not_made", name=path.name, why=disk_reason(fault))]) from fault


def writable(files: Files, path: Path) -> bool:
    """Whether a file is there and may be written.

    Raises:
        NotDone: when the disk cannot say.
    """
    try:
        return files.writable(path)
    except FileNotFoundError:
        return False
    except OSError as fault:
        raise not_read(path, fault) from fault


def keep_from_writing(files: Files, paths: Sequence[Path]) -> bool:
    """Make files read-only, those that are not; say whether any was.

    Raises:
        NotDone: when the disk refuses.
    """
    made = False
    for path in paths:
        if writable(files, path):
            try:
                files.make_read_only(path)
            except OSError as fault:
                line = say("not_read_only", name=path.name, why=disk_reason(fault))
                raise NotDone([line]) from fault
            made = True
    return made


@contextmanager
def held(book: Logbook, name: LogName, keeper: Keeper) -> Iterator[None]:
    """Hold the lock of a log that is only read, so that one command at a time writes beside it.

    Raises:
        LogBusy: another command holds it for longer than a moment.
    """
    path = book.log(name)
    lock = Lock(keeper.files, book.lock(path), path.name)
    lock.acquire(keeper.by, keeper.now(), WAIT_SECONDS)
    try:
        yield
    finally:
        lock.release()
