"""Nobody at the bench: names hidden, timers going on, any key back to the exact place."""

from assaybench.bench.desk import Desk
from assaybench.bench.pages.idle import IdlePage
from assaybench.bench.stack import Stack
from assaybench.logbook.settings_fields import Settings
from tests.bench.books import bench_with_run, closed, press, shown
from tests.bench.conftest import Clock


def left_alone(stack: Stack, clock: Clock, minutes: float) -> None:
    """Nobody types for so long; the app looks once in between."""
    stack.tick(clock())
    clock.go_on(minutes)
    stack.tick(clock())


def test_names_are_hidden_after_the_minutes_of_the_settings(desk: Desk, clock: Clock) -> None:
    stack = bench_with_run(desk, clock)
    press(stack, "enter")
    left_alone(stack, clock, 9.9)
    assert "KV-" in shown(stack)
    clock.go_on(0.2)
    assert stack.tick(clock())
    assert isinstance(stack.top, IdlePage)
    for width, height in ((80, 24), (120, 40)):
        page = shown(stack, width, height)
        assert "KV-" not in page
        assert "0147" not in page
        assert "0001" not in page
        assert "KB" not in page
    closed(stack)


def test_any_key_comes_back_to_the_exact_place_and_does_nothing_else(
    desk: Desk, clock: Clock
) -> None:
    stack = bench_with_run(desk, clock)
    press(stack, "down", "down", "f", "h", "e")
    before = shown(stack)
    for key in ("x", "enter", "escape", "f1"):
        left_alone(stack, clock, 11)
        assert isinstance(stack.top, IdlePage)
        press(stack, key)
        assert shown(stack).splitlines()[2:] == before.splitlines()[2:]
    left_alone(stack, clock, 11)
    stack.paste("pasted")
    assert shown(stack).splitlines()[2:] == before.splitlines()[2:]


def test_a_passphrase_half_typed_stays_where_it_was(desk: Desk, clock: Clock) -> None:
    stack = bench_with_run(desk, clock)
    press(stack, "o")
    for _ in range(40):
        press(stack, "down")
    press(stack, "up", "enter", "enter", "K", "B", "enter", "a", "b", "c")
    left_alone(stack, clock, 11)
    assert "···" not in shown(stack)
    press(stack, "d")
    assert "···_" in shown(stack)


def test_the_timer_of_the_fire_goes_on_and_rings_once(desk: Desk, clock: Clock) -> None:
    stack = bench_with_run(desk, clock)
    press(stack, "enter", "3", "g", "A", "1", "enter", "enter", "m", "2", "0", "enter")
    left_alone(stack, clock, 12)
    assert "In the fire for 12 of 20 min." in shown(stack)
    assert not stack.rings(clock())
    clock.go_on(8)
    assert stack.rings(clock())
    assert not stack.rings(clock())
    assert stack.tick(clock())
    assert "TIME: 20 min in the fire" in shown(stack)
    press(stack, "x")
    assert not stack.rings(clock()), "the bell rings once, wherever one looks"
    closed(stack)


def test_the_bell_rings_on_every_page_once(desk: Desk, clock: Clock) -> None:
    stack = bench_with_run(desk, clock)
    press(stack, "enter", "3", "g", "A", "1", "enter", "enter", "m", "2", "0", "enter")
    press(stack, "escape", "o")
    assert not stack.rings(clock())
    clock.go_on(20)
    assert stack.top.name == "settings"
    assert stack.rings(clock())
    assert not stack.rings(clock())
    assert stack.tick(clock()), "the page is drawn again"
    assert "TIME: 20 min in the" in shown(stack)
    press(stack, "down")
    assert "TIME" not in shown(stack)
    closed(stack)


def test_every_key_begins_the_minutes_anew(desk: Desk, clock: Clock) -> None:
    stack = bench_with_run(desk, clock)
    for _ in range(5):
        left_alone(stack, clock, 8)
        press(stack, "down")
    assert stack.top.name == "contents"


def test_no_minutes_hide_nothing(desk: Desk, clock: Clock) -> None:
    stack = bench_with_run(desk, clock)
    desk.settings = Settings(initials="KB", idle_minutes=0)
    left_alone(stack, clock, 500)
    assert stack.top.name == "contents"


def test_help_and_index_do_not_open_over_it(desk: Desk, clock: Clock) -> None:
    stack = bench_with_run(desk, clock)
    left_alone(stack, clock, 11)
    press(stack, "i")
    assert stack.top.name == "contents"
    assert len(stack.pages) == 1
