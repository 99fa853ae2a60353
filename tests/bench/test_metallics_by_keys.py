"""Screen metallics and other samples in parts, written down and weighed by keys alone.

The numbers are those of the scenario: 1000.0 g of pulp; plus 24.6 g, all fused, 3.812 mg of gold;
minus 975.4 g, two assays of 30.00 g with 0.063 and 0.069 mg.
"""

import asyncio
import random
import re
from pathlib import Path

import pytest

from assaybench.bench.app import BenchApp
from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.run_log import RunLog
from assaybench.bench.stack import Stack
from assaybench.logbook.logfile import Row
from assaybench.logbook.reading import read_log
from assaybench.record.wholes import Whole, wholes
from tests.bench.books import opened_bench, shown
from tests.bench.conftest import Clock, desk_in
from tests.bench.hands import FINE, PULP, Hands, reopened, safety_rows
from tests.bench.patience import keyed
from tests.bench.test_random_keys import pressed

COARSE: Row = ("balance", {"name": "coarse", "step": "0.1 g", "weighs": ["total", "plus", "minus"]})
BULLION: Row = ("balance", {"name": "bullion", "step": "0.01 mg", "weighs": ["charge", "gold"]})
BAR: Row = ("balance", {"name": "bar", "step": "0.1 g", "weighs": ["product"]})
NAMED = {" ": "space", ".": "full_stop", "-": "minus"}


def begun(desk: Desk, *rows: Row) -> RunLog:
    run = new_run(desk)
    run.append_all([*(rows or (FINE, PULP, COARSE)), *safety_rows()])
    return run


@pytest.fixture
def hands(desk: Desk) -> Hands:
    return Hands(begun(desk))


def first_part(hands: Hands) -> None:
    """Plus is written down, and the screened sample with it; all four masses are weighed."""
    hands.press("enter")
    hands.enter("S plus", "m", "p", "S")
    hands.enter("1000.0", "24.6", "975.4", "24.60")


def weighed_in(hands: Hands) -> None:
    """The screened sample and its three parts, from an empty tray."""
    first_part(hands)
    for name in ("S minus a", "S minus b"):
        hands.press("enter")
        hands.enter(name, "m", "m", "S", "30.00")


def screened(hands: Hands) -> None:
    """The scenario, from an empty tray to the last gold."""
    weighed_in(hands)
    hands.press("5", "enter")
    hands.enter("3.812", "0.063", "0.069")


def the_whole(run: RunLog) -> Whole:
    (found,) = wholes(run.results())
    return found


def readings(run: RunLog) -> list[tuple[str, str, str, str]]:
    return [(r.sample, r.what, r.entry.text("text"), r.balance.name) for r in run.state.readings]


# --- the scenario --------------------------------------------------------------------------------


def test_every_number_of_the_scenario_follows_from_what_was_typed(hands: Hands) -> None:
    screened(hands)
    run = hands.run
    assert readings(run) == [
        ("S", "total", "1000.0", "coarse"),
        ("S", "plus", "24.6", "coarse"),
        ("S", "minus", "975.4", "coarse"),
        ("S plus", "charge", "24.60", "pulp"),
        ("S minus a", "charge", "30.00", "pulp"),
        ("S minus b", "charge", "30.00", "pulp"),
        ("S plus", "gold", "3.812", "fine"),
        ("S minus a", "gold", "0.063", "fine"),
        ("S minus b", "gold", "0.069", "fine"),
    ]
    assert [e for e in run.entries if e.kind == "asked"] == []
    values = {name: figure.value for name, figure in the_whole(run).figures.items()}
    assert values["minus_grade"] == pytest.approx(2.20)
    assert values["plus_metal"] == pytest.approx(3.812)
    assert values["minus_metal"] == pytest.approx(2.146, abs=0.0005)
    assert values["grade_gold"] == pytest.approx(5.958, abs=0.0005)
    assert values["coarse_share"] == pytest.approx(64, abs=0.5)
    grades = {s.id: s.figures["grade_gold"].value for s in run.results().samples if s.part}
    assert grades["S minus a"] == pytest.approx(2.10)
    assert grades["S minus b"] == pytest.approx(2.30)
    said = " ".join(flag.text for flag in the_whole(run).flags)
    assert "The simple mean of the 3 assays, 53.1 g/t, is not a grade." in said
    assert "An assay of the minus alone would have said 2.2 g/t." in said
    assert "closure_fails" not in {flag.code for flag in the_whole(run).flags}


