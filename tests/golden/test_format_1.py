"""What format 1 left on disks: every later program reads it, verifies it and finds its figures.

The folder was made once by make_format_1.py beside it and is never made again. When a test here
fails, the program is wrong. A later version of the method may find other figures: then verify says
so in a note, and that is allowed.
"""

import hashlib
import shutil
from collections.abc import Sequence
from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.allowed_signers import read_signers
from assaybench.logbook.attachments import attachments_amiss
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.history import history
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import read_log
from assaybench.logbook.signers import events_of, known_signers, named_file
from assaybench.logbook.survey import read_register
from assaybench.logbook.verify import Ask, Verified, verify_book
from assaybench.record import check, sealing
from assaybench.record.entries import Entry, effective
from assaybench.record.frame import Chain, Table, framed
from assaybench.record.frame_read import Reader
from assaybench.record.kinds import BY_NAME
from assaybench.record.register_kinds import REGISTER_BY_NAME
from assaybench.record.reissue import joined
from assaybench.record.signed_kinds import MARK_BY_NAME, STATEMENT_BY_NAME
from tests.demo.make_logbook import BENCH, FARROW
from tests.golden.make_format_1 import HERE, NOTE
from tests.logbook.sealable import marks_of, tool_says
from tests.reliability.faulty import keeper

BOOK = Logbook(HERE / "logbook")
QUIST, OTHER = "DEMO-KEY-PUBLIC.Quist", "DEMO-KEY-PUBLIC.Farrow"
DIGEST = "50a3e6b2f556c8762d07d564e7c331fcb16318f793764ce8f40b2422a817811b"
"""Of all files of the folder with their names."""
FILES = Files()


def one(n: int) -> LogName:
    return LogName(BENCH, n)


def own(n: int) -> list[Entry]:
    entries, verdict = read_log(FILES, BOOK.log(one(n)))
    assert verdict.state == "sound"
    assert not verdict.newer
    return entries


def whole(n: int) -> list[Entry]:
    return joined(history(FILES, BOOK.log(one(n)), own(n)))


def test_the_folder_is_as_it_was_made() -> None:
    found = hashlib.sha256()
    for path in sorted(p for p in HERE.rglob("*") if p.is_file()):
        found.update(path.relative_to(HERE).as_posix().encode() + b"\0" + path.read_bytes())
    assert found.hexdigest() == DIGEST


def test_the_logbook_verifies_and_recomputes() -> None:
    result = Verified()
    verify_book(FILES, BOOK, Ask(processes=1), result=result)
    assert result.status == 0
    assert result.counts == {"sealed": 2, "void": 1, "open": 1}
    assert set(result.recomputed) <= {"recomputes", "differently"}
    assert sum(result.recomputed.values()) == 2
    assert "verify_replaces" in {found.code for found in result.findings}
    assert {found.level for found in result.findings} == {"note"}


def test_the_figures_that_were_signed_read_as_they_did() -> None:
    texts = {
        n: [row.text for row in found.rows if row.name == "grade_gold"]
        for n in (1, 3)
        if (found := sealing.recorded(own(n))) is not None
    }
    assert texts == {
        1: ["13.62 ± 0.16 g/t", "16.17 ± 0.24 g/t", "6.83 ± 0.16 g/t"],
        3: ["13.62 ± 0.16 g/t", "10.79 ± 0.16 g/t", "6.83 ± 0.16 g/t"],
    }


def test_a_reissue_reads_as_one_history_with_what_it_corrects() -> None:
    third = {e.kind: e.values for e in own(3)}
    assert third["amendment"] == {
        "entry": 11, "log": 1, "entry_kind": "reading", "text": "30.02", "reason": "label says so",
    }  # fmt: skip
    assert (third["withdrawn"]["log"], third["withdrawn"]["entry_kind"]) == (1, "note")
    entries = {e.n: e for e in effective(whole(3))}
    assert len(entries) == len(own(1)) + len(own(3))
    assert entries[11].text("text") == "30.02"
    (note,) = (e for e in entries.values() if e.text("text") == NOTE)
    assert note.withdrawn is not None


