"""Register marks: how many entries a register had when a log was sealed, and its last link.

A mark is one small signed file, `marks/BENCH/NNNNNN.toml`. Its short form, `N:DIGEST`, is printed
on reports: whoever keeps one can tell later whether the register still holds what it held then, and
so whether a log was taken out of it or history was written anew.
"""

import re
from pathlib import Path
from typing import NamedTuple

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.keys import Signer
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.register import Register
from assaybench.logbook.signed_entry import cut_off, one_entry
from assaybench.logbook.signing import (
    MARK_OF_PASSING,
    must_be,
    put_beside,
    signature_path,
    whole_file,
)
from assaybench.logbook.store import read_all, replace
from assaybench.logbook.survey import read_register
from assaybench.messages import BadInput, quoted, say
from assaybench.record import strict
from assaybench.record.entries import whole_or_zero
from assaybench.record.frame import Chain, framed
from assaybench.record.signed_kinds import LARGEST_SIGNED, MARK_BY_NAME

_SHORT = re.compile(r"([1-9][0-9]{0,8}):([0-9a-f]{16,64})(?:…|\.\.\.)?")


class Mark(NamedTuple):
    """What a mark says.

    Attributes:
        name: the log that was sealed last.
        entries: how many entries the register had.
        link: its last link.
        fingerprint: of the key that signed.
    """

    name: LogName
    entries: int
    link: str
    fingerprint: str

    @property
    def short(self) -> str:
        """As reports print it and `--mark` takes it: `N:DIGEST`."""
        return short(self.entries, self.link)


class MarkFile(NamedTuple):
    """A file among the marks of a bench.

    Attributes:
        path: the file.
        data: its bytes.
        mark: what it says; None when it is no mark.
        why: why it is none, one line.
    """

    path: Path
    data: bytes
    mark: Mark | None
    why: str = ""


class GivenMark(NamedTuple):
    """A mark of a register, as a report prints it: how many entries, and the last link's start."""

    entries: int
    link: str

    @property
    def text(self) -> str:
        """As it is printed."""
        return short(self.entries, self.link)

    @property
    def shown(self) -> str:
        """Its beginning, for a sentence."""
        return short(self.entries, self.link[:16])


def given_mark(text: str) -> GivenMark:
    """A mark as typed, `640:ab12…`, at least 16 hex digits of the link, capitals or not.

    Raises:
        BadInput: for anything else.
    """
    match = _SHORT.fullmatch(text.strip().lower())
    if match is None:
        raise BadInput.of("mark_unreadable", x=quoted(text))
    return GivenMark(int(match[1]), match[2])


def short(count: int, link: str) -> str:
    """The short form of a mark."""
    return f"{count}:{link}"


def read_mark(files: Files, path: Path) -> MarkFile | None:
    """The mark of a file, or why it is none; None when there is no such file.

    Raises:
        NotDone: when the disk cannot read it.
    """
    data = read_all(files, path, LARGEST_SIGNED)
    return None if data is None else mark_file(path, data)


def mark_file(path: Path, data: bytes) -> MarkFile:
    """A mark from the bytes of its file."""
    entry, why = one_entry(data, MARK_BY_NAME)
    if entry is None:
        return MarkFile(path, data, None, why)
    values = entry.values
    name = LogName(str(values["bench"]), whole_or_zero(values["number"]))
    mark = Mark(
        name, whole_or_zero(values["count"]), str(values["last_link"]), str(values["fingerprint"])
    )
    if (path.parent.name, path.name) != (name.bench, f"{name.number:06}.toml"):
        return MarkFile(path, data, None, say("log_other", name=path.name, other=name.spelled))
    return MarkFile(path, data, mark)


def finish_mark(
    book: Logbook, register: Register, name: LogName, keeper: Keeper, signer: Signer
) -> tuple[Mark, bool]:
    """See to it that a register mark for a log is there and signed; say whether a part was made.

    Args:
        book: the logbook.
        register: the register of the bench, open for writing.
        name: the log that was sealed.
        keeper: who writes.
        signer: who signs.

    Raises:
        NotDone: when it cannot be made, or one that does not fit stands there.
    """
    files, path = keeper.files, book.mark(name)
    data = read_all(files, path, LARGEST_SIGNED)
    made = data is None
    if data is None:
        data = _fresh(register, name, keeper, signer)
        armor = signer.sign(data, sshsig.MARK)
        whole_file(files, path, data)
        return _said(path, data), put_beside(files, path, data, sshsig.MARK, signer, armor)
    found = mark_file(path, data)
    if found.mark is None:
        signed = read_all(files, signature_path(path), 1) is not None
        if signed or not cut_off(data, MARK_BY_NAME):
            raise NotDone([say("mark_stands", name=path.name, why=found.why)])
        data, made = _fresh(register, name, keeper, signer), True
        replace(files, path, data, mark=MARK_OF_PASSING)
        found = mark_file(path, data)
    mark = _said(path, data)
    must_be(mark.fingerprint, signer, path.name)
    links = read_register(files, book.register(name.bench)).branches[0].links
    if links[mark.entries - 1 : mark.entries] != (mark.link,):
        raise NotDone([say("mark_stands", name=path.name, why=say("mark_unfit"))])
    return mark, put_beside(files, path, data, sshsig.MARK, signer) or made


def _said(path: Path, data: bytes) -> Mark:
    found = mark_file(path, data).mark
    if found is None:
        raise NotDone([say("mark_stands", name=path.name, why=one_entry(data, MARK_BY_NAME)[1])])
    return found


def _fresh(register: Register, name: LogName, keeper: Keeper, signer: Signer) -> bytes:
    """The bytes of a mark of the register as it is this moment."""
    values = {
        "bench": name.bench,
        "number": name.number,
        "count": register.file.n,
        "last_link": register.file.link,
        "fingerprint": signer.key.fingerprint,
    }
    chain = Chain(MARK_BY_NAME)
    ready = strict.ready(chain, keeper.by, "mark", values)
    return framed(chain, keeper.now(), keeper.by, "mark", ready).data
