"""Scenario: three runs over the old mat, three over the new one, and what to make of them.

Old mat 81.2, 84.0, 79.5 %; new mat 85.1, 83.3, 86.8 %; 900 t at 0.9 g/t, a typed 80 per gram, the
upgrade costs 1800. All numbers are worked by hand from these.
"""

from typing import Any

import pytest

from assaybench.metrology.compare import power
from tests.acceptance.page import one_line, value_of

RUNS = ("compare", "--before", "81.2 84.0 79.5 %", "--after", "85.1 83.3 86.8 %")
SEASON = ("--feed-per-season", "900t", "--grade", "0.9g/t", "--price", "80/g", "--cost", "1800")


@pytest.fixture
def answer(run: Any) -> Any:
    return run(*RUNS, *SEASON, "--json").json


@pytest.fixture
def page(run: Any) -> str:
    return str(run(*RUNS, *SEASON).out)


def value(answer: Any, name: str) -> float:
    return float(answer["figures"][name]["value"])


def test_the_difference_is_not_shown(answer: Any, page: str) -> None:
    figure = answer["figures"]["difference"]
    assert figure["value"] == pytest.approx(3.5, abs=1e-9)
    assert (figure["low"], figure["high"]) == pytest.approx((-1.2, 8.2), abs=0.05)
    assert value(answer, "degrees_of_freedom") == pytest.approx(3.76, abs=0.005)
    assert figure["value"] / figure["u"] == pytest.approx(2.11, abs=0.005)
    assert value(answer, "p") == pytest.approx(0.107, abs=0.0005)
    assert answer["verdict"]["text"] == "difference not shown"
    assert "Difference not shown: +3.5 points; the truth may be -1.2 to +8.2 points." in page


def test_the_season_in_metal_and_money(answer: Any, page: str) -> None:
    assert value(answer, "metal_per_season") == pytest.approx(810)
    assert value(answer, "metal_gained") == pytest.approx(28.4, abs=0.06)
    gained = answer["figures"]["money_gained"]
    assert gained["value"] == pytest.approx(2268, abs=0.5)
    assert gained["low"] == pytest.approx(-789, abs=0.5)
    assert gained["high"] == pytest.approx(5325, abs=0.5)
    assert value_of(page, "fine metal in a season's feed") == "810 g"
    assert value_of(page, "the gain brings a season") == "+2300 ± 3100"


def test_the_upgrade_breaks_even_at_2_8_points(answer: Any, page: str) -> None:
    assert value(answer, "break_even") == pytest.approx(2.8, abs=0.05)
    assert value_of(page, "cost, breaks even in a season at") == "+2.8 points"
    said = "Not shown whether it pays: it breaks even at +2.8 points,"
    assert f"{said} and the gain may be -1.2 to +8.2 points." in one_line(page)
    assert 0.5 < value(answer, "probability_pays") < 0.8


def test_ten_runs_of_each_would_show_the_gain_that_breaks_even(answer: Any, page: str) -> None:
    assert value(answer, "runs_needed_least") == 10
    assert value(answer, "runs_needed") == 7
    assert "Least gain worth having: +2.8 points." in page
    assert "10 runs of each show it 4 times in 5; the spread may be larger: then 33." in page
    assert "With 7 runs of each, +3.5 would show 4 times in 5." in page
    spread = value(answer, "spread")
    assert power(3.5, spread, 7, in_pairs=False) == pytest.approx(0.84, abs=0.005)
    assert power(3.5, spread, 6, in_pairs=False) == pytest.approx(0.77, abs=0.005)


def test_the_same_with_the_spread_at_its_bound(answer: Any) -> None:
    """Four degrees of freedom: χ²(0.10) is 1.0636, so the bound is 1.94 times the spread."""
    ratio = value(answer, "spread_bound") / value(answer, "spread")
    assert ratio == pytest.approx((4 / 1.0636) ** 0.5, rel=1e-4)
    bound, least = value(answer, "spread_bound"), value(answer, "least_gain")
    needed = int(value(answer, "runs_needed_least_bound"))
    assert needed == 33
    assert power(least, bound, needed, in_pairs=False) >= 0.8
    assert power(least, bound, needed - 1, in_pairs=False) < 0.8


def test_it_warns_when_runs_were_not_alternated(run: Any, page: str) -> None:
    warning = "Were old and new run in turn? If not, a drift of the feed looks like a gain."
    assert warning in one_line(page)
    paired = one_line(run(*RUNS, *SEASON, "--paired").out)
    assert warning not in paired
    assert "Pairs: each one belongs to the one in its place in the other list." in paired


def test_a_price_that_nobody_stands_for_is_told(run: Any, page: str) -> None:
    told = "No one stands for this price: say who and when with --price-source."
    assert told in page
    sourced = run(*RUNS, *SEASON, "--price-source", "typed 3 May, KB").out
    assert told not in sourced
    assert "Price 80/g: typed 3 May, KB." in sourced
