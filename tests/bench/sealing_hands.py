"""A small run at the bench, its keys, and what verifies once it is sealed."""

from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.pages.sealing import SealingPage
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import text_of
from assaybench.logbook.files import Files
from assaybench.logbook.keys import make_key
from assaybench.logbook.logfile import Row
from assaybench.logbook.verify import Ask, Verified, verify_book
from tests.bench.hands import Hands, at_once, read_rows, sample_rows
from tests.bench.openings import begun
from tests.logbook.ssh_tools import made

SECRET = "mole rat 9 ünder"  # noqa: S105  invented
PERSON: Row = ("person", {"initials": "KB", "name": "K. Berg", "role": "assayer"})


def small(desk: Desk, *more: Row) -> RunLog:
    """One sample of 20.00 g with 1.372 mg of gold."""
    return begun(desk, *sample_rows(("KV-1", "A1"), silver="none"),
                 *read_rows("pulp", "charge", [("KV-1", "20.00")], "g"),
                 *read_rows("fine", "gold", [("KV-1", "1.372")], "mg"), *more)  # fmt: skip


@pytest.fixture
def key(desk: Desk) -> Path:
    """A key with a passphrase, of few rounds, where the desk looks for it."""
    path = desk.signing_key()
    make_key(desk.files, path, SECRET.encode(), "K. Berg", rounds=1)
    return path


@pytest.fixture
def open_key(tmp_path: Path, desk: Desk) -> Path:
    """A key without a passphrase, named by the settings."""
    path = made(tmp_path, "mine")
    desk.settings = desk.settings._replace(signing_key=str(path))
    return path


def hands_of(run: RunLog) -> Hands:
    return Hands(run, SealingPage(run, at_once))


def block(hands: Hands) -> str:
    return "\n".join(text_of(row) for row in hands.sheet.block)


def to_the_end(hands: Hands) -> None:
    """Turn the review to its last page."""
    for _ in range(20):
        if hands.sheet.keys[0] != "enter.more":
            return
        hands.press("enter")
    raise AssertionError("no last page")


def verified(desk: Desk) -> Verified:
    result = Verified()
    verify_book(Files(), desk.book, Ask(processes=1), result=result)
    return result


def good(desk: Desk) -> bool:
    result = verified(desk)
    return (result.status, result.counts, result.recomputed) == (
        0, {"sealed": 1}, {"recomputes": 1}
    )  # fmt: skip


def sealed_with_yes(hands: Hands) -> None:
    to_the_end(hands)
    hands.press("enter")
    hands.enter("")
    hands.enter("yes")
