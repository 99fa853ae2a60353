"""Statements about a sealed log, by another key or the same one."""

import shutil
import tomllib
from hashlib import sha512
from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.keys import Signer
from assaybench.logbook.seal import SealHead, seal
from assaybench.logbook.signers import retire_signer
from assaybench.logbook.signing import signature_path
from assaybench.logbook.statements import countersign, unsigned
from assaybench.logbook.survey import read_register
from assaybench.messages import BadInput
from tests.logbook.sealable import HEAD, ONE, REVIEWER, book_in, signer_in, tool_says
from tests.reliability.faulty import Faulty, NoLinks, Stopped, keeper

STEPS = ("statement", "signature", "register", "read-only")


@pytest.fixture
def sealer(tmp_path: Path) -> Signer:
    return signer_in(tmp_path)


@pytest.fixture
def reviewer(tmp_path: Path) -> Signer:
    return signer_in(tmp_path, "other")


@pytest.fixture
def book(tmp_path: Path, sealer: Signer) -> Logbook:
    book = book_in(tmp_path)
    seal(book, ONE, keeper(), sealer, HEAD)
    return book


def registered(book: Logbook) -> list[str]:
    return read_register(Files(), book.register("MAIN")).state.numbers[1].statements


def test_a_reviewer_signs_the_digest_with_his_own_key(book: Logbook, reviewer: Signer) -> None:
    log = book.log(ONE).read_bytes()
    stated = countersign(book, ONE, keeper(by="AD"), reviewer, REVIEWER, "looked at all of it")
    path = book.statement(ONE, 1)
    assert (stated.path, stated.steps, stated.principal) == (path, STEPS, "A.Dale")
    (entry,) = tomllib.loads(path.read_text("utf-8"))["entry"]
    assert entry["sha512"] == stated.sha512 == sha512(log).hexdigest()
    assert (entry["size"], entry["bench"], entry["number"]) == (len(log), "MAIN", 1)
    assert (entry["name"], entry["role"], entry["meaning"]) == REVIEWER
    assert (entry["text"], entry["by"]) == ("looked at all of it", "AD")
    assert tool_says(book, path, sshsig.STATEMENT, "A.Dale")
    assert not tool_says(book, path, sshsig.LOG, "A.Dale")
    assert registered(book) == ["000001.statement-1.toml"]
    assert book.log(ONE).read_bytes() == log
    assert not any(Files().writable(p) for p in (path, signature_path(path)))


def test_several_people_and_the_sealer_himself_may_sign(
    book: Logbook, sealer: Signer, reviewer: Signer
) -> None:
    present = SealHead("M. Quill", "owner", "was present")
    for signer, head in ((reviewer, REVIEWER), (sealer, HEAD), (reviewer, present)):
        countersign(book, ONE, keeper(), signer, head)
    assert registered(book) == [f"000001.statement-{k}.toml" for k in (1, 2, 3)]
    for k, who in ((1, "A.Dale"), (2, "K.Berg"), (3, "A.Dale")):
        assert tool_says(book, book.statement(ONE, k), sshsig.STATEMENT, who)


def test_the_key_that_sealed_signs_in_its_own_name_alone(book: Logbook, sealer: Signer) -> None:
    with pytest.raises(BadInput, match=r"K\. Berg sealed MAIN-000001 with this key; A\. Dale"):
        countersign(book, ONE, keeper(), sealer, REVIEWER)
    assert registered(book) == []


def test_saying_the_same_again_is_refused_and_something_else_is_not(
    book: Logbook, reviewer: Signer
) -> None:
    countersign(book, ONE, keeper(), reviewer, REVIEWER)
    with pytest.raises(BadInput, match=r"said just this before: 000001\.statement-1\.toml"):
        countersign(book, ONE, keeper(), reviewer, REVIEWER)
    countersign(book, ONE, keeper(), reviewer, REVIEWER, "and the blanks")
    assert len(registered(book)) == 2


def broken_off(book: Logbook, signer: Signer, call: str, nth: int, folder: Path) -> None:
    """Countersign until the process dies right after one call."""
    copy, probe = Logbook(shutil.copytree(book.root, folder / "probe")), Faulty()
    countersign(copy, ONE, keeper(probe), signer, REVIEWER)
    at = [i for i, name in enumerate(probe.calls, start=1) if name == call][nth - 1]
    with pytest.raises(Stopped):
        countersign(book, ONE, keeper(Faulty(at, "stop")), signer, REVIEWER)