def test_the_register_says_what_it_said() -> None:
    register = read_register(FILES, BOOK.register(BENCH))
    assert len(register.branches) == 1
    state = register.state
    assert state.replaced_by(1) == 3
    assert state.numbers[3].replaces == 1
    assert state.numbers[2].void == "opened twice"
    assert [n for n, known in state.numbers.items() if known.seal] == [1, 3]
    assert state.numbers[4].log == "self-test"
    events = [e.values["event"] for e in state.signers[FARROW.key.fingerprint]]
    assert events == ["added", "retired"]


def test_marks_hold_places_of_the_register() -> None:
    marks = [found.mark for found in marks_of(BOOK)]
    links = read_register(FILES, BOOK.register(BENCH)).branches[0].links
    assert [mark.name.number for mark in marks if mark is not None] == [1, 3]
    assert all(mark is not None and links[mark.entries - 1] == mark.link for mark in marks)


def test_keys_are_named_as_they_were() -> None:
    rows, faults = read_signers(BOOK.allowed_signers.read_bytes())
    assert not faults
    assert [(row.principal, row.before is None) for row in rows] == [(QUIST, True), (OTHER, False)]
    known, _ = known_signers(events_of(BOOK, FILES))
    assert read_signers(named_file(known))[0] == rows


@pytest.mark.parametrize("n", [1, 3])
def test_the_tool_of_openssh_accepts_logs_and_marks(n: int) -> None:
    assert tool_says(BOOK, BOOK.log(one(n)), sshsig.LOG, QUIST)
    assert tool_says(BOOK, BOOK.mark(one(n)), sshsig.MARK, QUIST)


def test_the_file_beside_a_log_is_as_it_was() -> None:
    assert [e.kind for e in own(4)] == ["opened", "attachment", "note"]
    assert not attachments_amiss(FILES, BOOK, one(4), own(4))
    changed = [*own(4)]
    values = {**changed[1].values, "sha256": "0" * 64}
    changed[1] = changed[1]._replace(values=values)
    assert attachments_amiss(FILES, BOOK, one(4), changed)


def written_again(entries: Sequence[Entry], table: Table) -> bytes:
    chain, parts = Chain(table), []
    for e in entries:
        data, link = framed(chain, e.at, e.by, e.kind, e.values)
        chain.step(e.kind, link)
        parts.append(data)
    return b"".join(parts)


FRAMED = [
    *((BOOK.log(one(n)), BY_NAME) for n in (1, 2, 3, 4)),
    (BOOK.register(BENCH), REGISTER_BY_NAME),
    (BOOK.statement(one(1), 1), STATEMENT_BY_NAME),
    *((BOOK.mark(one(n)), MARK_BY_NAME) for n in (1, 3)),
    (HERE / "every-kind.toml", BY_NAME),
]


@pytest.mark.parametrize(("path", "table"), FRAMED, ids=lambda x: getattr(x, "name", ""))
def test_every_frame_reads_and_is_written_the_same_today(path: Path, table: Table) -> None:
    data, reader = path.read_bytes(), Reader(table)
    entries = reader.feed(data)
    verdict = reader.end()
    assert (verdict.state, verdict.newer) == ("sound", False)
    assert written_again(entries, table) == data


def test_each_kind_of_format_1_with_each_of_its_keys_is_still_taken() -> None:
    """A later table may have more; every-kind.toml has what there was."""
    reader = Reader(BY_NAME)
    entries = reader.feed((HERE / "every-kind.toml").read_bytes())
    assert len(entries) == 32
    for entry in entries:
        kind = BY_NAME[entry.kind]
        assert set(entry.values) <= set(kind.by_name), entry.kind
        for name, value in entry.values.items():
            assert check.value(kind.by_name[name], value) == value, (entry.kind, name)


def test_a_copy_takes_new_entries(tmp_path: Path) -> None:
    shutil.copytree(BOOK.root, tmp_path / "logbook")
    copy = Logbook(tmp_path / "logbook")
    path = copy.log(one(4))
    with open_log(path, keeper(), lock=copy.lock(path), session=False) as log:
        log.append("note", {"text": "written later"})
    assert path.read_bytes().startswith(BOOK.log(one(4)).read_bytes())
    result = Verified()
    verify_book(FILES, copy, Ask(processes=1), result=result)
    assert result.status == 0
