"""Random keys on the pages of results and of the seal: no crash, and the log only grows."""

import random

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.page import Page
from assaybench.bench.pages.compare import ComparePage
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.pages.sealing import SealingPage
from assaybench.bench.result_rows import rows_of
from assaybench.bench.run_log import RunLog
from assaybench.logbook.files import Files
from assaybench.logbook.keys import make_key
from assaybench.logbook.reading import read_log
from assaybench.logbook.verify import Ask, Verified, verify_book
from tests.bench.conftest import Clock
from tests.bench.hands import Hands, at_once
from tests.bench.results_run import finished_run
from tests.bench.test_random_keys import pressed


def a_page(run: RunLog, draws: random.Random) -> Page:
    kind = draws.choice(["results", "results", "sealing", "sealing", "compare"])
    if kind == "results":
        return ResultsPage(run, start=at_once)
    if kind == "sealing":
        return SealingPage(run, at_once)
    found = run.results()
    rows = rows_of(found, run.board())
    if draws.random() < 0.5:
        return ComparePage(run, found, rows[0], rows[4])
    return ComparePage(run, found, rows[4], None, cutoff=38.0)


def keys_at_random(desk: Desk, clock: Clock, seed: int, rounds: int) -> set[str]:
    """Press keys, opening a page anew whenever all were left; the names of the pages in sight."""
    draws = random.Random(seed)
    make_key(desk.files, desk.signing_key(), b"1", "K. Berg", rounds=1)
    run = finished_run(desk, known="0.130")
    kept = [*run.entries]
    seen = set()
    for _ in range(rounds):
        hands = Hands(run, a_page(run, draws))
        seen |= set(pressed(hands.stack, clock, draws, 25))
    run.close()
    assert run.name is not None
    entries, verdict = read_log(Files(), desk.book.log(run.name))
    assert verdict.state == "sound"
    assert entries[: len(kept)] == kept
    assert entries == [*run.entries]
    result = Verified()
    verify_book(Files(), desk.book, Ask(processes=1), result=result)
    assert result.status == 0
    return seen


@pytest.mark.parametrize("seed", range(2))
def test_keys_at_random_do_no_harm(desk: Desk, clock: Clock, seed: int) -> None:
    assert keys_at_random(desk, clock, seed, 15) >= {"results", "sealing", "sums"}


@pytest.mark.long
@pytest.mark.parametrize("seed", range(100, 110))
def test_many_keys_at_random_do_no_harm(desk: Desk, clock: Clock, seed: int) -> None:
    assert keys_at_random(desk, clock, seed, 200) >= {"results", "sealing", "sums", "compare"}
