"""From the last gold weight to a sealed log, by the keys of the app alone."""

import asyncio
from functools import partial

from textual.pilot import Pilot

from assaybench.bench.app import BenchApp
from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.stack import Stack
from assaybench.logbook.files import Files
from assaybench.logbook.keys import make_key
from assaybench.logbook.verify import Ask, Verified, verify_book
from tests.bench.books import closed, opened_bench, shown
from tests.bench.patience import keyed, pressed_until, waited_until
from tests.bench.results_run import rows

SECRET = "mole-rat 9"  # noqa: S105  invented
NAMED = {" ": "space", ".": "full_stop", "-": "minus"}
LAST = "KV-033"
"""The place of the tray that is weighed last; the bead after it is not parted."""


async def typed(pilot: Pilot[int], text: str) -> None:
    await keyed(pilot, *(NAMED.get(sign, sign) for sign in text), "enter")


def test_the_last_weight_the_results_and_the_seal(desk: Desk) -> None:
    run = new_run(desk, "Kestrel Vale")
    run.append_all([row for row in rows() if row[1].get("sample") != LAST or "gold" not in
                    str(row[1].get("what"))])  # fmt: skip
    run.close()
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
    page = partial(shown, stack)
    async with app.run_test(size=(80, 24)) as pilot:
        await keyed(pilot, "enter", "5", "g")
        await typed(pilot, LAST)
        await keyed(pilot, "enter")
        assert stack.top.name == "balance"
        await typed(pilot, "0.200")
        await pressed_until(pilot, "escape", lambda: stack.top.name == "tray", page)
        await keyed(pilot, "6")
        assert "4 of 24 shown here." in shown(stack)
        await keyed(pilot, "down", "u", "enter", "enter", "escape", "escape", "7")
        assert stack.top.name == "sealing"
        signs = lambda: stack.sheet.keys[0] == "enter.sign"  # noqa: E731
        await pressed_until(pilot, "enter", signs, page)
        await keyed(pilot, "enter", "enter")
        assert stack.sheet.typing is not None
        await typed(pilot, SECRET)
        await waited_until(pilot, lambda: stack.sheet.title == "SEALED", page)
        assert SECRET not in shown(stack)
        assert "arrows move" in shown(stack), "the seal fills more than one page"
        await keyed(pilot, "enter")
        assert "Sealed: the log" in shown(stack)
        await keyed(pilot, "escape", "escape")
