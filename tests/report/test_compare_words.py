"""The words of a comparison: chances that are never certain, ends to one place, the verdict."""

import math

import pytest

from assaybench.metrology.compare import Difference
from assaybench.report.compare_words import (
    Planned,
    by_chance,
    chance,
    chances,
    difference_verdict,
    p_figure,
    places,
)


def apart(value: float, u: float = 1.0) -> Difference:
    return Difference(value, u, math.inf, 2.0, None, 0.5)


@pytest.mark.parametrize(
    ("probability", "text"),
    [(0.0, "0.1 or less"), (1.0, "99.9 or more"), (0.8412, "84"), (0.9951, "99.5")],
)
def test_a_chance_is_never_none_and_never_all(probability: float, text: str) -> None:
    assert chance(probability) == text


def test_few_grains_leave_two_chances() -> None:
    assert chances(0.84, 0.84) == "84"
    assert chances(0.25, 0.84) == "25 to 84"


def test_a_difference_and_its_ends_stand_to_one_place_in_the_unit_shown() -> None:
    assert places(apart(3.514)) == {"d": "+3.5", "lo": "+1.5", "hi": "+5.5"}
    assert places(apart(3.514), 1000) == {"d": "+3500", "lo": "+1500", "hi": "+5500"}


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (3.0, "Difference shown: +3.0 g/t"),
        (1.0, "It would show if both ± were 2.0 times smaller."),
        (0.1, "They agree."),
        (0.0, "They agree."),
    ],
)
def test_what_would_decide_it_is_said_unless_the_two_agree(value: float, said: str) -> None:
    assert said in difference_verdict(apart(value), "g/t").reason


def test_runs_that_are_planned_for_are_said_with_their_power() -> None:
    usual = difference_verdict(apart(1.0), "points", Planned(7)).reason
    other = difference_verdict(apart(1.0), "points", Planned(9, 0.9)).reason
    pairs = difference_verdict(apart(1.0), "points", Planned(7, paired=True)).reason
    assert pairs.endswith("With 7 pairs, +1.0 would show 4 times in 5.")
    assert usual.endswith("With 7 runs of each, +1.0 would show 4 times in 5.")
    assert other.endswith("With 9 runs of each it would show 90 times in 100.")


def test_however_wide_the_times_are_said_where_no_limit_is_set() -> None:
    assert "20 times smaller" in difference_verdict(apart(0.1), "points", many=math.inf).reason
    assert "They agree." in difference_verdict(apart(0.0), "points", many=math.inf).reason


def test_a_bare_number_leaves_no_gap_where_its_unit_would_stand() -> None:
    assert difference_verdict(apart(3.0), "1").reason == (
        "Difference shown: +3.0; the truth lies between +1.0 and +5.0."
    )


def test_a_p_that_hardly_is_one_is_no_row_of_zeros() -> None:
    assert by_chance(0.1072, 3) == "10.7"
    assert by_chance(0.00005) == "0.0050"
    assert by_chance(1e-299) == "0.1 or less"
    assert p_figure(0.1072).text == "0.107"
    found = p_figure(1e-299)
    assert (found.value, found.text) == (1e-299, "0.000001 or less")
