"""Counts of grains: exact limits against scipy, two counts compared, Monte Carlo near bounds."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from assaybench.circuit import counts
from assaybench.circuit.counts import e_test, expected, limits, two_counts


@given(st.floats(0.11, 2000))
def test_limits_are_garwoods(count: float) -> None:
    found = limits(count)
    assert found.low == pytest.approx(stats.chi2.ppf(0.025, 2 * count) / 2, rel=1e-8)
    assert found.high == pytest.approx(stats.chi2.ppf(0.975, 2 * count + 2) / 2, rel=1e-8)


def test_none_found_has_an_end_above_only() -> None:
    """One-sided 3.0, two-sided 3.69: both are said, and the one-sided one is reported."""
    assert (expected(0).low, expected(0).high) == (0.0, 3.0)
    assert pytest.approx(-math.log(0.05), abs=0.005) == counts.NONE_FOUND
    assert limits(0).high == pytest.approx(-math.log(0.025), rel=1e-12)
    assert pytest.approx(limits(0).high, abs=0.005) == counts.NONE_FOUND_TWO_SIDED
    assert expected(4) == limits(4)


@pytest.mark.parametrize("mean", [0.02, 0.2, 0.7, 1.5, 3.6, 5.5, 12.0, 19.5])
def test_limits_hold_the_mean_at_least_95_times_in_100(mean: float) -> None:
    """Every count with its exact chance: coverage where the bound at zero is felt."""
    n = range(int(mean + 12 * math.sqrt(mean) + 30))
    held = [stats.poisson.pmf(k, mean) for k in n if limits(k).low <= mean <= limits(k).high]
    assert math.fsum(held) >= 0.95


@pytest.mark.parametrize("mean", [2.9, 3.0, 3.001, 3.01, 3.1, 3.4, 3.68])
def test_reported_limits_lose_little_between_the_two_ends_of_none_found(mean: float) -> None:
    """One-sided 3.0 for none, two-sided ends for others: 93.8 in 100 at the worst, just above 3."""
    held = [stats.poisson.pmf(k, mean) for k in range(60) if covers(k, mean)]
    assert math.fsum(held) >= 0.938


def covers(count: int, mean: float) -> bool:
    ends = expected(count)
    return ends.low <= mean <= ends.high


@pytest.mark.parametrize(("mean", "seed"), [(0.5, 1), (2.0, 2), (7.0, 3), (18.0, 4)])
def test_monte_carlo_of_the_limits(mean: float, seed: int) -> None:
    drawn = np.random.default_rng(seed).poisson(mean, 20_000)
    ends = {int(k): limits(int(k)) for k in np.unique(drawn)}
    held = np.mean([ends[int(k)].low <= mean <= ends[int(k)].high for k in drawn])
    assert held >= 0.95 - 3 * math.sqrt(0.05 * 0.95 / 20_000)


@pytest.mark.parametrize(("first", "second"), [(0, 3), (3, 0), (18, 7), (5, 5), (1, 12), (40, 61)])
def test_p_of_equal_samples_is_the_exact_binomial_test(first: int, second: int) -> None:
    p = stats.binomtest(first, first + second).pvalue
    assert two_counts(first, second).p == pytest.approx(p, rel=1e-9)


def test_eighteen_against_seven() -> None:
    """Reference sheet: binomial p 0.0433, E-test p 0.0273, computed independently."""
    found = two_counts(18, 7)
    assert found.p == pytest.approx(0.0433, abs=5e-5)
    assert found.shown
    assert found.times is None
    sharper = e_test(18, 7)
    assert sharper is not None
    assert sharper[1] == pytest.approx(0.0273, abs=5e-5)


def test_none_against_three_is_not_shown_and_twice_as_much_would_show_it() -> None:
    found = two_counts(0, 3)
    assert (found.ratio, found.low, found.shown, found.times) == (0.0, 0.0, False, 2)
    assert two_counts(0, 6).shown


@given(st.integers(0, 60), st.integers(0, 60), st.floats(0.1, 10), st.floats(0.1, 10))
def test_shown_is_one_outside_the_limits_of_the_ratio(
    first: int, second: int, size: float, other: float
) -> None:
    found = two_counts(first, second, size, other)
    if abs(found.p - 0.05) > 1e-6:
        assert found.shown == (not found.low <= 1 <= found.high)
    if found.ratio is not None:
        assert found.low <= found.ratio <= found.high
    turned = two_counts(second, first, other, size)
    assert turned.p == pytest.approx(found.p, rel=1e-9)
    if found.low > 0:
        assert turned.high == pytest.approx(1 / found.low, rel=1e-6)


@pytest.mark.parametrize(
    ("first", "second", "size", "other"), [(11, 21, 800, 3011), (2, 30, 1, 4), (7, 1, 3, 2)]
)
def test_limits_of_the_ratio_by_the_beta_distribution(
    first: int, second: int, size: float, other: float
) -> None:
    low = stats.beta.ppf(0.025, first, second + 1)
    high = stats.beta.ppf(0.975, first + 1, second)
    found = two_counts(first, second, size, other)
    assert found.low == pytest.approx(low / (1 - low) * other / size, rel=1e-9)
    assert found.high == pytest.approx(high / (1 - high) * other / size, rel=1e-9)


def test_two_counts_of_none_tell_nothing() -> None:
    found = two_counts(0, 0)
    assert (found.ratio, found.low, found.high, found.p) == (None, 0.0, math.inf, 1.0)
    assert (found.shown, found.times) == (False, None)
    assert e_test(0, 0) is None


def test_times_is_the_least_that_would_show() -> None:
    found = two_counts(9, 5)
    assert found.times is not None
    assert two_counts(9 * found.times, 5 * found.times).shown
    assert not two_counts(9 * (found.times - 1), 5 * (found.times - 1)).shown
    assert two_counts(5, 5).times is None


def test_counts_too_alike_for_any_sample_say_so() -> None:
    assert two_counts(100_001, 100_000).times is None
    assert two_counts(1_000_000, 999_999).times is None
    assert not two_counts(1_000_000, 999_999).shown


@given(st.integers(20, 300), st.integers(20, 300))
def test_large_factors_are_found_by_halving(first: int, second: int) -> None:
    found = two_counts(first, second).times
    if found is not None and found > 2:
        assert two_counts(found * first, found * second).shown
        assert not two_counts((found - 1) * first, (found - 1) * second).shown


@pytest.mark.parametrize(
    ("first", "second", "size", "other"),
    [(0, 3, 100, 100), (18, 7, 1, 1), (11, 21, 800, 3011), (2, 0, 1, 3), (60, 90, 1, 1)],
)
def test_e_test_agrees_with_scipy(first: int, second: int, size: float, other: float) -> None:
    """To 1e-8: scipy leaves out the far tails of its sums."""
    found = e_test(first, second, size, other)
    known = stats.poisson_means_test(first, size, second, other)
    assert found is not None
    assert found[0] == pytest.approx(known.statistic, rel=1e-12)
    assert found[1] == pytest.approx(known.pvalue, abs=1e-8)


def test_e_test_is_left_out_where_it_would_be_long() -> None:
    assert e_test(300, 200) is None


@pytest.mark.parametrize("mean", [1.0, 3.0, 8.0])
def test_monte_carlo_of_alike_samples_is_seldom_shown(mean: float) -> None:
    """Under like means at most 5 in 100 are shown: the conditional test keeps its promise."""
    dice = np.random.default_rng(11)
    pairs = dice.poisson(mean, (4000, 2))
    known: dict[tuple[int, int], bool] = {}
    shown = 0
    for a, b in pairs:
        key = (int(a), int(b))
        if key not in known:
            known[key] = two_counts(*key).shown
        shown += known[key]
    assert shown / 4000 <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / 4000)


@pytest.mark.parametrize(("first", "second"), [(0.4, 2.0), (3.0, 3.0), (6.0, 1.0), (12.0, 9.0)])
def test_monte_carlo_of_the_ratio_near_its_bounds(first: float, second: float) -> None:
    dice = np.random.default_rng(12)
    drawn = [(int(a), int(b)) for a, b in dice.poisson((first, second), (3000, 2))]
    ends = {pair: two_counts(*pair) for pair in set(drawn)}
    held = np.mean([ends[pair].low <= first / second <= ends[pair].high for pair in drawn])
    assert held >= 0.95 - 3 * math.sqrt(0.05 * 0.95 / 3000)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: limits(-1), "a count"),
        (lambda: limits(math.nan), "a count"),
        (lambda: two_counts(-1, 2), "a count"),
        (lambda: two_counts(1, 2, 0.0), "searched"),
        (lambda: e_test(1, 2, 1.0, math.inf), "searched"),
    ],
)
def test_bad_input_is_named(call: object, named: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=named):
        call()
