"""What a tired miner types wrong in a circuit test: named at once, stored nowhere, taken out again.

Through the app, by keys, from an empty logbook; some at the page alone.
"""

import pytest

from assaybench.bench.circuit_model import Spot
from assaybench.bench.desk import Desk
from assaybench.logbook.logfile import Row
from tests.bench.circuit_test_run import (
    FEED,
    GOLD,
    SIEVES,
    SIZES,
    at_the_circuit,
    begun_test,
    drawn_test,
)
from tests.bench.hands import Hands, reopened
from tests.bench.test_miner_by_keyboard import pages, typed, words

CLEAR = ["backspace"] * 24


def on_a_cell(desk: Desk, *answers: str) -> Hands:
    """The first cell of a test whose feed and sieves are typed, with these answers given."""
    hands = at_the_circuit(begun_test(desk, SIEVES, FEED))
    hands.press("enter")
    hands.enter(*answers)
    return hands


@pytest.mark.parametrize(
    ("answers", "said"),
    [
        (("-5",), '"-5 mg" is below zero'),
        (("-",), "In mg, such as 186.4"),
        (("-3 g/t",), '"-3 g/t" is below zero'),
        (("1e9",), "exponent"),
        (("2000000 g/t", "10"), "heavier than all of it, 10000 mg"),
        (("1000000 kg",), "held against the feed"),
        (("20 g", "10"), "heavier than all of it, 10000 mg"),
        (("1.2", "10", "20"), "the portion, 20 g, is heavier than the whole, 10 g"),
        (("1.2", "10", "<2"), "<2"),
        (("1.2", "-3"), "below zero"),
        (("1.2", "0"), "not above"),
    ],
)
def test_what_cannot_be_is_named_as_it_is_typed(
    desk: Desk, answers: tuple[str, ...], said: str
) -> None:
    hands = on_a_cell(desk, *answers[:-1])
    hands.refused(answers[-1], said)
    hands.run.close()


def test_gold_that_noise_took_below_zero_is_taken(desk: Desk) -> None:
    hands = on_a_cell(desk, "-0.1 +- 0.2", "")
    assert hands.last("circuit").values["metal"] == "-0.1 ± 0.2 mg"
    hands.run.close()


def test_an_answer_that_was_refused_counts_no_more(desk: Desk) -> None:
    hands = on_a_cell(desk, "1.2", "10", "20")
    hands.press(*CLEAR)
    hands.enter("2")
    assert hands.last("circuit").values["portion"] == "2 g"
    hands.run.close()


def test_water_that_leaves_nothing_dry_is_refused_and_one_of_a_sheet_is_told(desk: Desk) -> None:
    seen = pages(
        desk,
        ["t", *typed("R-09"), *typed("", "448", "120")],
        [*CLEAR, *typed("100")],
        [*CLEAR, *typed("8.0", "-1")],
    )
    for page, said in zip(
        seen, ("from 0 % to 99 %", "from 0 % to 99 %", "below zero"), strict=True
    ):
        assert said in words(page)[1]
    whole = at_the_circuit(
        begun_test(
            desk, SIEVES, ("circuit", {"product": "feed", "wet_mass": "4 kg", "water": "100 %"})
        )
    )
    whole.press("up", "up")
    assert whole.promise == "Enter asks for feed."
    assert any("from 0 % to 99 %" in text for text in whole.margin)
    whole.run.close()


def test_a_cupel_stands_for_one_cell_by_keyboard(desk: Desk) -> None:
    seen = pages(
        desk,
        ["t", *typed("R-09"), *typed("", "448", "8.0", "", "", "1.0 0.25 mm")],
        typed("", "K-1", "", ""),
        typed("", "K-1"),
        [*CLEAR, *typed("A1")],
        ["escape", "up", *typed("", "-", "wrong bag"), "down", *typed("", "A1", "")],
    )
    assert "Stored: stage 1, +1.0 mm." in words(seen[1])[1]
    for page in seen[2:4]:
        assert (
            '"K-1" stands for stage 1, +1.0 mm already: its gold would count twice.'
            in (words(page)[1])
        )
    assert "-1.0 +0.25 mm A1" in words(seen[4])[0]
    assert "+1.0 mm A1" not in words(seen[4])[0].replace("-1.0", "")


