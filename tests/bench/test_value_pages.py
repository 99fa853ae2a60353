"""Money and changes: worth of a test, runs before and after, heaps; every price is typed."""

import re

import pytest

from assaybench.bench.actions import keymap
from assaybench.bench.desk import Desk
from assaybench.bench.page import Bell
from assaybench.bench.pages.caught import CaughtPage
from assaybench.bench.pages.form_page import FormPage
from assaybench.bench.pages.heaps_page import HeapsPage
from assaybench.bench.pages.runs import RunsForm
from assaybench.bench.sheet import text_of
from assaybench.bench.stack import Stack
from assaybench.logbook.logfile import Row
from tests.bench.books import opened_bench, press, shown
from tests.bench.circuit_test_run import at_the_circuit, begun_test, cells, drawn_test
from tests.bench.hands import Floor, Hands


def value_of(hands: Hands, label: str, nth: int = 0) -> str:
    """What the leader of a label leads to."""
    rows = [text_of(line) for line in hands.sheet.block]
    row = [one for one in rows if one.strip().startswith(label)][nth]
    return re.sub(r"^(?: \.)*\s*", "", row.strip().removeprefix(label)).lstrip(". ")


def runs_page(desk: Desk) -> Hands:
    run = begun_test(desk)
    hands = at_the_circuit(run, FormPage(desk, "AssayBench", RunsForm()))
    run.close()
    return hands


# --- before and after ----------------------------------------------------------------------------


def test_six_seven_the_mat_by_its_numbers(desk: Desk) -> None:
    """Practice 6.7: +3.5 points, -1.2 to +8.2, p 0.107; 2268 a season, -789 to +5325."""
    hands = runs_page(desk)
    assert hands.margin == [
        "Type the recoveries of the runs before the change, then those after it."
    ]
    hands.enter("", "81.2 84.0 79.5", "", "85.1 83.3 86.8")
    assert value_of(hands, "mean before, mean after, %") == "81.57, 85.07"
    assert value_of(hands, "after less before, points") == "+3.5 (-1.2 to +8.2)"
    assert value_of(hands, "this much if nothing changed, in 100") == "10.7"
    assert value_of(hands, "runs to show such a gain 4 times in 5") == "7"
    assert hands.margin[0] == (
        "Difference not shown: +3.5 points; the truth may be -1.2 to +8.2 points. "
        "Not the same as equal. With 7 runs of each, +3.5 would show 4 times in 5."
    )
    assert hands.margin[-1].startswith("Were old and new run in turn?")
    hands.enter("", "900", "", "0.9", "", "80 USD/g", "", "1800 USD")
    assert value_of(hands, "gain in a season") == "+2268 (-789 to +5325)"
    assert value_of(hands, "points that pay the cost back") == "+2.8"
    assert value_of(hands, "runs to show those") == "10"
    assert hands.margin[1].startswith("Not shown whether it pays: it breaks even at +2.8 points")
    assert len(hands.sheet.block) <= 19


def test_runs_in_turn_are_compared_in_pairs(desk: Desk) -> None:
    hands = runs_page(desk)
    hands.enter("", "80 82 84 86", "", "83 85.1 86.9 89")
    hands.press("up")
    hands.enter("", "y")
    assert hands.margin[0].startswith("Difference shown: +3.00 points")
    assert not any("in turn?" in text for text in hands.margin)
    hands.press("up", "up")
    hands.enter("", "83 85.1 86.9")
    assert hands.margin == ["pairs need as many runs after as before, two at least."]


def test_no_difference_at_all_is_no_proof_that_both_are_right(desk: Desk) -> None:
    hands = runs_page(desk)
    hands.enter("", "80 82", "", "80 82")
    assert hands.margin[0].endswith("They agree. That does not prove both right.")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("81.2", "two runs at least"),
        ("81.2 120", "120"),
        ("81.2 -3", "-3"),
        ("81.2 eighty", "eighty"),
        ("", "two runs at least"),
        (" ".join(["80"] * 201), "200"),
    ],
)
def test_runs_that_are_none_are_named(desk: Desk, typed: str, said: str) -> None:
    hands = runs_page(desk)
    hands.press("enter")
    hands.stack.paste(typed)
    hands.press("enter")
    if typed.count("80") > 200:
        return  # longer than a line takes
    assert said in " ".join(hands.margin)
    assert hands.sheet.typing is not None


