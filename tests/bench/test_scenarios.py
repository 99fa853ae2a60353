"""Stories at the bench, by keys alone: a slip, a power cut, doré, a correction, two people."""

import asyncio
from pathlib import Path

import pytest
from textual.pilot import Pilot

from assaybench.bench.app import BenchApp
from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run, open_run
from assaybench.bench.pages.tray import TrayPage
from assaybench.bench.run_log import RunLog
from assaybench.bench.stack import Stack
from assaybench.logbook.logfile import Row
from assaybench.logbook.reading import read_log
from assaybench.record.entries import Entry
from tests.bench.books import opened_bench, shown
from tests.bench.conftest import Clock, desk_in
from tests.bench.furnace_run import PLACES
from tests.bench.hands import FINE, PULP, Hands, read_rows, safety_rows, sample_rows
from tests.bench.patience import keyed


def begun(desk: Desk, *rows: Row) -> RunLog:
    run = new_run(desk)
    run.append_all([FINE, PULP, *safety_rows(), *rows])
    return run


def told(run: RunLog) -> list[tuple[str, str, object]]:
    """What a log says, without its times."""
    return [(e.kind, e.by, e.values) for e in run.entries]


def in_the_app(hands: Hands, run: RunLog, stack: Stack | None = None) -> None:
    """The same keys through the app itself store the same log.

    Args:
        hands: those that told the story before.
        run: a run begun like theirs, in another logbook.
        stack: the pages to begin on; left out, the tray of the run.
    """
    app = BenchApp(stack or Hands(run).stack, run.desk.clock)

    async def story() -> None:
        async with app.run_test(size=(80, 24)) as pilot:
            await keyed(pilot, *hands.pressed)

    asyncio.run(story())
    assert told(run) == told(hands.run)


def keys_of(text: str) -> list[str]:
    """A text as the names of its keys."""
    named = {" ": "space", ".": "full_stop", "-": "minus"}
    return [named.get(sign, sign) for sign in text]


async def typed(pilot: Pilot[int], text: str) -> None:
    await keyed(pilot, *keys_of(text), "enter")


@pytest.fixture
def other(tmp_path: Path, clock: Clock) -> Desk:
    """A second desk, on a logbook of its own."""
    return desk_in(tmp_path / "other", clock)


# --- a slip at the balance -----------------------------------------------------------------------


def duplicates(desk: Desk) -> RunLog:
    """C4 repeats A2: 0.314 mg of gold in 15.00 g."""
    return begun(
        desk,
        *sample_rows(("KV-017", "A2")),
        ("sample", {"id": "KV-017 d", "role": "duplicate", "of": "KV-017", "from": "pulp"}),
        ("position", {"sample": "KV-017 d", "place": "C4", "plan": "muffle"}),
        *read_rows("pulp", "charge", [("KV-017", "15.00"), ("KV-017 d", "15.00")], "g"),
        *read_rows("fine", "bead", [("KV-017", "3.510"), ("KV-017 d", "3.530")], "mg"),
        *read_rows("fine", "gold", [("KV-017", "0.314")], "mg"),
    )


def test_a_decimal_slip_against_a_duplicate_is_asked_about_and_both_stay(
    desk: Desk, other: Desk
) -> None:
    """3.14 is typed for 0.314."""
    run = duplicates(desk)
    hands = Hands(run)
    hands.press("5")
    assert hands.promise == "Enter goes to the balance with C4."
    hands.press("enter")
    n = len(run.entries)
    hands.type("3.14")
    assert hands.press("enter").bell
    assert len(run.entries) == n
    said = " ".join(hands.margin)
    assert "Please look again: C4 3.14 mg is 10 times its duplicate A2 (0.314 mg)." in said
    assert "209 g/t" in said
    assert "20.9 g/t" in said
    assert hands.promise == "Type what you see now:"
    hands.enter("0.318")
    asked, reading = (e for e in run.entries[n:] if e.kind in ("asked", "reading"))
    assert asked.values["typed"] == "3.14"
    assert asked.values["confirmed"] == "0.318"
    assert reading.values["text"] == "0.318"
    grades = {s.id: s.figures["grade_gold"].value for s in run.results().samples}
    assert grades["KV-017 d"] == pytest.approx(21.2)
    in_the_app(hands, duplicates(other))


# --- a power cut ---------------------------------------------------------------------------------


def half_fired() -> list[Row]:
    """24 samples with their beads weighed."""
    samples = [(f"KV-{i:03}", place) for i, place in enumerate(PLACES, start=1)]
    beads = [(name, f"0.4{i:02}") for i, (name, _) in enumerate(samples)]
    return [*sample_rows(*samples), *read_rows("fine", "bead", beads, "mg")]


def eleven_of_24(desk: Desk, clock: Clock) -> RunLog:
    run = begun(desk, *half_fired())
    hands = Hands(run)
    hands.press("5", "enter")
    clock.now = clock.now.replace(hour=13, minute=52)
    for i in range(11):
        hands.enter(f"0.3{i * 7 % 100:02}")
        clock.go_on(1)
    assert clock.now.minute == 3
    hands.type("1.0")
    return run


