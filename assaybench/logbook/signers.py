"""The signers of a logbook: what its registers say of each signing key, and the file made of it.

The registers hold what became of each key, and nothing of that is ever lost; `allowed_signers` is
made anew from all of them, so that `ssh-keygen` finds the same signers. It stands in the folder
that it speaks of: whoever can write there can name himself. Compare fingerprints by another way.
"""

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

from assaybench.logbook.allowed_signers import (
    LARGEST_SIGNERS,
    Listed,
    named_here,
    principal_of,
    read_signers,
    written,
)
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, names_in
from assaybench.logbook.how_to_check import Facts, how_to_check
from assaybench.logbook.lock import Lock
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.register import WAIT_SECONDS, Register
from assaybench.logbook.sshkeys import NotValid, PublicKey, of_line
from assaybench.logbook.store import read_all, replace
from assaybench.logbook.survey import read_register
from assaybench.messages import BadInput, quoted, say
from assaybench.record.entries import Entry

_LARGEST_TEXT = 100_000
Events = Mapping[str, Sequence[Entry]]
"""The registers' entries about each signing key, by fingerprint: named first, then by time."""


class Known(NamedTuple):
    """A signing key as the registers know it.

    Attributes:
        key: the public key.
        name: printed name of the signer.
        added: when it was named first.
        by: initials of who named it.
        event: the last that became of it: added, retired or compromised.
        since: when it was retired or compromised, None when neither.
        reason: why, empty when nobody said.
    """

    key: PublicKey
    name: str
    added: datetime
    by: str
    event: str
    since: datetime | None = None
    reason: str = ""

    @property
    def principal(self) -> str:
        """Who it is, as `allowed_signers` spells it."""
        return principal_of(self.name or self.by)


class Change(NamedTuple):
    """What naming, retiring or giving up a key came to.

    Attributes:
        signer: the key now.
        changed: whether the register took an entry; it does not when it said so before.
        lost: lines that stood in `allowed_signers` and came from no register.
    """

    signer: Known
    changed: bool
    lost: tuple[str, ...]


def events_of(book: Logbook, files: Files) -> Events:
    """What all registers of a logbook say of signing keys.

    Raises:
        NotDone: when a register cannot be read.
    """
    found: dict[str, list[Entry]] = {}
    there = set(names_in(files, book.registers))
    for path in map(book.register, book.benches(files)):
        if path.name not in there:
            continue
        for fingerprint, entries in read_register(files, path).state.signers.items():
            found.setdefault(fingerprint, []).extend(entries)
    return {name: sorted(entries, key=_place) for name, entries in found.items()}


def _place(entry: Entry) -> tuple[bool, datetime]:
    """A key is named before it ends, whatever the clocks of two benches say."""
    return entry.values.get("event") != "added", entry.at


def known_signers(events: Events) -> tuple[list[Known], list[str]]:
    """The keys of these entries, in the order they were named, and what does not count."""
    known: list[Known] = []
    faults: list[str] = []
    for fingerprint, entries in events.items():
        try:
            known.append(_known(fingerprint, entries))
        except NotValid as fault:
            faults.append(say("signer_faulty", key=quoted(fingerprint)[1:-1], why=fault.line))
    return sorted(known, key=lambda signer: (signer.added, signer.key.blob)), faults


def _known(fingerprint: str, entries: Iterable[Entry]) -> Known:
    """One key after all its entries; what is retired or compromised stays so."""
    found: Known | None = None
    for entry in entries:
        event, reason = str(entry.values.get("event", "")), str(entry.values.get("reason", ""))
        if event == "added":
            key = of_line(str(entry.values.get("key", "")))
            if key.fingerprint != fingerprint:
                raise NotValid("signer_other_key", x=key.fingerprint)
            name = str(entry.values.get("name", ""))
            if found is None:
                found = Known(key, name, entry.at, entry.by, event, reason=reason)
        elif found is not None:
            found = _ended(found, entry, event, reason)
    if found is None:
        raise NotValid("signer_no_key")
    return found


def _ended(known: Known, entry: Entry, event: str, reason: str) -> Known:
    since = entry.values.get("since")
    when = since if isinstance(since, datetime) else entry.at
    if known.since is not None:
        when = min(when, known.since)
    if known.event == "compromised":
        event = known.event
    return known._replace(event=event, since=when, reason=reason or known.reason)


def named_lines(signers: Iterable[Known]) -> list[Listed]:
    """The lines of `allowed_signers` that name these keys."""
    return [named_here(signer.principal, signer.key, signer.since) for signer in signers]


def named_file(signers: Iterable[Known]) -> bytes:
    """The file `allowed_signers` that names these keys."""
    return written(named_lines(signers))


def add_signer(book: Logbook, bench: str, keeper: Keeper, key: PublicKey, name: str) -> Change:
    """Name a signing key in the register of a bench; one that is named already stays as it is.

    Args:
        book: the logbook.
        bench: the bench whose register takes the entry.
        keeper: who names it.
        key: the public key.
        name: printed name of the signer.

    Raises:
        BadInput: for a key that was retired or compromised; nothing was written.
        NotDone: when the register or the file cannot be written.
    """
    known = _find(book, keeper.files, key.fingerprint)
    if known is not None and known.since is not None:
        code = "signer_retired" if known.event == "retired" else "signer_compromised"
        raise BadInput.of(code, key=key.fingerprint, since=_day(known.since))

    def store(register: Register) -> None:
        register.signer(key.fingerprint, "added", name=name, key=key.line)

    return _change(book, bench, keeper, key.fingerprint, None if known else store)


