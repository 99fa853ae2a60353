"""Every call to the disk of a seal, a statement and a reissue fails once, and is once the last one.

Afterwards: the log is as it was or holds its seal, whole; what was told is true; a second try goes
on where the first broke off, and the real `ssh-keygen` accepts what stands there then.
"""

import errno
import shutil
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone, Unconfirmed
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.keys import Signer
from assaybench.logbook.reissuing import reissue
from assaybench.logbook.seal import Sealed, SealHead, seal
from assaybench.logbook.seal_look import register_state, steps_left
from assaybench.logbook.statements import countersign, statement_paths
from assaybench.logbook.survey import survey
from assaybench.messages import BadInput
from assaybench.record import sealing
from assaybench.record.register_kinds import REGISTER_BY_NAME
from tests.logbook.sealable import (
    HEAD,
    ONE,
    REVIEWER,
    book_in,
    both_accepted,
    entries_of,
    marks_of,
    signer_in,
    tool_says,
)
from tests.reliability.faulty import Faulty, How, NoLinks, Stopped, keeper
from tests.reliability.test_calls import Outcome, sound, tried, ways

LONG_WAYS = pytest.mark.parametrize("spread", [pytest.param(1, marks=pytest.mark.long), 14])
"""Every call in the long run; in the short one every 14th, each way beginning at another."""


