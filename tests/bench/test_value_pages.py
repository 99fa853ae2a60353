"""Money and changes: worth of a test, runs before and after, heaps; every price is typed."""

import pytest

from assaybench.bench.actions import keymap
from assaybench.bench.desk import Desk
from assaybench.bench.page import Bell
from assaybench.bench.pages.caught import CaughtPage
from assaybench.bench.pages.heaps_page import HeapsPage
from assaybench.bench.stack import Stack
from assaybench.logbook.logfile import Row
from tests.bench.books import opened_bench, press, shown
from tests.bench.circuit_test_run import at_the_circuit, begun_test, cells, drawn_test
from tests.bench.hands import Floor, Hands
from tests.bench.value_hands import runs_page, value_of

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
