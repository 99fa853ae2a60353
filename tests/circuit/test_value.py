"""What metal is worth, what a loss costs, whether a gain pays: formulas, quantiles, Monte Carlo."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from assaybench.circuit.value import (
    Known,
    NetGain,
    Terms,
    annuity,
    break_even,
    loss_per_tonne,
    possible_loss,
    recoverable,
    worth,
)
from assaybench.metrology.special import phi
from assaybench.metrology.uncertain import Sources, nominal
from assaybench.units import constants

OUNCE = float(constants.OUNCE_TROY.value)
CASE = NetGain(Known(1.0), Known(0.05, 0.02), 0.95 * 2000 / OUNCE, 0.30)
"""1 g/t, 5 ± 4 points (U), 95 % of 2000 an ounce, 0.30 a tonne to run."""


def test_worth_is_metal_times_payable_times_price_less_charges() -> None:
    terms = Terms(80.0, payable=0.98, refining_per_g=0.5, charges=50.0)
    found = worth(28.4, terms)
    assert found.paid_g == pytest.approx(27.832)
    assert found.paid == pytest.approx(2226.56)
    assert found.charges == pytest.approx(63.916)
    assert found.net == pytest.approx(2162.644)


def test_a_deduction_comes_off_the_grade_and_treatment_goes_by_the_dry_mass() -> None:
    terms = Terms(80.0, treatment_per_t=120.0, deduction_g_per_t=1.0)
    found = worth(0.002208 * 310, terms, 0.002208)
    assert found.paid_g == pytest.approx(0.002208 * 309)
    assert found.net == pytest.approx(0.002208 * (309 * 80 - 120))


def test_the_doubt_of_the_metal_goes_through_and_refining_is_in_its_slope() -> None:
    sources = Sources()
    metal = sources.variable("metal", 28.4, 0.25)
    terms = Terms(80.0, payable=0.98, refining_per_g=0.5, charges=50.0)
    assert sources.doubt(worth(metal, terms).net).u == pytest.approx(0.25 * terms.net_per_g)
    assert terms.net_per_g == pytest.approx(0.98 * 79.5)


def test_propagated_doubt_of_a_loss_is_that_of_central_differences() -> None:
    sources, terms = Sources(), Terms(80.0, payable=0.95)
    grade = sources.variable("grade", 0.9, 0.1)
    caught = sources.variable("recovery", 0.815, 0.02)
    lost = loss_per_tonne(grade, caught, terms)
    assert nominal(lost) == pytest.approx(0.9 * 0.185 * 76)

    def at(g: float, r: float) -> float:
        return float(loss_per_tonne(g, r, terms))

    h = 1e-6
    slope_g = (at(0.9 + h, 0.815) - at(0.9 - h, 0.815)) / (2 * h)
    slope_r = (at(0.9, 0.815 + h) - at(0.9, 0.815 - h)) / (2 * h)
    expected = math.hypot(slope_g * 0.1, slope_r * 0.02)
    assert sources.doubt(lost).u == pytest.approx(expected, rel=1e-6)


# --- a gain of recovery --------------------------------------------------------------------------


def test_the_worked_gain_pays_back_after_1815_tonnes_by_its_values() -> None:
    """n = 2.7543 a tonne; 5000/n = 1815.3 t; P(n <= 0) = 0.0121."""
    assert CASE.value == pytest.approx(2.7543, abs=5e-5)
    found = break_even(CASE, 5000)
    assert found.never == pytest.approx(0.0121, abs=5e-5)
    assert found.middle == pytest.approx(1815.3, abs=0.05)
    assert found.low == pytest.approx(5000 / CASE.quantile(0.975))
    assert found.low is not None
    assert found.high is not None
    assert found.high > 10 * found.low


def test_quantiles_of_the_gain_are_exact_where_the_grade_is() -> None:
    u = 0.02 * CASE.net_per_g
    low, high, _ = CASE.interval
    assert low == pytest.approx(CASE.value - 1.959964 * u, rel=1e-6)
    assert high == pytest.approx(CASE.value + 1.959964 * u, rel=1e-6)
    assert CASE.cdf(1.0) == pytest.approx(phi((1.0 - CASE.value) / u), abs=1e-12)


@pytest.mark.parametrize("u_grade", [0.05, 0.3, 0.6])
def test_a_doubtful_grade_agrees_with_random_draws(u_grade: float) -> None:
    gain = NetGain(Known(1.0, u_grade), Known(0.05, 0.02), CASE.net_per_g, 0.30)
    rng = np.random.default_rng(11)
    grade = rng.normal(1.0, u_grade, 600_000)
    grade = grade[grade > 0]
    n = grade * rng.normal(0.05, 0.02, grade.size) * CASE.net_per_g - 0.30
    for p in (0.025, 0.16, 0.5, 0.84, 0.975):
        assert gain.cdf(float(np.quantile(n, p))) == pytest.approx(p, abs=0.003)
    assert gain.cdf(0.0) == pytest.approx(np.mean(n <= 0), abs=0.002)


def test_few_runs_widen_the_gain_by_t() -> None:
    few = NetGain(Known(0.9), Known(0.035, 0.0166, 3.755), 80.0)
    low, high, _ = few.interval
    assert (high - low) / 2 == pytest.approx(2.8502 * 0.0166 * 72, rel=1e-3)


@settings(max_examples=50)
@given(
    st.floats(0.05, 20), st.floats(0, 0.5), st.floats(-0.2, 0.5), st.floats(1e-4, 0.2),
    st.floats(0.01, 100), st.floats(0, 5),
)  # fmt: skip
def test_a_quantile_is_where_the_distribution_has_its_probability(
    grade: float, u_relative: float, gain: float, u: float, net: float, running: float
) -> None:
    found = NetGain(Known(grade, grade * u_relative), Known(gain, u), net, running)
    for p in (0.025, 0.5, 0.975):
        assert found.cdf(found.quantile(p)) == pytest.approx(p, abs=1e-6)


@given(st.floats(-0.1, 0.3), st.floats(1e-3, 0.1), st.floats(0.1, 1e6))
def test_break_even_has_ends_only_as_far_as_it_ever_pays(
    gain: float, u: float, cost: float
) -> None:
    found = break_even(NetGain(Known(1.0), Known(gain, u), 60.0, 0.3), cost)
    assume(min(abs(found.never - p) for p in (0.025, 0.5, 0.975)) > 1e-9)
    assert (found.high is None) == (found.never > 0.025)
    assert (found.middle is None) == (found.never > 0.5)
    assert (found.low is None) == (found.never > 0.975)
    known = [t for t in (found.low, found.middle, found.high) if t is not None]
    assert known == sorted(known)
    assert all(t > 0 for t in known)


def test_tonnes_rise_with_the_cost_in_proportion() -> None:
    one, ten = break_even(CASE, 500), break_even(CASE, 5000)
    for small, large in zip(one[:3], ten[:3], strict=True):
        assert small is not None
        assert large is not None
        assert large == pytest.approx(10 * small)


def test_a_gain_without_doubt_pays_back_at_one_point_or_never() -> None:
    found = break_even(NetGain(Known(1.0), Known(0.05), 60.0, 0.5), 1000)
    assert found.never == 0
    assert found.low == pytest.approx(400)
    assert found.high == pytest.approx(400)
    assert break_even(NetGain(Known(1.0), Known(0.005), 60.0, 0.5), 1000).never == 1
    with pytest.raises(ValueError, match="above zero"):
        break_even(CASE, 0)


# --- present value -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    # Standard tables of compound interest (from memory).
    ("rate", "years", "factor"),
    [(0.10, 5, 3.7908), (0.10, 10, 6.1446), (0.15, 10, 5.0188), (0.08, 10, 6.7101)],
)
def test_the_annuity_of_the_tables(rate: float, years: int, factor: float) -> None:
    assert annuity(rate, years) == pytest.approx(factor, abs=5e-5)


@given(st.floats(0, 2), st.integers(1, 60))
def test_an_annuity_is_the_sum_of_its_years(rate: float, years: int) -> None:
    expected = math.fsum((1 + rate) ** -year for year in range(1, years + 1))
    assert annuity(rate, years) == pytest.approx(expected, rel=1e-10)


def test_an_annuity_needs_a_year_and_a_rate_above_minus_one() -> None:
    assert annuity(0.0, 7) == 7
    for rate, years in ((-1.0, 5), (0.1, 0)):
        with pytest.raises(ValueError, match="one year at least"):
            annuity(rate, years)


# --- saved tailings ------------------------------------------------------------------------------


def test_a_next_stage_gets_its_share_of_a_pile() -> None:
    sources = Sources()
    metal = sources.variable("metal", 260.0, 30.0)
    catch = sources.variable("catch", 0.6, 0.05)
    found = recoverable(metal, catch)
    assert nominal(found) == pytest.approx(156)
    assert sources.doubt(found).u == pytest.approx(math.hypot(0.6 * 30, 260 * 0.05))


@pytest.mark.parametrize("catch", [0.0, 1.2, -0.1])
def test_no_stage_catches_nothing_or_more_than_all(catch: float) -> None:
    with pytest.raises(ValueError, match="at most all"):
        recoverable(10.0, catch)


@pytest.mark.parametrize(("u_grade", "r"), [(0.0, 0.98), (0.1, 0.98), (0.1, 0.999)])
def test_a_loss_is_not_below_nothing_and_draws_agree(u_grade: float, r: float) -> None:
    """1 g/t, 80 for a gram, R with u = 0.02: what is drawn below nothing does not count."""
    low, high, _ = possible_loss(Known(1.0, u_grade), Known(1 - r, 0.02), 80.0)
    dice = np.random.default_rng(20240621).standard_normal((2, 400_000))
    drawn = (1.0 + u_grade * dice[0]) * (1 - r + 0.02 * dice[1]) * 80
    drawn = drawn[drawn > 0]
    assert 0 <= low < high
    assert np.mean(drawn < low) == pytest.approx(0.025, abs=0.002)
    assert np.mean(drawn > high) == pytest.approx(0.025, abs=0.002)