@pytest.fixture(scope="module")
def keys(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the keys of these tests."""
    folder = tmp_path_factory.mktemp("keys")
    for name in ("key", "other"):
        signer_in(folder, name)
    return folder


def copies(source: Logbook, folder: Path) -> Callable[[int], Logbook]:
    """Makes a fresh copy of a logbook for each call that fails."""

    def copy(at: int) -> Logbook:
        return Logbook(shutil.copytree(source.root, folder / str(at)))

    return copy


def places(
    act: Callable[[Faulty], object], spread: int, how: How, error: int, disk: Faulty | None = None
) -> range:
    """The calls that fail one after the other."""
    disk = disk or Faulty()
    act(disk)
    assert len(disk.calls) > 20
    return range(1 + (3 * len(how) + error) % spread, len(disk.calls) + 1, spread)


def sealing_of(book: Logbook, signer: Signer, head: SealHead | None) -> Callable[[Faulty], Sealed]:
    return lambda disk: seal(book, ONE, keeper(disk), signer, head)


def registered(book: Logbook, kind: str) -> list[object]:
    entries = sound(book.register("MAIN"), REGISTER_BY_NAME)
    return [entry.values.get("number") for entry in entries if entry.kind == kind]


def finished(book: Logbook, signer: Signer) -> Sealed | None:
    """Go on with a seal, or begin it anew; None when it is finished already."""
    try:
        return seal(book, ONE, keeper(), signer, HEAD)
    except BadInput as fault:
        assert fault.lines == ("log 1 is sealed.",)  # noqa: PT017  the one fault that is no fault
        return None


def is_whole(book: Logbook) -> None:
    """A seal as it must be in the end, however it came there."""
    entries = entries_of(book)
    assert [e.kind for e in entries[-2:]] == ["results", "sealed"]
    was = sealing.recorded(entries)
    assert was is not None
    now = sealing.recomputed(entries, "assaybench 0.1.0")
    assert sealing.compare(was, now).outcome == "recomputes"
    assert steps_left(book, ONE, Files(), register_state(book, ONE, Files())) == ()
    assert registered(book, "sealed") == [1]
    assert len(registered(book, "signer")) == 1
    (mark,) = marks_of(book)
    assert mark.mark is not None
    assert both_accepted(book)
    assert survey(book, Files()).findings == ()


def told_truly(outcome: Outcome, *, sealed: bool) -> None:
    """What was told of a seal: whether it is begun, and how to go on."""
    assert all(line and len(line.split("\n")) <= 2 for line in outcome.lines)
    if outcome.fault is None:
        return
    said = outcome.lines[-1]
    if sealed:
        assert "assaybench seal MAIN-000001" in said
    elif isinstance(outcome.fault, Unconfirmed):
        assert "seal" not in said or "or not" in said
    else:
        assert "is not finished" not in " ".join(outcome.lines)


@LONG_WAYS
@ways
def test_seal(tmp_path: Path, keys: Path, how: How, error: int, spread: int) -> None:
    signer, other = signer_in(keys), signer_in(keys, "other")
    source = book_in(tmp_path / "source")
    copy, before = copies(source, tmp_path), source.log(ONE).read_bytes()
    probe = copy(0)
    for at in places(sealing_of(probe, signer, HEAD), spread, how, error):
        book = copy(at)
        path = book.log(ONE)
        outcome = tried(Faulty(at, how, error), sealing_of(book, signer, HEAD))
        now = path.read_bytes()
        sealed = now != before
        assert now.startswith(before)
        assert not sealed or entries_of(book)[-1].kind == "sealed"
        told_truly(outcome, sealed=sealed)
        left = steps_left(book, ONE, Files(), register_state(book, ONE, Files())) if sealed else ()
        assert not outcome.returned or (sealed and not left)
        if sealed and left:
            with pytest.raises(NotDone, match="was begun with key SHA256:"):
                seal(book, ONE, keeper(), other, HEAD)
        again = finished(book, signer)
        if sealed:
            assert path.read_bytes() == now
            assert again is None or "log" not in again.steps
        is_whole(book)
        shutil.rmtree(book.root)


class FaultyNoLinks(Faulty):
    """A disk without hard links that fails once; small files are made in place there."""

    def link(self, source: Path, target: Path) -> None:
        raise OSError(errno.EPERM, "no hard links here")


@LONG_WAYS
@pytest.mark.parametrize("disks", [Faulty, FaultyNoLinks])
@ways
def test_going_on_with_a_seal(
    tmp_path: Path, keys: Path, how: How, error: int, disks: type[Faulty], spread: int
) -> None:
    """The second try breaks off as well, wherever the first did; the third finishes."""
    signer = signer_in(keys)
    source = book_in(tmp_path / "source")
    first = Faulty()
    seal(copies(source, tmp_path)(0), ONE, keeper(first), signer, HEAD)
    stop = first.calls.index("fsync") + 1
    with pytest.raises(Stopped):
        seal(source, ONE, keeper(Faulty(stop, "stop")), signer, HEAD)
    assert entries_of(source)[-1].kind == "sealed"
    copy = copies(source, tmp_path / "again")
    probe = copy(0)

    for at in places(sealing_of(probe, signer, None), spread, how, error, disks()):
        book = copy(at)
        outcome = tried(disks(at, how, error), sealing_of(book, signer, None))
        assert not outcome.returned or finished(book, signer) is None
        if "done:" in " ".join(outcome.lines):
            told_truly(outcome, sealed=True)
        finished(book, signer)
        is_whole(book)
        shutil.rmtree(book.root)


def test_what_a_power_cut_leaves_without_hard_links_is_made_anew(
    tmp_path: Path, keys: Path
) -> None:
    """The signature, the mark and its signature may each be cut short anywhere."""
    signer, disk = signer_in(keys), NoLinks()
    source = book_in(tmp_path / "source")
    whole = copies(source, tmp_path)(0)
    seal(whole, ONE, keeper(disk), signer, HEAD)
    copy = copies(whole, tmp_path / "cut")
    log, mark = Logbook.log, Logbook.mark
    for at, (of, sig) in enumerate([(log, True), (mark, False), (mark, True)]):
        for part in (0, 1, 40, 200, -1):
            book = copy(10 * at + part + 2)
            path = of(book, ONE)
            cut = path.with_name(f"{path.name}.sig") if sig else path
            cut.chmod(0o644)
            cut.write_bytes(cut.read_bytes()[:part])
            if not sig:
                cut.with_name(f"{cut.name}.sig").unlink()
            again = finished(book, signer)
            assert again is not None
            assert again.steps[-1] == "read-only"
            is_whole(book)
            shutil.rmtree(book.root)


@LONG_WAYS
@ways
def test_countersign(tmp_path: Path, keys: Path, how: How, error: int, spread: int) -> None:
    signer = signer_in(keys, "other")
    source = book_in(tmp_path / "source")
    seal(source, ONE, keeper(), signer_in(keys), HEAD)
    copy, log = copies(source, tmp_path), source.log(ONE).read_bytes()
    probe = copy(0)

    def act(book: Logbook, disk: Files | None = None) -> object:
        return countersign(book, ONE, keeper(disk, "AD"), signer, REVIEWER, "looked at all of it")

    for at in places(partial(act, probe), spread, how, error):
        book = copy(at)
        outcome = tried(Faulty(at, how, error), partial(act, book))
        assert all(line for line in outcome.lines)
        there = statement_paths(book, ONE, Files())
        if not outcome.returned and there and outcome.fault is not None:
            told = isinstance(outcome.fault, Unconfirmed) or "is not finished" in outcome.lines[-1]
            assert told
        try:
            act(book)
        except BadInput as fault:
            assert fault.lines == ("this key said just this before: 000001.statement-1.toml.",)  # noqa: PT017
        else:
            assert not outcome.returned
        ((k, path),) = statement_paths(book, ONE, Files())
        assert k == 1
        assert tool_says(book, path, sshsig.STATEMENT, "A.Dale")
        assert registered(book, "statement") == [1]
        assert book.log(ONE).read_bytes() == log
        assert not Files().writable(path)
        shutil.rmtree(book.root)


@LONG_WAYS
@ways
def test_reissue(tmp_path: Path, keys: Path, how: How, error: int, spread: int) -> None:
    source = book_in(tmp_path / "source")
    seal(source, ONE, keeper(), signer_in(keys), HEAD)
    copy, two = copies(source, tmp_path), LogName("MAIN", 2)
    probe, log = copy(0), source.log(ONE).read_bytes()

    def act(book: Logbook, disk: Files | None = None) -> None:
        reissue(book, ONE, keeper(disk), "digits swapped")[1].close()

    for at in places(partial(act, probe), spread, how, error):
        book = copy(at)
        outcome = tried(Faulty(at, how, error), partial(act, book))
        taken, there = registered(book, "opened"), book.numbers(Files(), "MAIN")
        assert taken in ([1], [1, 2])
        assert not outcome.returned or there == [1, 2]
        if outcome.fault is not None and taken == [1, 2] and there == [1]:
            assert "Number MAIN-000002 is taken" in outcome.lines[-1] or isinstance(
                outcome.fault, Unconfirmed
            )
        try:
            act(book)
        except BadInput as fault:
            assert fault.lines == ("log 1 is replaced already, by log 2. Reissue that one.",)  # noqa: PT017
        assert registered(book, "opened") == [1, 2]
        assert [e.kind for e in entries_of(book, two)] == ["opened", "replaces"]
        assert book.log(ONE).read_bytes() == log
        assert survey(book, Files()).findings == ()
        shutil.rmtree(book.root)
