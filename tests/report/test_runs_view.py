"""Runs before and after, and what a season makes of the gain: one logic for command and page."""

import math

import pytest

from assaybench.circuit.value import Known, Terms
from assaybench.messages import BadInput
from assaybench.metrology.compare import Difference
from assaybench.report.money_view import Season, pays
from assaybench.report.runs_view import Runs, count_text, runs_compared

BEFORE, AFTER = [81.2, 84.0, 79.5], [85.1, 83.3, 86.8]


def runs(unit: str = "%", *, paired: bool = False) -> Runs:
    return Runs(runs_compared(BEFORE, AFTER, paired=paired), BEFORE, AFTER, unit, paired)


def test_means_and_runs_to_plan() -> None:
    """Practice 6.7."""
    found = runs()
    assert found.means == pytest.approx((81.5667, 85.0667), abs=1e-4)
    plan = found.plan
    assert plan is not None
    assert plan.runs == 7
    assert found.needed(0.001) is None


def test_a_gain_of_per_cents_is_in_points() -> None:
    assert [runs(unit).worded_unit for unit in ("%", "g/t", "1")] == ["points", "g/t", ""]


def test_runs_beyond_the_most_are_counted_as_more() -> None:
    assert count_text(7) == "7"
    assert count_text(None) == "more than 200"


@pytest.mark.parametrize("paired", [True, False])
def test_lists_that_cannot_be_compared_are_refused(*, paired: bool) -> None:
    with pytest.raises(BadInput):
        runs_compared([80.0], [81.0, 82.0], paired=paired)


def season(cost: float | None) -> Season:
    return Season(900, Known(0.9), Terms(80.0), cost, "USD", "80 USD/g", "")


def test_a_point_of_a_season_and_the_gain_that_pays_the_cost_back() -> None:
    assert season(None).per_point == pytest.approx(648)
    assert season(None).breaks_even is None
    assert season(1800).breaks_even == pytest.approx(1800 / 648)


@pytest.mark.parametrize(
    ("breaks_even", "code"), [(1.0, "pays_shown"), (3.5, "pays_open"), (6.0, "pays_not")]
)
def test_whether_it_pays_goes_by_the_whole_interval(breaks_even: float, code: str) -> None:
    gain = Difference(3.5, 1.0, math.inf, 2.0, None, 0.01)
    assert pays(gain, breaks_even, "+1").code == code
