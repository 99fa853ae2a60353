"""Shares with tailings of their own law: seeded Monte Carlo, closed forms, scipy."""

import itertools
import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import integrate, stats

from assaybench.circuit import quantiles, tailings_law
from assaybench.circuit.tailings_law import (
    Laws,
    closed_cdf,
    closed_quantile,
    cut_normal,
    rectangle,
    two_cut,
)
from assaybench.metrology import bounded
from assaybench.metrology.bounded import Pair, share_cdf
from assaybench.metrology.figure import Interval
from tests.metrology.share_ends import averaged, share_interval

DRAWS = 1_000_000
Draws = NDArray[np.float64]
Random = np.random.Generator


def drawn_shares(pair: Pair, tailings: Draws, random: Random) -> Draws:
    """A/(A + B + T) of all draws in which neither A nor B is below zero."""
    z, w = random.standard_normal((2, len(tailings)))
    r = pair.covariance / (pair.u_a * pair.u_b) if pair.covariance else 0.0
    a = pair.a + pair.u_a * z
    b = pair.b + pair.u_b * (r * z + math.sqrt(1 - r * r) * w)
    kept = (a >= 0) & (b >= 0)
    return np.asarray(a[kept] / (a[kept] + b[kept] + tailings[kept]))


def above_zero(value: float, u: float, random: Random) -> Draws:
    return np.asarray(
        stats.truncnorm.rvs(
            -value / u, math.inf, loc=value, scale=u, size=DRAWS, random_state=random
        )
    )


CASES: dict[str, tuple[Pair, Laws, Callable[[Random], Draws]]] = {
    "limit far wider than the weighings": (
        Pair(486.4, 82.6, 0.01, 0.01),
        tailings_law.one(rectangle(136.6)),
        lambda random: random.uniform(0, 136.6, DRAWS),
    ),
    "limit as narrow as the weighings": (
        Pair(12.0, 3.0, 0.05, 0.05),
        tailings_law.one(rectangle(0.1)),
        lambda random: random.uniform(0, 0.1, DRAWS),
    ),
    "weighed tailings near zero, catches correlated": (
        Pair(12.0, 3.0, 0.05, 0.05, 0.002),
        tailings_law.one(cut_normal(0.5, 0.4)),
        lambda random: above_zero(0.5, 0.4, random),
    ),
    "weighed tailings below zero, and more unseen": (
        Pair(12.0, 3.0, 0.05, 0.05),
        tailings_law.one(cut_normal(-0.5, 0.4, 2.0)),
        lambda random: above_zero(-0.5, 0.4, random) + random.uniform(0, 2, DRAWS),
    ),
    "re-run and tailings near zero": (
        Pair(12.0, 0.01, 0.05, 0.02),
        tailings_law.one(cut_normal(0.01, 0.02)),
        lambda random: above_zero(0.01, 0.02, random),
    ),
    "all three near zero": (
        Pair(0.03, 0.01, 0.02, 0.02),
        tailings_law.one(cut_normal(0.01, 0.02)),
        lambda random: above_zero(0.01, 0.02, random),
    ),
    "catches near zero and correlated, a limit": (
        Pair(0.03, 0.01, 0.02, 0.02, 0.0002),
        tailings_law.one(rectangle(0.05)),
        lambda random: random.uniform(0, 0.05, DRAWS),
    ),
    "no re-run at all, a limit": (
        Pair(15.0, 0.0, 0.07, 0.0),
        tailings_law.one(rectangle(0.5)),
        lambda random: random.uniform(0, 0.5, DRAWS),
    ),
}


def closed_interval(pair: Pair, laws: Laws) -> Interval:
    """The 95 % interval of A/(A + B + T)."""
    low, high = (closed_quantile(p, pair, laws) for p in (0.025, 0.975))
    return Interval(low, high, 0.95)


@pytest.mark.parametrize("name", CASES)
def test_chance_beyond_both_ends(name: str) -> None:
    pair, laws, tailings = CASES[name]
    random = np.random.default_rng(20240301)
    shares = drawn_shares(pair, tailings(random), random)
    found = closed_interval(pair, laws)
    allowed = 5 * math.sqrt(0.025 * 0.975 / len(shares)) + 1e-5
    assert np.mean(shares <= found.low) == pytest.approx(0.025, abs=allowed)
    assert np.mean(shares > found.high) == pytest.approx(0.025, abs=allowed)


def test_few_grains_against_draws_of_both_laws() -> None:
    """The lower end of R takes the larger law, Γ(N + 1), the upper end the smaller one, Γ(N)."""
    pair, grains, grain_mg = Pair(12.0, 3.0, 0.05, 0.05), 2.6, 0.8
    random = np.random.default_rng(20240302)
    found = closed_interval(pair, tailings_law.grain_count(grains * grain_mg, grains))
    many = drawn_shares(pair, grain_mg * random.gamma(grains + 1, size=DRAWS), random)
    few = drawn_shares(pair, grain_mg * random.gamma(grains, size=DRAWS), random)
    assert np.mean(many <= found.low) == pytest.approx(0.025, abs=8e-4)
    assert np.mean(few > found.high) == pytest.approx(0.025, abs=8e-4)