def from_an_empty_logbook(hands: Hands) -> None:
    """Balances are described and safety lines are read too; at last the page of the results."""
    hands.press("f", "enter", "enter", "enter", "b")
    for answers in (("fine", "0.001 mg", ""), ("coarse", "0.1 g", "total plus minus"),
                    ("pulp", "0.01 g", "charge")):  # fmt: skip
        hands.press("a")
        hands.enter(*answers)
    hands.press("escape")
    weighed_in(hands)
    hands.press("5", "enter", "enter")
    hands.enter("3.812", "0.063", "0.069")
    hands.press("6", *["up"] * 4)


def in_the_app(stack: Stack, clock: Clock, keys: list[str]) -> str:
    """The page that is shown after keys were pressed in the app itself."""

    async def story() -> str:
        async with BenchApp(stack, clock).run_test(size=(80, 24)) as pilot:
            await keyed(pilot, *(NAMED.get(key, key) for key in keys))
            return shown(stack)

    return asyncio.run(story())


def test_a_screened_sample_is_weighed_in_by_keyboard_in_the_app(
    hands: Hands, tmp_path: Path
) -> None:
    first_part(hands)
    run = begun(desk_in(tmp_path / "other", Clock()))
    seen = in_the_app(Hands(run).stack, Clock(), hands.pressed)
    assert readings(run) == readings(hands.run)
    assert "Enter writes a sample down for A2." in seen


@pytest.mark.long
def test_the_scenario_goes_through_the_app_by_keyboard_from_an_empty_logbook(
    hands: Hands, tmp_path: Path
) -> None:
    screened(hands)
    hands.run.close()
    by_keys = Hands(hands.run)
    by_keys.stack = opened_bench(desk_in(tmp_path / "by keys", Clock()))
    from_an_empty_logbook(by_keys)
    stack = opened_bench(desk_in(tmp_path / "other", Clock()))
    seen = in_the_app(stack, Clock(), by_keys.pressed)
    for page in (by_keys.page, stack.top):
        assert isinstance(page, ResultsPage)
        assert readings(page.run) == readings(hands.run)
        page.run.close()
    assert re.search(r"> S +- +6\.0 ± \S+ +metallics", seen)
    assert re.search(r"grade of what passed the screen [ .]+ 2\.2 ± ", seen)
    assert re.search(r"gold on the screen [ .]+ 3\.812", seen)
    assert re.search(r"gold that passed [ .]+ 2\.1 ± ", seen)
    assert re.search(r"of it coarse [ .]+ 64 ± ", seen)


# --- the dialogue --------------------------------------------------------------------------------


def test_the_page_says_which_mass_of_which_sample_is_on_the_pan(hands: Hands) -> None:
    hands.press("enter")
    hands.enter("S plus", "m")
    assert hands.promise == "S plus is which part:"
    hands.enter("p")
    assert hands.promise == "S plus is plus of:"
    hands.enter("S")
    assert hands.kinds(3) == ["sample", "sample", "position"]
    assert "Type the reading of total of S as displayed, then Enter." in hands.text()
    assert hands.margin[0].startswith("All of the sample, dry, before the screen.")
    hands.type("1000.0")
    assert hands.promise == "Enter stores 1000.0 g for total of S and moves to plus of S."
    hands.press("enter")
    assert "All that stayed on the screen." in hands.margin
    for key in ("l", "x"):
        assert hands.press(key).bell
    hands.enter("24.6", "975.4")
    assert hands.promise == "Type the reading of A1 as displayed, then Enter."
    assert "This is plus of S." in hands.margin
    hands.enter("24.60")
    assert hands.page.name == "tray"
    assert hands.promise == "Enter writes a sample down for A2."


