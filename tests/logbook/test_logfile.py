"""The log file: stored before it is said so, one writer, torn ends kept, damage only read."""

import os
import subprocess
import sys
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path

import pytest

from assaybench.logbook.faults import LogBusy, NotDone, NotStored, NotWritable
from assaybench.logbook.files import Files
from assaybench.logbook.lock import note_path
from assaybench.logbook.logfile import Keeper, LogFile
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import LogReading, read_log
from assaybench.messages import BadInput
from assaybench.record.entries import Entry
from tests.record.frames import BALANCE, OPENED, reading, small_log
from tests.reliability.faulty import PROGRAM, FullDisk, keeper

FIRST = ("opened", OPENED)


def begun(path: Path, who: Keeper | None = None) -> LogFile:
    return open_log(path, who or keeper(), first=FIRST)


def kinds(path: Path) -> list[str]:
    entries, verdict = read_log(Files(), path)
    assert verdict.state == "sound"
    return [entry.kind for entry in entries]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "000012.toml"


def test_a_new_log_holds_its_first_entry_and_goes_on_with_a_session(path: Path) -> None:
    with begun(path) as log:
        assert (log.n, log.read_only) == (1, None)
        entry = log.append("balance", BALANCE)
        assert (entry.n, entry.by, entry.at.microsecond) == (2, "KB", 480_000)
    with open_log(path, keeper(by="AD")) as log:
        assert log.n == 3
        log.append("reading", reading("1.327"), by="KB")
    entries, _ = read_log(Files(), path)
    assert [(e.kind, e.by) for e in entries] == [
        ("opened", "KB"), ("balance", "KB"), ("session", "AD"), ("reading", "KB"),
    ]  # fmt: skip
    assert entries[2].values == {"program": PROGRAM, "resumed": True}


def test_a_log_is_opened_for_one_command_without_a_session(path: Path) -> None:
    begun(path).close()
    with open_log(path, keeper(), session=False) as log:
        log.append("note", {"text": "a"})
    assert kinds(path) == ["opened", "note"]


def test_opening_hands_on_every_entry_for_the_replay(path: Path) -> None:
    seen: list[Entry] = []
    with begun(path) as log:
        log.append("balance", BALANCE)
    with open_log(path, keeper(), each=seen.append):
        assert [entry.kind for entry in seen] == ["opened", "balance", "session"]


def test_an_entry_is_on_the_disk_when_append_returns(path: Path) -> None:
    with begun(path) as log:
        for i in range(5):
            log.append("note", {"text": f"remark {i}"})
            assert log.size == path.stat().st_size
            assert len(read_log(Files(), path)[0]) == log.n == i + 2


def test_a_missing_log_is_told(path: Path) -> None:
    with pytest.raises(NotDone, match=r"000012\.toml cannot be read: there is no such file"):
        open_log(path, keeper())
    with pytest.raises(NotDone, match="no such file"):
        list(LogReading(Files(), path))


@pytest.mark.parametrize(
    ("kind", "values", "words"),
    [
        ("reading", {**reading("1.327"), "what": "beed"}, 'what: "beed" is not a choice'),
        ("reading", {"what": "gold"}, "text is missing"),
        ("mood", {"text": "calm"}, '"mood" is not a kind'),
        ("opened", OPENED, "opened is only ever the first entry"),
        ("amendment", {"entry": 9, "reason": "slip", "text": "1"}, '"9" is not an entry before'),
        ("amendment", {"entry": 1, "reason": "slip", "title": "x"}, "entry 1 is opened"),
        ("amendment", {"entry": 2, "reason": "slip"}, "nothing is given anew"),
        ("amendment", {"entry": 2, "reason": "slip", "text": "1"}, '"text" is not known here'),
        ("withdrawn", {"entry": 3, "reason": "slip"}, "there are 2"),
        ("withdrawn", {"entry": True, "reason": "slip"}, "not a whole number"),
        ("note", {"text": "a\u202eb"}, "holds U+202E, a sign that is not printed"),
        ("note", {"text": 7}, "is not text"),
    ],
)  # fmt: skip
def test_a_bad_entry_is_refused_in_clear_lines_and_nothing_is_written(
    path: Path, kind: str, values: Mapping[str, object], words: str
) -> None:
    with begun(path) as log:
        log.append("balance", BALANCE)
        before = path.read_bytes()
        with pytest.raises(BadInput) as told:
            log.append(kind, values)
        assert any(words in line for line in told.value.lines)
        assert path.read_bytes() == before
        assert log.append("note", {"text": "goes on"}).n == 3
    assert kinds(path) == ["opened", "balance", "note"]


