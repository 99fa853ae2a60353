"""At the balance: drawn as agreed; digits make the reading, one key does each of the rest."""

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.figures import large
from assaybench.bench.openings import new_run
from assaybench.bench.pages.balance import BalancePage
from assaybench.bench.tray import Step
from assaybench.logbook.faults import NotDone
from assaybench.logbook.logfile import Row
from tests.bench.books import DUMPS
from tests.bench.conftest import Clock
from tests.bench.furnace_run import drawn_run
from tests.bench.hands import FINE, PULP, Hands, read_rows, safety_rows, sample_rows


@pytest.fixture
def hands(desk: Desk, clock: Clock) -> Hands:
    """The balance with B6, as it was drawn."""
    run = drawn_run(desk, clock)
    clock.go_on(2)
    return Hands(run, BalancePage(run, "beads", "KV-025"))


def at_balance(desk: Desk, step: Step, *rows: Row, fine: Row = FINE) -> Hands:
    """Two samples and the first of them on the pan."""
    run = new_run(desk)
    pair = sample_rows(("KV-1", "A1"), ("KV-2", "A2"))
    run.append_all([fine, PULP, *pair, *safety_rows(), *rows])
    return Hands(run, BalancePage(run, step, "KV-1"))


def test_it_differs_from_the_drawing_only_where_the_sum_says_so(hands: Hands) -> None:
    hands.type("0.184")
    drawn = (DUMPS / "drawn-balance.txt").read_text(encoding="utf-8").splitlines()
    other = [(a, b) for a, b in zip(drawn, hands.text().splitlines(), strict=True) if a != b]
    assert [b.split("│")[1].strip() for _, b in other] == ["times: ± 0.97 %."]


# --- typing --------------------------------------------------------------------------------------


def test_digits_and_one_mark_make_the_reading_and_it_stands_there_as_typed(hands: Hands) -> None:
    hands.type("0,18")
    assert hands.promise == "Enter stores 0,18 mg for B6 and moves to C1."
    assert hands.press(".").bell
    hands.press("backspace", "9")
    hands.press("enter")
    assert hands.last().values["text"] == "0,19"
    assert hands.page.sample == "KV-026"
    assert hands.margin[0] == "B6: 0,19 mg is stored, KB."


def test_a_letter_never_gets_into_a_reading(hands: Hands) -> None:
    hands.type("0.1")
    assert hands.press("q").bell
    assert hands.page.text == "0.1"


def test_half_a_reading_is_not_stored(hands: Hands) -> None:
    n = len(hands.run.entries)
    hands.type("-")
    assert hands.promise == "Reading: -"
    assert hands.press("enter").bell
    assert hands.press("escape").bell is False
    assert hands.press("enter").bell
    assert len(hands.run.entries) == n
    assert hands.margin[0] == "Type the reading of B6 first."


def test_escape_takes_the_reading_back_first_and_leaves_then(hands: Hands) -> None:
    hands.type("0.184")
    hands.press("escape")
    assert hands.page.text == ""
    hands.press("escape")
    assert hands.page.name == "contents"


def test_arrows_go_to_another_place_without_storing(hands: Hands) -> None:
    n = len(hands.run.entries)
    hands.press("left")
    assert hands.page.sample == "proof 1"
    assert "1.031 ± 0.004 mg, 1031 divisions" in hands.text()
    hands.press("right", "right")
    assert hands.page.sample == "KV-026"
    assert len(hands.run.entries) == n


# --- storing -------------------------------------------------------------------------------------


def test_repeats_are_stored_one_by_one_and_the_page_stays(desk: Desk) -> None:
    hands = at_balance(desk, "beads")
    hands.type("0.184")
    hands.press("r")
    assert hands.last().values["text"] == "0.184"
    assert hands.page.sample == "KV-1"
    hands.type("0.186")
    hands.press("r")
    hands.enter("0.185")
    texts = [r.entry.text("text") for r in hands.run.state.readings if r.what == "bead"]
    assert texts == ["0.184", "0.186", "0.185"]
    assert hands.page.sample == "KV-2"
    hands.press("left")
    assert "3 readings" in hands.text()
    assert hands.promise == "Enter moves to A2. A figure typed now is a repeat."


