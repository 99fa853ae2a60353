"""The tray: drawn as agreed, moved over with arrows, and every step done by keys alone."""

from pathlib import Path

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run, practice_run
from assaybench.bench.pages.tray import TrayPage
from assaybench.bench.printing import file_of
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import text_of
from assaybench.bench.tray import Step
from assaybench.logbook.settings_fields import Settings, Tray
from tests.bench.books import DUMPS
from tests.bench.conftest import Clock
from tests.bench.furnace_run import drawn_run
from tests.bench.hands import FINE, PULP, Hands, read_rows, reopened, safety_rows, sample_rows
from tests.bench.tray_dumps import dumped_trays


@pytest.fixture
def hands(desk: Desk, clock: Clock) -> Hands:
    return Hands(drawn_run(desk, clock))


@pytest.fixture
def empty(desk: Desk) -> Hands:
    run = new_run(desk)
    run.append_all([FINE, PULP, *safety_rows()])
    return Hands(run)


# --- as drawn ------------------------------------------------------------------------------------


@pytest.mark.parametrize("ascii_only", [False, True])
def test_the_tray_is_the_page_that_was_drawn(hands: Hands, ascii_only: bool) -> None:  # noqa: FBT001
    hands.press("4")
    name = "drawn-tray-ascii" if ascii_only else "drawn-tray"
    drawn = (DUMPS / f"{name}.txt").read_text(encoding="utf-8")
    assert hands.text(ascii_only=ascii_only) == drawn


def test_the_tray_and_the_balance_are_as_dumped(desk: Desk, clock: Clock) -> None:
    pages = dumped_trays(desk, clock)
    for name, page in pages.items():
        assert page == (DUMPS / f"{name}.txt").read_text(encoding="utf-8"), name


