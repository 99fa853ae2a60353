"""Ratios that cannot leave 0..1: closed, renormalised and truncated forms, and their seams."""

import math

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy.special import ndtr

from assaybench.metrology.bounded import (
    NEAR,
    Pair,
    equal_stages_cdf,
    quantile,
    share_cdf,
)
from tests.metrology.share_ends import averaged, least_share, share_interval
from tests.strategies import magnitudes


def reference(r: float, pair: Pair) -> float:
    """P(A/(A + B) <= r | A, B >= 0) by a dense sum over A, where the program sums over B."""
    slope = pair.covariance / pair.u_a**2
    own = math.sqrt(pair.u_b**2 - slope * pair.covariance)
    a = np.linspace(0.0, max(pair.a, 0.0) + 10 * pair.u_a, 12_001)
    weight = np.exp(-0.5 * ((a - pair.a) / pair.u_a) ** 2)
    centre = pair.b + slope * (a - pair.a)
    whole = np.trapezoid(weight * ndtr(centre / own), a)
    part = np.trapezoid(weight * ndtr((centre - a * (1 - r) / r) / own), a)
    return float(part / whole)


@st.composite
def pairs(draw: st.DrawFn, least: float = -3.0, most: float = 60.0) -> Pair:
    """Amounts from `least` to `most` of their u: below -3u a result is refused before."""
    u_a, u_b = draw(magnitudes(-3, 3)), draw(magnitudes(-3, 3))
    r = draw(st.sampled_from([0.0, 0.3, 0.8, -0.3, -0.8]))
    in_u = st.floats(least, most) | st.floats(least, 6.0)
    return Pair(draw(in_u) * u_a, draw(in_u) * u_b, u_a, u_b, r * u_a * u_b)


shares = st.floats(0, 1)
AT_THE_SEAM = Pair(4.0, -3.0, 1.0, 1.0)


@pytest.mark.parametrize(
    ("pair", "expected"),
    [
        # Vectors of method version 1, both amounts cut at zero.
        (Pair(0.004, 0.002, 0.002, 0.002), (0.0644, 0.2666, 0.8107)),
        (Pair(0.003, -0.001, 0.002, 0.002), (0.0527, 0.1635, 0.6067)),
    ],
)
def test_vectors_of_the_method(pair: Pair, expected: tuple[float, ...]) -> None:
    found = [share_cdf(r, pair) for r in (0.3, 0.5, 0.8)]
    assert found == pytest.approx(expected, abs=6e-5)


@given(pairs(), shares, shares)
@example(AT_THE_SEAM, 0.0, 0.3)
@example(AT_THE_SEAM, 0.3, 0.7)
@example(Pair(4.5, -2.5, 1.0, 1.0), 0.1, 0.4)
def test_a_distribution_rises_from_0_to_1(pair: Pair, first: float, second: float) -> None:
    low, high = sorted((first, second))
    below, above = share_cdf(low, pair), share_cdf(high, pair)
    assert 0 <= below <= 1
    assert 0 <= above <= 1
    assert below <= above + 1e-6
    assert share_cdf(-1e-9, pair) == 0
    assert share_cdf(1.0, pair) == 1


@pytest.mark.parametrize("a", [-3.0, -1.0, 0.0, 1.0, 2.5, 3.99, 4.0, 4.5, 8.0])
@pytest.mark.parametrize("r_ab", [0.0, 0.5, 0.9])
def test_every_form_is_the_truncated_one_within_1e_4(a: float, r_ab: float) -> None:
    """Interval ends lie where the share is near 0 or 1 as often as in the middle."""
    for b in (-3.0, -1.0, 0.5, 3.99, 4.0):
        for u_a in (1.0, 0.2):
            pair = Pair(a * u_a, b, u_a, 1.0, r_ab * u_a)
            for r in (0.01, 0.2, 0.5, 0.9, 0.99):
                assert share_cdf(r, pair) == pytest.approx(reference(r, pair), abs=1e-4), (pair, r)


def test_two_amounts_not_seen_at_all() -> None:
    """A and B read 0: P(A <= B) = 1 - (2/π)·arctan(u_A/u_B), the angle of a quarter plane."""
    for u_a in (1.0, 0.1, 0.001):
        expected = 1 - 2 / math.pi * math.atan(u_a)
        assert share_cdf(0.5, Pair(0.0, 0.0, u_a, 1.0)) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("b", [-3.0, -2.0, -1.0, 0.0, 1.0, 3.9, 4.1, 8.0])
def test_no_step_where_the_form_changes(b: float) -> None:
    """A at 4u from below and from above, and B likewise by symmetry."""
    under, over = NEAR * (1 - 1e-9), NEAR * (1 + 1e-9)
    for r in (0.1, 0.5, 0.7, 0.9, 0.99):
        of_a = [share_cdf(r, Pair(a, b, 1.0, 1.0)) for a in (under, over)]
        of_b = [share_cdf(r, Pair(b, a, 1.0, 1.0)) for a in (under, over)]
        assert of_a[0] == pytest.approx(of_a[1], abs=1e-4), r
        assert of_b[0] == pytest.approx(of_b[1], abs=1e-4), r