def test_repeats_that_disagree_are_kept_no_mean_is_taken_and_the_page_stays(desk: Desk) -> None:
    hands = at_balance(desk, "beads")
    hands.type("0.184")
    hands.press("r")
    hands.enter("0.194", "0.194")
    assert hands.page.sample == "KV-1"
    assert "2 readings disagree: no mean is taken" in hands.text()
    assert "No mean taken." in hands.margin
    # a mean that nobody takes, 0.189, is not shown either
    shown = hands.text()
    assert all(part.strip() in shown for part in large("0.194", 30))
    assert not all(part.strip() in shown for part in large("0.189", 30))


def test_a_zero_is_stored_before_and_shown(desk: Desk) -> None:
    hands = at_balance(desk, "beads")
    assert "no zero read yet" in hands.text()
    hands.press("z")
    assert hands.promise == "Zero as displayed, mg:"
    hands.enter("0.001")
    assert hands.last().values == {
        "what": "zero", "text": "0.001", "unit": "mg", "balance": "fine"
    }  # fmt: skip
    assert "zero 0.001 before" in hands.text()
    hands.type("0.185")
    assert "0.184 ± 0.004 mg" in hands.text()


def test_what_is_typed_becomes_a_zero_by_one_key(desk: Desk) -> None:
    hands = at_balance(desk, "beads")
    hands.type("0.002")
    hands.press("z")
    assert hands.promise == "Enter stores 0.002 mg as a zero; A1 waits."
    hands.press("enter")
    assert hands.last().values["what"] == "zero"
    assert hands.page.sample == "KV-1"


def test_an_impossible_reading_is_stored_as_read_and_flagged(desk: Desk) -> None:
    hands = at_balance(desk, "parting", *read_rows("fine", "bead", [("KV-1", "1.204")], "mg"))
    hands.type("1.372")
    assert any(
        m.startswith("Gold 1.372 mg is heavier than its bead 1.204 mg") for m in hands.margin
    )
    hands.press("enter")
    assert hands.promise == "Type what you see now:"
    hands.enter("1.372")
    assert hands.kinds(2) == ["asked", "reading"]
    assert hands.last().values["text"] == "1.372"
    result = hands.run.results().samples[0]
    assert result.figures["gold"].value is None


def test_a_reading_far_below_zero_is_stored_and_keeps_the_page(desk: Desk) -> None:
    hands = at_balance(desk, "beads")
    hands.enter("-0.500")
    if hands.promise.startswith("Type what you see"):
        hands.enter("-0.500")
    assert hands.last().values["text"] == "-0.500"
    assert hands.page.sample == "KV-1"
    assert "Below zero." in hands.margin


def test_a_reading_that_cannot_be_stored_stays_typed_and_says_why(desk: Desk) -> None:
    hands = at_balance(desk, "beads")
    n = len(hands.run.entries)
    hands.run.file.close()
    hands.type("0.184")
    assert hands.press("enter").bell
    assert "closed" in hands.margin[0]
    assert hands.page.text == "0.184"
    assert len(hands.run.entries) == n
    with pytest.raises(NotDone):
        hands.run.append("note", {"text": "x"})


# --- slips ---------------------------------------------------------------------------------------


def test_a_slip_is_asked_about_in_the_margin_and_what_is_seen_counts(desk: Desk) -> None:
    hands = at_balance(desk, "beads", *read_rows("fine", "bead", [("KV-1", "0.314")], "mg"))
    n = len(hands.run.entries)
    hands.type("3.14")
    assert hands.press("enter").bell
    assert len(hands.run.entries) == n
    assert hands.margin[0].startswith("Please look again: A1 3.14 mg is 10 times")
    assert hands.promise == "Type what you see now:"
    hands.enter("0.315")
    asked, reading = hands.run.entries[-2:]
    assert asked.values["typed"] == "3.14"
    assert asked.values["confirmed"] == "0.315"
    assert reading.values["text"] == "0.315"