@pytest.mark.parametrize(("rows", "columns"), [(4, 8), (8, 8), (3, 12), (10, 5), (1, 1), (26, 10)])
def test_any_plan_fits_the_page_and_keeps_the_bracket_in_sight(
    desk: Desk, rows: int, columns: int
) -> None:
    desk.settings = Settings(initials="KB", tray=Tray(rows, columns))
    run = new_run(desk)
    run.append_all(safety_rows())
    hands = Hands(run)
    for down, right in ((0, 0), (rows - 1, columns - 1), (rows // 2, 0)):
        place = f"{chr(ord('A') + down)}{right + 1}"
        hands.press("g")
        hands.enter(place)
        lines = hands.text().splitlines()
        assert len(lines) == 24
        assert max(map(len, lines)) <= 79
        assert sum("[free]" in one for one in lines) == 1
        assert len(hands.sheet.block) <= 18
        assert f"for {place}." in hands.promise


# --- the bracket ---------------------------------------------------------------------------------


def test_it_opens_at_the_step_and_place_where_the_work_was_left(hands: Hands, desk: Desk) -> None:
    run = reopened_drawn(hands, desk)
    assert run.page.step == "beads"
    assert run.page.sample == "KV-025"


def reopened_drawn(hands: Hands, desk: Desk) -> Hands:
    from assaybench.logbook.folder import LogName

    hands.run.name = LogName("MAIN", 1)
    return Hands(reopened(desk, hands.run))


def test_arrows_move_the_bracket_and_the_edges_ring(hands: Hands) -> None:
    hands.press("4", "up")
    assert hands.page.sample == "KV-020"
    assert not hands.press("left").bell
    assert hands.page.sample == "KV-019"
    assert "A5, KV-019: 1.412." in hands.margin
    assert hands.press("up").bell
    hands.press("right")
    assert hands.press("right").bell


def test_left_of_a_row_is_its_letter_and_above_the_letters_the_notch(hands: Hands) -> None:
    hands.press("3", *["left"] * 8)
    assert hands.page.bracket.place is None
    assert "row " in hands.promise
    hands.press(*["up"] * 5)
    assert "the whole tray" in hands.promise
    assert "[notch]" in hands.text()


@pytest.mark.parametrize(
    ("typed", "sample"),
    [("KV-033", "KV-033"), ("kv-033", "KV-033"), ("033", "KV-033"), ("c4", "KV-017 d")],
)
def test_a_typed_or_scanned_id_jumps_to_its_place(hands: Hands, typed: str, sample: str) -> None:
    hands.press("4", "g")
    hands.enter(typed)
    assert hands.page.sample == sample


def test_an_id_that_is_not_there_is_told_and_the_question_stays(hands: Hands) -> None:
    hands.press("4", "g")
    hands.enter("KV-999")
    assert hands.margin[0] == '"KV-999" is no sample and no place of this tray.'
    hands.press("escape")
    assert hands.page.sample == "KV-025"


# --- weigh-in ------------------------------------------------------------------------------------


def test_a_sample_is_written_down_with_its_place_and_weighed_at_once(empty: Hands) -> None:
    assert empty.promise == "Enter writes a sample down for A1."
    empty.press("enter")
    empty.enter("KV-016", "")
    assert empty.page.name == "balance"
    empty.type("30.02")
    assert "One grain of 0.1 mm is 0.34 g/t here." in empty.margin
    assert "One division of fine is 0.033 g/t here." in empty.margin
    empty.press("enter")
    assert empty.page.name == "tray"
    assert empty.kinds(3) == ["sample", "position", "reading"]
    assert empty.last("position").values["place"] == "A1"
    assert empty.promise == "Enter writes a sample down for A2."


def test_every_role_asks_for_what_it_needs(empty: Hands) -> None:
    empty.press("enter")
    empty.enter("KV-1", "s")
    empty.press("escape", "enter")
    empty.enter("B-1", "b")
    assert empty.last("sample").values == {"id": "B-1", "role": "blank"}
    empty.press("enter")
    empty.enter("P-1", "p", "1.000", "")
    assert empty.last("sample").values == {"id": "P-1", "role": "proof", "gold_known": "1.000 mg"}
    empty.press("enter")
    empty.enter("KV-1 d", "d", "A1", "f")
    values = {"id": "KV-1 d", "role": "duplicate", "of": "KV-1", "from": "field"}
    assert empty.last("sample").values == values
    empty.press("escape", "enter")
    empty.enter("KV-1 r", "r", "KV-1")
    assert empty.last("sample").values == {"id": "KV-1 r", "role": "sample", "of": "KV-1"}
    empty.press("escape", "enter")
    empty.enter("K-1", "k", "3.2 ± 0.2 g/t")
    assert empty.last("sample").values["role"] == "reference"


def test_a_bad_answer_is_told_in_the_margin_and_stores_nothing(empty: Hands) -> None:
    n = len(empty.run.entries)
    empty.press("enter")
    empty.enter("KV-1", "q")
    assert empty.margin[0].startswith('"q" is no role')
    empty.press("backspace")
    empty.enter("d", "nobody")
    assert empty.margin[0].startswith('"nobody" is no sample')
    empty.press("escape")
    assert len(empty.run.entries) == n


def test_an_id_is_given_once(empty: Hands) -> None:
    empty.press("enter")
    empty.enter("KV-1", "", "30.00")
    empty.press("enter")
    empty.enter("KV-1")
    assert empty.margin[
        0
    ] == '"KV-1" is in this run already, in A1. Give this one another id.'.replace('"', "")


def test_a_sample_is_moved_and_a_taken_place_is_refused(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    empty.press("1", "m")
    empty.enter("A2")
    assert empty.margin[0] == "A2 is the place of KV-2. Move that one first."
    empty.press("backspace", "backspace")
    empty.enter("d6")
    assert empty.last().values == {"sample": "KV-1", "place": "D6", "plan": "muffle"}
    assert empty.page.bracket == (3, 5)


# --- charge --------------------------------------------------------------------------------------


def test_a_charge_is_typed_once_and_given_to_the_others_by_enter(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2"), ("KV-3", "B1")))
    empty.press("2", "enter")
    empty.enter("8.000", "30", "K-31 S-2", "litharge", "silver", "lead foil")
    last = empty.last("amendment")
    assert last.values["silver"] == "8.000 mg"
    assert last.values["lead"] == "30 g"
    assert last.values["lots"] == ["K-31", "S-2"]
    assert [e.values["lot"] for e in empty.run.entries if e.kind == "reagent_lot"] == [
        "K-31",
        "S-2",
    ]
    same = "silver 8.000 mg, lead 30 g, lots K-31 S-2, lead foil"
    assert empty.promise == f"Enter gives A2 the same: {same}."
    empty.press("enter")
    assert empty.run.state.samples["KV-2"].text("silver") == "8.000 mg"
    empty.press("enter")
    assert empty.run.state.samples["KV-3"].texts("lots") == ["K-31", "S-2"]
    assert "3 noted, 0 to note." in empty.margin


def test_the_charge_of_the_whole_tray_is_told_and_then_asked_of_one_place(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2"), ("KV-3", "B1")))
    empty.press("2", "enter")
    empty.enter("8.000", "-", "-", "")
    empty.press(*["left"] * 8, *["up"] * 5, "enter")
    assert empty.margin[0] == "The whole tray: silver 8.000 mg. Stored."
    assert "Nothing waits at this step. Key 3: fire." in empty.margin
    assert empty.promise == "Enter asks for the charge of A1: silver, lead, lots."


def test_without_a_balance_the_tray_says_where_to_describe_one(desk: Desk) -> None:
    hands = Hands(new_run(desk))
    said = "No balance here weighs charge. Key b: describe one."
    hands.press("enter")
    assert hands.margin == [said]
    hands.press("b", "enter")
    hands.enter("pulp", "0.01 g", "")
    hands.press("escape")
    assert said not in hands.margin


def test_none_and_unknown_are_answers_and_a_row_is_given_its_charge_at_once(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2"), ("KV-3", "A3")))
    empty.press("2", "enter")
    empty.enter("n", "-", "-", "")
    assert empty.run.state.samples["KV-1"].text("silver") == "none"
    empty.press("s")
    empty.enter("u", "", "", "")
    assert empty.run.state.samples["KV-2"].text("silver") == "unknown"
    empty.press("left", "left", "left")
    assert empty.promise == "Enter gives row A the same: silver unknown."
    empty.press("enter")
    assert empty.run.state.samples["KV-3"].text("silver") == "unknown"


def test_silver_without_a_figure_is_refused(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1")))
    n = len(empty.run.entries)
    empty.press("2", "enter")
    empty.enter("eight")
    assert empty.page.sheet is not None
    assert empty.promise.startswith("Silver added to A1, mg")
    assert len(empty.run.entries) == n
    assert empty.margin[0].startswith('"eight"')


# --- fire ----------------------------------------------------------------------------------------


def test_one_key_marks_the_time_of_a_place_a_row_or_the_tray(empty: Hands, clock: Clock) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2"), ("KV-3", "B1")))
    empty.press("3", "left", "up")
    assert empty.promise == "Enter marks the whole tray in the fire, now."
    empty.press("enter")
    assert [e.values["mark"] for e in empty.run.entries[-3:]] == ["in"] * 3
    clock.go_on(14)
    empty.press("down", "d")
    assert [e.values["sample"] for e in empty.run.entries[-2:]] == ["KV-1", "KV-2"]
    empty.press("right")
    assert empty.page.board.cell("fire", "KV-1").text == "14"
    clock.go_on(16)
    empty.press("b")
    assert empty.last().values == {"sample": "KV-1", "mark": "blick"}
    empty.press("o", "right", "f", "down", "left", "d")
    assert empty.page.board.cell("fire", "KV-2").text == "frozen"
    assert "1 out, 1 frozen, 1 in the fire, 0 to go in." in empty.margin
    assert empty.press("f").bell is False
    assert empty.press("f").bell


def test_the_timer_counts_up_rings_once_and_never_blocks(empty: Hands, clock: Clock) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    empty.press("3", "m")
    empty.enter("25")
    empty.press("enter")
    assert "In the fire for 0 of 25 min." in empty.margin
    clock.go_on(24.5)
    assert empty.page.tick(clock())
    assert not empty.page.rings(clock())
    assert "In the fire for 24 of 25 min." in empty.margin
    clock.go_on(1)
    assert empty.page.tick(clock())
    assert empty.stack.rings(clock())
    assert not empty.stack.rings(clock())
    assert empty.margin[0].startswith("TIME: 25 min in the fire; 25 were asked for.")
    empty.press("4", "enter")
    assert empty.margin[0].startswith("TIME:")
    empty.type("0.314")
    empty.press("enter")
    assert empty.last().values["text"] == "0.314"


def test_the_minutes_are_in_the_log_so_a_restart_keeps_the_timer(
    empty: Hands, clock: Clock, desk: Desk
) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1")))
    empty.press("3", "m")
    empty.enter("2x5")
    empty.press("enter")
    clock.go_on(30)
    hands = Hands(reopened(desk, empty.run))
    assert hands.page.name == "fire"
    assert any(m.startswith("TIME: 30 min in the fire; 25") for m in hands.margin)


# --- lost, looks, notes --------------------------------------------------------------------------


def test_lost_asks_why_and_offers_a_repeat_that_is_linked(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    empty.press("4", "x")
    empty.enter("")
    assert empty.margin[0] == "Lost needs a word why."
    empty.enter("spat on cooling", "KV-1 r")
    assert empty.run.state.samples["KV-1"].text("lost") == "spat on cooling"
    assert empty.last("furnace_mark").values["reason"] == "spat on cooling"
    assert empty.run.state.samples["KV-1 r"].text("of") == "KV-1"
    assert empty.page.board.muffle.named("KV-1 r") == "A3"
    assert empty.page.board.word("beads", "KV-1 r") == "as A1"
    assert empty.run.results().samples[0].lost == "spat on cooling"


def test_a_lost_cupel_is_not_weighed_and_says_why(hands: Hands) -> None:
    hands.press("4", "g")
    hands.enter("D1")
    assert hands.press("enter").bell
    assert hands.margin[0] == "D1 lost: the cupel cracked."


def test_a_bead_look_is_stored_and_shown(hands: Hands) -> None:
    hands.press("4", "up", "l", "d")
    assert hands.margin[0].startswith("Dull or flat.")
    assert hands.promise == "Enter stores dull for A6."
    hands.press("enter")
    assert hands.last().values == {"sample": "KV-020", "look": "dull"}
    assert "A6 looked dull." in hands.margin


def test_a_note_is_about_its_sample(hands: Hands) -> None:
    hands.press("4", "n")
    hands.enter("brushed twice")
    assert hands.last().values == {"text": "brushed twice", "sample": "KV-025"}


# --- safety, steps, print ------------------------------------------------------------------------


def test_the_safety_line_of_a_step_is_read_once_in_a_run_and_logged(desk: Desk) -> None:
    run = new_run(desk)
    run.append_all([FINE, PULP, *sample_rows(("KV-1", "A1"))])
    hands = Hands(run)
    hands.press("3")
    assert hands.margin[0].startswith("Lead fume harms before you feel it.")
    assert hands.promise == "Enter says that you have read the safety line in the margin."
    assert not hands.press("g").bell
    hands.press("escape", "enter")
    assert hands.last().values == {"line": "safety_fire"}
    assert hands.promise == "Enter marks A1 in the fire, now."
    hands.press("enter")
    again = Hands(reopened(desk, run))
    again.press("3")
    assert not any("Lead fume" in remark for remark in again.margin)
    assert len(again.sheet.about) == 4


def test_digits_change_the_step_and_a_step_without_a_page_is_told(hands: Hands) -> None:
    for digit, step in enumerate(("weigh-in", "charge", "fire", "beads", "parting"), start=1):
        hands.press(str(digit))
        assert hands.page.step == step
        assert f"[{digit} {step.upper()}]" in hands.text()
    assert hands.press("6").bell
    assert hands.margin[0].startswith("The page of this step, results, is not here yet.")


def test_a_step_with_a_page_of_its_own_opens_it(hands: Hands) -> None:
    opened: list[RunLog] = []

    def door(run: RunLog) -> TrayPage:
        opened.append(run)
        return TrayPage(run)

    other = Hands(hands.run, TrayPage(hands.run, {"results": door}))
    other.press("6")
    assert opened == [hands.run]
    assert len(other.stack.pages) == 3


def test_the_print_holds_the_plan_and_a_blank_sheet_with_the_same_places(hands: Hands) -> None:
    hands.press("4", "p")
    path = Path(hands.margin[0].removeprefix("Printed to "))
    text = path.read_text(encoding="utf-8")
    assert path.parent == hands.run.desk.book.reports
    assert text.isascii()
    assert max(map(len, text.splitlines())) <= 79
    assert "A   0.298   0.314" in text
    assert [one[:2] for one in text.splitlines() if ". . ." not in one and "......" in one] == [
        f"{row}{column}" for row in "ABCD" for column in range(1, 7) if (row, column) != ("D", 1)
    ], "a line for each but the lost one"
    assert any(one.startswith("D1") and one.endswith("lost") for one in text.splitlines())


def test_practice_says_so_on_the_page_and_on_every_printed_line(desk: Desk) -> None:
    run = practice_run(desk)
    run.append_all([FINE, PULP, *sample_rows(("KV-1", "A1")), *safety_rows()])
    hands = Hands(run)
    hands.press("4")
    assert hands.sheet.left == "PRACTICE run"
    assert hands.promise.startswith("PRACTICE: ")
    hands.press("p")
    path = Path(hands.margin[0].removeprefix("Printed to "))
    assert all(one.startswith("PRACTICE ") for one in path.read_text("utf-8").splitlines())
    assert path.parent == desk.practice
    hands.press("enter")
    hands.type("0.3")
    assert hands.promise.startswith("PRACTICE: Enter stores 0.3 mg for A1")


def test_a_damaged_log_is_shown_and_takes_nothing(hands: Hands, desk: Desk) -> None:
    from assaybench.bench.openings import open_run
    from assaybench.logbook.folder import LogName

    hands.run.close()
    path = desk.book.log(LogName("MAIN", 1))
    data = path.read_bytes()
    path.write_bytes(data.replace(b'text = "1.412"', b'text = "1.413"'))
    run = open_run(desk, LogName("MAIN", 1))
    page = Hands(run)
    page.press("4", "n")
    page.enter("x")
    assert "damaged" in page.margin[0]
    assert path.read_bytes().count(b"1.413") == 1


def test_readings_fill_the_upper_line_and_long_ones_are_cut_to_fit(empty: Hands) -> None:
    rows = sample_rows(("KV-1", "A1"), ("KV-2", "A2"))
    rows += read_rows("fine", "bead", [("KV-1", "123.456"), ("KV-2", "0.310")], "mg")
    rows += read_rows("fine", "bead", [("KV-2", "0.312")], "mg")
    empty.run.append_all(rows)
    board = empty.run.board()
    assert board.cell("beads", "KV-1").text == "123.46"
    assert board.cell("beads", "KV-2").text == "0.311"


def test_a_frozen_cupel_that_was_saved_drives_on(empty: Hands, clock: Clock) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1")))
    empty.press("3", "enter")
    clock.go_on(10)
    empty.press("f")
    assert empty.page.board.cell("fire", "KV-1").text == "frozen"
    assert empty.promise == "A1: 1 frozen. Key d when it drives again, o when it is out."
    clock.go_on(5)
    empty.press("d")
    assert empty.page.board.cell("fire", "KV-1") == ("begun", "15")
    empty.press("enter")
    assert empty.page.board.cell("fire", "KV-1").text == "out"


def test_a_long_offer_leaves_room_to_type(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    lots = " ".join(f"LOT-{i:04}" for i in range(12))
    empty.press("2", "enter")
    empty.enter("8.000", "30", lots, *["lead"] * 12, "")
    empty.press("s")
    empty.enter("", "")
    empty.type("K-31")
    assert empty.text().splitlines()[22].rstrip("_").endswith("K-31")


def test_a_frozen_cupel_is_not_told_to_be_out(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1"), ("KV-2", "A2")))
    empty.press("3", "g")
    empty.enter("A1")
    empty.press("enter", "f")
    assert empty.promise == "A1: 1 frozen. Key d when it drives again, o when it is out."
    assert "0 out, 1 frozen, 1 to go in." in empty.margin
    empty.press("left")
    assert empty.promise == "Enter marks row A in the fire, now."
    empty.press("right", "o")
    assert empty.promise == "All of A1 is out. Step 4 weighs the beads."


def test_a_repeat_on_a_full_tray_stands_in_a_row_more(desk: Desk) -> None:
    desk.settings = Settings(initials="KB", tray=Tray(1, 2))
    run = new_run(desk)
    run.append_all([FINE, PULP, *safety_rows(), *sample_rows(("KV-1", "A1"), ("KV-2", "A2"))])
    hands = Hands(run)
    hands.press("3", "g")
    hands.enter("A1")
    hands.press("x")
    hands.enter("boiled over", "KV-1 r")
    hands.press("1", "g")
    hands.enter("KV-1 r")
    assert hands.promise == "Enter goes to the balance with B1."
    assert "B" in [row.strip()[:1] for row in hands.text().splitlines()]


def test_the_blank_sheet_names_what_is_weighed_and_who_is_lost(empty: Hands) -> None:
    long = "Plover-Kettle-Gulch-04"
    empty.run.append_all(sample_rows(("KV-1", "A1"), (long, "A2")))
    empty.press("4", "g")
    empty.enter("A1")
    empty.press("x")
    empty.enter("boiled over", "")
    empty.press("p")
    text = file_of(empty.run, "beads").read_text()
    assert "Weighing sheet of Furnace run 0001, step beads: bead, mg" in text
    rows = {row.split()[1]: row for row in text.splitlines() if row[:2] in ("A1", "A2")}
    assert "lost" in rows["KV-1"]
    assert "...." not in rows["KV-1"]
    assert rows[long].count("...........") == 3
    assert max(map(len, text.splitlines())) <= 79


@pytest.mark.parametrize(
    ("step", "heads"),
    [
        ("charge", ["silver,", "mg", "lead,", "g", "lots"]),
        ("fire", ["in", "opens", "blick/flash", "out"]),
    ],
)
def test_a_step_that_weighs_nothing_has_a_sheet_of_its_own(
    empty: Hands, step: Step, heads: list[str]
) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1")))
    empty.press({"charge": "2", "fire": "3"}[step], "p")
    text = file_of(empty.run, step).read_text()
    sheet = text[text.index("Sheet of") :]
    assert f"Sheet of Furnace run 0001, step {step}\n" in sheet
    assert "Check weight" not in sheet
    assert sheet.splitlines()[3].split()[3:] == heads
    row = next(row for row in sheet.splitlines() if row.startswith("A1"))
    assert row.count("...........") == (3 if step == "charge" else 4)
    assert max(map(len, text.splitlines())) <= 79


def test_who_has_no_charge_has_nothing_to_fill_in_at_weigh_in(empty: Hands) -> None:
    empty.run.append_all(
        [
            (k, {**v, "role": "blank"} if k == "sample" else v)
            for k, v in sample_rows(("blank 1", "A1"))
        ]
    )
    empty.press("1", "p")
    sheet = file_of(empty.run, "weigh-in").read_text().partition("Weighing sheet")[2]
    assert next(r for r in sheet.splitlines() if r.startswith("A1")).endswith("no charge")


def test_how_it_parted_is_told_without_a_word_cut(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1")))
    empty.press("5", "l")
    assert empty.promise == "Enter asks for acids and minutes, then stores whole for A1."
    assert "when you want to note" in empty.text()
    assert any(text_of(one).strip() == "them." for one in empty.sheet.block)
    empty.press("enter")
    empty.enter("3 x 10 min")
    assert empty.last("parting").values["steps"] == "3 x 10 min"


def test_a_plan_wider_than_the_page_says_so_and_is_printed_whole(desk: Desk) -> None:
    desk.settings = Settings(initials="KB", tray=Tray(5, 10))
    run = new_run(desk)
    ids = [(f"KV-{i:03}", f"{'ABCDE'[i // 10]}{i % 10 + 1}") for i in range(50)]
    run.append_all([FINE, PULP, *safety_rows(), *sample_rows(*ids)])
    hands = Hands(run)
    hands.press("4")
    assert "In sight: places 1 to 6 of 10." in hands.margin
    assert "  007" not in hands.text()
    assert hands.text().splitlines()[4][:56].endswith("6     >")
    hands.press("g")
    hands.enter("C10")
    assert hands.text().splitlines()[4].startswith("     <   5")
    assert "In sight: places 5 to 10 of 10." in hands.margin
    hands.press("p")
    page = file_of(run, "beads").read_text().split("Weighing sheet")[0]
    words = page.replace("[", " ").replace("]", " ").split()
    assert [word for word in words if word.isdigit() and len(word) == 3] == [
        f"{i:03}" for first, last in ((0, 6), (6, 10)) for row in range(5)
        for i in range(10 * row + first, 10 * row + last)
    ]  # fmt: skip
    assert "In sight" not in page
    assert page.count("[next]") + page.count("[.]") == 1, "one bracket, in its own place"
    assert max(map(len, page.splitlines())) <= 79


def test_a_plan_deeper_than_the_page_says_which_rows_are_in_sight(desk: Desk) -> None:
    desk.settings = Settings(initials="KB", tray=Tray(10, 4))
    run = new_run(desk)
    run.append_all([FINE, PULP, *safety_rows(), *sample_rows(("KV-1", "A1"))])
    hands = Hands(run)
    hands.press("4")
    assert "In sight: rows A to G of J." in hands.margin


def test_no_key_does_the_work_of_a_step_before_its_line_is_read(desk: Desk) -> None:
    run = new_run(desk)
    run.append_all([FINE, PULP, *sample_rows(("KV-1", "A1"), ("KV-2", "A2"))])
    hands = Hands(run)
    for step, keys in (("2", "s"), ("3", "dbof"), ("4", "l"), ("5", "l")):
        hands.press(step)
        n = len(run.entries)
        for key in keys:
            assert hands.press(key).bell, (step, key)
            assert "Read the line of safety above first: Enter says that you have." in hands.margin
            assert hands.sheet.keys[0] == "enter.read"
            assert not {"charge", "drives", "blick", "out", "frozen", "look"} & {*hands.sheet.keys}
        assert len(run.entries) == n
        hands.press("enter")
        assert hands.last().kind == "safety_read"
        hands.press(keys[0])
        assert not hands.margin[0].startswith("Read the line of safety")
        hands.press("escape" if step != "3" else "left")
    assert [e.values["mark"] for e in run.entries if e.kind == "furnace_mark"] == ["drives"]


def test_a_cupel_may_be_noted_as_lost_before_the_line_is_read(desk: Desk) -> None:
    run = new_run(desk)
    run.append_all([FINE, *sample_rows(("KV-1", "A1"))])
    hands = Hands(run)
    hands.press("3", "x")
    hands.enter("cracked", "")
    assert run.state.samples["KV-1"].text("lost") == "cracked"


def test_a_capital_letter_marks_nothing_in_the_fire(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1")))
    empty.press("3")
    n = len(empty.run.entries)
    for key in "DBOFX":
        assert empty.press(key).bell
    assert len(empty.run.entries) == n


def test_a_mark_in_the_fire_that_was_a_slip_is_withdrawn_where_it_is_seen(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1")))
    empty.press("3", "enter", "o")
    assert empty.page.board.cell("fire", "KV-1").text == "out"
    empty.press("a", "down", "enter")
    assert "furnace mark" in empty.text()
    empty.enter("wrong cupel")
    assert "      wrong cupel" in empty.text()
    empty.press("escape")
    assert empty.page.board.cell("fire", "KV-1").text == "in"


def test_another_size_of_the_tray_counts_at_once(empty: Hands) -> None:
    settings = empty.run.desk.settings
    assert (empty.page.plan.rows, empty.page.plan.columns) == (4, 6)
    empty.run.desk.settings = settings._replace(tray=Tray(5, 10))
    assert (empty.page.plan.rows, empty.page.plan.columns) == (5, 10)
