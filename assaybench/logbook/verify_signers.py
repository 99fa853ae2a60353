"""The keys that a logbook names itself: what its registers say, and whether the file says the same.

The registers are chained and marked, `allowed_signers` is only made from them. So the registers
count where they are there, and the file is held against them: one that is merely behind, as after
two benches were carried into one folder, is harmless; a line that no register knows is not.
"""

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from assaybench.logbook.allowed_signers import LARGEST_SIGNERS, Listed, read_signers, written
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.signers import known_signers, named_lines
from assaybench.logbook.store import read_all
from assaybench.logbook.verify_found import Found, found
from assaybench.logbook.verify_signed import unread
from assaybench.record.entries import Entry

ALLOWED_SIGNERS = "allowed_signers"


def own_signers(
    files: Files, folder: Path, events: Mapping[str, Sequence[Entry]]
) -> tuple[list[Listed], list[Found]]:
    """The keys that a logbook, a bundle, or the folder of lone logs names.

    Args:
        files: the disk.
        folder: where its file of signers stands.
        events: the registers' entries about each signing key; empty where there is no register.
    """
    path = folder / ALLOWED_SIGNERS
    try:
        data = read_all(files, path, LARGEST_SIGNERS)
    except NotDone as fault:
        return _named(events), unread(path, fault)
    listed, lines = read_signers(data or b"")
    told = [found("bad", "verify_signers", path, why=line) for line in lines]
    if not events:
        return listed, told
    if data is None:
        return _named(events), [found("bad", "signers_gone", path)]
    rows = _named(events)
    if data != written(rows) and not told:
        told.append(_differs(path, listed, rows))
    return rows, told


def _named(events: Mapping[str, Sequence[Entry]]) -> list[Listed]:
    return named_lines(known_signers(events)[0])


def _differs(path: Path, listed: Sequence[Listed], rows: Sequence[Listed]) -> Found:
    """How a file differs from what the registers say."""
    if not all(_known(line, rows) for line in listed):
        return found("bad", "signers_unnamed", path)
    same = [line._replace(line=0) for line in listed] == list(rows)
    return found("note", "signers_spelled" if same else "signers_behind", path)


def _known(line: Listed, rows: Iterable[Listed]) -> bool:
    """Whether a line is one of the registers, or was before its key was retired."""
    then = line._replace(line=0)
    return any(then in (row, row._replace(before=None)) for row in rows)
