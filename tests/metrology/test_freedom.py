"""Degrees of freedom and coverage factors: GUM annex G."""

import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from assaybench.metrology.freedom import (
    coverage_factor,
    exceeds,
    one_sided_factor,
    welch_satterthwaite,
)
from tests.strategies import magnitudes

terms = st.lists(st.tuples(magnitudes(-4, 4), st.floats(0.5, 200) | st.just(math.inf)), min_size=1)


@given(
    st.floats(0.1, 3000) | st.integers(1, 3000) | st.just(math.inf),
    st.floats(0, 8),
    st.sampled_from((1e-4, 1.0, 37.0)),
)
def test_a_value_exceeds_where_it_reaches_the_one_sided_quantile(
    dof: float, times: float, u: float
) -> None:
    factor = one_sided_factor(dof)
    for value in (times * u, factor * u, math.nextafter(factor * u, 0)):
        assert exceeds(value, u, dof) == (value >= factor * u)


def test_gum_g_4_1() -> None:
    """Relative u of .25, .57, .82 % with n = 10, 5, 15: u_c = 1.03 %, ν_eff = 19.0, k = 2.09."""
    dof = welch_satterthwaite([(0.25, 9), (0.57, 4), (0.82, 14)])
    assert dof == pytest.approx(18.999, abs=5e-4)
    assert round(dof, 1) == 19.0
    assert coverage_factor(19) == pytest.approx(2.09, abs=0.005)
    assert coverage_factor(19) * math.hypot(0.25, 0.57, 0.82) == pytest.approx(2.2, abs=0.05)
    assert coverage_factor(dof) == coverage_factor(18)  # truncated, as G.4.1 note 1 has it


def test_gum_h_1() -> None:
    """Components 25 (18), 9.7 (25.6), 2.9 (50), 16.6 (2) nm: ν_eff = 16 when truncated."""
    dof = welch_satterthwaite([(25, 18), (9.7, 25.6), (2.9, 50), (16.6, 2)])
    assert dof == pytest.approx(16.7, abs=0.1)
    assert coverage_factor(dof) == coverage_factor(16)


def test_a_simple_weighing_of_the_university_of_tartu() -> None:
    """Repeatability .17 mg (15), drift ± .2 and readability ± .05 mg, rectangular: ν_eff = 33."""
    parts = [(0.17, 15.0), (0.2 / math.sqrt(3), math.inf), (0.05 / math.sqrt(3), math.inf)]
    assert math.hypot(*(u for u, _ in parts)) == pytest.approx(0.207525, abs=1e-6)
    assert welch_satterthwaite(parts) == pytest.approx(33.3, abs=0.05)


def test_well_known_terms_have_endless_freedom_and_nothing_counts_nothing() -> None:
    assert welch_satterthwaite([(1.0, math.inf), (2.0, math.inf)]) == math.inf
    assert welch_satterthwaite([]) == math.inf
    assert welch_satterthwaite([(0.0, 1)]) == math.inf
    assert welch_satterthwaite([(1.0, 5), (0.0, 1)]) == pytest.approx(5)


@given(terms)
def test_between_the_least_of_its_terms_and_their_sum(parts: list[tuple[float, float]]) -> None:
    dof = welch_satterthwaite(parts)
    assert min(nu for _, nu in parts) * (1 - 1e-9) <= dof
    assert dof <= math.fsum(nu for _, nu in parts) * (1 + 1e-9)


@given(terms, magnitudes(-3, 3))
def test_the_unit_of_the_terms_is_no_matter(parts: list[tuple[float, float]], scale: float) -> None:
    scaled = [(u * scale, nu) for u, nu in parts]
    assert welch_satterthwaite(scaled) == pytest.approx(welch_satterthwaite(parts), rel=1e-9)


@pytest.mark.parametrize(
    # GUM table G.2, 95 %.
    ("dof", "k"),
    [(1, 12.71), (2, 4.30), (3, 3.18), (5, 2.57), (9, 2.26), (10, 2.23), (20, 2.09), (50, 2.01)],
)
def test_k_of_gum_table_g_2(dof: float, k: float) -> None:
    assert coverage_factor(dof) == pytest.approx(k, abs=0.0051)
    assert coverage_factor(dof) == pytest.approx(float(stats.t.ppf(0.975, dof)), rel=1e-9)


@pytest.mark.parametrize(
    ("dof", "floored"), [(9.0, 9), (9.99, 9), (1.5, 1), (59.999, 59), (0.5, 0.5), (0.999, 0.999)]
)
def test_k_belongs_to_the_next_lower_whole_number(dof: float, floored: float) -> None:
    assert coverage_factor(dof) == pytest.approx(float(stats.t.ppf(0.975, floored)), rel=1e-9)
    assert one_sided_factor(dof) == pytest.approx(float(stats.t.ppf(0.95, floored)), rel=1e-9)


@pytest.mark.parametrize("dof", [60, 60.5, 1000, math.inf])
def test_k_is_2_from_sixty_on(dof: float) -> None:
    assert coverage_factor(dof) == 2.0


def test_one_sided_factor_of_a_well_known_spread() -> None:
    assert one_sided_factor(math.inf) == pytest.approx(1.6448536269514722, rel=1e-12)


@given(st.floats(0.5, 80), st.floats(0.5, 80))
def test_more_freedom_never_widens(first: float, second: float) -> None:
    fewer, more = sorted((first, second))
    assert coverage_factor(more) <= coverage_factor(fewer)
    assert one_sided_factor(more) <= one_sided_factor(fewer)


@given(st.lists(magnitudes(-6, 3), min_size=1, max_size=4), st.integers(1, 59))
def test_rounding_of_a_sum_costs_no_degree_of_freedom(parts: list[float], nu: int) -> None:
    """One spread of ν degrees has k = t(ν): 8.999999999999998 is 9, not 8."""
    together = math.sqrt(math.fsum(u * u for u in parts))
    dof = welch_satterthwaite([(together, nu)])
    assert coverage_factor(dof) == pytest.approx(coverage_factor(nu), rel=1e-9)
    assert one_sided_factor(dof) == pytest.approx(one_sided_factor(nu), rel=1e-9)


def test_eleven_repeats_never_get_the_k_of_ten() -> None:
    rng = random.Random(11)
    spreads = [rng.lognormvariate(0, 3) for _ in range(1000)]
    found = {coverage_factor(welch_satterthwaite([(u, 10)])) for u in spreads}
    assert found == {coverage_factor(10)}
