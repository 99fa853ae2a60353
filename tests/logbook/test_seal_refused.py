"""What keeps a log open: each reason told, and nothing written."""

from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.faults import LogBusy, NotDone, NotWritable
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.keys import Signer
from assaybench.logbook.opening import open_log
from assaybench.logbook.register import LogHead, Register, new_log
from assaybench.logbook.seal import seal
from assaybench.logbook.seal_look import STEPS, look
from assaybench.logbook.signers import compromised_signer, retire_signer
from assaybench.logbook.signing import signature_path
from assaybench.logbook.sshkeys import PublicKey
from assaybench.messages import BadInput
from tests.logbook.sealable import (
    HEAD,
    ONE,
    ROWS,
    book_in,
    both_accepted,
    content,
    entries_of,
    kinds,
    refused,
    signer_in,
)
from tests.reliability.faulty import keeper


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    return book_in(tmp_path)


@pytest.fixture
def signer(tmp_path: Path) -> Signer:
    return signer_in(tmp_path)


class Refuses:
    """A signer who signs nothing: a wrong passphrase, a token that was not touched."""

    def __init__(self, key: PublicKey) -> None:
        self.key = key

    def sign(self, _message: bytes, _namespace: str) -> bytes:
        raise NotDone(["the agent or the key did not sign: no touch."])


def test_nothing_is_written_when_the_key_does_not_sign(book: Logbook, signer: Signer) -> None:
    before = content(book)
    with pytest.raises(NotDone, match="no touch"):
        seal(book, ONE, keeper(), Refuses(signer.key), HEAD)
    assert content(book) == before
    with open_log(book.log(ONE), keeper(), session=False, lock=book.lock(book.log(ONE))) as log:
        log.append("note", {"text": "goes on"})
    assert seal(book, ONE, keeper(), signer, HEAD).steps == STEPS


def practice(tmp_path: Path) -> Logbook:
    book = book_in(tmp_path / "practice")
    path = book.log(ONE)
    opened = {**entries_of(book)[0].values, "practice": True}
    path.unlink()
    open_log(path, keeper(), lock=book.lock(path), first=("opened", opened)).close()
    return book


def test_practice_is_never_sealed(tmp_path: Path, signer: Signer) -> None:
    refused(practice(tmp_path), signer, "MAIN-000001 is practice; practice is never sealed.")


def test_a_void_number_and_one_never_allotted_are_refused(book: Logbook, signer: Signer) -> None:
    with Register(book, "MAIN", keeper()) as register:
        register.void(1, "furnace failed")
    refused(book, signer, "number 1 is void: furnace failed")
    with pytest.raises(BadInput, match="number 7 was never allotted"):
        seal(book, LogName("MAIN", 7), keeper(), signer, HEAD)
    with pytest.raises(BadInput, match="number 1 was never allotted"):
        look(book, LogName("SHED", 1), Files())
    assert not book.register("SHED").exists()


def test_a_sealed_log_is_not_sealed_twice(book: Logbook, signer: Signer, tmp_path: Path) -> None:
    seal(book, ONE, keeper(), signer, HEAD)
    refused(book, signer, "log 1 is sealed.")
    refused(book, signer_in(tmp_path, "other"), "log 1 is sealed.")


def test_a_damaged_log_is_not_sealed(book: Logbook, signer: Signer) -> None:
    path = book.log(ONE)
    path.write_bytes(path.read_bytes().replace(b"1.372", b"1.327"))
    refused(book, signer, "000001.toml is damaged and only read: line ")


def test_a_hold_keeps_the_log_open_until_it_is_released(tmp_path: Path, signer: Signer) -> None:
    rows = [*ROWS[:2], ("sample", {**ROWS[2][1], "role": "reference", "value": "50 ± 1 g/t"})]
    book = book_in(tmp_path / "held", [*rows, *ROWS[3:]])
    refused(book, signer, "T-1 holds the seal: ")
    with open_log(book.log(ONE), keeper(), session=False, lock=book.lock(book.log(ONE))) as log:
        log.append("note", {"text": "wrong bottle", "releases": True, "sample": "T-1"})
    assert seal(book, ONE, keeper(), signer, HEAD).steps == STEPS