@pytest.mark.parametrize(
    ("down", "typed", "said"),
    [
        (2, "maybe", "each belongs to the one in its place"),
        (3, "0", "0"),
        (3, "900 g/t", "g/t"),
        (4, "-1", "-1"),
        (5, "80", "80"),
        (6, "much", "much"),
    ],
)
def test_money_that_is_none_is_named(desk: Desk, down: int, typed: str, said: str) -> None:
    hands = runs_page(desk)
    hands.press(*["down"] * down)
    hands.enter("", typed)
    assert said in " ".join(hands.margin)
    assert hands.sheet.typing is not None
    hands.press("escape")
    assert hands.sheet.typing is None


def test_two_currencies_do_not_mix(desk: Desk) -> None:
    hands = runs_page(desk)
    hands.press(*["down"] * 5)
    hands.enter("", "80 USD/g", "", "1800 EUR")
    assert "USD and EUR" in hands.margin[0] or "EUR and USD" in hands.margin[0]


# --- worth ---------------------------------------------------------------------------------------


def worth(desk: Desk, *more: Row) -> Hands:
    hands = at_the_circuit(drawn_test(desk, *more))
    hands.press("r", "v")
    return hands


def test_what_a_test_is_worth_and_what_it_lets_go(desk: Desk) -> None:
    """486.4 mg at 80 USD/g are 38.91 USD; 82.6 mg behind it are 6.608, if alike 345.5 mg."""
    hands = worth(desk)
    assert hands.margin == ["Type a price. None is built in."]
    hands.enter("", "80 USD/g")
    assert value_of(hands, "stage 1 caught").startswith("38.91")
    assert value_of(hands, "stage 2 caught").startswith("6.608")
    assert value_of(hands, "let go, as found") == "6.608 (6.594 to 6.622) USD"
    assert value_of(hands, "if stages are alike").startswith("27.64 (")
    assert float(value_of(hands, "let go, as found", 1).split()[0]) == (
        pytest.approx(6.608 / 0.41216, rel=1e-3)
    )
    hands.press("down")
    hands.enter("", "", "", "900")
    assert float(value_of(hands, "let go, as found", 2).split()[0]) == (
        pytest.approx(6.608 / 0.41216 * 900, rel=1e-3)
    )
    assert len(hands.sheet.block) <= 19
    hands.run.close()


def test_a_price_that_somebody_stands_for_is_kept_in_the_log(desk: Desk) -> None:
    hands = worth(desk)
    hands.enter("", "80 USD/g")
    assert all(e.kind != "price" for e in hands.run.entries)
    hands.enter("", "buyer's list, 9 June")
    assert dict(hands.last("price").values) == {
        "metal": "gold",
        "amount": "80 USD",
        "per": "g",
        "source": "buyer's list, 9 June",
    }
    hands.press("escape", "v")
    assert "80 USD/g" in hands.text()
    assert hands.margin[0] == "Price by: buyer's list, 9 June."
    hands.run.close()


def test_the_payable_share_takes_its_part(desk: Desk) -> None:
    hands = worth(desk)
    hands.enter("", "80 USD/g", "", "", "", "98")
    assert value_of(hands, "stage 1 caught").startswith("38.13")
    hands.run.close()


