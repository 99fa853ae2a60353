"""Money and changes: what is drawn on rules and told in words, and whether stage 2 pays."""

import re

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.pages.heaps_page import HeapsPage
from assaybench.bench.sheet import text_of
from assaybench.logbook.logfile import Row
from tests.bench.circuit_test_run import at_the_circuit, begun_test, drawn_test
from tests.bench.hands import Hands
from tests.bench.value_hands import runs_page, value_of

# --- drawn, and in words --------------------------------------------------------------------------


def drawn_on(hands: Hands, name: str) -> str:
    """The line of a name on its rule."""
    rows = [text_of(one) for one in hands.sheet.block]
    rules = [one for one in rows if not set(one[13:]) - set(" .├─┤┼+>")]
    return next(one for one in rules if one.strip(" >").startswith(name))[13:]


def words_written(desk: Desk, stem: str) -> str:
    return " ".join((desk.book.reports / f"{stem}.txt").read_text("utf-8").split())


def test_the_gain_is_drawn_from_end_to_end_with_what_breaks_even(desk: Desk) -> None:
    """Practice 6.7: -1.2 to +8.2 points; +2.8 break even."""
    hands = runs_page(desk)
    hands.enter("", "81.2 84.0 79.5", "", "85.1 83.3 86.8")
    assert "+" not in drawn_on(hands, "gain")
    hands.enter("", "900", "", "0.9", "", "80 USD/g", "", "1800 USD")
    line = drawn_on(hands, "gain")
    points = {sign: 20 * line.index(sign) / 40 - 5 for sign in "├+┤"}
    assert points == pytest.approx({"├": -1.2, "+": 2.8, "┤": 8.2}, abs=0.26)
    assert [text_of(one).split() for one in hands.sheet.block][-2] == [
        "points", "-5", "0", "5", "10", "15"
    ]  # fmt: skip
    hands.press("p")
    text = words_written(desk, "before-and-after")
    for sentence in (
        "runs before: 81.2 84.0 79.5.",
        "after less before, points: +3.5 (-1.2 to +8.2).",
        "points that pay the cost back: +2.8.",
        "the gain: from -1.2 to +8.2 points",
        "The + on the line: +2.8 points pay the cost back.",
        "Difference not shown",
    ):
        assert sentence in text
    assert sentence in " ".join(hands.margin)


def test_what_is_let_go_of_a_tonne_is_drawn_in_money(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk), None)
    hands.press("r", "v")
    hands.enter("", "80 USD/g")
    line = drawn_on(hands, "let go")
    low = float(value_of(hands, "let go, as found", 1).split()[0])
    high = float(value_of(hands, "if stages are alike", 1).split()[0])
    assert [2 * line.index(sign) for sign in "├┤"] == pytest.approx([low, high], abs=1.01)
    hands.press("p")
    text = words_written(desk, "MAIN-000001-value")
    ends = f"{low:.4g} to {high:.3g} USD"
    assert f"On the rule, what stage 1 lets go of each dry tonne: {ends}." in text
    hands.run.close()


def test_a_loss_without_an_upper_end_leaves_the_rule(desk: Desk) -> None:
    rows: list[Row] = [
        ("circuit", {"product": "concentrate", "metal": "3.0 ± 0.1 mg"}),
        ("circuit", {"product": "rerun", "metal": "3.0 ± 0.1 mg"}),
    ]
    hands = at_the_circuit(begun_test(desk, *rows))
    hands.press("r", "v")
    hands.enter("", "80 USD/g")
    assert drawn_on(hands, "let go").endswith(">")
    hands.run.close()


def test_every_heap_is_drawn_on_one_rule_and_told_in_words(desk: Desk) -> None:
    for metal, tailings in (("12", "0.4 ± 0.1"), ("10", "0.1 ± 0.02"), ("9", "<0.33")):
        rows: list[Row] = [
            ("circuit", {"product": "concentrate", "metal": f"{metal} ± 0.1 mg"}),
            ("circuit", {"product": "rerun", "metal": "3.0 ± 0.1 mg"}),
            ("circuit", {"product": "tailings", "mass": "400 kg", "grade": f"{tailings} g/t"}),
        ]
        begun_test(desk, *rows).close()
    hands = Hands(begun_test(desk), HeapsPage(desk, "AssayBench"))
    rows_drawn = [text_of(one) for one in hands.sheet.block]
    assert [one for one in rows_drawn if one.startswith("  gold, g")] != []
    first = drawn_on(hands, "MAIN-000001 .")
    scale = [float(x) for x in next(r for r in rows_drawn if r.startswith("  gold, g")).split()[2:]]
    each = scale[-1] / 40
    assert [first.index(s) * each for s in "├┤"] == pytest.approx([0.12, 0.20], abs=0.51 * each)
    assert drawn_on(hands, "MAIN-000003 ├").startswith("├"), "from nothing up"
    hands.press("p")
    text = words_written(desk, "heaps")
    assert "MAIN-000001: 0.4 t dry, gold left 0.160 ± 0.040 g, 0.40 ± 0.10 g/t." in text
    assert all(len(text_of(one)) <= 54 for one in hands.sheet.block)
    row = next(one for one in rows_drawn if one.startswith("> MAIN-000001"))
    assert re.split(r" {2,}", row[2:].strip()) == [
        "MAIN-000001", "0.4", "0.160 ± 0.040", "0.40 ± 0.10"
    ], "columns stand apart"  # fmt: skip
    hands.run.close()


# --- does stage 2 pay ----------------------------------------------------------------------------


