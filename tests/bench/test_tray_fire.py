"""The tray in the fire: times marked by one key, the timer, frozen and lost cupels, safety."""

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.sheet import text_of
from assaybench.logbook.settings_fields import Settings, Tray
from tests.bench.conftest import Clock
from tests.bench.hands import FINE, PULP, Hands, reopened, safety_rows, sample_rows
from tests.bench.tray_hands import empty, hands

__all__ = ["empty", "hands"]


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


def test_how_it_parted_is_told_without_a_word_cut(empty: Hands) -> None:
    empty.run.append_all(sample_rows(("KV-1", "A1")))
    empty.press("5", "l")
    assert empty.promise == "Enter asks for acids and minutes, then stores whole for A1."
    assert "when you want to note" in empty.text()
    assert any(text_of(one).strip() == "them." for one in empty.sheet.block)
    empty.press("enter")
    empty.enter("3 x 10 min")
    assert empty.last("parting").values["steps"] == "3 x 10 min"


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
