"""Student's t and Welch's test against scipy, over a grid."""

import math

import numpy as np
import pytest
from scipy import stats

from assaybench.metrology.compare import paired, welch
from assaybench.metrology.freedom import coverage_factor, one_sided_factor
from assaybench.metrology.special import detection_factor, noncentral_t_cdf, t_cdf, t_quantile

DOFS = (0.5, 1, 2, 3.41, 5, 9, 17.776, 30, 59, 250, 1e4)


@pytest.mark.parametrize("dof", DOFS)
def test_t_probability(dof: float) -> None:
    for t in (-40.0, -6.3, -2.0, -0.7, 0.0, 0.1, 1.3, 2.8, 11.0):
        assert t_cdf(t, dof) == pytest.approx(float(stats.t.cdf(t, dof)), rel=1e-11)


@pytest.mark.parametrize("dof", DOFS)
def test_t_quantile(dof: float) -> None:
    for p in (1e-6, 0.01, 0.05, 0.3, 0.6, 0.95, 0.975, 0.99, 0.995, 1 - 1e-6):
        assert t_quantile(p, dof) == pytest.approx(float(stats.t.ppf(p, dof)), rel=1e-8)


@pytest.mark.parametrize("dof", [1, 2.9, 9, 16.75, 59.99])
def test_coverage_factors_are_quantiles_at_the_floored_degrees(dof: float) -> None:
    whole = math.floor(dof)
    assert coverage_factor(dof) == pytest.approx(float(stats.t.ppf(0.975, whole)), rel=1e-10)
    assert one_sided_factor(dof) == pytest.approx(float(stats.t.ppf(0.95, whole)), rel=1e-10)


@pytest.mark.parametrize("seed", range(12))
def test_welch(seed: int) -> None:
    random = np.random.default_rng(seed)
    first = random.normal(80, 2, 2 + seed % 5).tolist()
    second = random.normal(82, 0.3 + seed, 3 + seed % 7).tolist()
    found = welch(first, second)
    expected = stats.ttest_ind(second, first, equal_var=False)
    interval = expected.confidence_interval(0.95)
    assert found.value / found.u == pytest.approx(float(expected.statistic), rel=1e-10)
    assert found.dof == pytest.approx(float(expected.df), rel=1e-10)
    assert found.p == pytest.approx(float(expected.pvalue), rel=1e-9)
    assert found.low == pytest.approx(float(interval.low), rel=1e-8, abs=1e-10)
    assert found.high == pytest.approx(float(interval.high), rel=1e-8, abs=1e-10)


@pytest.mark.parametrize("seed", range(12))
def test_pairs(seed: int) -> None:
    random = np.random.default_rng(100 + seed)
    first = random.normal(80, 2, 2 + seed)
    second = first + random.normal(1, 1, 2 + seed)
    found = paired(first.tolist(), second.tolist())
    expected = stats.ttest_rel(second, first)
    interval = expected.confidence_interval(0.95)
    assert found.value / found.u == pytest.approx(float(expected.statistic), rel=1e-9)
    assert found.dof == 1 + seed
    assert found.p == pytest.approx(float(expected.pvalue), rel=1e-8)
    assert found.low == pytest.approx(float(interval.low), rel=1e-8, abs=1e-10)


@pytest.mark.parametrize("dof", [1, 2, 4, 9, 19, 60])
def test_detection_factor_leaves_five_in_a_hundred_undetected(dof: int) -> None:
    delta = detection_factor(dof)
    critical = float(stats.t.ppf(0.95, dof))
    assert float(stats.nct.cdf(critical, dof, delta)) == pytest.approx(0.05, rel=1e-8)
    assert noncentral_t_cdf(critical, dof, delta) == pytest.approx(0.05, rel=1e-9)