@pytest.mark.parametrize("r", [0.78, 0.785, 0.79, 0.8])
def test_rectangular_closed_form_is_the_average_over_the_limit(r: float) -> None:
    """Where a quadrature over T itself is smooth, both agree."""
    pair = Pair(12.0, 3.0, 0.3, 0.2, 0.01)
    mean = averaged(lambda x, t: share_cdf(x, Pair(12.0, 3.0 + t, 0.3, 0.2, 0.01)), 0.0, 0.5)
    assert closed_cdf(r, pair, rectangle(0.5)) == pytest.approx(mean(r), abs=1e-9)


@pytest.mark.parametrize(("value", "u", "width"), [(0.5, 0.4, 0.0), (-0.5, 0.4, 2.0), (3, 1, 0.5)])
def test_law_of_weighed_tailings_against_scipy(value: float, u: float, width: float) -> None:
    law = cut_normal(value, u, width)
    cut = stats.truncnorm(-value / u, math.inf, loc=value, scale=u)
    for t in (0.0, 0.1, 0.7, 1.5, 3.0):
        if width == 0:
            wanted = cut.sf(t)
        else:
            area = integrate.quad(lambda v, t=t: cut.sf(t - v), 0, width, points=[min(t, width)])
            wanted = area[0] / width
        assert law.survival(t) == pytest.approx(wanted, abs=1e-8)


@pytest.mark.parametrize("width", [0.0, 0.7])
@pytest.mark.parametrize(
    ("one", "other"),
    [((0.5, 0.4), (0.2, 0.3)), ((-0.5, 0.4), (1.0, 0.4)), ((1.0, 0.3), (0.01, 0.004))],
)
def test_law_of_two_masses_near_zero_against_scipy(
    one: tuple[float, float], other: tuple[float, float], width: float
) -> None:
    law = two_cut(one, other, width)
    first, second = (stats.truncnorm(-v / u, math.inf, loc=v, scale=u) for v, u in (one, other))

    def of_sum(t: float) -> float:
        if t <= 0:
            return 1.0
        places = np.linspace(0, t, 4001)
        over = integrate.simpson(second.pdf(places) * first.sf(t - places), x=places)
        return float(over + second.sf(t))

    unseen = np.linspace(0, width, 201)
    for t in (0.0, 0.1, 0.7, 1.5, 2.2):
        wanted = of_sum(t)
        if width:
            wanted = integrate.simpson([of_sum(t - part) for part in unseen], x=unseen) / width
        assert law.survival(t) == pytest.approx(wanted, abs=2e-5 if width else 1e-7)


def test_vanishing_tailings_leave_the_share_of_two() -> None:
    for pair in (Pair(12.0, 3.0, 0.05, 0.05), Pair(0.004, 0.002, 0.002, 0.002)):
        two = share_interval(pair)
        three = closed_interval(pair, tailings_law.one(rectangle(1e-7)))
        assert (three.low, three.high) == pytest.approx((two.low, two.high), abs=1e-4)


@given(
    st.floats(-2, 30),
    st.floats(-2, 30),
    st.floats(-2, 10),
    st.floats(0.1, 10),
    st.floats(-0.9, 0.9),
)
def test_interval_stays_inside_and_rises(a: float, b: float, t: float, x: float, r: float) -> None:
    """Masses in units of their u, from 2u below zero to 30u above."""
    pair = Pair(a, b, 1.0, 1.0, r)
    for law in (rectangle(x), cut_normal(t, 1.0)):
        cdf = [closed_cdf(p / 10, pair, law) for p in range(11)]
        assert cdf[0] == 0
        assert cdf[-1] == 1
        assert all(low <= high + 1e-7 for low, high in itertools.pairwise(cdf))


@given(
    st.floats(-2, 3000),
    st.floats(-2, 30),
    st.sampled_from([0.025, 0.05, 0.5, 0.95, 0.975]),
    st.floats(0, 1),
    st.floats(0, 1),
)
def test_chords_find_what_bisection_finds(
    a: float, b: float, p: float, near: float, width: float
) -> None:
    """Wherever they look first, and in fewer steps than sixty."""
    pair, asked = Pair(a, b, 1.0, 1.0), []

    def cdf(r: float) -> float:
        asked.append(r)
        return share_cdf(r, pair)

    found = quantiles.quantile(cdf, p, (near * (1 - width), near + (1 - near) * width))
    assert len(asked) < 60
    assert found == pytest.approx(bounded.quantile(lambda r: share_cdf(r, pair), p), abs=1e-8)


@pytest.mark.parametrize(("constant", "end"), [(1.0, 0.0), (0.0, 1.0)])
def test_a_distribution_that_never_reaches_gives_its_end(constant: float, end: float) -> None:
    assert quantiles.quantile(lambda _: constant, 0.5) == end