def test_beads_that_were_not_parted_need_their_fineness(desk: Desk) -> None:
    feed: Row = ("circuit", {"product": "feed", "mass": "400 kg", "fineness_spread": "2 %"})
    hands = at_the_circuit(begun_test(desk, feed, *cells()))
    hands.press("r", "v")
    hands.enter("", "80 USD/g")
    assert "stage 1 caught" not in hands.text()
    hands.enter("", "")
    hands.enter("", "850")
    assert float(value_of(hands, "let go, as found").split()[0]) == (
        pytest.approx(6.608 * 0.85, rel=1e-3)
    )
    assert any("not parted" in text for text in hands.margin)
    hands.run.close()


@pytest.mark.parametrize("typed", ["80", "0 USD/g", "free"])
def test_a_price_that_is_none_is_named(desk: Desk, typed: str) -> None:
    hands = worth(desk)
    hands.enter("", typed)
    assert typed in hands.margin[0]
    assert hands.sheet.typing is not None
    hands.run.close()


def test_a_catch_without_an_upper_end_says_so(desk: Desk) -> None:
    rows: list[Row] = [
        ("circuit", {"product": "concentrate", "metal": "3.0 ± 0.1 mg"}),
        ("circuit", {"product": "rerun", "metal": "3.0 ± 0.1 mg"}),
    ]
    hands = at_the_circuit(begun_test(desk, *rows), None)
    hands.press("r", "v")
    hands.enter("", "80 USD/g")
    assert value_of(hands, "if stages are alike") == "no upper end"
    assert "The feed was not weighed: no figure by the tonne." in hands.margin
    hands.run.close()


# --- heaps ---------------------------------------------------------------------------------------


def heaps_of(desk: Desk) -> Hands:
    run = begun_test(desk)
    run.close()
    return Hands(run, HeapsPage(desk, "AssayBench"))


def test_heaps_are_read_from_the_circuit_tests_with_what_to_run_first(desk: Desk) -> None:
    poor: Row = ("circuit", {"product": "tailings", "mass": "410.3 kg", "grade": "0.2 ± 0.1 g/t"})
    rich: Row = ("circuit", {"product": "tailings", "mass": "100 kg", "grade": "2.0 ± 0.2 g/t"})
    drawn_test(desk, poor).close()
    drawn_test(desk, rich).close()
    hands = heaps_of(desk)
    page = hands.text()
    assert "MAIN-000001" in page
    assert "MAIN-000002" in page
    assert hands.margin[0] == (
        "Run MAIN-000002 again first: it holds 1.8 g/t at least. No other one can hold as much."
    )
    assert value_of(hands, "how it is known") == "assayed"
    hands.press("s")
    hands.enter("50")
    assert value_of(hands, "a next stage would get").startswith("0.041")
    hands.press("down")
    assert hands.text().count("> MAIN-000002") == 1
    assert hands.press("down").bell


def test_a_logbook_without_heaps_says_what_is_missing(desk: Desk) -> None:
    hands = heaps_of(desk)
    assert "No heap is known yet." in hands.text()
    assert hands.page.act("enter") == Bell()


def test_a_heap_of_which_nothing_tells_is_named(desk: Desk) -> None:
    kept: Row = ("circuit", {"product": "tailings", "mass": "410.3 kg"})
    begun_test(desk, kept).close()
    hands = heaps_of(desk)
    assert any("nothing tells what is left in it" in text for text in hands.margin)


# --- from the contents ---------------------------------------------------------------------------


def test_both_are_opened_from_the_contents(desk: Desk) -> None:
    drawn_test(desk).close()
    stack = opened_bench(desk)
    stack.tick(desk.clock())
    assert "compare two figures, or before and after" in shown(stack)
    press(stack, "c", *["down"] * 4, "enter")
    assert stack.top.name == "runs"
    press(stack, "escape", "escape", "h")
    assert stack.top.name == "heaps"


def test_the_page_of_what_was_caught_leads_to_both(desk: Desk) -> None:
    run = drawn_test(desk)
    stack = Stack(Floor(), keymap({}))
    stack.pages.append(CaughtPage(run))
    for key, name in (("c", "runs"), ("v", "value")):
        stack.press(key, key)
        assert stack.top.name == name
        stack.press("escape", None)
    run.close()


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
