"""Register marks: read back, and what is no mark told with its reason."""

from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import Logbook
from assaybench.logbook.keys import Signer
from assaybench.logbook.marks import finish_mark, mark_file
from assaybench.logbook.register import Register
from assaybench.logbook.seal import seal
from assaybench.logbook.signing import signature_path
from tests.logbook.sealable import HEAD, ONE, book_in, marks_of, signer_in, tool_says
from tests.reliability.faulty import keeper


@pytest.fixture
def signer(tmp_path: Path) -> Signer:
    return signer_in(tmp_path)


@pytest.fixture
def book(tmp_path: Path, signer: Signer) -> Logbook:
    book = book_in(tmp_path)
    seal(book, ONE, keeper(), signer, HEAD)
    return book


def test_there_are_no_marks_before_the_first_seal(tmp_path: Path) -> None:
    assert marks_of(book_in(tmp_path)) == []


def test_a_mark_reads_back_and_what_is_none_says_why(book: Logbook) -> None:
    path = book.mark(ONE)
    good = path.read_bytes()
    (file,) = marks_of(book)
    assert file.mark is not None
    assert (file.data, file.why) == (good, "")
    for spoilt, said in (
        (good[:-1], "is unfinished"),
        (good + good, "line 14"),
        (good.replace(b"count = 4", b"count = 5"), "the link does not fit"),
        (b"", "0 entries"),
        (b"\x00" * 90, "must begin with"),
    ):
        found = mark_file(path, spoilt)
        assert found.mark is None
        assert said in found.why


def test_a_mark_under_another_name_is_none(book: Logbook) -> None:
    other = book.mark(ONE).with_name("000002.toml")
    other.write_bytes(book.mark(ONE).read_bytes())
    first, second = marks_of(book)
    assert first.mark is not None
    assert (second.mark, second.why) == (
        None, "000002.toml holds the log MAIN-000001: a copy under another name?",
    )  # fmt: skip


def test_a_mark_that_is_there_is_neither_made_nor_signed_again(
    book: Logbook, signer: Signer
) -> None:
    data = book.mark(ONE).read_bytes()
    with Register(book, "MAIN", keeper()) as register:
        mark, made = finish_mark(book, register, ONE, keeper(), signer)
    assert not made
    assert mark.short.startswith("4:")
    assert book.mark(ONE).read_bytes() == data


def test_a_mark_of_another_history_is_not_signed(book: Logbook, signer: Signer) -> None:
    """The register was written anew after the mark: its entry of that number has another link."""
    path = book.register("MAIN")
    signature_path(book.mark(ONE)).unlink()
    data = path.read_bytes()
    path.unlink()
    with Register(book, "MAIN", keeper(by="AD")) as register:
        for _ in range(4):
            register.signer(signer.key.fingerprint, "added", name="K. Berg", key=signer.key.line)
        with pytest.raises(NotDone, match="the register has no such entry"):
            finish_mark(book, register, ONE, keeper(), signer)
    path.write_bytes(data)
    with Register(book, "MAIN", keeper()) as register:
        assert finish_mark(book, register, ONE, keeper(), signer)[1]
    assert tool_says(book, book.mark(ONE), sshsig.MARK)