@given(pairs(least=-2.0), shares)
def test_the_other_share_is_the_rest(pair: Pair, r: float) -> None:
    assume(0.01 < r < 0.99)
    turned = Pair(pair.b, pair.a, pair.u_b, pair.u_a, pair.covariance)
    assert share_cdf(r, pair) == pytest.approx(1 - share_cdf(1 - r, turned), abs=2e-4)


@given(pairs(), magnitudes(-3, 3), shares)
def test_the_unit_is_no_matter(pair: Pair, scale: float, r: float) -> None:
    in_other_unit = Pair(
        pair.a * scale,
        pair.b * scale,
        pair.u_a * scale,
        pair.u_b * scale,
        pair.covariance * scale**2,
    )
    for x in (pair, in_other_unit):  # not within rounding of the seams
        for near in (x.a / x.u_a, x.b / x.u_b):
            assume(abs(near - NEAR) > 1e-6)
    assert share_cdf(r, in_other_unit) == pytest.approx(share_cdf(r, pair), abs=1e-7)


@settings(max_examples=50)
@given(pairs())
@example(AT_THE_SEAM)
@example(Pair(2.0, 0.002, 0.002, 0.002))
def test_an_interval_lies_inside_0_to_1_in_order(pair: Pair) -> None:
    interval = share_interval(pair)
    assert 0 <= interval.low < interval.high <= 1
    assert interval.coverage_probability == 0.95
    assert interval.low <= least_share(pair) <= interval.high
    assert share_cdf(interval.low, pair) == pytest.approx(0.025, abs=1e-3)
    assert share_cdf(interval.high, pair) == pytest.approx(0.975, abs=1e-3)
    narrow = share_interval(pair, 0.5)
    assert interval.low <= narrow.low <= narrow.high <= interval.high


def test_a_share_near_its_limit() -> None:
    """A 2.000, B 0.002, u 0.002 each: .99697 to .99992, and .99728 at least (simulated)."""
    pair = Pair(2.0, 0.002, 0.002, 0.002)
    interval = share_interval(pair)
    assert interval.low == pytest.approx(0.99697, abs=1e-5)
    assert interval.high == pytest.approx(0.99992, abs=1e-5)
    assert least_share(pair) == pytest.approx(0.99728, abs=1e-5)


def test_far_from_zero_it_is_first_order_propagation() -> None:
    """A 2.000, B 0.150 mg, u .002 each: u(R) = 8.6776e-4, all but normal."""
    pair = Pair(2.0, 0.15, 0.002, 0.002)
    interval = share_interval(pair)
    share, u = 2.0 / 2.15, 8.67763e-4
    assert interval.low == pytest.approx(share - 1.96 * u, abs=3e-6)
    assert interval.high == pytest.approx(share + 1.96 * u, abs=3e-6)


def test_what_two_amounts_share_narrows_their_ratio() -> None:
    apart = share_interval(Pair(2.0, 1.0, 0.05, 0.025))
    shared = share_interval(Pair(2.0, 1.0, 0.05, 0.025, 0.05 * 0.025))
    assert shared.high - shared.low < 1e-6
    assert apart.high - apart.low > 0.01


@settings(max_examples=50)
@given(pairs())
def test_the_interval_covers_by_simulation_of_truncated_amounts(pair: Pair) -> None:
    """Only where both amounts are likely above zero: else few of the drawn pairs remain."""
    assume(pair.a > 0)
    assume(pair.b > 0)
    rng = np.random.default_rng(12)
    covariance = [[pair.u_a**2, pair.covariance], [pair.covariance, pair.u_b**2]]
    drawn = rng.multivariate_normal([pair.a, pair.b], covariance, 20_000)
    a, b = drawn[(drawn > 0).all(axis=1)].T
    interval = share_interval(pair)
    inside = (a / (a + b) >= interval.low) & (a / (a + b) <= interval.high)
    # five standard errors: of amounts that go against each other one pair in ten remains
    chance = 5 * math.sqrt(0.95 * 0.05 / a.size)
    assert inside.mean() == pytest.approx(0.95, abs=chance)


@pytest.mark.parametrize(
    ("u_a", "u_b", "covariance"), [(-1.0, 1.0, 0.0), (0.0, 0.0, 0.0), (1.0, 1.0, 1.1)]
)
def test_impossible_doubts_are_refused(u_a: float, u_b: float, covariance: float) -> None:
    with pytest.raises(ValueError, match=r"doubts"):
        Pair(1.0, 1.0, u_a, u_b, covariance)


@pytest.mark.parametrize("pair", [Pair(-50.0, -50.0, 1.0, 1.0), Pair(1.0, -1.0, 0.01, 0.01)])
def test_amounts_hopelessly_below_zero_are_refused_not_answered(pair: Pair) -> None:
    with pytest.raises(ValueError, match="zero"):
        share_interval(pair)


