"""A seal that was broken off goes on at the missing step, with the same key."""

from pathlib import Path

import pytest

from assaybench.logbook import seal_look, sshsig
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.keys import Signer
from assaybench.logbook.register import Register
from assaybench.logbook.seal import SealHead, seal
from assaybench.logbook.seal_look import STEPS, look
from assaybench.logbook.signing import signature_path
from assaybench.logbook.verify import Ask, Verified, verify_book
from assaybench.messages import BadInput
from tests.logbook.sealable import (
    HEAD,
    ONE,
    book_in,
    both_accepted,
    content,
    refused,
    signer_in,
    stopped_after,
)
from tests.logbook.ssh_tools import keygen
from tests.reliability.faulty import NoLinks, keeper


@pytest.fixture
def book(tmp_path: Path) -> Logbook:
    return book_in(tmp_path)


@pytest.fixture
def signer(tmp_path: Path) -> Signer:
    return signer_in(tmp_path)


@pytest.mark.parametrize(
    ("call", "nth", "left"),
    [
        ("fsync", 1, ("signature", "register", "mark", "read-only")),
        ("link", 1, ("register", "mark", "read-only")),
        ("fsync", 3, ("register", "mark", "read-only")),
        ("link", 2, ("mark", "read-only")),
        ("link", 3, ("read-only",)),
        ("make_read_only", 1, ("read-only",)),
        ("make_read_only", 3, ("read-only",)),
    ],
)
def test_a_seal_goes_on_at_the_missing_step(
    book: Logbook, signer: Signer, tmp_path: Path, call: str, nth: int, left: tuple[str, ...]
) -> None:
    stopped_after(book, signer, call, nth, tmp_path)
    data = book.log(ONE).read_bytes()
    ready = look(book, ONE, Files())
    assert ready.begun is not None
    assert (ready.review, ready.left) == (None, left)
    again = seal(book, ONE, keeper(), signer, None)
    assert again.steps == left
    assert again.signer == HEAD
    assert book.log(ONE).read_bytes() == data
    assert both_accepted(book)
    refused(book, signer, "log 1 is sealed.")


@pytest.mark.parametrize(
    ("call", "nth"), [("fsync", 1), ("link", 1), ("fsync", 3), ("link", 2), ("fsync", 6)]
)
def test_whoever_verifies_is_told_that_running_seal_again_mends_it(
    book: Logbook, signer: Signer, tmp_path: Path, call: str, nth: int
) -> None:
    stopped_after(book, signer, call, nth, tmp_path)
    found = Verified()
    verify_book(Files(), book, Ask(recompute=False, processes=1), result=found)
    assert any("Its signer runs seal" in one.sentence for one in found.findings)
    seal(book, ONE, keeper(), signer, None)
    found = Verified()
    verify_book(Files(), book, Ask(recompute=False, processes=1), result=found)
    assert [one for one in found.findings if one.level == "bad"] == []


def test_going_on_with_another_key_is_refused_naming_both(
    book: Logbook, signer: Signer, tmp_path: Path
) -> None:
    stopped_after(book, signer, "fsync", 1, tmp_path)
    other, before = signer_in(tmp_path, "other"), content(book)
    with pytest.raises(NotDone) as fault:
        seal(book, ONE, keeper(), other, HEAD)
    was, now = signer.key.fingerprint, other.key.fingerprint
    assert fault.value.lines == (
        f"000001.toml was begun with key {was}; this is {now}. Use the first.",
    )
    assert content(book) == before


def test_a_signature_of_something_else_is_told_and_left_alone(
    book: Logbook, signer: Signer, tmp_path: Path
) -> None:
    stopped_after(book, signer, "fsync", 1, tmp_path)
    place = signature_path(book.log(ONE))
    place.write_bytes(signer.sign(b"something else", sshsig.LOG))
    before = content(book)
    with pytest.raises(NotDone, match=r"is no signature of 000001\.toml: .* Look, then move it"):
        seal(book, ONE, keeper(), signer, None)
    assert content(book) == before
    place.unlink()
    seal(book, ONE, keeper(), signer, None)
    assert both_accepted(book)


def test_a_log_that_was_changed_after_its_seal_is_not_finished(
    book: Logbook, signer: Signer, tmp_path: Path
) -> None:
    stopped_after(book, signer, "fsync", 1, tmp_path)
    path = book.log(ONE)
    whole = path.read_bytes()
    for changed in (whole.replace(b"1.372", b"1.327"), whole + b"[[entry]]\n", whole + b"x"):
        path.write_bytes(changed)
        refused(book, signer, "000001.toml is damaged and only read: ")
    path.write_bytes(whole)
    assert seal(book, ONE, keeper(), signer, None).steps[0] == "signature"


def test_a_register_that_has_another_digest_is_told(
    book: Logbook, signer: Signer, tmp_path: Path
) -> None:
    stopped_after(book, signer, "link", 1, tmp_path)
    with Register(book, "MAIN", keeper()) as register:
        register.sealed(1, "b2" * 64, 4711)
    with pytest.raises(NotDone, match="The register holds another digest of MAIN-000001"):
        seal(book, ONE, keeper(), signer, None)


def test_a_seal_on_a_disk_without_hard_links(book: Logbook, signer: Signer) -> None:
    assert seal(book, ONE, keeper(NoLinks()), signer, HEAD).steps == STEPS
    assert both_accepted(book)


def test_the_read_only_bit_lost_on_the_way_is_set_again(book: Logbook, signer: Signer) -> None:
    """A copy by git or a stick brings the bits back; sealing again sets them, and no more."""
    seal(book, ONE, keeper(), signer, HEAD)
    before = content(book)
    book.mark(ONE).chmod(0o644)
    assert seal(book, ONE, keeper(), signer, None).steps == ("read-only",)
    assert content(book) == before


def test_a_register_with_two_histories_seals_nothing(book: Logbook, signer: Signer) -> None:
    path = book.register("MAIN")
    data = path.read_bytes()
    last = data.rindex(b"[[entry]]")
    path.write_bytes(data + data[last:])
    refused(book, signer, "MAIN.toml: ")


def test_the_meaning_is_one_of_three(book: Logbook, signer: Signer) -> None:
    before = content(book)
    with pytest.raises(BadInput, match="meaning: "):
        seal(book, ONE, keeper(), signer, SealHead("K. Berg", "assayer", "approved"))
    assert content(book) == before


def test_what_the_tool_finds_is_the_key_that_the_seal_names(book: Logbook, signer: Signer) -> None:
    seal(book, ONE, keeper(), signer, HEAD)
    found = keygen(
        "-Y", "find-principals", "-f", str(book.allowed_signers),
        "-s", str(signature_path(book.log(ONE))),
    )  # fmt: skip
    assert found.stdout.decode().split() == ["K.Berg"]
    assert seal_look.steps_left(
        book, ONE, Files(), seal_look.register_state(book, ONE, Files())
    ) == ()  # fmt: skip
