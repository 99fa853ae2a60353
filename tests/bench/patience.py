"""Waiting with an end: what does not come fails with what stands there instead."""

import time
import unicodedata
from collections.abc import Callable
from weakref import WeakKeyDictionary

import pytest
from textual import events
from textual.app import App
from textual.keys import REPLACED_KEYS, _get_unicode_name_from_key
from textual.pilot import Pilot

from assaybench.bench.app import BenchApp

PATIENCE = 60.0
"""Seconds to wait for work beside a page before a test gives up; nothing is measured by it."""
MOST_KEYS = 300
"""More presses than any page needs to come to what is looked for."""
_LAST: WeakKeyDictionary[App[int], float] = WeakKeyDictionary()
"""The time of the last key of each app."""


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
    """Press a key of the app until something is there; arguments as `until`.

    Each time the work beside the page is waited for, so that no key comes when it is there already.
    """
    app = pilot.app
    assert isinstance(app, BenchApp)
    for _ in range(MOST_KEYS):
        await waited_until(pilot, lambda: not app.stack.working, shows)
        if there():
            return
        await keyed(pilot, key)
    pytest.fail(f"it did not come after {MOST_KEYS} times {key}; there stands:\n{shows()}")


async def waited_until(
    pilot: Pilot[int], there: Callable[[], bool], shows: Callable[[], str]
) -> None:
    """Wait for what goes on in a thread, as the app looks at it."""
    end = time.monotonic() + PATIENCE
    while not there():
        if time.monotonic() > end:
            pytest.fail(f"it did not come in {PATIENCE:g} s; there stands:\n{shows()}")
        await pilot.pause(0.01)


async def keyed(pilot: Pilot[int], *keys: str) -> None:
    """Press keys as a person does, one after the other, however fast or slow the machine is.

    Each key bears a time of its own, a second after the one before. So they are never taken for a
    code that a reader sends, and nothing is waited for but what they do. All keys of one app are
    pressed in this way, or none.
    """
    for key in keys:
        _sent(pilot.app, key, 1.0)
        await _done(pilot)
    await _let_go(pilot, keys)


async def scanned(pilot: Pilot[int], *keys: str) -> None:
    """Keys as a reader of codes sends them, all at once."""
    for i, key in enumerate(keys):
        _sent(pilot.app, key, 0.01 if i else 1.0)
    await _done(pilot)
    await _let_go(pilot, keys)


def _sent(app: App[int], key: str, after: float) -> None:
    """A key, by its own time so many seconds after the last one of the app."""
    event = events.Key(key, _sign(key))
    event.time = _LAST[app] = _LAST.get(app, 0.0) + after
    app.post_message(event)


async def _done(pilot: Pilot[int]) -> None:
    """From the app to its screen, back to the app that acts, and to the widget that draws."""
    for _ in range(4):
        if not pilot.app._exit:
            await pilot.pause(0)


async def _let_go(pilot: Pilot[int], keys: tuple[str, ...]) -> None:
    """A letter that stores waits until it is sure that no code follows: it acts before we go on."""
    app = pilot.app
    assert isinstance(app, BenchApp)
    await waited_until(pilot, lambda: not app.stack._burst.held, lambda: str(keys))


def _sign(key: str) -> str | None:
    """The sign that a key of this name makes."""
    if len(key) == 1:
        return key
    try:
        return unicodedata.lookup(_get_unicode_name_from_key(REPLACED_KEYS.get(key, key)))
    except KeyError:
        return None
