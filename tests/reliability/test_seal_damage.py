"""Every flipped bit of a sealed logbook is detected; `ssh-keygen` says the same of signatures."""

import random
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.files import Files
from assaybench.logbook.folder import LogName
from assaybench.logbook.signing import signature_path
from assaybench.logbook.sshkeys import NotValid
from assaybench.logbook.verify import Ask, Verified, verify_book
from tests.logbook.sealed_books import Maker, TestKey, run_rows

DAHL = TestKey("A. Dahl", 9)
NAME = LogName("MAIN", 1)
PARTS = ("log", "log.sig", "statement", "statement.sig", "mark", "mark.sig", "register", "signers")
IN_CI = 60
"""Flips of each file in the short run."""


@pytest.fixture(scope="module")
def maker(tmp_path_factory: pytest.TempPathFactory) -> Maker:
    maker = Maker(tmp_path_factory.mktemp("sealed") / "book")
    maker.signer(DAHL)
    maker.log(1, run_rows(1, samples=1))
    maker.statement(1, 1, DAHL)
    maker.done()
    return maker


def path_of(maker: Maker, part: str) -> Path:
    book = maker.book
    paths = {
        "log": book.log(NAME),
        "statement": book.statement(NAME, 1),
        "mark": book.mark(NAME),
        "register": book.register("MAIN"),
        "signers": book.allowed_signers,
    }
    path = paths[part.removesuffix(".sig")]
    return signature_path(path) if part.endswith(".sig") else path


def verified(maker: Maker) -> Verified:
    result = Verified()
    verify_book(Files(), maker.book, Ask(recompute=False, processes=1), result=result)
    return result


def flips(data: bytes, places: range | list[int]) -> Iterator[tuple[int, bytes]]:
    for place in places:
        at, bit = divmod(place, 8)
        yield place, data[:at] + bytes([data[at] ^ 1 << bit]) + data[at + 1 :]


def told_of_every_flip(maker: Maker, part: str, places: range | list[int]) -> int:
    """Flip bits one by one and count the flips that are harmless; each of those must be told."""
    path = path_of(maker, part)
    data = path.read_bytes()
    harmless = 0
    try:
        for place, flipped in flips(data, places):
            path.write_bytes(flipped)
            result = verified(maker)
            if not result.status:
                harmless += 1
                assert result.findings, (part, place)
    finally:
        path.write_bytes(data)
    return harmless


def test_the_sealed_logbook_is_good(maker: Maker) -> None:
    result = verified(maker)
    assert (result.status, result.findings) == (0, [])


@pytest.mark.parametrize("part", PARTS)
def test_flipped_bits_are_detected(maker: Maker, part: str) -> None:
    size = 8 * path_of(maker, part).stat().st_size
    places = sorted(random.Random(part).sample(range(size), IN_CI))
    harmless = told_of_every_flip(maker, part, places)
    # only what the file of signers says in comments may change without harm, and that is told
    assert harmless == 0 or part == "signers"


@pytest.mark.long
@pytest.mark.parametrize("part", PARTS)
def test_every_flipped_bit_is_detected(maker: Maker, part: str) -> None:
    size = 8 * path_of(maker, part).stat().st_size
    harmless = told_of_every_flip(maker, part, range(size))
    print(f"{part}: {size} flips, {harmless} harmless and told")
    assert harmless == 0 or part == "signers"


def test_every_flip_of_a_signature_is_refused_by_the_check_itself(maker: Maker) -> None:
    """All flips of the signature, and of the log it covers, without the logbook around them."""
    log, armor = path_of(maker, "log").read_bytes(), path_of(maker, "log.sig").read_bytes()
    sshsig.check(sshsig.parse(armor), log, sshsig.LOG)
    for _, flipped in flips(armor, range(8 * len(armor))):
        with pytest.raises(NotValid):
            sshsig.check(sshsig.parse(flipped), log, sshsig.LOG)
    good = sshsig.parse(armor)
    for _, flipped in flips(log, range(0, 8 * len(log), 13)):
        with pytest.raises(NotValid):
            sshsig.check(good, flipped, sshsig.LOG)


def ssh_keygen_agrees(maker: Maker, log: bytes, armor: Path) -> bool:
    done = subprocess.run(
        ["ssh-keygen", "-Y", "verify", "-f", str(maker.book.allowed_signers), "-I", "K.Berg",
         "-n", sshsig.LOG, "-s", str(armor)],
        input=log, capture_output=True, check=False, timeout=20,
    )  # fmt: skip
    return done.returncode == 0


def test_ssh_keygen_agrees_on_flips_of_a_log_and_its_signature(
    maker: Maker, tmp_path: Path
) -> None:
    log, armor = path_of(maker, "log").read_bytes(), path_of(maker, "log.sig").read_bytes()
    other = tmp_path / "other.sig"
    other.write_bytes(armor)
    assert ssh_keygen_agrees(maker, log, other)
    dice = random.Random(8)
    for _, flipped in flips(log, dice.sample(range(8 * len(log)), 15)):
        assert not ssh_keygen_agrees(maker, flipped, other)
    for _, flipped in flips(armor, dice.sample(range(8 * len(armor)), 25)):
        other.write_bytes(flipped)
        # it is less strict than ours about what stands around the base64, and never more
        if ssh_keygen_agrees(maker, log, other):
            with pytest.raises(NotValid):
                sshsig.parse(flipped)
    for entry_end in (log.rindex(b"[[entry]]"), len(log) - 1):
        other.write_bytes(armor)
        assert not ssh_keygen_agrees(maker, log[:entry_end], other)