def test_sizes_that_share_grains_are_told_until_one_is_taken_out(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press(*["up"] * 20, "down", "enter")
    hands.enter("1.0 mm")
    told = "-1.0 +0.25 mm and -1.0 mm share grains: their gold would count twice."
    assert any(text.startswith(told) for text in hands.margin)
    hands.press("enter")
    hands.enter("300", "", "")
    hands.enter("80", "")
    hands.press("r")
    assert any(text.startswith(told) for text in hands.margin)
    hands.run.close()


def test_what_is_taken_out_stays_in_the_log_with_its_reason(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press(*["up"] * 20, "down", "down", "enter")
    assert any("A - takes it out." in text for text in hands.margin)
    hands.enter("-")
    hands.enter("")
    assert hands.last().kind != "withdrawn", "no reason, nothing is taken out"
    hands.enter("bag torn")
    assert hands.last("withdrawn").values["reason"] == "bag torn"
    assert hands.margin[0] == "Taken out: stage 1, +1.0 mm. The log keeps it."
    assert hands.promise == "Enter asks for stage 1, +1.0 mm."
    hands.run.close()


def test_a_share_is_taken_out_again(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    for _ in range(30):
        if hands.promise == "Enter asks for the catch of stage 2.":
            break
        hands.press("down")
    hands.press("enter")
    hands.enter("70")
    assert hands.page.model.share("second_stage") == "70 %"
    while hands.promise != "Enter asks for the catch of stage 2.":
        hands.press("down")
    hands.press("enter")
    hands.enter("-", "a guess")
    assert hands.page.model.share("second_stage") == ""
    feed = hands.page.model.entry(Spot("feed"))
    assert feed is not None
    assert feed.text("wet_mass") == "448 kg", "the rest of the feed stays"
    hands.run.close()


def test_half_typed_is_given_up_by_esc_and_lost_by_a_kill_and_nothing_else_is(desk: Desk) -> None:
    hands = on_a_cell(desk, "186.4", "10")
    hands.type("5")
    again = at_the_circuit(reopened(desk, hands.run))
    assert [entry.text("product") for entry in again.run.state.of("circuit")] == ["feed"]
    before = len(again.run.entries)
    assert again.promise == "Enter asks for stage 1, +1.0 mm."
    again.press("enter")
    again.type("186.4")
    again.press("escape")
    assert again.promise == "Enter asks for stage 1, +1.0 mm."
    assert len(again.run.entries) == before
    again.run.close()


def test_a_catch_that_its_balance_does_not_feel_is_told_in_words_of_the_bench(desk: Desk) -> None:
    keys = ["e", *typed("0.01", "p", "400", "0.00", "-0.50", "-0.50", "0.00", "")]
    seen = pages(desk, keys, ["enter"])
    block, margin = words(seen[0])
    assert "Your scale cannot feel the first catch: nothing follows from it." in block
    assert "cannot tell it from nothing" in margin
    assert "metal =" not in "".join(seen)
    assert "stage 1: its balance cannot tell the gold from nothing" in words(seen[1])[1]


@pytest.mark.parametrize(
    ("field", "answer", "said"),
    [
        ("the share run again", "0", "the share run again is from 0.1 % to 100 %"),
        ("the catch of stage 2", "0", "the catch of stage 2 is from 0.1 % to 100 %"),
        ("the least catch of stage 2", "150", "the least catch of stage 2 is from 0 % to 100 %"),
        ("mats", "<3", "<3"),
        ("mats", "-1", "below zero"),
        ("the sieves", "+1.0 mm", "no list of sieves"),
        ("the sieves", "60 20 mesh", "60 mesh is not coarser than 20 mesh"),
        ("the sieves", "", "Such as 1.0 0.25 mm"),
    ],
)
def test_every_line_of_the_editor_names_what_it_does_not_take(
    desk: Desk, field: str, answer: str, said: str
) -> None:
    hands = at_the_circuit(begun_test(desk, SIEVES, FEED))
    hands.press(*["up"] * 20)
    while hands.promise != f"Enter asks for {field}.":
        hands.press("down")
    hands.press("enter")
    before = len(hands.run.entries)
    hands.enter(answer)
    assert said in " ".join(hands.margin)
    assert hands.sheet.typing is not None
    assert len(hands.run.entries) == before
    hands.run.close()


def test_a_grain_is_wider_than_nothing(desk: Desk) -> None:
    hands = at_the_circuit(begun_test(desk, SIEVES, FEED))
    hands.press("g")
    hands.enter("3", "-1")
    assert "the width of a grain must be" in hands.margin[0]
    hands.press(*CLEAR)
    hands.enter("1.2")
    assert hands.last("grains").values["largest"] == "1.2 mm"
    hands.run.close()


def test_a_feed_with_its_assay_alone_still_says_what_comes_next(desk: Desk) -> None:
    hands = at_the_circuit(begun_test(desk))
    hands.press("enter")
    hands.enter("448", "8.0", "1.4 +- 0.1")
    assert "Next: stage 1. 2 to type." in hands.margin
    assert "s seal" not in hands.text()
    hands.run.close()


def test_sieves_are_taken_out_by_who_did_not_sieve_after_all(desk: Desk) -> None:
    hands = at_the_circuit(begun_test(desk, SIEVES, FEED))
    hands.press(*["up"] * 20, "down", "enter")
    hands.enter("18 60 mesh")
    assert hands.page.model.sizes == ["+18 mesh", "-18 +60 mesh", "-60 mesh"]
    hands.press(*["up"] * 20, "down", "enter")
    assert "Now: 18 60 mesh. A - takes it out." in hands.margin
    hands.enter("-", "not sieved after all")
    assert not hands.page.model.named
    assert hands.margin[0] == "Taken out: the sieves. The log keeps it."
    hands.press("down", "enter")
    hands.enter("486.4", "", "82.6", "")
    hands.run.close()


def test_what_the_next_run_may_give_stands_at_80_by_24(desk: Desk) -> None:
    counted: list[Row] = [
        ("grains", {"product": product, "size": size, "count": 4})
        for product in GOLD
        for size in SIZES
    ]
    hands = at_the_circuit(drawn_test(desk, *counted))
    hands.press("r")
    assert any(text.startswith("By weighing ±") and "; next run " in text for text in hands.margin)
    assert "next run " in words(hands.text())[1]
    hands.run.close()