def retire_signer(
    book: Logbook, bench: str, keeper: Keeper, fingerprint: str, reason: str = ""
) -> Change:
    """A key that is used no more from now on; what it signed before holds.

    Raises:
        BadInput: for a key that no register names, or one that is compromised.
        NotDone: when the register or the file cannot be written.
    """
    known = _must_find(book, keeper.files, fingerprint)
    if known.event == "compromised":
        since = _day(known.since) if known.since else ""
        raise BadInput.of("signer_compromised", key=fingerprint, since=since)

    def store(register: Register) -> None:
        register.signer(fingerprint, "retired", reason=reason)

    retired = known.event == "retired"
    return _change(book, bench, keeper, fingerprint, None if retired else store)


def compromised_signer(
    book: Logbook, bench: str, keeper: Keeper, fingerprint: str, since: datetime, reason: str
) -> Change:
    """A key that others may have used since a time; it may be given again with an earlier one.

    Raises:
        BadInput: for a key that no register names, or a time to come.
        NotDone: when the register or the file cannot be written.
    """
    if since > keeper.now():
        raise BadInput.of("signer_since_to_come", x=since.isoformat(timespec="minutes"))
    known = _must_find(book, keeper.files, fingerprint)
    said = known.event == "compromised" and known.since is not None and known.since <= since

    def store(register: Register) -> None:
        register.signer(fingerprint, "compromised", since=since, reason=reason)

    return _change(book, bench, keeper, fingerprint, None if said else store)


def since_of(text: str) -> datetime:
    """From when on a key is given up, as typed: a day, or a day and a time.

    Where no offset is typed it is the one that this machine had at that time: a time in summer,
    typed in winter, is what the clock on the wall showed.

    Args:
        text: what was typed.

    Raises:
        BadInput: when it cannot be read.
    """
    try:
        found = datetime.fromisoformat(text.strip())
        return found if found.tzinfo is not None else found.astimezone()
    except (ValueError, OverflowError, OSError) as fault:
        # some systems know no offset before 1970 and answer with an OSError
        raise BadInput.of("since_unreadable", x=quoted(text)) from fault


def _day(time: datetime) -> str:
    return time.date().isoformat()


def _find(book: Logbook, files: Files, fingerprint: str) -> Known | None:
    entries = events_of(book, files).get(fingerprint)
    known, _ = known_signers({fingerprint: entries} if entries else {})
    return known[0] if known else None


def _must_find(book: Logbook, files: Files, fingerprint: str) -> Known:
    known = _find(book, files, fingerprint)
    if known is None:
        raise BadInput.of("signer_unknown", x=quoted(fingerprint))
    return known


def _change(
    book: Logbook,
    bench: str,
    keeper: Keeper,
    fingerprint: str,
    store: Callable[[Register], None] | None,
) -> Change:
    """Store an entry, when there is one to store, then write the file anew."""
    if store is not None:
        with Register(book, bench, keeper) as register:
            store(register)
    try:
        signers, lost = write_signers(book, keeper)
    except NotDone as fault:
        if store is None:
            raise
        raise NotDone([*fault.lines, say("signers_not_written")]) from fault
    now = next(signer for signer in signers if signer.key.fingerprint == fingerprint)
    return Change(now, store is not None, lost)


def write_signers(book: Logbook, keeper: Keeper) -> tuple[list[Known], tuple[str, ...]]:
    """Write `allowed_signers` and `HOW-TO-CHECK.txt` anew from all registers, where they differ.

    Returns:
        The signers, and the lines that named somebody and came from no register; those are gone.

    Raises:
        NotDone: when another command writes them, or the disk refuses; the old files stand then.
    """
    files = keeper.files
    lock = Lock(files, book.lock(book.allowed_signers), book.allowed_signers.name)
    lock.acquire(keeper.by, keeper.now(), WAIT_SECONDS)
    try:
        signers, _ = known_signers(events_of(book, files))
        rows = named_lines(signers)
        before = read_all(files, book.allowed_signers, LARGEST_SIGNERS) or b""
        data = named_file(signers)
        if data != before:
            replace(files, book.allowed_signers, data, mark=str(os.getpid()))
        people = tuple((row.principal, row.key.fingerprint) for row in rows)
        text = how_to_check(Facts(tuple(book.benches(files)), people))
        if text != read_all(files, book.how_to_check, _LARGEST_TEXT):
            replace(files, book.how_to_check, text, mark=str(os.getpid()))
    finally:
        lock.release()
    ours = {(row.principal, row.key) for row in rows}
    strangers = [row for row in read_signers(before)[0] if (row.principal, row.key) not in ours]
    return signers, tuple(f"{row.principal} {row.key.fingerprint}" for row in strangers)
