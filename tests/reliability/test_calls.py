"""Every call to the disk fails once, and every call is once the last one before the power goes.

Afterwards: what was acknowledged is there, once; the content is the old or the new, never a
mixture; and what the caller was told is true.
"""

import errno
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from assaybench.logbook.faults import NotDone, NotStored, Unconfirmed
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.logfile import LogFile
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import LogHead, Register, go_on, new_log
from assaybench.logbook.settings import load, save
from assaybench.record.entries import Entry
from assaybench.record.frame import Table
from assaybench.record.kinds import BY_NAME
from assaybench.record.register_kinds import REGISTER_BY_NAME
from tests.record.frames import OPENED, small_log
from tests.reliability.faulty import Faulty, How, Stopped, keeper

HEAD = LogHead("furnace run", 1)
WAYS: tuple[tuple[How, int], ...] = (
    ("refuse", errno.ENOSPC),
    ("refuse", errno.EIO),
    ("half", errno.ENOSPC),
    ("half", errno.EIO),
    ("after", errno.EIO),
    ("stop", 0),
)
ways = pytest.mark.parametrize(("how", "error"), WAYS, ids=[f"{h}-{e}" for h, e in WAYS])


class Outcome(NamedTuple):
    """How an action ended: whether it returned, and what was told when it did not."""

    returned: bool
    fault: NotDone | None
    lines: tuple[str, ...] = ()


def tried(disk: Faulty, act: Callable[[Faulty], object]) -> Outcome:
    """Do something on a faulty disk; faults must be of the told kinds, in clear single lines."""
    try:
        act(disk)
    except Stopped:
        return Outcome(returned=False, fault=None)
    except NotDone as fault:
        return Outcome(returned=False, fault=fault, lines=fault.lines)
    return Outcome(returned=True, fault=None)


def calls_of(act: Callable[[Faulty], object]) -> int:
    """How many calls an action makes when nothing fails."""
    disk = Faulty()
    act(disk)
    assert len(disk.calls) > 3
    return len(disk.calls)


def sound(path: Path, table: Table = BY_NAME) -> list[Entry]:
    entries, verdict = read_log(Files(), path, table=table)
    assert verdict.state == "sound", verdict
    return entries


def notes(entries: list[Entry]) -> list[object]:
    return [entry.values["text"] for entry in entries if entry.kind == "note"]


def store(log: LogFile, stored: list[str], told: list[NotDone], text: str) -> None:
    """Store a note; when the log says that nothing of it was kept, try once more."""
    for _ in range(2):
        try:
            log.append("note", {"text": text})
        except NotDone as fault:
            told.append(fault)
            if not isinstance(fault, NotStored) or log.read_only is not None:
                return
        else:
            stored.append(text)
            return


def three_notes(path: Path, disk: Faulty) -> tuple[list[str], list[NotDone]]:
    """Store three notes on a disk that fails once: what was acknowledged, and what was told."""
    stored: list[str] = []
    told: list[NotDone] = []
    open_log(path, keeper(), first=("opened", OPENED)).close()
    try:
        with open_log(path, keeper(disk), session=False) as log:
            for text in ("a", "b", "c"):
                store(log, stored, told, text)
    except Stopped:
        pass
    except NotDone as fault:
        told.append(fault)
    return stored, told


@ways
def test_append(tmp_path: Path, how: How, error: int) -> None:
    whole = Faulty()
    assert three_notes(tmp_path / "000000.toml", whole) == (["a", "b", "c"], [])
    assert whole.calls.count("fsync") == 3
    for at in range(1, len(whole.calls) + 1):
        path = tmp_path / f"{at:06}.toml"
        stored, told = three_notes(path, Faulty(at, how, error))
        assert all(line and "\n" not in line for fault in told for line in fault.lines)
        unsure = any(isinstance(fault, Unconfirmed) for fault in told)
        with open_log(path, keeper(), session=False) as log:
            assert log.read_only is None
            log.append("note", {"text": "z"})
        found = notes(sound(path))
        assert found.pop() == "z"
        assert found[: len(stored)] == stored
        # only a stop or an unconfirmed entry may have left one more
        assert len(found) <= len(stored) + (how == "stop" or unsure)
        assert len(set(found)) == len(found)


class NeverCut(Faulty):
    """A disk that cannot take back what it took."""

    def truncate(self, descriptor: int, size: int) -> None:
        raise OSError(errno.EIO, "made to fail")


@pytest.mark.parametrize(
    ("how", "left"), [("refuse", b""), ("half", b"[[entry]]\nn = 2\n"), ("after", b"[[entry]]\n")]
)
def test_a_failing_cut_closes_the_log_and_says_it_is_not_sure(
    tmp_path: Path, how: How, left: bytes
) -> None:
    """The write fails and the cutting back fails too: the entry may stand in the log."""
    probe, path = Faulty(), tmp_path / "000012.toml"
    three_notes(tmp_path / "000000.toml", probe)
    disk = NeverCut(probe.calls.index("write", probe.calls.index("status")) + 1, how)
    open_log(path, keeper(), first=("opened", OPENED)).close()
    before = path.read_bytes()
    with open_log(path, keeper(disk), session=False) as log:
        with pytest.raises(Unconfirmed, match=r"It may stand in 000012\.toml: look before typing"):
            log.append("note", {"text": "a"})
        assert "its end is not sure" in (log.read_only or "")
    assert path.read_bytes().startswith(before + left)
    assert (path.read_bytes() == before) == (how == "refuse")
    with open_log(path, keeper(), session=False) as log:
        assert log.read_only is None
    found = sound(path)
    assert notes(found) == (["a"] if how == "after" else [])
    assert ("recovered" in [entry.kind for entry in found]) == (how == "half")


