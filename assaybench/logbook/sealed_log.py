"""A log that is sealed, held against its register and its signature before anything rests on it."""

from hashlib import sha512
from typing import NamedTuple

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.signing import Beside, beside
from assaybench.logbook.store import read_all
from assaybench.logbook.survey import never_allotted, read_register
from assaybench.messages import BadInput, say
from assaybench.record.entries import Entry
from assaybench.record.frame import LARGEST_LOG
from assaybench.record.frame_read import Reader
from assaybench.record.kinds import BY_NAME
from assaybench.record.register_kinds import Allotted


class SealedLog(NamedTuple):
    """A sealed log.

    Attributes:
        name: its name.
        sha512: its digest.
        size: its size in bytes.
        known: what the register says of it.
        entries: its own entries.
    """

    name: LogName
    sha512: str
    size: int
    known: Allotted
    entries: tuple[Entry, ...]


def sealed_log(book: Logbook, name: LogName, files: Files) -> SealedLog:
    """A log whose seal is finished: the register knows it, and its signature stands beside it.

    Raises:
        BadInput: when it is not sealed.
        NotDone: when it cannot be read, or is not as it was sealed.
    """
    if name.practice:
        raise BadInput.of("seal_practice", name=name.spelled)
    path, register = book.log(name), book.register(name.bench)
    there = read_all(files, register, 1) is not None
    known = read_register(files, register).state.numbers.get(name.number) if there else None
    if known is None:
        never_allotted(book, name, files)
    if known.seal is None:
        raise BadInput.of("log_not_sealed", name=name.spelled)
    data = read_all(files, path, LARGEST_LOG)
    if data is None:
        raise NotDone([say("not_read", name=path.name, why=say("file_gone"))])
    if (sha512(data).hexdigest(), len(data)) != known.seal:
        raise NotDone([say("seal_other", name=name.spelled)])
    if beside(files, path, data, sshsig.LOG)[0] is not Beside.GOOD:
        raise NotDone([say("signature_gone", name=name.spelled)])
    return SealedLog(name, *known.seal, known, tuple(Reader(BY_NAME).feed(data)))