def test_every_fault_of_an_entry_is_told_at_once(path: Path) -> None:
    with begun(path) as log, pytest.raises(BadInput) as told:
        log.append("reading", {"what": "beed", "unit": "oz", "balance": "fine"}, by="K B")
    assert len(told.value.lines) == 4


def test_text_is_stored_in_nfc_without_blanks_at_its_ends(path: Path) -> None:
    with begun(path) as log:
        entry = log.append("note", {"text": "  cafe\u0301 "})
    assert entry.values == {"text": "caf\u00e9"}
    assert read_log(Files(), path)[0][1].values == entry.values


def test_several_entries_are_stored_together_or_not_at_all(path: Path) -> None:
    with begun(path) as log:
        rows = [("balance", BALANCE), ("reading", reading("1")), ("reading", reading("2"))]
        assert [entry.n for entry in log.append_all(rows)] == [2, 3, 4]
        with pytest.raises(BadInput):
            log.append_all([("reading", reading("3")), ("mood", {})])
        amendment = {"entry": 6, "reason": "slip", "text": "5"}
        entries = log.append_all([("note", {"text": "a"}), ("reading", reading("4")),
                                  ("amendment", amendment)])  # fmt: skip
        assert [entry.n for entry in entries] == [5, 6, 7]
    assert len(kinds(path)) == 7


def test_nothing_follows_a_seal(path: Path) -> None:
    seal = {"name": "K. Berg", "role": "assayer", "fingerprint": "SHA256:x", "meaning": "weighed"}
    with begun(path) as log:
        log.append("sealed", seal)
        with pytest.raises(BadInput, match="sealed and takes no entries"):
            log.append("note", {"text": "a"})
    before = path.read_bytes()
    with open_log(path, keeper()) as log:
        assert log.read_only is not None
        with pytest.raises(NotWritable, match="sealed"):
            log.append("note", {"text": "a"})
    assert path.read_bytes() == before


def test_a_log_that_would_grow_too_large_takes_no_more(path: Path) -> None:
    with open_log(path, keeper(), first=FIRST, most=1000) as log:
        log.append("note", {"text": "a" * 400})
        with pytest.raises(NotStored, match="would pass 1000 bytes"):
            log.append("note", {"text": "b" * 400})
    assert kinds(path) == ["opened", "note"]


@pytest.mark.parametrize("left", [1, 9, 40, 100, 200])
def test_a_torn_end_is_moved_aside_and_recorded(path: Path, left: int) -> None:
    """After a power cut: all whole entries are there, the unfinished one is kept beside them."""
    whole = small_log()
    start = whole.rindex(b"[[entry]]")
    path.write_bytes(whole[: start + left])
    with open_log(path, keeper()) as log:
        assert (log.verdict.state, log.verdict.entries) == ("torn", 5)
        assert [torn.file for torn in log.recovered] == ["000012.torn-1"]
        assert log.n == 7
    assert (path.with_name("000012.torn-1")).read_bytes() == whole[start : start + left]
    entries, verdict = read_log(Files(), path)
    assert verdict.state == "sound"
    assert path.read_bytes().startswith(whole[:start])
    assert [entry.kind for entry in entries[5:]] == ["recovered", "session"]
    assert entries[5].values == {"file": "000012.torn-1", "size": left}