@ways
def test_recovery_of_a_torn_end(tmp_path: Path, how: How, error: int) -> None:
    """Nothing of the torn end is ever lost, and it is recorded in the end, once."""
    whole = small_log()
    start = whole.rindex(b"[[entry]]")
    torn = whole[: start + 130]

    def act(path: Path) -> Callable[[Faulty], object]:
        path.parent.mkdir()
        path.write_bytes(torn)
        return lambda disk: open_log(path, keeper(disk)).close()

    for at in range(1, calls_of(act(tmp_path / "0" / "000012.toml")) + 1):
        path = tmp_path / str(at) / "000012.toml"
        outcome = tried(Faulty(at, how, error), act(path))
        now = path.read_bytes()
        aside = path.with_name("000012.torn-1")
        assert now.startswith(torn[:start])
        assert now == torn or aside.read_bytes() == torn[start:]
        if isinstance(outcome.fault, NotStored):
            assert read_log(Files(), path)[1].state == "sound"
        with open_log(path, keeper()) as log:
            assert log.read_only is None
        entries = sound(path)
        assert aside.read_bytes() == torn[start:]
        kept = [e.values["file"] for e in entries if e.kind == "recovered"]
        assert kept.count("000012.torn-1") == 1
        for name in kept:
            assert path.with_name(str(name)).read_bytes() == torn[start:] or how != "refuse"
        assert [e.n for e in entries] == list(range(1, len(entries) + 1))


@ways
def test_opening_a_new_log(tmp_path: Path, how: How, error: int) -> None:
    """Numbers are never taken twice, and each number has its log in the end."""

    def act(root: Path) -> tuple[Logbook, Callable[[Faulty], object]]:
        book = Logbook(root)
        new_log(book, "MAIN", keeper(), HEAD)[1].close()
        return book, lambda disk: new_log(book, "MAIN", keeper(disk), HEAD)[1].close()

    for at in range(1, calls_of(act(tmp_path / "0")[1]) + 1):
        book, again = act(tmp_path / str(at))
        outcome = tried(Faulty(at, how, error), again)
        register = book.register("MAIN")
        with Register(book, "MAIN", keeper()) as opened:
            taken = sorted(opened.state.numbers)
            missing = [allotted.number for allotted in opened.missing()]
            assert opened.state.faults == []
        assert taken in ([1], [1, 2])
        assert all(line and "\n" not in line for line in outcome.lines)
        assert not outcome.returned or (taken, missing) == ([1, 2], [])
        if missing and outcome.fault is not None:
            assert "Number MAIN-000002 is taken" in outcome.lines[-1]
        if isinstance(outcome.fault, NotStored) and not missing:
            assert taken == [1]
        for number in taken:
            with go_on(book, LogName("MAIN", number), keeper(), HEAD) as log:
                assert log.read_only is None
            entries = sound(book.log(LogName("MAIN", number)))
            assert entries[0].values["number"] == number
            assert [e.kind for e in entries].count("opened") == 1
        name, log = new_log(book, "MAIN", keeper(), HEAD)
        log.close()
        assert name.number == taken[-1] + 1
        numbers = [e.values["number"] for e in sound(register, REGISTER_BY_NAME)[1:]
                   if e.kind == "opened"]  # fmt: skip
        assert numbers == list(range(1, name.number + 1))


@ways
def test_void(tmp_path: Path, how: How, error: int) -> None:
    def act(root: Path) -> tuple[Logbook, Callable[[Faulty], object]]:
        book = Logbook(root)
        new_log(book, "MAIN", keeper(), HEAD)[1].close()

        def void(disk: Faulty) -> None:
            with Register(book, "MAIN", keeper(disk)) as register:
                register.void(1, "furnace failed")

        return book, void

    for at in range(1, calls_of(act(tmp_path / "0")[1]) + 1):
        book, void = act(tmp_path / str(at))
        outcome = tried(Faulty(at, how, error), void)
        with Register(book, "MAIN", keeper()) as register:
            reason = register.state.numbers[1].void
            assert reason in ("", "furnace failed")
            assert not outcome.returned or reason
            if isinstance(outcome.fault, NotStored):
                assert not reason
            if not reason:
                register.void(1, "furnace failed")
        voids = [e for e in sound(book.register("MAIN"), REGISTER_BY_NAME) if e.kind == "void"]
        assert len(voids) == 1


@ways
def test_settings(tmp_path: Path, how: How, error: int) -> None:
    def act(path: Path) -> Callable[[Faulty], object]:
        path.parent.mkdir()
        save(Files(), path, {"aim": "1 %"})
        return lambda disk: save(disk, path, {"aim": "2 %"})

    for at in range(1, calls_of(act(tmp_path / "0" / "settings.toml")) + 1):
        path = tmp_path / str(at) / "settings.toml"
        outcome = tried(Faulty(at, how, error), act(path))
        aim = load(Files(), path).settings.aim
        assert aim in ("1 %", "2 %")
        assert not outcome.returned or aim == "2 %"
        if isinstance(outcome.fault, Unconfirmed):
            assert aim == "2 %"
        save(Files(), path, {"aim": "3 %"})
        assert load(Files(), path).settings.aim == "3 %"
