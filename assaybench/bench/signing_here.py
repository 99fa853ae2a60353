"""What a page needs to sign: who signs, with which key, and the log's file closed meanwhile.

Nothing here keeps a passphrase. The libraries of signing are loaded when a key is opened or made.
"""

from pathlib import Path
from typing import NamedTuple

from assaybench.bench.desk import Desk
from assaybench.bench.printing import WIDTH
from assaybench.bench.run_log import RunLog
from assaybench.logbook import keys
from assaybench.logbook.faults import NotDone, disk_reason, not_read
from assaybench.logbook.folder import LogName
from assaybench.logbook.history import history
from assaybench.logbook.opening import open_log
from assaybench.logbook.seal import Sealed, SealHead, make_read_only, seal
from assaybench.logbook.seal_look import READ_ONLY, look
from assaybench.logbook.signers import events_of, known_signers
from assaybench.logbook.store import replace
from assaybench.messages import say
from assaybench.record.entries import Entry
from assaybench.record.reissue import joined
from assaybench.record.replay import State
from assaybench.report import seal_view


class Person(NamedTuple):
    """Who stands behind initials: printed name and role, each empty where nobody said."""

    name: str
    role: str


def person_of(state: State, desk: Desk) -> Person:
    """Who works at the desk: by the last `person` entry of the log, else by the settings."""
    said = [e for e in state.of("person") if e.text("initials") == desk.by]
    name, role = (said[-1].text("name"), said[-1].text("role")) if said else ("", "")
    return Person(name or desk.settings.people.get(desk.by, ""), role)


def has_key(desk: Desk) -> bool:
    """Whether there is a signing key.

    Raises:
        NotDone: when nobody can say.
    """
    path = desk.signing_key()
    try:
        return desk.files.stat(path) is not None
    except OSError as fault:
        raise not_read(path, fault) from fault


def who_signs(run: RunLog) -> list[str]:
    """Who would sign a log, and with which key, in words."""
    desk = run.desk
    person, path = person_of(run.state, desk), desk.signing_key()
    name = person.name or desk.by or say("seal_nobody")
    code = "seal_who" if person.role else "seal_who_bare"
    said = [say(code, name=name, role=person.role)]
    try:
        if not has_key(desk):
            return [*said, say("seal_no_key")]
    except NotDone as fault:
        return [*said, *fault.lines]
    return [*said, say("seal_key_file", name=path.name), *keys.warnings(desk.files, path)]


def must_be_first(desk: Desk, name: str) -> None:
    """See to it that a person who has no key file here has no key that this logbook names.

    A key on a stick that is not there would else be joined by another one of the same person.

    Raises:
        NotDone: when one is named that still signs, or the registers cannot be read.
    """
    signers, _ = known_signers(events_of(desk.book, desk.files))
    own = [one for one in signers if one.name == name and one.since is None]
    if own:
        path, key = desk.signing_key(), own[-1].key.fingerprint
        raise NotDone([say("seal_key_away", name=path.name, who=name, key=key)])


def sign(desk: Desk, name: LogName, head: SealHead | None, secret: bytes, *, new: bool) -> Sealed:
    """Seal a log, or go on with a seal that was begun, with the signing key of the desk.

    Where only read-only is left to do, no key is opened.

    Args:
        desk: where.
        name: the log; nobody has its file open.
        head: who signs; None for a seal that was begun.
        secret: the passphrase of the key, empty for none.
        new: whether the key is to be made first.

    Raises:
        BadInput, NotDone: as `logbook.seal.seal`, `keys.open_signer` and `keys.make_key`.
    """
    path = desk.signing_key()
    if head is None and look(desk.book, name, desk.files).left == (READ_ONLY,):
        return make_read_only(desk.book, name, desk.keeper())
    if not new and not has_key(desk):
        raise NotDone([say("seal_key_vanished", name=path.name)])
    if new:
        keys.make_key(desk.files, path, secret, head.name if head is not None else desk.by)
    signer = keys.open_signer(desk.files, path, lambda: secret)
    return seal(desk.book, name, desk.keeper(), signer, head)


def opened_again(run: RunLog) -> None:
    """The log's file opened again after a seal was tried; what that stored counts here too.

    Raises:
        NotDone: when it cannot be opened.
    """
    desk, path = run.desk, run.file.path
    own: list[Entry] = []
    lock = desk.book.lock(path)
    run.file = open_log(path, desk.keeper(), lock=lock, each=own.append, session=False)
    whole = joined(history(desk.files, path, own))
    # a seal stores figures and a signature: nothing that was worked out before changes
    for entry in whole[len(run.entries) :]:
        run.live.add(entry)


def commands_of(desk: Desk, sealed: Sealed) -> list[tuple[str, str]]:
    """What to do with a sealed log, and the command that does it, to be typed as it stands."""
    sections = seal_view.sealed_sections(desk.book, sealed)
    check = (sections[-1].title, sections[-1].rows[0][0])
    tail = seal_view.typed(["--logbook", str(desk.book.root)])
    number = sealed.name.spelled
    return [
        check,
        (say("sealed_verify"), f"assaybench verify {number} {tail}"),
        (say("sealed_report"), f"assaybench report {number} --text {tail}"),
    ]


def commands_written(desk: Desk, sealed: Sealed) -> Path:
    """The seal with its commands in a text file in the reports of the logbook; gives the file.

    Raises:
        NotDone: the disk refused; the seal stands all the same.
    """
    path = desk.book.reports / f"{sealed.name.spelled}-seal.txt"
    lines = [f"{label}: {text}" for label, text in seal_view.sealed_rows(sealed)]
    for section in seal_view.sealed_sections(desk.book, sealed)[:-1]:
        lines += ["", section.title, *(row[0] for row in section.rows)]
    for title, command in commands_of(desk, sealed):
        lines += ["", title, command]
    rule = "-" * WIDTH
    try:
        desk.files.make_folder(path.parent)
    except OSError as fault:
        line = say("file_not_made", name=path.name, why=disk_reason(fault))
        raise NotDone([line]) from fault
    text = "\n".join([rule, *lines, rule]) + "\n"
    replace(desk.files, path, text.encode(), mark="seal")
    return path