def test_each_torn_end_gets_its_own_file(path: Path) -> None:
    for k in (1, 2, 3):
        begun(path).close()
        with path.open("ab") as file:
            n = len(read_log(Files(), path)[0]) + 1
            file.write(f"[[entry]]\nn = {n}\n".encode())
        with open_log(path, keeper()) as log:
            assert [torn.file for torn in log.recovered] == [f"000012.torn-{k}"]
    assert sum(kind == "recovered" for kind in kinds(path)) == 3


def test_a_log_torn_within_its_first_entry_is_begun_again(path: Path) -> None:
    path.write_bytes(small_log()[:50])
    with begun(path) as log:
        assert (log.n, log.read_only) == (2, None)
    assert kinds(path) == ["opened", "recovered"]
    assert path.with_name("000012.torn-1").read_bytes() == small_log()[:50]


def test_an_empty_log_is_begun(path: Path) -> None:
    path.write_bytes(b"")
    with begun(path) as log:
        assert log.n == 1
    assert kinds(path) == ["opened"]


@pytest.mark.parametrize(
    ("there", "put", "words"),
    [
        (b'"1.372"', b'"1.373"', "line 43, byte 816: the link does not fit: entry 4, from line 33"),
        (b"n = 5", b"n = 6", "line 46, byte 897: this must be n = 5"),
        (b"\n\n[[entry]]\nn = 2", b"\n[[entry]]\nn = 2", "one empty line must follow the link"),
        (b"dull", b"d\xffll", "not UTF-8"),
    ],
)
def test_a_damaged_log_is_only_read_and_never_mended(
    path: Path, there: bytes, put: bytes, words: str
) -> None:
    damaged = small_log().replace(there, put)
    assert damaged != small_log()
    path.write_bytes(damaged)
    with open_log(path, keeper()) as log:
        assert log.verdict.state == "damaged"
        assert words in (log.read_only or "")
        with pytest.raises(NotWritable, match="is damaged and only read: line"):
            log.append("note", {"text": "a"})
        # it holds no lock: another may read and open it as well
        open_log(path, keeper()).close()
    assert path.read_bytes() == damaged
    assert [p.name for p in path.parent.iterdir() if p.suffix != ".lock"] == [path.name]


def test_a_second_writer_is_refused_by_name(path: Path) -> None:
    with begun(path), pytest.raises(LogBusy) as told:
        open_log(path, keeper(by="AD"))
    holder = told.value.holder
    assert (holder.pid, holder.by) == (os.getpid(), "KB")
    assert datetime.fromisoformat(holder.since).tzinfo is not None
    (line,) = told.value.lines
    assert line.startswith(f"000012.toml is being written by KB (process {os.getpid()} on ")
    with open_log(path, keeper(by="AD")) as log:
        assert log.read_only is None
    assert not note_path(path.with_suffix(".lock")).exists()


def test_a_writer_whose_note_is_unreadable_is_still_refused(path: Path) -> None:
    with begun(path):
        for note in (b"", b"\xff", b"pid = 'x'", b"[" * 5000):
            note_path(path.with_suffix(".lock")).write_bytes(note)
            with pytest.raises(LogBusy, match="written by another program"):
                open_log(path, keeper())


def test_a_log_that_another_program_changed_takes_no_more(path: Path) -> None:
    with begun(path) as log:
        with path.open("ab") as file:
            file.write(b"# a remark\n")
        with pytest.raises(NotWritable, match="changed by another program"):
            log.append("note", {"text": "a"})
        assert b"remark" in path.read_bytes()


def test_a_log_that_was_put_aside_takes_no_more(path: Path) -> None:
    """An editor that saves under a new file would let readings vanish."""
    with begun(path) as log:
        content = path.read_bytes()
        path.unlink()
        path.write_bytes(content)
        with pytest.raises(NotWritable, match="changed by another program"):
            log.append("note", {"text": "a"})
    assert path.read_bytes() == content