@pytest.mark.parametrize(
    ("pair", "share"), [(Pair(2.0, 1.0, 0.01, 0.0), 2 / 3), (Pair(2.0, 1.0, 0.0, 0.01), 2 / 3)]
)
def test_one_exact_amount(pair: Pair, share: float) -> None:
    interval = share_interval(pair)
    assert interval.low < share < interval.high
    assert share_cdf(share, pair) == pytest.approx(0.5, abs=1e-9)


def test_nothing_exactly_is_a_share_of_0_or_1() -> None:
    assert share_cdf(0.001, Pair(0.0, 2.0, 0.0, 1.0)) == pytest.approx(1, abs=1e-9)
    assert share_cdf(0.999, Pair(2.0, 0.0, 1.0, 0.0)) == pytest.approx(0, abs=1e-9)


# --- equal stages, quantile, average -------------------------------------------------------------


def test_equal_stages_is_1_less_b_over_a() -> None:
    """P(1 - B/A <= r) = Φ((B - (1-r)A)/√(u_B² + (1-r)²u_A² - 2(1-r)cov)): method, section 5."""
    pair = Pair(186.4, 2.1, 0.5, 0.2, 0.03)
    r = 0.989
    spread = math.sqrt(0.2**2 + (0.011 * 0.5) ** 2 - 2 * 0.011 * 0.03)
    expected = float(ndtr((2.1 - 0.011 * 186.4) / spread))
    assert equal_stages_cdf(r, pair) == pytest.approx(expected, rel=1e-12)
    assert equal_stages_cdf(1 - 2.1 / 186.4, pair) == pytest.approx(0.5, abs=1e-12)


@given(pairs(least=6.0), st.floats(-1, 1), st.floats(-1, 1))
def test_equal_stages_rises(pair: Pair, first: float, second: float) -> None:
    low, high = sorted((first, second))
    below, above = equal_stages_cdf(low, pair), equal_stages_cdf(high, pair)
    assert 0 <= below <= above + 1e-9
    assert above <= 1


def test_equal_stages_by_simulation() -> None:
    rng = np.random.default_rng(5)
    a, b = rng.normal(241.7, 3.0, 200_000), rng.normal(31.5, 2.0, 200_000)
    pair = Pair(241.7, 31.5, 3.0, 2.0)
    for r in (0.85, 0.87, 0.88):
        assert equal_stages_cdf(r, pair) == pytest.approx(np.mean(1 - b / a <= r), abs=0.004)


def test_quantile_inverts_and_stops_at_its_ends() -> None:
    assert quantile(lambda r: r, 0.3) == pytest.approx(0.3, abs=1e-12)
    assert quantile(lambda r: r * r, 0.25) == pytest.approx(0.5, abs=1e-12)
    assert quantile(lambda r: r / 10, 0.3, low=0.0, high=2.0) == pytest.approx(2.0, abs=1e-12)
    assert quantile(lambda _: 1.0, 0.3) == pytest.approx(0.0, abs=1e-12)


def test_an_average_over_what_is_only_known_between_limits() -> None:
    """Of P(R <= r) = r·t with t between 1 and 3 the mean is 2r; of a step it is its share."""
    linear = averaged(lambda r, t: r * t, 1.0, 3.0)
    assert linear(0.25) == pytest.approx(0.5, rel=1e-12)
    smooth = averaged(lambda r, t: float(ndtr(r - t)), -6.0, 6.0)
    assert smooth(0.0) == pytest.approx(0.5, abs=1e-9)
    t = np.linspace(0.0, 2.0, 20_001)
    share = averaged(lambda r, t: share_cdf(r, Pair(3.0, 1.0 + t, 0.2, 0.2)), 0.0, 2.0)
    expected = np.mean(ndtr((0.6 * (1 + t) - 0.4 * 3.0) / math.hypot(0.4 * 0.2, 0.6 * 0.2)))
    assert share(0.6) == pytest.approx(expected, abs=1e-4)


def test_an_average_rises_and_stays_in_0_to_1() -> None:
    mean = averaged(_share_with_tailings, 0.0, 1.0)
    found = [mean(r) for r in np.linspace(0, 1, 41)]
    assert found == sorted(found)
    assert found[0] == pytest.approx(0, abs=1e-12)
    assert found[-1] == pytest.approx(1, abs=1e-12)


def _share_with_tailings(r: float, tailings: float) -> float:
    return share_cdf(r, Pair(2.0, 0.3 + tailings, 0.1, 0.1))


def test_an_exact_amount_beside_one_near_zero() -> None:
    """A of 12 exactly, B 0.003 with u 0.004 cut at zero: the share is just below 1."""
    found = share_interval(Pair(12, 0.003, 0, 0.004))
    assert 0.999 < found.low < found.high <= 1
    mirror = share_interval(Pair(0.003, 12, 0.004, 0))
    assert (mirror.low, mirror.high) == pytest.approx((1 - found.high, 1 - found.low), abs=1e-9)
