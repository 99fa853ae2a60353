"""A small logbook with a log that can be sealed, a signer, and the real tool to check it with."""

import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.keys import Signer, open_key
from assaybench.logbook.logfile import Row
from assaybench.logbook.marks import MarkFile, mark_file
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import LogHead, new_log
from assaybench.logbook.seal import SealHead, seal
from assaybench.logbook.seal_look import look
from assaybench.logbook.signing import signature_path
from assaybench.messages import BadInput
from assaybench.record.entries import Entry
from tests.logbook.ssh_tools import made
from tests.reliability.faulty import Faulty, Stopped, keeper

HEAD = SealHead("K. Berg", "assayer", "weighed")
REVIEWER = SealHead("A. Dale", "reviewer", "reviewed")
ONE = LogName("MAIN", 1)
ROWS: tuple[Row, ...] = (
    ("balance", {"name": "fine", "step": "0.001 mg", "spread": "0.002 mg", "repeats": 10,
                 "weighs": ["gold"]}),
    ("balance", {"name": "pulp", "step": "0.01 g", "weighs": ["charge"]}),
    ("sample", {"id": "T-1", "role": "sample", "silver": "none"}),
    ("reading", {"what": "charge", "text": "20.00", "unit": "g", "balance": "pulp",
                 "sample": "T-1"}),
    ("reading", {"what": "gold", "text": "1.372", "unit": "mg", "balance": "fine",
                 "sample": "T-1"}),
)  # fmt: skip
"""A charge of 20.00 g with 1.372 mg of gold: 68.60 g/t. The gold is entry 6."""


def signer_in(folder: Path, name: str = "key") -> Signer:
    """A signer with a key of its own, without a passphrase."""
    path = folder / name
    if not path.exists():
        made(folder, name)
    return open_key(Files(), path, None)


def book_in(folder: Path, rows: Sequence[Row] = ROWS) -> Logbook:
    """A logbook with one open log."""
    book = Logbook(folder / "book")
    book.make(Files())
    name, log = new_log(book, "MAIN", keeper(), LogHead("furnace run", 1, "Grey Heron"))
    log.append_all(rows)
    log.close()
    assert name == ONE
    return book


def entries_of(book: Logbook, name: LogName = ONE) -> list[Entry]:
    entries, verdict = read_log(Files(), book.log(name))
    assert verdict.state == "sound", verdict
    return entries


_SAID: dict[tuple[object, ...], bool] = {}


def tool_says(book: Logbook, path: Path, namespace: str, who: str = "K.Berg") -> bool:
    """Whether the real `ssh-keygen`, reading the logbook's own file of signers, accepts a file.

    Of the same bytes it is asked once: whatever a test did before, what stands there is the same.
    """
    files = (book.allowed_signers, path, signature_path(path))
    asked = (*map(Path.read_bytes, files), namespace, who)
    if asked not in _SAID:
        words = ["ssh-keygen", "-Y", "verify", "-f", str(files[0]), "-I", who]
        words += ["-n", namespace, "-s", str(files[2])]
        with path.open("rb") as message:
            done = subprocess.run(
                words, stdin=message, capture_output=True, check=False, timeout=60
            )
        assert done.returncode in (0, 255), done.stderr
        _SAID[asked] = done.returncode == 0
    return _SAID[asked]


def both_accepted(book: Logbook, name: LogName = ONE, who: str = "K.Berg") -> bool:
    """Whether the tool accepts a log and its mark."""
    log, mark = book.log(name), book.mark(name)
    return tool_says(book, log, sshsig.LOG, who) and tool_says(book, mark, sshsig.MARK, who)


def marks_of(book: Logbook) -> list[MarkFile]:
    """Every mark of the bench, in the order of its logs."""
    paths = sorted(book.mark(ONE).parent.glob("??????.toml"))
    return [mark_file(path, path.read_bytes()) for path in paths]


def kinds(book: Logbook) -> list[str]:
    return [entry.kind for entry in entries_of(book)]


def content(book: Logbook) -> dict[str, bytes]:
    """Every file of the record, by its name; the locks are no part of it."""
    paths = [p for p in book.root.rglob("*") if p.is_file() and "locks" not in p.parts]
    return {str(path.relative_to(book.root)): path.read_bytes() for path in paths}


def ready(book: Logbook) -> None:
    """Look at a log as the command does, which stops at a hold."""
    found = look(book, ONE, Files()).review
    if found is not None and found.open:
        raise BadInput(found.open)


def refused(book: Logbook, signer: Signer, said: str) -> None:
    """Both the look and the seal refuse with the reason, and nothing changes."""
    before = content(book)
    for act in (lambda: ready(book), lambda: seal(book, ONE, keeper(), signer, HEAD)):
        with pytest.raises((BadInput, NotDone)) as fault:
            act()
        assert isinstance(fault.value, BadInput | NotDone)
        assert any(said in line for line in fault.value.lines), fault.value.lines
    assert content(book) == before


def stopped_after(book: Logbook, signer: Signer, call: str, nth: int, folder: Path) -> None:
    """Seal until the process dies right after one call; where it comes is tried on a copy."""
    copy, probe = Logbook(shutil.copytree(book.root, folder / "probe")), Faulty()
    seal(copy, ONE, keeper(probe), signer, HEAD)
    at = [i for i, name in enumerate(probe.calls, start=1) if name == call][nth - 1]
    with pytest.raises(Stopped):
        seal(book, ONE, keeper(Faulty(at, "stop")), signer, HEAD)
