"""Sealing: its order, and what stands there in the end."""

import errno
import subprocess
from hashlib import sha512
from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotWritable
from assaybench.logbook.files import APPEND, Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.keys import Signer, agent_signer
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import LogHead, Register, new_log
from assaybench.logbook.seal import seal
from assaybench.logbook.seal_look import STEPS
from assaybench.logbook.signing import signature_path
from assaybench.messages import BadInput
from assaybench.record import sealing
from assaybench.record.register_kinds import REGISTER_BY_NAME
from tests.logbook.sealable import (
    HEAD,
    ONE,
    ROWS,
    book_in,
    both_accepted,
    content,
    entries_of,
    kinds,
    marks_of,
    signer_in,
    tool_says,
)
from tests.logbook.ssh_tools import agent, made
from tests.reliability.faulty import PROGRAM, keeper


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    return book_in(tmp_path)


@pytest.fixture
def signer(tmp_path: Path) -> Signer:
    return signer_in(tmp_path)


def test_a_seal_ends_the_log_and_the_real_tool_accepts_it(book: Logbook, signer: Signer) -> None:
    before = book.log(ONE).read_bytes()
    sealed = seal(book, ONE, keeper(), signer, HEAD)
    data = book.log(ONE).read_bytes()
    assert data.startswith(before)
    assert kinds(book)[-2:] == ["results", "sealed"]
    assert entries_of(book)[-1].values == {
        "name": "K. Berg", "role": "assayer", "fingerprint": signer.key.fingerprint,
        "meaning": "weighed",
    }  # fmt: skip
    assert (sealed.sha512, sealed.size) == (sha512(data).hexdigest(), len(data))
    assert sealed.steps == STEPS
    assert (sealed.principal, sealed.added, sealed.lost) == ("K.Berg", True, ())
    assert both_accepted(book)
    assert not tool_says(book, book.log(ONE), sshsig.STATEMENT)


def test_the_register_names_the_key_then_the_seal_and_the_mark_ends_there(
    book: Logbook, signer: Signer
) -> None:
    sealed = seal(book, ONE, keeper(), signer, HEAD)
    entries, verdict = read_log(Files(), book.register("MAIN"), table=REGISTER_BY_NAME)
    assert [e.kind for e in entries] == ["begun", "opened", "signer", "sealed"]
    assert entries[-1].values == {"number": 1, "sha512": sealed.sha512, "size": sealed.size}
    (found,) = marks_of(book)
    assert found.mark is not None
    assert found.mark.name == ONE
    assert (found.mark.entries, found.mark.link) == (4, verdict.link)
    assert sealed.mark == found.mark.short == f"4:{verdict.link}"


def test_the_recorded_figures_recompute(book: Logbook, signer: Signer) -> None:
    seal(book, ONE, keeper(), signer, HEAD)
    was = sealing.recorded(entries_of(book))
    assert was is not None
    assert was.program == PROGRAM
    now = sealing.recomputed(entries_of(book), PROGRAM)
    assert sealing.compare(was, now).outcome == "recomputes"
    grade = next(row for row in was.rows if row.name == "grade_gold")
    assert (grade.text, grade.value[:7]) == ("68.60 ± 0.23 g/t", "68.6000")


def test_a_second_seal_of_the_bench_names_the_key_no_second_time(
    book: Logbook, signer: Signer
) -> None:
    seal(book, ONE, keeper(), signer, HEAD)
    name, log = new_log(book, "MAIN", keeper(), LogHead("furnace run", 1))
    log.append_all(ROWS)
    log.close()
    sealed = seal(book, name, keeper(), signer, HEAD._replace(name="Somebody Else"))
    # the key stays named as it was first, which is what the tool asks for
    assert (sealed.added, sealed.principal) == (False, "K.Berg")
    assert both_accepted(book, name)
    marks = [file.mark for file in marks_of(book)]
    assert [mark.entries for mark in marks if mark] == [4, 6]


def test_a_sealed_log_takes_no_entries_and_can_be_read(book: Logbook, signer: Signer) -> None:
    seal(book, ONE, keeper(), signer, HEAD)
    before = content(book)
    with open_log(book.log(ONE), keeper(), lock=book.lock(book.log(ONE))) as log:
        assert log.read_only == (
            "the log is sealed and takes no entries. Reissue it, or add a statement."
        )
        with pytest.raises(NotWritable):
            log.append("note", {"text": "more"})
    with Register(book, "MAIN", keeper()) as register, pytest.raises(BadInput, match="is sealed"):
        register.void(1, "not wanted")
    assert content(book) == before


class OwnersDisk(Files):
    """A disk as somebody sees it who is no administrator: read-only is read-only."""

    def open(self, path: Path, flags: int) -> int:
        if flags == APPEND and not self.writable(path):
            raise PermissionError(errno.EACCES, "no right")
        return super().open(path, flags)


def test_files_of_a_seal_are_read_only_and_open_for_reading_all_the_same(
    book: Logbook, signer: Signer
) -> None:
    seal(book, ONE, keeper(OwnersDisk()), signer, HEAD)
    for path in (book.log(ONE), book.mark(ONE)):
        assert not Files().writable(path)
        assert not Files().writable(signature_path(path))
    assert Files().writable(book.register("MAIN"))
    with open_log(book.log(ONE), keeper(OwnersDisk()), lock=book.lock(book.log(ONE))) as log:
        assert "the log is sealed" in (log.read_only or "")
        assert (log.verdict.state, log.n) == ("sound", 8)
    assert entries_of(book)[-1].kind == "sealed"


def test_a_log_that_may_not_be_written_says_so_and_is_read(book: Logbook, signer: Signer) -> None:
    book.log(ONE).chmod(0o444)
    with open_log(book.log(ONE), keeper(OwnersDisk()), lock=book.lock(book.log(ONE))) as log:
        assert log.read_only == "000001.toml is only read: you have no right to do this here."
    with pytest.raises(NotWritable, match="is only read"):
        seal(book, ONE, keeper(OwnersDisk()), signer, HEAD)


@pytest.mark.parametrize("kind", [("-t", "ecdsa", "-b", "384"), ("-t", "rsa", "-b", "2048")])
def test_other_kinds_of_keys_seal_as_well(
    book: Logbook, tmp_path: Path, kind: tuple[str, ...]
) -> None:
    made(tmp_path, "third", *kind)
    assert seal(book, ONE, keeper(), signer_in(tmp_path, "third"), HEAD).steps == STEPS
    assert both_accepted(book)


def test_a_key_of_an_agent_seals(book: Logbook, tmp_path: Path) -> None:
    key = made(tmp_path, "agents")
    with agent(tmp_path) as environment:
        subprocess.run(["ssh-add", "-q", str(key)], env=environment, check=True)
        signer = agent_signer(key.with_suffix(".pub"), environment=environment)
        key.unlink()
        assert seal(book, ONE, keeper(), signer, HEAD).steps == STEPS
    assert both_accepted(book)


def test_a_log_with_many_figures_takes_several_entries(tmp_path: Path, signer: Signer) -> None:
    rows = [*ROWS[:2]]
    for i in range(60):
        for kind, values in ROWS[2:]:
            key = "id" if kind == "sample" else "sample"
            rows.append((kind, {**values, key: f"KV-{i:03}"}))
    book = book_in(tmp_path / "many", rows)
    seal(book, ONE, keeper(), signer, HEAD)
    assert kinds(book).count("results") > 2
    assert both_accepted(book)
