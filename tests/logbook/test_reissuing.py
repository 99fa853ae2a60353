"""Reissuing a sealed log: the register first, then a log with both of its first entries at once."""

import shutil
from hashlib import sha512
from pathlib import Path

import pytest

from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.history import history
from assaybench.logbook.keys import Signer
from assaybench.logbook.opening import open_log
from assaybench.logbook.register import Register
from assaybench.logbook.reissuing import reissue
from assaybench.logbook.seal import seal
from assaybench.logbook.seal_look import look
from assaybench.logbook.survey import read_register, survey
from assaybench.messages import BadInput
from assaybench.record.reissue import as_stored, joined
from assaybench.record.replay import replay
from assaybench.record.results import results
from tests.logbook.sealable import HEAD, ONE, book_in, both_accepted, entries_of, signer_in
from tests.reliability.faulty import Faulty, Stopped, keeper

TWO, THREE = LogName("MAIN", 2), LogName("MAIN", 3)


@pytest.fixture
def signer(tmp_path: Path) -> Signer:
    return signer_in(tmp_path)


@pytest.fixture
def book(tmp_path: Path, signer: Signer) -> Logbook:
    book = book_in(tmp_path)
    seal(book, ONE, keeper(), signer, HEAD)
    return book


def grade(book: Logbook, name: LogName) -> str:
    whole = joined(history(Files(), book.log(name), entries_of(book, name)))
    (sample,) = results(replay(whole)).samples
    return sample.figures["grade_gold"].text


def correct(book: Logbook, name: LogName, n: int, text: str) -> None:
    """Amend an entry by the number it has in the one count of a history."""
    parts = history(Files(), book.log(name), entries_of(book, name))
    values = as_stored("amendment", {"entry": n, "reason": "re-read", "text": text}, parts)
    path = book.log(name)
    with open_log(path, keeper(), lock=book.lock(path), session=False) as log:
        log.append("amendment", values)


def test_a_reissue_names_the_old_log_with_its_digest_and_why(book: Logbook) -> None:
    old = book.log(ONE).read_bytes()
    name, log = reissue(book, ONE, keeper(by="AD"), "digits swapped")
    assert (name, log.n, log.read_only) == (TWO, 2, None)
    log.close()
    opened, replaces = entries_of(book, TWO)
    assert (opened.kind, replaces.kind) == ("opened", "replaces")
    assert opened.values["title"] == "Grey Heron"
    assert opened.values["number"] == 2
    assert replaces.values == {
        "number": 1, "sha512": sha512(old).hexdigest(), "reason": "digits swapped",
    }  # fmt: skip
    assert book.log(ONE).read_bytes() == old
    state = read_register(Files(), book.register("MAIN")).state
    assert (state.replaced_by(1), state.replaced_by(2)) == (2, 0)
    assert state.numbers[1].seal is not None
    assert survey(book, Files()).findings == ()


def test_a_corrected_reissue_is_sealed_and_the_old_one_stays_good(
    book: Logbook, signer: Signer
) -> None:
    """1.372 mg was read, 1.327 mg stood there: 68.60 g/t becomes 66.35 g/t."""
    reissue(book, ONE, keeper(), "digits swapped")[1].close()
    assert grade(book, TWO) == grade(book, ONE) == "68.60 ± 0.23 g/t"
    correct(book, TWO, 6, "1.327")
    assert (grade(book, TWO), grade(book, ONE)) == ("66.35 ± 0.23 g/t", "68.60 ± 0.23 g/t")
    (amended,) = look(book, TWO, Files()).review.amended  # type: ignore[union-attr]
    assert amended.n == 6
    seal(book, TWO, keeper(), signer, HEAD)
    assert both_accepted(book, ONE)
    assert both_accepted(book, TWO)


def test_a_chain_of_reissues(book: Logbook, signer: Signer) -> None:
    for name, text in ((TWO, "1.327"), (THREE, "1.400")):
        reissue(book, LogName("MAIN", name.number - 1), keeper(), "again")[1].close()
        correct(book, name, 6, text)
        seal(book, name, keeper(), signer, HEAD)
    assert [grade(book, n) for n in (ONE, TWO, THREE)] == [
        "68.60 ± 0.23 g/t", "66.35 ± 0.23 g/t", "70.00 ± 0.23 g/t",
    ]  # fmt: skip
    amendment = next(e for e in entries_of(book, THREE) if e.kind == "amendment")
    assert amendment.values["log"] == 1
    assert len(history(Files(), book.log(THREE), entries_of(book, THREE))) == 3