def test_the_screened_sample_has_no_place_and_waits_at_no_step(hands: Hands) -> None:
    screened(hands)
    board = hands.run.board()
    for step in ("weigh-in", "charge", "fire", "beads", "parting"):
        assert "S" not in board.plan(step).of
        assert "S" not in board.due(step)
    assert sorted(board.muffle.of) == ["S minus a", "S minus b", "S plus"]
    hands.press("4", "right")
    assert "A1 is plus of S." in hands.margin
    hands.press("g")
    hands.enter("S")
    assert hands.page.sample == "S plus"


def test_a_sample_that_had_a_place_gives_it_up_when_only_its_parts_are_assayed(
    hands: Hands,
) -> None:
    hands.press("enter")
    hands.enter("S", "")
    hands.press("escape", "enter")
    hands.enter("S plus", "m", "p", "A1")
    assert hands.run.board().muffle.of == {"S plus": (0, 1)}
    assert tuple(hands.page.thing) == ("S", "total")
    hands.press("escape")
    assert hands.promise == "Enter writes a sample down for A1."


def test_a_sample_with_a_charge_of_its_own_keeps_its_place(hands: Hands) -> None:
    hands.press("enter")
    hands.enter("S", "", "30.00")
    hands.press("enter")
    hands.enter("S plus", "m", "p", "S")
    assert set(hands.run.board().muffle.of) == {"S", "S plus"}
    hands.press("escape", "4", "right", "g")
    hands.enter("S")
    assert hands.page.sample == "S"


def test_a_mass_that_is_missing_is_asked_for_again_and_any_can_be_repeated(
    hands: Hands, desk: Desk
) -> None:
    hands.press("enter")
    hands.enter("S plus", "m", "p", "S", "1000.0")
    hands.press("escape")
    assert hands.run.board().due("weigh-in") == ["S plus"]
    again = Hands(reopened(desk, hands.run))
    assert again.promise == "Enter goes to the balance with A1."
    again.press("enter")
    assert tuple(again.page.thing) == ("S", "plus")
    again.enter("24.6")
    again.press("up", "up")
    assert tuple(again.page.thing) == ("S", "total")
    again.press("r")
    again.enter("1000.1")
    again.enter()
    assert tuple(again.page.thing) == ("S", "minus")
    totals = [r.entry.text("text") for r in again.run.state.readings if r.what == "total"]
    assert totals == ["1000.0", "1000.1"]


def test_charge_weighed_first_leaves_the_masses_of_the_whole_to_do(hands: Hands) -> None:
    hands.press("enter")
    hands.enter("S plus", "m", "p", "S")
    hands.press("up")
    assert tuple(hands.page.thing) == ("S plus", "charge")
    hands.enter("24.60")
    assert hands.run.board().cell("weigh-in", "S plus") == ("to do", "24.60")
    assert tuple(hands.page.thing) == ("S", "total")


def test_without_a_total_the_arrow_goes_on_and_it_waits_no_more(hands: Hands) -> None:
    hands.press("enter")
    hands.enter("S plus", "m", "p", "S")
    hands.press("down")
    hands.enter("24.6", "975.4", "24.60")
    assert hands.page.name == "tray"
    assert hands.run.board().due("weigh-in") == []


def test_the_screened_sample_is_named_by_the_place_of_a_part_too(hands: Hands) -> None:
    screened(hands)
    hands.press("1", "enter")
    hands.enter("S minus c", "m", "m", "A1")
    assert hands.run.state.samples["S minus c"].values["of"] == "S"
    hands.press("escape", "enter")
    hands.enter("S minus a r", "d", "A2", "p")
    values = {"id": "S minus a r", "role": "duplicate", "of": "S", "part": "minus", "from": "pulp"}
    assert hands.run.state.samples["S minus a r"].values == values


def test_gold_of_minus_is_held_against_minus_and_never_against_plus(hands: Hands) -> None:
    weighed_in(hands)
    hands.press("5", "enter")
    hands.enter("3.812", "0.063")
    assert not any("look again" in remark for remark in hands.margin)
    hands.enter("0.69")
    assert "A3 0.69 mg is about 10 times its duplicate A2 (0.063 mg)" in " ".join(hands.margin)
    assert hands.promise == "Type what you see now:"
    hands.enter("0.069")
    assert hands.last("asked").values["typed"] == "0.69"