def test_escape_gives_up_what_was_typed_and_nothing_is_stored(desk: Desk) -> None:
    hands = at_balance(desk, "beads", *read_rows("fine", "bead", [("KV-1", "0.314")], "mg"))
    n = len(hands.run.entries)
    hands.enter("3.14")
    hands.press("escape")
    assert hands.promise.startswith("Enter moves to A2.")
    assert len(hands.run.entries) == n


# --- margin --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "verdict", "said"),
    [
        ("0.002", "Not detected.", "Not zero: up to 0.0066 mg (0.22 g/t) may be there unseen."),
        ("0.019", "Detected, rough.", "The figure is rough: ± 21 %."),
        ("0.184", "Wider than aim.", "One reading needs a bead of 0.40 mg."),
        ("1.412", "Within aim.", "The aim is ± 1 %. This is ± 0.28 %."),
    ],
)
def test_the_verdict_is_the_first_line_of_the_margin(
    desk: Desk, typed: str, verdict: str, said: str
) -> None:
    hands = at_balance(desk, "beads", *read_rows("pulp", "charge", [("KV-1", "30.00")], "g"))
    hands.type(typed)
    assert hands.margin[0] == verdict
    assert said in " ".join(hands.margin)
    assert "Doré: gold and silver together. Gold not determined." in hands.margin


def test_without_a_measured_spread_no_aim_is_said_to_be_met(desk: Desk) -> None:
    bare = ("balance", {"name": "fine", "step": "0.01 mg", "weighs": ["bead", "gold"]})
    hands = at_balance(desk, "beads", fine=bare)
    hands.type("5.00")
    assert hands.margin[0] == "Aim not shown."
    assert any("weigh one small weight ten times" in m for m in hands.margin)


def test_the_gold_is_shown_with_its_bead_beside(desk: Desk) -> None:
    hands = at_balance(desk, "parting", *read_rows("fine", "bead", [("KV-1", "0.412")], "mg"))
    assert "KV-1, bead 0.412 mg" in hands.text()
    assert hands.text().splitlines()[2].startswith("  Cup               Gold, mg")
    assert "Gold cold? Dry? Annealed yellow?" in hands.margin
    hands.enter("0.298")
    assert hands.kinds(2) == ["position", "reading"]
    assert hands.run.entries[-2].values["plan"] == "cups"


def test_how_a_bead_parted_is_stored_with_its_steps(desk: Desk) -> None:
    hands = at_balance(desk, "parting")
    hands.press("l", "n", "enter")
    hands.enter("1:7 10 min, 1:1 10 min")
    assert hands.last("parting").values == {
        "sample": "KV-1", "result": "not parted", "steps": "1:7 10 min, 1:1 10 min"
    }  # fmt: skip


def test_without_a_balance_the_page_leads_to_the_balances(desk: Desk) -> None:
    run = new_run(desk)
    run.append_all(sample_rows(("KV-1", "A1")))
    hands = Hands(run, BalancePage(run, "beads", "KV-1"))
    assert hands.margin[0] == "No balance here weighs bead. Describe one first."
    hands.press("enter")
    assert hands.page.name == "balances"


def test_lost_at_the_balance_moves_on(desk: Desk) -> None:
    hands = at_balance(desk, "beads")
    hands.press("x")
    hands.enter("bead jumped", "")
    assert hands.run.state.samples["KV-1"].text("lost") == "bead jumped"
    assert hands.page.sample == "KV-2"
    assert hands.margin[0] == "A1 lost: bead jumped."


def test_typing_waits_for_letters_only_while_a_word_is_asked_for(desk: Desk) -> None:
    hands = at_balance(desk, "beads")
    hands.press("n")
    hands.enter("zrlx")
    assert hands.last().values["text"] == "zrlx"


