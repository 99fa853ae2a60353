"""The logbook and settings pages in the app, by keyboard: threads, timers, colours at once."""

from textual.pilot import Pilot

from assaybench.bench.app import BenchApp, Paper
from assaybench.bench.desk import Desk
from assaybench.bench.palettes import DAY, LAMP
from assaybench.bench.stack import Stack
from assaybench.logbook import keys
from assaybench.logbook.files import Files
from assaybench.logbook.settings_fields import Settings
from tests.bench.books import closed, opened_bench, shown
from tests.bench.conftest import Clock
from tests.bench.keepers import kept_book
from tests.bench.patience import keyed, waited_until
from tests.bench.test_app import drawn, told

WORDS = "iron on bone ash"


async def reached(app: BenchApp, pilot: Pilot[int], text: str) -> str:
    """Wait until the page holds a text, looking as the app itself looks."""
    await waited_until(pilot, lambda: text in drawn(app), lambda: drawn(app))
    return drawn(app)


async def typed(pilot: Pilot[int], text: str) -> None:
    await keyed(pilot, *("space" if sign == " " else sign for sign in text), "enter")


def test_verify_runs_beside_the_page_and_comes_up_by_itself(desk: Desk, clock: Clock) -> None:
    kept_book(desk)
    stack = opened_bench(desk)

    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        await keyed(pilot, "a")
        await reached(app, pilot, "> MAIN-000007")
        await keyed(pilot, "v")
        page = await reached(app, pilot, "Not good.")
        assert "logs  . . . . . . . . . .  7: 5 sealed, 1 void, 1 open" in page
        await keyed(pilot, "p")
        await reached(app, pilot, "Written to")
        await keyed(pilot, "escape", "escape")
        await reached(app, pilot, "not good 9 June")

    told(BenchApp(stack, clock), story)
    assert list(desk.book.reports.glob("verify-20260609.txt"))


def test_a_key_is_made_and_a_log_countersigned_by_keyboard(desk: Desk, clock: Clock) -> None:
    kept_book(desk)
    desk.settings = Settings(initials="IM", people={"IM": "I. Marsh"})
    desk.by = "IM"
    stack = opened_bench(desk)

    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        await keyed(pilot, "o", *["down"] * 20, "up", "enter", "enter", "enter")
        await typed(pilot, WORDS)
        assert WORDS not in drawn(app)
        await typed(pilot, WORDS)
        await reached(app, pilot, "Made and named")
        await keyed(pilot, "escape", "escape", "a")
        await reached(app, pilot, "> MAIN-000007")
        await keyed(pilot, "down", "enter", *["down"] * 5, "enter", "enter", "enter")
        for text in ("partner", "", "looked at"):
            await typed(pilot, text)
        await typed(pilot, WORDS)
        await reached(app, pilot, "Signed")

    told(BenchApp(stack, clock), story)
    own = keys.public_of(Files(), desk.signing_key()).fingerprint
    statement = desk.book.logs("MAIN") / "000006.statement-1.toml"
    assert own in statement.read_text(encoding="utf-8")
    closed(stack)


def test_colours_and_plain_signs_count_at_once(desk: Desk, clock: Clock) -> None:
    stack = opened_bench(desk)

    def colours(app: BenchApp) -> set[object]:
        paper = app.query_one(Paper)
        segments = [part for y in range(24) for part in paper.render_line(y)]
        return {part.style.bgcolor.name for part in segments if part.style and part.style.bgcolor}

    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        await keyed(pilot, "o", *["down"] * 6, "enter")
        assert DAY.paper in colours(app)
        await typed(pilot, "lamp")
        assert app.theme == "lamp"
        assert LAMP.paper in colours(app)
        assert DAY.paper not in colours(app)
        await keyed(pilot, "down", "down", "down", "down", "enter")
        await typed(pilot, "yes")
        assert drawn(app).isascii()
        assert drawn(app) == shown(stack, ascii_only=True)

    app = BenchApp(stack, clock, look=lambda: (desk.settings.palette, desk.settings.ascii))
    told(app, story)
    assert stack.room.ascii


def test_a_page_left_alone_is_hidden_and_any_key_comes_back(desk: Desk, clock: Clock) -> None:
    kept_book(desk)
    stack = opened_bench(desk)

    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        await keyed(pilot, "down")
        before = drawn(app)
        clock.go_on(0)
        app._tick()  # the second that goes by
        clock.go_on(11)
        app._tick()
        assert "NOBODY HERE" in drawn(app)
        assert "furnace run" not in drawn(app)
        await keyed(pilot, "enter")
        assert drawn(app) == before

    told(BenchApp(stack, clock), story)


def test_a_book_that_is_closed_while_work_goes_on_ends_in_order(desk: Desk, clock: Clock) -> None:
    kept_book(desk)
    stack: Stack = opened_bench(desk)

    async def story(app: BenchApp, pilot: Pilot[int]) -> None:
        await keyed(pilot, "a", "v", "ctrl+q")

    app = BenchApp(stack, clock)
    told(app, story)
    assert app.fault == ""