def test_only_a_sealed_log_is_reissued_and_once(book: Logbook, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="MAIN-000001 is not sealed: amend it where it stands"):
        reissue(book_in(tmp_path / "open"), ONE, keeper(), "x")
    with pytest.raises(BadInput, match="number 9 was never allotted"):
        reissue(book, LogName("MAIN", 9), keeper(), "x")
    with pytest.raises(BadInput):
        reissue(book, ONE, keeper(), "  ")
    assert book.numbers(Files(), "MAIN") == [1]
    reissue(book, ONE, keeper(), "x")[1].close()
    with pytest.raises(BadInput, match="log 1 is replaced already, by log 2"):
        reissue(book, ONE, keeper(), "x")
    with pytest.raises(BadInput, match="MAIN-000002 is not sealed"):
        reissue(book, TWO, keeper(), "x")
    assert book.numbers(Files(), "MAIN") == [1, 2]


def test_after_a_void_reissue_the_old_log_may_be_reissued_anew(book: Logbook) -> None:
    reissue(book, ONE, keeper(), "x")[1].close()
    with Register(book, "MAIN", keeper()) as register:
        register.void(2, "wrong log")
    assert reissue(book, ONE, keeper(), "x")[0] == THREE


def test_a_log_that_is_not_as_it_was_sealed_is_not_reissued(book: Logbook) -> None:
    path = book.log(ONE)
    path.chmod(0o644)
    path.write_bytes(path.read_bytes().replace(b"1.372", b"1.327"))
    with pytest.raises(NotDone, match="The register holds another digest"):
        reissue(book, ONE, keeper(), "x")
    assert book.numbers(Files(), "MAIN") == [1]


def test_a_reissue_that_was_broken_off_goes_on_with_its_number(
    book: Logbook, tmp_path: Path
) -> None:
    copy, probe = Logbook(shutil.copytree(book.root, tmp_path / "probe")), Faulty()
    reissue(copy, ONE, keeper(probe), "x")[1].close()
    at = probe.calls.index("fsync") + 1
    with pytest.raises(Stopped):
        reissue(book, ONE, keeper(Faulty(at, "stop")), "digits swapped")
    assert book.numbers(Files(), "MAIN") == [1]
    assert read_register(Files(), book.register("MAIN")).state.replaced_by(1) == 2
    name, log = reissue(book, ONE, keeper(), "digits swapped")
    log.close()
    assert name == TWO
    assert [e.kind for e in entries_of(book, TWO)] == ["opened", "replaces"]
    assert survey(book, Files()).findings == ()


def test_what_a_power_cut_leaves_of_the_new_log_is_made_anew(book: Logbook) -> None:
    """On a disk without hard links the log may be cut short anywhere before it is whole."""
    reissue(book, ONE, keeper(), "digits swapped")[1].close()
    path = book.log(TWO)
    whole = path.read_bytes()
    for cut in (*range(0, len(whole), 37), len(whole) - 1):
        path.write_bytes(whole[:cut])
        name, log = reissue(book, ONE, keeper(), "digits swapped")
        log.close()
        assert name == TWO
        assert [e.kind for e in entries_of(book, TWO)] == ["opened", "replaces"]
        assert survey(book, Files()).findings == ()
    assert not [p for p in path.parent.iterdir() if "torn" in p.name]


def test_without_the_old_log_as_it_was_nothing_follows_from_the_new(book: Logbook) -> None:
    reissue(book, ONE, keeper(), "x")[1].close()
    entries, path = entries_of(book, TWO), book.log(ONE)
    path.chmod(0o644)
    data = path.read_bytes()
    path.write_bytes(data.replace(b"1.372", b"1.327"))
    with pytest.raises(NotDone, match=r"which 000002\.toml replaces, is not as it was"):
        history(Files(), book.log(TWO), entries)
    path.unlink()
    with pytest.raises(NotDone, match=r"which 000002\.toml replaces, is not beside it"):
        history(Files(), book.log(TWO), entries)


def test_a_log_that_says_it_replaces_itself_or_a_later_one_comes_to_an_end(book: Logbook) -> None:
    reissue(book, ONE, keeper(), "x")[1].close()
    opened, replaces = entries_of(book, TWO)
    for number in (2, 3):
        values = {**replaces.values, "number": number}
        other = type(replaces)(2, replaces.at, replaces.by, replaces.kind, values)
        with pytest.raises(NotDone, match="is not beside it"):
            history(Files(), book.log(TWO), [opened, other])