def test_a_closed_log_takes_no_more(path: Path) -> None:
    log = begun(path)
    log.close()
    log.close()
    with pytest.raises(NotWritable, match="is closed"):
        log.append("note", {"text": "a"})


def test_disk_full_then_room_again_nothing_lost_nothing_twice(path: Path) -> None:
    disk = FullDisk(10_000)
    with begun(path, keeper(disk)) as log:
        stored = ["0"]
        log.append("note", {"text": "0"})
        for i in range(1, 40):
            disk.room = i * 7 % 180
            with suppress(NotStored):
                log.append("note", {"text": str(i)})
            if log.n == len(stored) + 1:
                disk.room = 10_000
                log.append("note", {"text": str(i)})
            stored.append(str(i))
    entries, verdict = read_log(Files(), path)
    assert verdict.state == "sound"
    assert [entry.values["text"] for entry in entries[1:]] == stored


def test_a_full_disk_is_told_with_what_the_log_holds(path: Path) -> None:
    disk = FullDisk(10_000)
    with begun(path, keeper(disk)) as log:
        before, disk.room = path.read_bytes(), 50
        with pytest.raises(NotStored) as told:
            log.append("note", {"text": "a"})
    (line,) = told.value.lines
    assert line == "Not stored: the disk is full. 000012.toml holds what it held before."
    assert path.read_bytes() == before


def test_a_full_disk_at_opening_changes_nothing(path: Path) -> None:
    torn = small_log() + b"[[entry]]\nn = "
    path.write_bytes(torn)
    with pytest.raises(NotDone, match="was not moved aside, so nothing was changed"):
        open_log(path, keeper(FullDisk(0)))
    assert path.read_bytes() == torn
    with open_log(path, keeper()) as log:
        assert log.read_only is None


def test_interrupts_between_writing_and_storing_leave_whole_entries(path: Path) -> None:
    class Interrupting(Files):
        strike = False

        def fsync(self, descriptor: int) -> None:
            super().fsync(descriptor)
            if self.strike:
                self.strike = False
                raise KeyboardInterrupt

    disk = Interrupting()
    with begun(path, keeper(disk)) as log:
        disk.strike = True
        with pytest.raises(KeyboardInterrupt):
            log.append("note", {"text": "half"})
        log.append("note", {"text": "whole"})
    entries, verdict = read_log(Files(), path)
    assert verdict.state == "sound"
    assert [entry.values.get("text") for entry in entries] == [None, "whole"]


def test_the_clock_must_tell_its_offset() -> None:
    who = Keeper("KB", lambda: datetime(2026, 6, 9), Files(), PROGRAM)  # noqa: DTZ001
    with pytest.raises(ValueError, match="without an offset"):
        who.now()


def test_memory_stays_flat_over_many_entries(tmp_path: Path) -> None:
    """Peak of reading and going on with a log ten times as long: at most 1.2 times."""
    script = (
        "import sys, tracemalloc\n"
        "from pathlib import Path\n"
        "from assaybench.logbook.opening import open_log\n"
        "from tests.reliability.faulty import keeper\n"
        "import filelock, socket, tomli_w\n"
        "tracemalloc.start()\n"
        "with open_log(Path(sys.argv[1]), keeper()) as log:\n"
        "    for i in range(20): log.append('note', {'text': 'remark'})\n"
        "print(tracemalloc.get_traced_memory()[1])\n"
    )
    peaks = []
    for count in (500, 5000):
        path = tmp_path / f"{count:06}.toml"
        with begun(path) as log:
            log.append_all([("note", {"text": "remark"})] * count)
        done = subprocess.run(
            [sys.executable, "-c", script, str(path)], capture_output=True, text=True, check=True
        )
        peaks.append(int(done.stdout))
    assert peaks[1] < 1.2 * peaks[0]
