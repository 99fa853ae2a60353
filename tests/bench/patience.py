"""Waiting with an end: what does not come fails with what stands there instead."""

import asyncio
import time
from collections.abc import Callable

import pytest
from textual.pilot import Pilot

from assaybench.bench.app import BenchApp
from assaybench.bench.codes import QUICK_SECONDS

PATIENCE = 60.0
"""Seconds to wait for work beside a page before a test gives up; nothing is measured by it."""
MOST_KEYS = 300
"""More presses than any page needs to come to what is looked for."""


def until(there: Callable[[], bool], press: Callable[[], object], shows: Callable[[], str]) -> None:
    """Press on until something is there.

    Args:
        there: whether it is there.
        press: one more key.
        shows: what stands there, for the failure.
    """
    for _ in range(MOST_KEYS):
        if there():
            return
        press()
    pytest.fail(f"it did not come after {MOST_KEYS} keys; there stands:\n{shows()}")


async def pressed_until(
    pilot: Pilot[int], key: str, there: Callable[[], bool], shows: Callable[[], str]
) -> None:
    """Press a key of the app until something is there; arguments as `until`."""
    for _ in range(MOST_KEYS):
        if there():
            return
        await pilot.press(key)
    pytest.fail(f"it did not come after {MOST_KEYS} times {key}; there stands:\n{shows()}")


async def waited_until(
    pilot: Pilot[int], there: Callable[[], bool], shows: Callable[[], str]
) -> None:
    """Wait for what goes on in a thread, as the app looks at it."""
    end = time.monotonic() + PATIENCE
    while not there():
        if time.monotonic() > end:
            pytest.fail(f"it did not come in {PATIENCE:g} s; there stands:\n{shows()}")
        await pilot.pause()
        await asyncio.sleep(0.05)


async def pressed_by_hand(app: BenchApp, pilot: Pilot[int], *keys: str) -> None:
    """Press keys as a person does: a letter that may act is looked at before the next key.

    Without the pause it would be a code that a reader sends.
    """
    for key in keys:
        typing = app.stack.sheet.typing
        await pilot.press(key)
        if len(key) == 1 and key.isalpha() and not (typing and typing.takes_letters):
            await pilot.pause(2 * QUICK_SECONDS)