def contents_margin(stack: Stack) -> str:
    return " ".join(m if isinstance(m, str) else m.text for m in stack.sheet.margin)


def test_after_a_power_cut_the_work_goes_on_at_the_exact_place(desk: Desk, clock: Clock) -> None:
    run = eleven_of_24(desk, clock)
    assert run.name is not None
    stored = [*run.entries]
    run.close()
    path = desk.book.log(run.name)
    whole = path.read_bytes()
    # the power went while the twelfth was on its way to the disk
    torn = f"[[entry]]\nn = {run.file.n + 1}\nat = 2026-06-09T14:0".encode()
    path.write_bytes(whole + torn)
    clock.now = clock.now.replace(hour=14, minute=31)

    stack = opened_bench(desk)
    stack.tick(clock())
    contents = contents_margin(stack)
    assert "cup B6" in stack.sheet.promise
    assert "cup B6" in contents
    assert "29 min" in contents
    stack.press("enter", None)
    page = stack.top
    assert isinstance(page, TrayPage)
    assert page.sheet(stack.room).promise == "Enter goes to the balance with B6."
    again = page.run
    gold = [r for r in again.state.readings if r.what == "gold"]
    assert len(gold) == 11
    assert again.entries[: len(stored)] == stored
    assert [e.kind for e in again.entries[len(stored) :]] == ["recovered", "session"]
    assert again.file.recovered[0].size == len(torn)
    again.close()


def test_after_a_power_cut_the_app_opens_at_the_place_and_nothing_is_typed_again(
    desk: Desk, clock: Clock
) -> None:
    """The same by keys through the app, from the contents to the twelfth weight and after it."""
    begun(desk, *half_fired()).close()
    clock.now = clock.now.replace(hour=13, minute=52)
    stack = opened_bench(desk)
    golds = [f"0.3{i * 7 % 100:02}" for i in range(12)]

    async def before() -> None:
        async with BenchApp(stack, clock).run_test(size=(80, 24)) as pilot:
            await keyed(pilot, "enter", "5", "enter")
            for text in golds[:11]:
                await typed(pilot, text)
                clock.go_on(1)
            await keyed(pilot, *keys_of("1.0"))
            assert "1.0 mg for B6" in shown(stack)

    asyncio.run(before())
    run = tray_of(stack).run
    stored = told(run)
    run.close()
    path = run.file.path
    n = run.file.n + 1
    path.write_bytes(path.read_bytes() + f"[[entry]]\nn = {n}\nat = 2026-06-09T14:0".encode())
    clock.now = clock.now.replace(hour=14, minute=31)
    later = opened_bench(desk)

    async def after() -> None:
        async with BenchApp(later, clock).run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            later.tick(clock())
            assert "cup B6" in later.sheet.promise
            assert "29 min" in contents_margin(later)
            await keyed(pilot, "enter")
            assert later.sheet.promise == "Enter goes to the balance with B6."
            assert "11 weighed" in shown(later)
            await keyed(pilot, "enter")
            await typed(pilot, golds[11])

    asyncio.run(after())
    again = tray_of(later).run
    assert told(again)[: len(stored)] == stored
    kinds = [e.kind for e in again.entries[len(stored) :]]
    assert kinds == ["recovered", "session", "position", "reading"]
    assert [r.entry.text("text") for r in again.state.readings if r.what == "gold"] == golds
    assert again.state.readings[-1].sample == "KV-012"
    again.close()


# --- the bead is not the gold --------------------------------------------------------------------


def inquarted(desk: Desk) -> RunLog:
    """30.00 g with 8.000 mg of silver, and a blank of the same lot."""
    lots = {"lots": ["K-31"], "lead": "30 g"}
    return begun(
        desk,
        ("reagent_lot", {"lot": "K-31", "material": "litharge"}),
        *sample_rows(("KV-1", "A1"), silver="8.000 mg", **lots),
        ("sample", {"id": "B", "role": "blank", "silver": "none", **lots}),
        ("position", {"sample": "B", "place": "A2", "plan": "muffle"}),
        *read_rows("pulp", "charge", [("KV-1", "30.00")], "g"),
    )


def test_a_bead_is_dore_until_it_is_parted(desk: Desk, other: Desk) -> None:
    """A bead of 9.398 mg, then 1.204 mg of gold."""
    run = inquarted(desk)
    hands = Hands(run)
    hands.press("4", "enter")
    hands.enter("9.398")
    assert hands.page.sample == "B"
    hands.press("left")
    assert "9.398 ± 0.004 mg" in hands.text()
    assert "Doré: gold and silver together. Gold not determined." in hands.margin
    sample = run.results().samples[0]
    assert sample.figures["grade_gold"].value is None
    assert "313" not in sample.figures["grade_gold"].text
    hands.press("right")
    hands.enter("0.056")
    assert hands.page.name == "tray"
    hands.press("5", "enter")
    hands.enter("1.204", "0.004")
    figures = run.results().samples[0].figures
    assert figures["gold"].value == pytest.approx(1.200)
    assert figures["grade_gold"].value == pytest.approx(40.00)
    assert figures["silver"].value is None
    in_the_app(hands, inquarted(other))