@pytest.mark.parametrize(
    ("call", "nth", "steps"),
    [
        ("link", 1, STEPS[1:]),
        ("link", 2, STEPS[2:]),
        ("make_read_only", 1, STEPS[3:]),
    ],
)
def test_a_statement_that_was_broken_off_goes_on(
    book: Logbook, reviewer: Signer, tmp_path: Path, call: str, nth: int, steps: tuple[str, ...]
) -> None:
    broken_off(book, reviewer, call, nth, tmp_path)
    data = book.statement(ONE, 1).read_bytes()
    assert unsigned(book, ONE, Files()) == (
        [book.statement(ONE, 1)] if "signature" in steps else []
    )
    assert countersign(book, ONE, keeper(), reviewer, REVIEWER).steps == steps
    assert book.statement(ONE, 1).read_bytes() == data
    assert tool_says(book, book.statement(ONE, 1), sshsig.STATEMENT, "A.Dale")
    assert unsigned(book, ONE, Files()) == []


def test_a_statement_begun_by_somebody_else_is_left_alone(
    book: Logbook, sealer: Signer, reviewer: Signer, tmp_path: Path
) -> None:
    broken_off(book, reviewer, "link", 1, tmp_path)
    data = book.statement(ONE, 1).read_bytes()
    stated = countersign(book, ONE, keeper(), sealer, HEAD)
    assert stated.path == book.statement(ONE, 2)
    assert book.statement(ONE, 1).read_bytes() == data
    assert unsigned(book, ONE, Files()) == [book.statement(ONE, 1)]


def test_what_a_power_cut_leaves_without_hard_links_is_made_anew(
    book: Logbook, reviewer: Signer
) -> None:
    whole = countersign(book, ONE, keeper(NoLinks()), reviewer, REVIEWER)
    again = book.statement(ONE, 2)
    for part in (0, 1, 100):
        again.write_bytes(whole.path.read_bytes()[:part])
        made = countersign(book, ONE, keeper(NoLinks()), reviewer, REVIEWER, f"cut at {part}")
        assert made.path == again
        assert tool_says(book, again, sshsig.STATEMENT, "A.Dale")
        again = book.statement(ONE, int(again.name.split(".")[1][-1]) + 1)


# --- refused -------------------------------------------------------------------------------------


def files_of(book: Logbook) -> list[str]:
    return sorted(p.name for p in book.root.rglob("*") if "locks" not in p.parts)


def test_only_a_finished_seal_is_countersigned(
    tmp_path: Path, book: Logbook, reviewer: Signer
) -> None:
    unsealed = book_in(tmp_path / "open")
    with pytest.raises(BadInput, match="MAIN-000001 is not sealed"):
        countersign(unsealed, ONE, keeper(), reviewer, REVIEWER)
    with pytest.raises(BadInput, match="number 9 was never allotted"):
        countersign(book, LogName("MAIN", 9), keeper(), reviewer, REVIEWER)
    signature_path(book.log(ONE)).unlink()
    before = files_of(book)
    with pytest.raises(NotDone, match="its signature is not beside it"):
        countersign(book, ONE, keeper(), reviewer, REVIEWER)
    assert files_of(book) == before


def test_a_log_that_is_not_as_it_was_sealed_is_not_countersigned(
    book: Logbook, reviewer: Signer
) -> None:
    path = book.log(ONE)
    path.chmod(0o644)
    path.write_bytes(path.read_bytes().replace(b"1.372", b"1.327"))
    with pytest.raises(NotDone, match="The register holds another digest of MAIN-000001"):
        countersign(book, ONE, keeper(), reviewer, REVIEWER)
    path.unlink()
    with pytest.raises(NotDone, match="there is no such file"):
        countersign(book, ONE, keeper(), reviewer, REVIEWER)
    assert "000001.statement-1.toml" not in files_of(book)


def test_nothing_is_written_when_the_key_does_not_sign_or_was_retired(
    book: Logbook, sealer: Signer, reviewer: Signer
) -> None:
    class Refuses:
        key = reviewer.key

        def sign(self, _message: bytes, _namespace: str) -> bytes:
            raise NotDone(["no touch"])

    before = files_of(book)
    with pytest.raises(NotDone, match="no touch"):
        countersign(book, ONE, keeper(), Refuses(), REVIEWER)
    who = keeper()
    retire_signer(book, "MAIN", who, sealer.key.fingerprint)
    with pytest.raises(BadInput, match="retired"):
        countersign(book, ONE, who, sealer, HEAD)
    with pytest.raises(BadInput, match="meaning: "):
        countersign(book, ONE, keeper(), reviewer, REVIEWER._replace(meaning="approved"))
    assert files_of(book) == before
