"""Random keys on every page: no crash, and what is stored stays readable and only grows."""

import random

import pytest

from assaybench.bench.characters import cells
from assaybench.bench.desk import Desk
from assaybench.bench.frame import room as room_of
from assaybench.bench.frame import set_page
from assaybench.bench.open_logs import open_logs
from assaybench.bench.sheet import text_of
from assaybench.bench.stack import Stack
from assaybench.logbook.settings_fields import Settings, Tray
from assaybench.logbook.settings_keys import ACTIONS
from tests.bench.books import bench_with_run, closed
from tests.bench.conftest import Clock

NAMED = ("enter", "escape", "up", "down", "left", "right", "backspace", "f1", "tab", "f5", "home")
SIGNS = "".join(sorted({a.key for a in ACTIONS if len(a.key) == 1})) + "0123456789.,-% AZé金"
SIZES = ((80, 24), (80, 23), (120, 40), (60, 10), (1, 1), (200, 60))


def pressed(stack: Stack, clock: Clock, draws: random.Random, count: int) -> list[str]:
    """Press so many keys at random; the names of the pages that were in sight."""
    seen = []
    for i in range(count):
        kind = draws.random()
        if kind < 0.40:
            key = draws.choice(NAMED[:8])
            stack.press(key, None)
        elif kind < 0.42:
            stack.press(draws.choice(NAMED), None)
        elif kind < 0.44:
            stack.paste(draws.choice(["0.314\n", "KV-025", "\x1b[31m", "", "7" * 300]))
        else:
            sign = draws.choice(SIGNS)
            stack.press(sign, sign)
        clock.go_on(draws.choice([0, 0, 0.1, 1, 90]))
        stack.tick(clock())
        seen.append(stack.top.name)
        if i % 7 == 0:
            width, height = draws.choice(SIZES)
            stack.resized(room_of(width, height))
            lines = set_page(stack.sheet, stack.keys, width, height, ascii=draws.random() < 0.5)
            assert len(lines) == height
            assert {cells(text_of(line)) for line in lines} == {width}
    return seen


def keys_at_random(desk: Desk, clock: Clock, seed: int, count: int) -> set[str]:
    draws = random.Random(seed)
    desk.settings = Settings(initials="KB", people={"IM": "I. Marsh"}, tray=Tray(4, 6))
    stack = bench_with_run(desk, clock)
    before = open_logs(desk).of("furnace run")[-1].entries
    seen = set(pressed(stack, clock, draws, count))
    closed(stack)
    logs = {log.name.number: log for log in open_logs(desk).all_of("furnace run")}
    after = next(log for log in open_logs(desk).logs if log.name.number == 1)
    assert after.entries[: len(before)] == before
    assert after.verdict is not None
    assert all(log.verdict is None or log.verdict.state == "sound" for log in logs.values())
    return seen


@pytest.mark.parametrize("seed", range(3))
def test_a_hundred_keys_do_no_harm(desk: Desk, clock: Clock, seed: int) -> None:
    keys_at_random(desk, clock, seed, 100)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(100, 110))
def test_five_thousand_keys_do_no_harm(desk: Desk, clock: Clock, seed: int) -> None:
    keys_at_random(desk, clock, seed, 500)