def test_a_repeat_of_a_lost_part_is_the_same_part(hands: Hands) -> None:
    screened(hands)
    hands.press("4", "g")
    hands.enter("A2")
    hands.press("x")
    hands.enter("spat", "S minus c")
    entry = hands.run.state.samples["S minus c"]
    assert (entry.text("of"), entry.text("part")) == ("S", "minus")
    assert the_whole(hands.run).figures["minus_grade"].value == pytest.approx(2.30)


def test_an_answer_that_will_not_do_is_told_and_stores_nothing(hands: Hands) -> None:
    hands.press("enter")
    hands.enter("B-1", "b")
    n = len(hands.run.entries)
    hands.press("enter")
    hands.enter("X", "m", "q")
    assert hands.margin[0].startswith('"q" is no part')
    hands.press("backspace")
    hands.enter("p", "X")
    assert hands.margin[0].startswith("X cannot have this part")
    hands.press("backspace")
    hands.enter("B-1")
    assert hands.margin[0].startswith("B-1 cannot have this part")
    hands.press("escape")
    assert len(hands.run.entries) == n


def test_a_screened_sample_cannot_be_a_bar(hands: Hands) -> None:
    screened(hands)
    n = len(hands.run.entries)
    hands.press("1", "enter")
    hands.enter("S 1", "m", "b", "S")
    assert hands.margin[0].startswith("S has parts already")
    assert len(hands.run.entries) == n


@pytest.mark.parametrize("seed", range(3))
def test_keys_at_random_on_a_screened_sample_do_no_harm(
    desk: Desk, clock: Clock, seed: int
) -> None:
    run = begun(desk)
    hands = Hands(run)
    hands.press("enter")
    hands.enter("S plus", "m", "p", "S", "1000.0", "24.6")
    before = [*run.entries]
    draws = random.Random(seed)
    for _ in range(12):
        again = Hands(run)
        again.press("1", "enter")
        pressed(again.stack, clock, draws, 20)
    assert len(run.entries) > len(before)
    assert run.entries[: len(before)] == before
    run.close()
    entries, verdict = read_log(desk.files, run.file.path)
    assert len(entries) == len(run.entries)
    assert verdict.state == "sound"


# --- a bar, slag and cupel ------------------------------------------------------------------------


def test_a_bar_is_weighed_with_its_first_piece_and_its_proof_is_named(desk: Desk) -> None:
    """Pieces of 250.02 and 249.98 mg, cornets of 228.31 and 228.27 mg; 227.62 of 227.50 mg."""
    hands = Hands(begun(desk, BULLION, BAR))
    hands.press("enter")
    hands.enter("D-4 a", "m", "b", "D-4", "1240.6", "250.02")
    hands.press("enter")
    hands.enter("D-4 b", "m", "b", "D-4", "249.98")
    hands.press("enter")
    hands.enter("P", "p", "227.50", "", "D-9")
    assert hands.margin[0] == '"D-9" is no bar of this run. Enter alone: none.'
    hands.press("backspace")
    hands.enter("4")
    hands.press("5", "enter")
    hands.enter("228.31", "228.27", "227.62")
    figures = the_whole(hands.run).figures
    assert figures["fineness"].value == pytest.approx(912.68, abs=0.005)
    assert figures["fine_gold"].value == pytest.approx(1132.27, abs=0.02)


@pytest.mark.parametrize("part", ["slag", "cupel"])
def test_what_the_fire_left_is_treated_again_without_a_charge(hands: Hands, part: str) -> None:
    hands.press("enter")
    hands.enter("KV-1", "", "20.00")
    hands.press("enter")
    hands.enter("KV-1 again", "m", part[0], "nobody")
    assert hands.margin[0].startswith('"nobody" is no sample')
    hands.press(*["backspace"] * 6)
    hands.enter("A1")
    assert hands.page.name == "tray"
    assert hands.last("sample").values["of"] == "KV-1"
    assert hands.run.board().cell("weigh-in", "KV-1 again").status == "none"
    hands.press("5", "enter")
    hands.enter("1.000", "0.020")
    gold = next(s for s in hands.run.results().samples if s.id == "KV-1").figures["gold"]
    assert gold.value == pytest.approx(1.020)
