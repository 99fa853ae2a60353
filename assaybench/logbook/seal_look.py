"""Looking at a log before it is sealed: what would be signed, what is in the way, what is left."""

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook import signers, sshsig
from assaybench.logbook.faults import NotDone, NotWritable
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.history import history
from assaybench.logbook.keys import Signer
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.marks import read_mark
from assaybench.logbook.reading import read_log
from assaybench.logbook.signing import Beside, beside, signature_path, writable
from assaybench.logbook.store import read_all
from assaybench.logbook.survey import never_allotted, read_register
from assaybench.messages import BadInput, say
from assaybench.record import sealing
from assaybench.record.entries import Entry
from assaybench.record.frame import LARGEST_LOG
from assaybench.record.frame_read import Verdict
from assaybench.record.register_kinds import RegisterState
from assaybench.record.reissue import joined
from assaybench.record.replay import replay
from assaybench.record.results import Results, results
from assaybench.record.seal_review import Review, review

READ_ONLY = "read-only"
STEPS = ("log", "signature", "register", "mark", READ_ONLY)
"""The steps of a seal, in their order."""


class Ready(NamedTuple):
    """A log that is looked at before it is sealed.

    Attributes:
        name: the log.
        entries: its entries; of one that replaces another, the joined ones.
        found: its results; None when it is sealed already.
        review: what would be signed; None when it is sealed already.
        begun: its `sealed` entry, when a seal was begun.
        left: the steps that are left.
    """

    name: LogName
    entries: Sequence[Entry]
    found: Results | None
    review: Review | None
    begun: Entry | None
    left: tuple[str, ...]


def look(book: Logbook, name: LogName, files: Files) -> Ready:
    """What a seal of this log would sign, or what is left of one that was begun; nothing changes.

    Raises:
        BadInput: when it cannot be sealed: void, practice, sealed already, no results.
        NotDone: when it cannot be read, or is damaged.
    """
    state = register_state(book, name, files)
    entries, verdict = read_log(files, book.log(name))
    if verdict.state == "damaged":
        why = verdict.sentence
        raise NotWritable([say("log_damaged", name=book.log(name).name, why=why)])
    if verdict.newer:
        raise NotDone([say("log_newer")])
    must_be_own(name, entries)
    begun = entries[-1] if entries[-1].kind == "sealed" else None
    whole = joined(history(files, book.log(name), entries))
    if begun is not None:
        must_end(book.log(name), verdict)
        left = steps_left(book, name, files, state)
        if not left:
            raise BadInput.of("number_sealed", n=name.number)
        return Ready(name, whole, None, None, begun, left)
    found, shown = worked_out(name, whole)
    return Ready(name, whole, found, shown, None, STEPS)


def register_state(book: Logbook, name: LogName, files: Files) -> RegisterState:
    """What the register says, when it lets the log be sealed.

    Raises:
        BadInput: the number was not allotted, or is void.
        NotDone: the register cannot be read, is damaged, or holds two histories.
    """
    if name.practice:
        raise BadInput.of("seal_practice", name=name.spelled)
    path = book.register(name.bench)
    register = read_register(files, path) if read_all(files, path, 1) is not None else None
    known = register.state.numbers.get(name.number) if register else None
    if register is None or known is None:
        never_allotted(book, name, files)
    if known.void:
        raise BadInput.of("number_void", n=name.number, why=known.void)
    verdict = register.branches[-1].verdict
    if verdict.state == "damaged" or len(register.branches) > 1:
        why = register.branches[0].verdict.sentence
        raise NotWritable([say("register_damaged", name=path.name, why=why)])
    return register.state


def must_be_own(name: LogName, entries: Sequence[Entry]) -> None:
    """Refuse a copy under another number, and practice."""
    if not entries:
        raise NotDone([say("log_empty", name=name.spelled)])
    opened = entries[0].values
    if (opened.get("bench"), opened.get("number")) != name:
        other = f"{opened.get('bench')}-{opened.get('number')}"
        raise BadInput.of("log_other", name=name.spelled, other=other)
    if opened.get("practice") is True:
        raise BadInput.of("seal_practice", name=name.spelled)


def must_end(path: Path, verdict: Verdict) -> None:
    """Refuse a log with anything behind its seal: nothing that this program does leaves that.

    Raises:
        NotWritable: saying what the file is.
    """
    if verdict.state != "sound":
        raise NotWritable([say("log_damaged", name=path.name, why=verdict.sentence)])


def must_be_usable(book: Logbook, signer: Signer, keeper: Keeper) -> None:
    """Refuse a key that was retired or compromised.

    Raises:
        BadInput: saying what became of it.
    """
    fingerprint = signer.key.fingerprint
    events = signers.events_of(book, keeper.files).get(fingerprint)
    known, _ = signers.known_signers({fingerprint: events} if events else {})
    for one in known:
        if one.since is not None and one.since <= keeper.now():
            since = one.since.date().isoformat()
            code = "signer_retired" if one.event == "retired" else "signer_compromised"
            raise BadInput.of(code, key=fingerprint, since=since)


def worked_out(name: LogName, entries: Sequence[Entry]) -> tuple[Results, Review]:
    """Results and review of a log that is to be sealed.

    Raises:
        BadInput: what stands in the way of results.
    """
    try:
        state = replay(entries)
        found = results(state)
        sealing.figures_of(found)
        return found, review(state, found)
    except BadInput as fault:
        raise fault.named(name.spelled) from fault


def steps_left(book: Logbook, name: LogName, files: Files, state: RegisterState) -> tuple[str, ...]:
    """The steps that are left of a seal that was begun."""
    path, mark = book.log(name), book.mark(name)
    data = read_all(files, path, LARGEST_LOG) or b""
    marked = read_mark(files, mark)
    known = state.numbers.get(name.number)
    there = {
        "signature": beside(files, path, data, sshsig.LOG)[0] is Beside.GOOD,
        "register": known is not None and known.seal is not None,
        "mark": marked is not None
        and marked.mark is not None
        and beside(files, mark, marked.data, sshsig.MARK)[0] is Beside.GOOD,
    }
    left = [step for step, done in there.items() if not done]
    if left or any(writable(files, file) for file in archived(book, name)):
        left.append(READ_ONLY)
    return tuple(left)


def archived(book: Logbook, name: LogName) -> list[Path]:
    """The files of a seal."""
    path, mark = book.log(name), book.mark(name)
    return [path, signature_path(path), mark, signature_path(mark)]
