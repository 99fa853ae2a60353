"""A new signing key: its file, whose it is, a passphrase typed twice; then it is made and named."""

from collections.abc import Callable
from itertools import count
from pathlib import Path

from assaybench.bench.asking import Asking
from assaybench.bench.desk import Desk
from assaybench.bench.page import Outcome
from assaybench.bench.passphrase import ask_new_passphrase
from assaybench.logbook import keys
from assaybench.logbook.allowed_signers import principal_of
from assaybench.logbook.faults import NotDone
from assaybench.logbook.signers import add_signer
from assaybench.messages import BadInput, quoted, say
from assaybench.record import check

Make = Callable[[Path, str, bytes], Outcome]
"""Makes the key: its file, the printed name, the passphrase."""


def ask_new_key(desk: Desk, make: Make) -> Asking:
    """A printed name, then the passphrase twice; the file too where there is a key already.

    Raises:
        BadInput, NotDone: when none can be made here.
    """
    desk.keeper()
    path = desk.signing_key()
    if path.suffix == ".pub" or desk.files.stat(path) is not None:
        return _ask_other_file(desk, path, make)
    return _ask_whose(desk, path, make)


def _ask_whose(desk: Desk, path: Path, make: Make) -> Asking:
    keys.must_be_free(desk.files, path)

    def named(name: str) -> Asking:
        return ask_new_passphrase(lambda secret: make(path, name, secret))

    return ask_printed(desk, named)


def _ask_other_file(desk: Desk, taken: Path, make: Make) -> Asking:
    """Another file for a key that is made while there is one already; that one stays."""
    stem = taken.with_suffix("") if taken.suffix == ".pub" else taken
    others = (stem.with_name(f"{stem.name}-{n}") for n in count(2))
    free = next(path for path in others if not _any_there(desk, path))

    def answer(text: str) -> Asking:
        path = path_of(text) or free
        if path.suffix == ".pub":
            raise BadInput.of("key_new_pub", x=quoted(path.name))
        return _ask_whose(desk, path, make)

    hint = (say("ask_new_key_file_hint"),)
    return Asking(say("ask_new_key_file", x=free.name), answer, "text", hint)


def _any_there(desk: Desk, path: Path) -> bool:
    return any(desk.files.stat(p) is not None for p in (path, keys.public_path(path)))


def ask_printed(desk: Desk, then: Callable[[str], Asking | Outcome]) -> Asking:
    """The printed name of who works here; that of the settings is offered."""
    known = desk.settings.people.get(desk.by, "")
    offer = f" {say('ask_offered', x=known)}" if known else ""

    def answer(text: str) -> Asking | Outcome:
        return then(check.text(text or known))

    hint = (say("ask_printed_name_hint"),)
    return Asking(say("ask_printed_name", offer=offer), answer, "text", hint)


def made_and_named(desk: Desk, path: Path, name: str, secret: bytes) -> str:
    """Make a key and name it in the register of the desk's bench; the sentence says where it is.

    Raises:
        BadInput, NotDone: when it is not made, or made and not named: the last line says so.
    """
    desk.book.make(desk.files)
    key = keys.make_key(desk.files, path, secret, principal_of(name))
    try:
        add_signer(desk.book, desk.bench, desk.keeper(), key, name)
    except (NotDone, BadInput) as fault:
        line = say("key_not_named", name=keys.public_path(path).name)
        raise NotDone([*fault.lines, line]) from fault
    return say("signers_made", path=path)


def path_of(text: str) -> Path | None:
    """The file that was typed; None for the usual one.

    Raises:
        BadInput: for the home of somebody who has none.
    """
    if not text:
        return None
    try:
        return Path(text).expanduser().absolute()
    except RuntimeError as fault:
        raise BadInput.of("file_unreadable", x=quoted(text), why="no such home") from fault