def test_a_log_without_results_for_its_contradictions_is_told_why(
    tmp_path: Path, signer: Signer
) -> None:
    rows = [("circuit", {"product": "concentrate", "mass": "100 g", "metal": "1.0 ± 0.1 mg"})]
    book = book_in(tmp_path / "circuit", rows)
    refused(book, signer, "MAIN-000001: ")


def test_a_copy_under_another_number_is_not_sealed(book: Logbook, signer: Signer) -> None:
    name, log = new_log(book, "MAIN", keeper(), LogHead("furnace run", 1))
    log.close()
    book.log(name).write_bytes(book.log(ONE).read_bytes())
    with pytest.raises(BadInput, match="MAIN-000002 holds the log MAIN-1"):
        seal(book, name, keeper(), signer, HEAD)


def test_a_retired_or_compromised_key_seals_nothing(book: Logbook, signer: Signer) -> None:
    seal(book, ONE, keeper(), signer, HEAD)
    name, log = new_log(book, "MAIN", keeper(), LogHead("furnace run", 1))
    log.append_all(ROWS)
    log.close()
    who = keeper()
    retire_signer(book, "MAIN", who, signer.key.fingerprint, "new key")
    with pytest.raises(BadInput, match="retired"):
        seal(book, name, who, signer, HEAD)
    compromised_signer(book, "MAIN", who, signer.key.fingerprint, who.now(), "stolen")
    with pytest.raises(BadInput):
        seal(book, name, who, signer, HEAD)
    assert [e.kind for e in entries_of(book, name)][-1] == "reading"


def test_a_signature_beside_an_open_log_is_not_written_over(book: Logbook, signer: Signer) -> None:
    place = signature_path(book.log(ONE))
    place.write_bytes(b"somebody's")
    before = content(book)
    with pytest.raises(NotDone, match="stands beside a log that is not sealed"):
        seal(book, ONE, keeper(), signer, HEAD)
    assert content(book) == before


def test_a_log_that_another_process_writes_is_not_sealed(book: Logbook, signer: Signer) -> None:
    path = book.log(ONE)
    before = content(book)
    with (
        open_log(path, keeper(by="AD"), session=False, lock=book.lock(path)),
        pytest.raises(LogBusy, match="is being written by AD"),
    ):
        seal(book, ONE, keeper(), signer, HEAD)
    assert content(book) == before


class Meddler:
    """A signer who, while asked, has another program write into the log."""

    def __init__(self, signer: Signer, path: Path) -> None:
        self.key, self._signer, self._path = signer.key, signer, path

    def sign(self, message: bytes, namespace: str) -> bytes:
        if namespace == sshsig.LOG:
            with self._path.open("ab") as file:
                file.write(b"# seen\n")
        return self._signer.sign(message, namespace)


def test_what_another_program_writes_while_signing_is_not_sealed_over(
    book: Logbook, signer: Signer
) -> None:
    path = book.log(ONE)
    before = path.read_bytes()
    with pytest.raises(NotWritable, match="was changed by another program"):
        seal(book, ONE, keeper(), Meddler(signer, path), HEAD)
    assert path.read_bytes() == before + b"# seen\n"
    assert not signature_path(path).exists()


def test_a_torn_end_is_moved_aside_and_told_before_the_seal(book: Logbook, signer: Signer) -> None:
    path = book.log(ONE)
    path.write_bytes(path.read_bytes() + b"[[entry]]\nn = 7\n")
    sealed = seal(book, ONE, keeper(), signer, HEAD)
    assert sealed.torn == ("000001.torn-1",)
    assert kinds(book)[-3:] == ["recovered", "results", "sealed"]
    assert both_accepted(book)
