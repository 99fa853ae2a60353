"""Circuit tests from the contents on, by keys alone; and random keys, which do no harm."""

import asyncio
import random
from pathlib import Path

import pytest

from assaybench.bench.app import BenchApp
from assaybench.bench.desk import Desk
from assaybench.bench.open_logs import open_logs
from assaybench.bench.stack import Stack
from assaybench.logbook.files import Files
from assaybench.logbook.keys import make_key
from assaybench.logbook.logfile import Row
from assaybench.logbook.verify import Ask, Verified, verify_book
from tests.bench.books import closed, opened_bench, shown
from tests.bench.circuit_test_run import FEED, SIEVES, begun_test, cells, drawn_test
from tests.bench.conftest import Clock, desk_in
from tests.bench.hands import Hands
from tests.bench.patience import keyed, waited_until
from tests.bench.patience import until as pressed_on
from tests.bench.test_random_keys import pressed

PERSON: Row = ("person", {"initials": "KB", "name": "K. Berg", "role": "assayer"})
SECRET = "mole-rat 9"  # noqa: S105  invented
NAMED = {" ": "space", ".": "full_stop", "-": "minus", "+": "plus"}


def keys_of(*answers: str) -> list[str]:
    """Each text typed, with Enter behind it."""
    return [key for text in answers for key in (*(NAMED.get(s, s) for s in text), "enter")]


def test_from_the_last_two_weights_to_a_sealed_log(desk: Desk) -> None:
    """Practice 6.6 through the app itself: 85.5 % at most, 58.5 % if alike, then the seal."""
    begun_test(desk, SIEVES, FEED, PERSON, *cells()[:4]).close()
    make_key(desk.files, desk.signing_key(), SECRET.encode(), "K. Berg", rounds=1)
    stack = opened_bench(desk)
    app = BenchApp(stack, desk.clock)
    asyncio.run(told(app, stack))
    closed(stack)
    assert app.fault == ""
    result = Verified()
    verify_book(Files(), desk.book, Ask(processes=1), result=result)
    assert (result.status, result.counts, result.recomputed) == (
        0, {"sealed": 1}, {"recomputes": 1}
    )  # fmt: skip


async def told(app: BenchApp, stack: Stack) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await keyed(pilot, "enter")
        assert stack.sheet.promise == "Enter asks for re-run, -1.0 +0.25 mm."
        await keyed(pilot, *keys_of("", "31.5 +- 0.1", "", "", "49.0 +- 0.1", ""), "r")
        assert "all            486.4      82.6       58.5      85.5" in shown(stack)
        await keyed(pilot, "escape", "s")
        await waited_until(
            pilot, lambda: not stack.sheet.promise.startswith("Wait"), lambda: shown(stack)
        )
        for _ in range(9):
            if stack.sheet.keys[0] == "enter.sign":
                break
            await keyed(pilot, "enter")
        await keyed(pilot, "enter", "enter")
        assert stack.sheet.typing is not None
        await keyed(pilot, *keys_of(SECRET))
        await waited_until(pilot, lambda: stack.sheet.title == "SEALED", lambda: shown(stack))
        assert SECRET not in shown(stack)
        await keyed(pilot, "enter", "escape", "escape")


def test_a_cell_is_weighed_on_the_tray_of_the_same_log(desk: Desk, clock: Clock) -> None:
    """From the product to the cupel, to the balance, and back to the recovery."""
    drawn = drawn_test(desk, ("balance", {"name": "fine", "step": "0.001 mg",
                                          "spread": "0.002 mg", "weighs": ["gold"]}))  # fmt: skip
    drawn.close()
    stack = opened_bench(desk)
    stack.tick(clock())
    hands = Hands(drawn, stack.top)
    hands.stack = stack
    hands.press("enter", *["up"] * 4)
    hands.enter("", "C-1", "", "", "weighed here")
    hands.press("t", "5", "enter", "enter")
    assert stack.top.name == "balance"
    hands.enter("186.412")
    hands.press("escape")
    assert stack.top.name == "circuit"
    assert "A1 186.41" in hands.text()
    hands.press("r")
    assert "186.4" in hands.text()
    closed(stack)


def random_keys(desk: Desk, clock: Clock, seed: int, count: int) -> set[str]:
    draws = random.Random(seed)
    drawn_test(desk).close()
    before = open_logs(desk).work[0].entries
    stack: Stack = opened_bench(desk)
    stack.tick(clock())
    seen: set[str] = set()
    for start in ("", "r", "e", "t", "s", "rs", "re"):
        pressed_on(
            lambda: len(stack.pages) == 1,
            lambda: stack.press("escape", None),
            lambda: shown(stack),
        )
        stack.pages[0].come_back()
        for key in ("enter", *start):
            stack.press(key, None if key == "enter" else key)
        seen |= set(pressed(stack, clock, draws, count))
    closed(stack)
    after = next(log for log in open_logs(desk).all_work if log.name.number == 1)
    if after.entries:
        assert after.entries[: len(before)] == before
    states = {log.verdict.state for log in open_logs(desk).work if log.verdict is not None}
    assert states <= {"sound"}
    return seen


@pytest.mark.parametrize("seed", range(2))
def test_random_keys_over_the_pages_of_a_circuit_test_do_no_harm(
    desk: Desk, clock: Clock, seed: int
) -> None:
    random_keys(desk, clock, seed, 20)


@pytest.mark.long
def test_many_random_keys_reach_every_page_of_a_circuit_test(tmp_path: Path) -> None:
    seen: set[str] = set()
    for seed in range(100, 110):
        clock = Clock()
        seen |= random_keys(desk_in(tmp_path / str(seed), clock), clock, seed, 100)
    assert {"circuit", "caught", "guided", "sums", "tray"} <= seen
