"""Bounded intervals against seeded Monte Carlo: the share A/(A + B) near both of its bounds."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from assaybench.metrology import bounded
from assaybench.metrology.bounded import Pair
from tests.metrology.share_ends import averaged, least_share, share_interval

DRAWS = 1_000_000
Draws = NDArray[np.float64]

PAIRS = {
    "middle": Pair(2.0, 0.15, 0.02, 0.02),
    "near one": Pair(2.0, 0.002, 0.002, 0.002),
    "near one, read below zero": Pair(2.0, -0.003, 0.002, 0.002),
    "near zero": Pair(0.003, 1.5, 0.002, 0.01),
    "near zero, correlated": Pair(0.003, 1.5, 0.002, 0.01, 1e-5),
    "near one, correlated": Pair(1.5, 0.004, 0.01, 0.002, -1.2e-5),
    "both near zero": Pair(0.004, 0.002, 0.002, 0.002),
    "both near zero, one below it": Pair(0.003, -0.001, 0.002, 0.002),
    "both near zero, correlated": Pair(0.004, 0.003, 0.002, 0.0015, 1.8e-6),
    "middle, strongly correlated": Pair(2.0, 1.0, 0.1, 0.08, 0.0072),
}


def drawn(pair: Pair) -> tuple[Draws, Draws]:
    random = np.random.default_rng(20240229)
    z, w = random.standard_normal((2, DRAWS))
    r = pair.covariance / (pair.u_a * pair.u_b)
    return pair.a + pair.u_a * z, pair.b + pair.u_b * (r * z + math.sqrt(1 - r * r) * w)


def shares(pair: Pair) -> Draws:
    """A/(A + B) of all draws with neither below zero: what a mass can be."""
    a, b = drawn(pair)
    kept = (a >= 0) & (b >= 0)
    return np.asarray(a[kept] / (a[kept] + b[kept]))


def within(n: int, p: float) -> float:
    """Five standard errors of a frequency: what chance leaves, once in a million times."""
    return 5 * math.sqrt(p * (1 - p) / n) + 1e-5


@pytest.mark.parametrize("name", PAIRS)
def test_share_distribution(name: str) -> None:
    draws = shares(PAIRS[name])
    for r in np.quantile(draws, [0.01, 0.025, 0.1, 0.3, 0.5, 0.8, 0.975, 0.99]):
        # Cutting B at zero as well, where B is four u above it, moves 3 in 100 000.
        p = float(np.mean(draws <= r))
        assert bounded.share_cdf(float(r), PAIRS[name]) == pytest.approx(
            p, abs=within(draws.size, p) + 3.2e-5
        )


@pytest.mark.parametrize("name", PAIRS)
def test_share_interval_holds_the_probability_it_states(name: str) -> None:
    draws, interval = shares(PAIRS[name]), share_interval(PAIRS[name])
    assert 0 <= interval.low < interval.high <= 1
    below, above = float(np.mean(draws < interval.low)), float(np.mean(draws > interval.high))
    assert below == pytest.approx(0.025, abs=within(draws.size, 0.025) + 3.2e-5)
    assert above == pytest.approx(0.025, abs=within(draws.size, 0.025) + 3.2e-5)


@pytest.mark.parametrize("name", ["near one", "near one, read below zero", "both near zero"])
def test_at_least_is_exceeded_as_often_as_it_says(name: str) -> None:
    draws, least = shares(PAIRS[name]), least_share(PAIRS[name])
    exceeded = float(np.mean(draws > least))
    assert exceeded == pytest.approx(0.95, abs=within(draws.size, 0.95) + 3.2e-5)


def test_linear_interval_would_leave_the_bounds_where_ours_does_not() -> None:
    """R = 0.99900, u = 0.00100: R + 1.96·u lies above 1."""
    pair = PAIRS["near one"]
    total = pair.a + pair.b
    u = math.hypot(pair.b * pair.u_a, pair.a * pair.u_b) / total**2
    assert pair.a / total + 1.96 * u > 1
    interval = share_interval(pair)
    # Worked out beforehand by Monte Carlo with B not below zero: 0.99697 to 0.99992.
    assert interval.low == pytest.approx(0.99697, abs=1e-5)
    assert interval.high == pytest.approx(0.99992, abs=1e-5)


@pytest.mark.parametrize(
    "pair",
    [
        Pair(186.4, 2.1, 1.0, 0.3),
        Pair(10.0, 4.0, 0.2, 0.2, 0.02),
        Pair(1.0, 0.01, 0.02, 0.01, -1e-4),
    ],
)
def test_equal_stages_recovery(pair: Pair) -> None:
    a, b = drawn(pair)
    draws = 1 - b / a
    for r in np.quantile(draws, [0.025, 0.2, 0.5, 0.9, 0.975]):
        p = float(np.mean(draws <= r))
        assert bounded.equal_stages_cdf(float(r), pair) == pytest.approx(p, abs=within(DRAWS, p))


def test_share_averaged_over_an_unknown_within_limits() -> None:
    """Recovery A/(A + B/r2) with r2 anywhere between its limits, both alike."""
    pair, low, high = Pair(2.0, 0.3, 0.02, 0.02), 0.5, 0.9

    def at(r: float, second_stage: float) -> float:
        lost = Pair(pair.a, pair.b / second_stage, pair.u_a, pair.u_b / second_stage)
        return bounded.share_cdf(r, lost)

    found = averaged(at, low, high)
    a, b = drawn(pair)
    second = np.random.default_rng(7).uniform(low, high, DRAWS)
    draws = a / (a + b / second)
    for r in np.quantile(draws, [0.025, 0.3, 0.7, 0.975]):
        p = float(np.mean(draws <= r))
        assert found(float(r)) == pytest.approx(p, abs=within(DRAWS, p))