def at_the_stage(desk: Desk, *season: str) -> Hands:
    """The page of stage 2, of a test of 400 kg in which it caught 3.0 ± 0.4 mg: 7.5 ± 1.0 mg/t."""
    rows: list[Row] = [
        ("circuit", {"product": "feed", "mass": "400 ± 0.001 kg"}),
        ("circuit", {"product": "concentrate", "metal": "12.0 ± 0.1 mg"}),
        ("circuit", {"product": "rerun", "metal": "3.0 ± 0.4 mg"}),
    ]
    hands = at_the_circuit(begun_test(desk, *rows))
    hands.press("r", "v")
    hands.enter("", "80 USD/g", "", "buyer", "", "", "", *(season or ("",)))
    hands.press(*["down"] * 5)
    hands.press("enter")
    assert hands.page.name == "pays"
    return hands


def test_stage_2_is_held_against_its_cost(desk: Desk) -> None:
    """7.5 mg/t ± 1.0 at 80 a gram: 0.60 ± 0.08 a tonne, less 0.10; 900 t, 450 USD, 10 %, 4 years.

    Paid back after 450/0.50 = 900 t; ends 450/0.58 and 450/0.42. Present value by hand:
    900 × 0.50 × (1 - 1.1^-4)/0.1 - 450 = 976.4.
    """
    hands = at_the_stage(desk, "900")
    assert hands.margin[0] == "Type what stage 2 costs."
    assert value_of(hands, "brought by each tonne") == "0.600 (0.522 to 0.678) USD"
    hands.enter("", "", "", "450 USD", "", "0.10 USD/t", "", "10", "", "4")
    assert value_of(hands, "brought by each tonne") == "0.500 (0.422 to 0.578) USD"
    assert value_of(hands, "brought by a season") == "450 (379 to 521) USD"
    assert value_of(hands, "feed that pays it back") == "900 t (778 to 1070 t)"
    assert value_of(hands, "seasons until then") == "1"
    assert value_of(hands, "present value, 4 years") == "980 (750 to 1200) USD"
    assert value_of(hands, "above zero, in 100") == "99.9 or more"
    assert hands.margin[0].startswith("Paid back after 900 t of feed; it may be 778 to 1070 t.")
    hands.text()
    hands.press("escape")
    assert any("buyer's charge" in one for one in hands.sheet.about) is False
    hands.run.close()


def test_the_page_of_stage_2_says_what_the_command_says(desk: Desk) -> None:
    """The same figures as `value --season` with the grade that stage 2 caught as the whole gain."""
    from click.testing import CliRunner

    from assaybench.cli.value import command

    hands = at_the_stage(desk, "900")
    hands.enter("", "", "", "450 USD", "", "0.10 USD/t", "", "10", "", "4")
    line = ["--season", "900t", "--grade", "0.0075 g/t", "--gain", "99.99 ± 13.33 %",
            "--price", "80USD/g", "--running-cost", "0.10USD/t", "--cost", "450USD",
            "--rate", "10%", "--years", "4"]  # fmt: skip
    told = " ".join(CliRunner().invoke(command, line).output.split())
    feed = value_of(hands, "feed that pays it back")
    assert feed.split(" (")[0] in told
    assert value_of(hands, "it never pays, in 100") in told
    hands.run.close()


def test_the_charge_of_the_buyer_is_off_every_amount(desk: Desk) -> None:
    hands = at_the_stage(desk)
    hands.enter("", "8 USD/g")
    assert value_of(hands, "brought by each tonne") == "0.540 (0.469 to 0.611) USD"
    hands.press("escape")
    assert value_of(hands, "stage 1 caught").startswith("0.8640 ")
    assert "The buyer's charge, 8 USD/g, is off." in hands.margin
    hands.run.close()


@pytest.mark.parametrize(
    ("down", "typed", "said"),
    [
        (0, "90 USD/g", "takes all of the price"),
        (0, "8 EUR/g", "one currency"),
        (1, "0 USD", "not above"),
        (1, "much", "much"),
        (2, "0.30 USD", "0.30"),
        (3, "-5", "-5"),
        (4, "0", "from 1 to 100"),
    ],
)
def test_what_stage_2_cannot_cost_is_named(desk: Desk, down: int, typed: str, said: str) -> None:
    hands = at_the_stage(desk)
    hands.press(*["up"] * 5, *["down"] * down)
    hands.enter("", typed)
    assert said in " ".join(hands.margin)
    assert hands.sheet.typing is not None
    hands.press("escape")
    hands.run.close()


def test_a_stage_that_costs_more_than_it_brings_never_pays(desk: Desk) -> None:
    hands = at_the_stage(desk, "900")
    hands.enter("", "", "", "450 USD", "", "5 USD/t")
    assert hands.margin[0].startswith("It never pays: each tonne brings -4.4")
    hands.run.close()


def test_without_a_price_or_a_weighed_feed_nothing_is_said_to_pay(desk: Desk) -> None:
    hands = at_the_circuit(drawn_test(desk))
    hands.press("r", "v", "down", "down", "down", "down", "enter")
    assert hands.margin == ["Type a price on the page before."]
    hands.run.close()
    rows: list[Row] = [
        ("circuit", {"product": "concentrate", "metal": "3.0 ± 0.1 mg"}),
        ("circuit", {"product": "rerun", "metal": "1.0 ± 0.1 mg"}),
    ]
    hands = at_the_circuit(begun_test(desk, *rows))
    hands.press("r", "v")
    hands.enter("", "80 USD/g")
    hands.press("down", "down", "down", "down", "enter")
    assert hands.margin == ["The feed was not weighed: no figure by the tonne."]
    hands.run.close()