def test_figures_follow_the_decimal_mark_that_is_typed(desk: Desk) -> None:
    hands = at_balance(desk, "beads")
    hands.type("0,184")
    assert "0,184 ± 0,004 mg, 184 divisions" in hands.text()
    assert "0,003      0,020" in hands.text()
    assert "This is ± 2,2 %." in " ".join(hands.margin)
    hands.press("enter")
    assert hands.last().values["text"] == "0,184"
    assert hands.margin[0] == "A1: 0,184 mg is stored, KB."
    hands.type("0.2")
    assert "0.003      0.020" in hands.text()
    desk.settings = desk.settings._replace(decimal_mark="comma")
    assert "0,003      0,020" in hands.text()


def test_a_bead_heavier_than_its_sample_is_stored_and_told_at_once(desk: Desk) -> None:
    run = new_run(desk)
    run.append_all([FINE, PULP, *sample_rows(("KV-1", "A1"), ("KV-2", "A2")), *safety_rows()])
    run.append_all(read_rows("pulp", "charge", [("KV-1", "30.00"), ("KV-2", "30.00")], "g"))
    hands = Hands(run, BalancePage(run, "beads", "KV-1"))
    hands.enter("45000", "45000")
    assert [e.values["text"] for e in run.entries if e.kind == "reading"][-1] == "45000"
    assert hands.page.sample == "KV-1", "the page stays for what cannot be"
    assert "Bead 45000 mg outweighs its sample, 30000 mg." in hands.margin[1]
    assert "outweighs its" in hands.text()
    hands.press("escape")
    tray = Hands(run)
    tray.press("4")
    assert any("A1 outweighs its sample." in remark for remark in tray.margin)


def test_a_unit_behind_a_reading_is_not_taken_in_silence(hands: Hands) -> None:
    hands.type("1.5")
    assert hands.press("g").bell
    assert hands.margin[0].startswith('"g" is not taken: the reading is in mg')
    hands.press("7")
    assert not hands.margin[0].startswith('"g"')


def test_a_balance_whose_check_was_not_good_is_named_first(desk: Desk) -> None:
    weight: Row = ("weight", {"name": "w10", "mass": "10.000 ± 0.002 mg"})
    check = {"balance": "fine", "weight": "w10", "zeros": ["0.000"], "unit": "mg",
             "tolerance": "0.010 mg"}  # fmt: skip
    hands = at_balance(desk, "beads", weight, ("balance_check", {**check, "texts": ["9.950"]}))
    for typed in ("", "0.184"):
        hands.type(typed)
        assert hands.margin[0] == "Fine: not good at 14:31. Clean, level, check it again."
    hands.run.append("balance_check", {**check, "texts": ["10.001"]})
    assert not hands.margin[0].startswith("Fine:")


@pytest.mark.parametrize(
    ("typed", "said"),
    [("45000", "is heavier than the charge of A1 (30.00 g)."),
     ("987654321012", "over 100 million steps of 0.001 mg.")],
)  # fmt: skip
def test_a_bead_that_cannot_be_is_asked_about_and_stored_when_confirmed(
    desk: Desk, typed: str, said: str
) -> None:
    run = new_run(desk)
    blank: Row = ("sample", {"id": "b1", "role": "blank"})
    rows = [FINE, PULP, *sample_rows(("KV-1", "A1")), blank, *safety_rows()]
    run.append_all([*rows, *read_rows("pulp", "charge", [("KV-1", "30.00")], "g")])
    hands = Hands(run, BalancePage(run, "beads", "b1"))
    n = len(run.entries)
    hands.type(typed)
    assert hands.press("enter").bell
    assert any(said in told for told in hands.margin)
    assert len(run.entries) == n
    hands.type(typed)
    hands.press("enter")
    assert [e.kind for e in run.entries[n:]] == ["asked", "reading"]
    assert hands.last().values["text"] == typed


def test_help_at_the_balance_explains_the_beam_and_the_safety_of_the_step(hands: Hands) -> None:
    about = " ".join(hands.sheet.about)
    assert "Notches of the beam" in about
    assert "cool cupels" in about
