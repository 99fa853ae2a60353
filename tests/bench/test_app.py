"""The app on its terminal library: it draws what was set, hands keys on, and ends in order."""

import asyncio
from collections.abc import Awaitable, Callable
from typing import NoReturn

import pytest
from textual.pilot import Pilot

from assaybench.bench.app import BenchApp, Paper, named_fault
from assaybench.bench.desk import Desk
from assaybench.bench.pages.tray import TrayPage
from assaybench.bench.stack import Stack
from tests.bench.books import bench_with_run, closed, shown
from tests.bench.conftest import Clock
from tests.bench.patience import keyed

Story = Callable[[BenchApp, Pilot[int]], Awaitable[None]]


def drawn(app: BenchApp) -> str:
    """What stands on the terminal, line by line."""
    paper = app.query_one(Paper)
    lines = (paper.render_line(y).text for y in range(app.size.height))
    return "".join(line.rstrip() + "\n" for line in lines)


def told(app: BenchApp, story: Story, size: tuple[int, int] = (80, 24)) -> None:
    async def run() -> None:
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await story(app, pilot)

    asyncio.run(run())


@pytest.fixture
def stack(desk: Desk, clock: Clock) -> Stack:
    return bench_with_run(desk, clock)


def test_it_draws_the_page_as_it_was_set_and_keys_move_on(stack: Stack, clock: Clock) -> None:
    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        assert drawn(app) == shown(stack)
        assert app.cursor_position == (2, 22)
        await keyed(pilot, "enter")
        assert isinstance(stack.top, TrayPage)
        assert drawn(app) == shown(stack)
        await keyed(pilot, "question_mark")
        assert "HELP: THE TRAY" in drawn(app)
        await keyed(pilot, "escape", "escape")
        assert "CONTENTS" in drawn(app)
        await keyed(pilot, "escape")

    app = BenchApp(stack, clock)
    told(app, story)
    closed(stack)
    assert app.return_value == 0
    assert app.fault == ""


def test_another_size_keeps_the_place(stack: Stack, clock: Clock) -> None:
    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        await keyed(pilot, "down")
        await pilot.resize_terminal(60, 10)
        await pilot.pause(0.1)
        assert drawn(app).startswith("The bench needs 80 columns and 23 lines; this is 60 x 10.")
        await pilot.resize_terminal(120, 40)
        await pilot.pause(0.1)
        assert drawn(app) == shown(stack, 120, 40)
        assert "> a furnace run" in drawn(app)

    told(BenchApp(stack, clock), story)


def test_23_lines_are_enough_for_every_key(stack: Stack, clock: Clock) -> None:
    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        await pilot.resize_terminal(80, 23)
        await pilot.pause(0.1)
        lines = drawn(app).splitlines()
        assert len(lines) == 23
        assert lines[21].strip() == stack.sheet.promise
        assert lines[22].strip().startswith("Enter open")
        await keyed(pilot, "enter")
        assert isinstance(stack.top, TrayPage)
        assert app.cursor_position == (2, 21)
        assert drawn(app) == shown(stack, 80, 23)
        await keyed(pilot, "enter", "0", "full_stop", "1")
        assert "0.1" in drawn(app).splitlines()[21]

    told(BenchApp(stack, clock), story)
    closed(stack)


@pytest.mark.parametrize("palette", ["day", "lamp"])
def test_plain_signs_and_both_palettes_draw_the_same_words(
    stack: Stack, clock: Clock, palette: str
) -> None:
    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        assert drawn(app) == shown(stack, ascii_only=True)
        assert drawn(app).isascii()

    told(BenchApp(stack, clock, palette=palette, plain_signs=True), story)


def test_without_colours_none_is_sent(stack: Stack, clock: Clock) -> None:
    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        await keyed(pilot, "enter")
        paper = app.query_one(Paper)
        styles = [s.style for y in range(24) for s in paper.render_line(y) if s.style is not None]
        assert any(style.reverse and style.bold for style in styles), "the place that waits"
        assert {style.color for style in styles} == {None}
        assert {style.bgcolor for style in styles} == {None}

    told(BenchApp(stack, clock, no_color=True), story)
    closed(stack)


def test_a_fault_of_a_page_ends_the_app_without_a_traceback(
    stack: Stack, clock: Clock, capsys: pytest.CaptureFixture[str]
) -> None:
    class Broken(TrayPage):
        def act(self, action: str) -> NoReturn:
            raise RuntimeError("broken on purpose")

    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        await keyed(pilot, "enter")
        assert isinstance(stack.top, TrayPage)
        stack.pages[-1] = Broken(stack.top.run)
        await keyed(pilot, "l")

    app = BenchApp(stack, clock)
    with pytest.raises(RuntimeError, match="broken on purpose"):
        told(app, story)
    closed(stack)
    assert app.fault.startswith("RuntimeError in test_app.py:")
    told_out = capsys.readouterr()
    assert "Traceback" not in told_out.out + told_out.err
    assert named_fault(None) == "an unknown fault"


def test_in_a_terminal_that_is_too_small_no_key_does_anything_unseen(
    stack: Stack, clock: Clock
) -> None:
    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        await pilot.resize_terminal(70, 20)
        await pilot.pause(0.1)
        await keyed(pilot, "down", "enter", "1")
        assert len(stack.pages) == 1
        await pilot.resize_terminal(80, 24)
        await pilot.pause(0.1)
        await keyed(pilot, "enter")
        assert isinstance(stack.top, TrayPage)

    told(BenchApp(stack, clock), story)
    closed(stack)