# --- correcting a record -------------------------------------------------------------------------


def two_charges(desk: Desk) -> RunLog:
    """Two samples of 20.00 g."""
    return begun(
        desk,
        *sample_rows(("KV-1", "A1"), ("KV-2", "A2"), silver="none"),
        *read_rows("pulp", "charge", [("KV-1", "20.00"), ("KV-2", "20.00")], "g"),
    )


def test_a_stored_figure_is_amended_and_a_hand_in_the_file_is_found_out(
    desk: Desk, other: Desk, clock: Clock
) -> None:
    """Gold stored as 1.372 mg in 20.00 g; 1.327 is seen on the pan."""
    run = two_charges(desk)
    hands = Hands(run)
    hands.press("5", "enter")
    hands.enter("1.372")
    assert run.results().samples[0].figures["grade_gold"].value == pytest.approx(68.60)
    clock.now = clock.now.replace(hour=10, minute=14)
    hands.press("a", "enter")
    hands.enter("1.327", "digits swapped, re-read at 10:14, check weight good")
    assert run.results().samples[0].figures["grade_gold"].value == pytest.approx(66.35)
    hands.press("escape", "left")
    assert "struck 1.372  1.327 KB 10:14" in hands.text()
    amendments = [e for e in run.entries if e.kind == "amendment"]
    assert [e.values["reason"] for e in amendments] == [
        "digits swapped, re-read at 10:14, check weight good"
    ]
    in_the_app(hands, two_charges(other))
    run.close()
    data = run.file.path.read_bytes()
    for changed in (
        data.replace(b'text = "1.372"', b'text = "1.327"'),
        b"\n".join(one for one in data.split(b"\n") if b"1.372" not in one),
    ):
        run.file.path.write_bytes(changed)
        _, verdict = read_log(desk.files, run.file.path)
        assert verdict.state == "damaged"
        assert verdict.line > 0


# --- two people, one balance ---------------------------------------------------------------------


def weighed_by(run: RunLog) -> list[tuple[object, str]]:
    found: list[Entry] = [e for e in run.entries if e.kind == "reading"]
    return [(e.values["text"], e.by) for e in found if e.values["what"] == "bead"]


def six_left_open(desk: Desk) -> Stack:
    """Six samples, and the bench as the program lays it out, on the page of their tray."""
    samples = [(f"KV-{i}", f"A{i}") for i in range(1, 7)]
    begun(desk, *sample_rows(*samples)).close()
    stack = opened_bench(desk)
    stack.press("enter", None)
    return stack


def tray_of(stack: Stack) -> TrayPage:
    page = stack.pages[1]
    assert isinstance(page, TrayPage)
    return page


def test_two_people_weigh_in_turn_and_every_line_has_the_right_initials(
    desk: Desk, other: Desk
) -> None:
    stack = six_left_open(desk)
    hands = Hands(tray_of(stack).run)
    hands.stack = stack
    hands.press("4", "enter")
    for i, who in enumerate(("KB", "IM", "KB", "IM", "IM", "KB")):
        if desk.by != who:
            hands.press("k")
        if desk.by != who:
            # asked for once, for the first who is new; then one key goes from one to the other
            assert i == 1
            hands.enter(who)
        assert who in hands.text().splitlines()[0]
        hands.enter(f"0.3{i}1")
    assert weighed_by(hands.run) == [
        ("0.301", "KB"), ("0.311", "IM"), ("0.321", "KB"), ("0.331", "IM"), ("0.341", "IM"),
        ("0.351", "KB"),
    ]  # fmt: skip
    run = hands.run
    run.close()
    assert run.name is not None
    again = open_run(desk, run.name)
    assert weighed_by(again) == weighed_by(run)
    again.close()
    second = six_left_open(other)
    app_run = tray_of(second).run
    in_the_app(hands, app_run, second)


# --- the same by a real app ----------------------------------------------------------------------


def test_a_run_is_weighed_by_keyboard_alone_in_the_app(desk: Desk) -> None:
    """From an empty logbook to a stored bead: the keys go through the app itself."""
    stack = opened_bench(desk)
    app = BenchApp(stack, desk.clock)

    async def story() -> None:
        async with app.run_test(size=(80, 24)) as pilot:
            await keyed(pilot, "f", "enter", "enter", "enter", "b", "enter")
            for text in ("fine", "0.001 mg", ""):
                await typed(pilot, text)
            await keyed(pilot, "escape", "enter")
            for text in ("KV-1", ""):
                await typed(pilot, text)
            await keyed(pilot, "escape", "4", "enter", "g")
            await typed(pilot, "A1")
            await keyed(pilot, "enter")
            await typed(pilot, "0.314")

    asyncio.run(story())
    numbers = desk.book.numbers(desk.files, "MAIN")
    entries, verdict = read_log(desk.files, desk.book.logs("MAIN") / f"{numbers[0]:06}.toml")
    assert verdict.state == "sound"
    assert entries[-1].kind == "reading"
    assert entries[-1].values["text"] == "0.314"
