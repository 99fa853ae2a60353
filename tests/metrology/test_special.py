"""Special functions against scipy, closed forms and the values printed in method version 1."""

import math
import os
import statistics
import subprocess
import sys
from collections.abc import Callable
from decimal import Decimal, localcontext
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, special, stats

from assaybench.metrology import special as ours
from assaybench.metrology.ranges import studentized_range_95

NAN, INF = math.nan, math.inf
DOFS = (0.5, 0.7, 1, 1.5, 2, 2.6, 3, 4, 5, 7.7, 9, 12, 20, 30, 41.9, 42, 60, 200, 1e3, 1e4, 1e6)
LOWER = (1e-6, 1e-5, 1e-3, 0.01, 0.025, 0.05, 0.1, 0.2, 0.25, 0.3, 0.4, 0.49)
PROBABILITIES = (*LOWER, *(1 - p for p in LOWER))
T_ARGUMENTS = (0, 1e-6, 1e-3, 0.1, 0.5, 1, 1.73, 2, 3, 5, 10, 37, 1e3, 1e6, 1e12, math.inf)
TABLE_DOFS = (*range(1, 31), 40, 60, 120, math.inf)


@pytest.mark.parametrize("z", [*np.linspace(-38, 9, 95).tolist(), -math.inf, math.inf])
def test_phi_against_scipy(z: float) -> None:
    expected = stats.norm.cdf(z)
    assert ours.phi(z) == pytest.approx(expected, rel=1e-12, abs=1e-300)


@pytest.mark.parametrize("p", [1e-300, 1e-12, *PROBABILITIES, 0.5])
def test_phi_inv_against_scipy(p: float) -> None:
    assert ours.phi_inv(p) == pytest.approx(stats.norm.ppf(p), rel=1e-9, abs=1e-15)


def test_stored_common_quantiles_are_those_of_the_standard_library() -> None:
    normal = statistics.NormalDist()
    assert {0.95, 0.975} <= set(ours._COMMON_QUANTILES)
    for p, z in ours._COMMON_QUANTILES.items():
        assert z == normal.inv_cdf(p)


@pytest.mark.parametrize("dof", DOFS)
def test_t_cdf_against_scipy(dof: float) -> None:
    for t in T_ARGUMENTS:
        for signed in (t, -t):
            assert ours.t_cdf(signed, dof) == pytest.approx(stats.t.cdf(signed, dof), abs=1e-9)
        tail = stats.t.sf(t, dof)
        if t >= 1e-3 and tail > 1e-290:
            assert ours.t_cdf(-t, dof) == pytest.approx(tail, rel=1e-9)


@pytest.mark.parametrize("dof", DOFS)
def test_t_quantile_against_scipy(dof: float) -> None:
    for p in PROBABILITIES:
        assert ours.t_quantile(p, dof) == pytest.approx(stats.t.ppf(p, dof), rel=1e-9)
    assert ours.t_quantile(0.5, dof) == 0


def test_t_close_to_its_centre_by_closed_forms() -> None:
    """1 dof: 1/2 + atan(t)/pi; 2 dof: 1/2 + t/(2 sqrt(2 + t^2)) (from memory)."""
    for t in (1e-12, 1e-9, 1e-6, 0.01, 1.0, 300.0, 1e9):
        assert ours.t_cdf(t, 1) == pytest.approx(0.5 + math.atan(t) / math.pi, abs=1e-15)
        assert ours.t_cdf(t, 2) == pytest.approx(0.5 + t / (2 * math.sqrt(2 + t * t)), abs=1e-15)
    for p in (0.4999999, 0.5000001, 0.499, 0.6):
        assert ours.t_quantile(p, 1) == pytest.approx(math.tan(math.pi * (p - 0.5)), rel=1e-9)
        side = 2 * (p - 0.5)
        assert ours.t_quantile(p, 2) == pytest.approx(
            side * math.sqrt(2 / (1 - side * side)), rel=1e-9
        )


def test_t_with_very_many_or_endless_dof_is_the_normal_distribution() -> None:
    for dof in (1e12, 1e17, 1e18, 1e300, math.inf):
        assert ours.t_quantile(0.975, dof) == pytest.approx(1.959963984540054, rel=1e-11)
        assert ours.t_cdf(1e-6, dof) == pytest.approx(ours.phi(1e-6), abs=1e-15)


@pytest.mark.parametrize("dof", DOFS)
def test_chi2_cdf_against_scipy(dof: float) -> None:
    near = [dof * factor for factor in (0.5, 0.9, 0.99, 0.999, 1, 1.001, 1.01, 1.1, 1.5)]
    for x in (-1, 0, 1e-12, 1e-3, 0.5, 1, 2, 10, 100, 1e4, 1e6, 2e6, math.inf, *near):
        assert ours.chi2_cdf(x, dof) == pytest.approx(stats.chi2.cdf(x, dof), abs=1e-9)


@pytest.mark.parametrize("dof", DOFS)
def test_chi2_quantile_against_scipy(dof: float) -> None:
    for p in (*PROBABILITIES, 0.5):
        assert ours.chi2_quantile(p, dof) == pytest.approx(stats.chi2.ppf(p, dof), rel=1e-9)


@pytest.mark.parametrize("a", [1e-3, 0.1, 0.5, 1, 2.5, 10, 100, 1e4, 5e5])
def test_incomplete_gamma_against_scipy(a: float) -> None:
    width = math.sqrt(a)
    points = [max(0.0, a + k * width) for k in (-8, -3, -1, 0, 0.01, 1, 1.01, 3, 8)]
    for x in (0, 1e-300, 1e-9, 0.3, 1, 5, 50, 1e5, 1e300, math.inf, *points):
        expected = special.gammainc(a, x)
        # χ² of 2a degrees of freedom below 2x is the incomplete gamma function (DLMF 8.2.4)
        assert ours.chi2_cdf(2 * x, 2 * a) == pytest.approx(expected, rel=1e-9, abs=1e-300)


@pytest.mark.parametrize("a", [1e-3, 0.1, 0.5, 1, 1.1, 3, 10, 100, 1e4, 5e5])
@pytest.mark.parametrize("b", [1e-3, 0.5, 1, 2, 30, 1e3, 5e5])
def test_incomplete_beta_against_scipy(a: float, b: float) -> None:
    mean = a / (a + b)
    width = math.sqrt(mean * (1 - mean) / (a + b + 1))
    around = [min(1.0, max(0.0, mean + k * width)) for k in (-5, -1, -0.1, 0, 0.1, 1, 5)]
    for x in (0, 1e-300, 1e-9, 1e-3, 0.3, 0.5, 0.9, 0.999, 1 - 1e-9, 1, *around):
        assert ours.incomplete_beta(a, b, x) == pytest.approx(special.betainc(a, b, x), abs=1e-9)


@pytest.mark.parametrize("dof", [0.5, 1, 1.5, 2, 3, 4.4, 7, 20, 41, 43, 100, 1e3, 1e4])
@pytest.mark.parametrize("delta", [-5, -0.5, 0, 1, 3.3, 6, 12.5, 40, 200])
def test_noncentral_t_cdf_against_scipy(dof: float, delta: float) -> None:
    compared = 0
    for t in (-50, -3, 0, 0.1, 2, 20, 1e3, 1e4, 1e7, *(delta * k for k in (0.6, 0.9, 1, 1.1, 2))):
        expected = stats.nct.cdf(t, dof, delta)
        if math.isfinite(expected):  # scipy gives nan for some probabilities below 1e-30
            assert ours.noncentral_t_cdf(t, dof, delta) == pytest.approx(expected, abs=1e-9)
            compared += 1
    assert compared >= 8


def test_noncentral_t_cdf_at_its_edges() -> None:
    for t in (-4.0, 0.0, 0.3, 2.5):
        for dof in (0.6, 3.0, 55.0, 1e7):
            assert ours.noncentral_t_cdf(t, dof, 0.0) == pytest.approx(
                ours.t_cdf(t, dof), abs=1e-13
            )
            mirrored = 1 - ours.noncentral_t_cdf(-t, dof, -1.7)
            assert ours.noncentral_t_cdf(t, dof, 1.7) == pytest.approx(mirrored, abs=1e-13)
    assert ours.noncentral_t_cdf(5.0, math.inf, 3.0) == ours.phi(2.0)
    assert ours.noncentral_t_cdf(5.0, 1e12, 3.0) == pytest.approx(ours.phi(2.0), abs=1e-10)


@pytest.mark.parametrize(
    ("dof", "printed"), [(1, 12.53), (2, 5.52), (3, 4.46), (4, 4.07), (5, 3.87), (6, 3.75)]
)
def test_detection_factor_as_printed(dof: int, printed: float) -> None:
    """Method version 1, section 2."""
    assert round(ours.detection_factor(dof), 2) == printed


def test_detection_factor_with_endless_dof() -> None:
    """Currie 1995 (IUPAC): 2 × 1.645 = 3.29."""
    assert ours.detection_factor(math.inf) == pytest.approx(2 * 1.6448536269514722, rel=1e-15)
    assert ours.detection_factor(1e12) == pytest.approx(2 * 1.6448536269514722, rel=1e-11)


@pytest.mark.parametrize("dof", [*range(1, 31), 37.3, 50, 75.5, 100, 150, 200, 1.2, 2.71, 6.5])
def test_detection_factor_against_scipy(dof: float) -> None:
    critical = stats.t.ppf(0.95, dof)
    expected = optimize.brentq(
        lambda delta: stats.nct.cdf(critical, dof, delta) - 0.05, 2.0, 15.0, xtol=1e-13, rtol=1e-14
    )
    assert ours.detection_factor(dof) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("alpha", "beta"), [(0.01, 0.05), (0.05, 0.2), (1e-3, 1e-3), (0.5, 0.5)])
def test_detection_factor_misses_with_probability_beta(alpha: float, beta: float) -> None:
    for dof in (1, 4, 17.5, 300):
        delta = ours.detection_factor(dof, alpha, beta)
        critical = ours.t_quantile(1 - alpha, dof)
        missed = ours.noncentral_t_cdf(critical, dof, delta)
        assert missed == pytest.approx(beta, rel=1e-9)


def test_detection_factor_near_its_usual_approximation() -> None:
    """From 4 dof on 2 t 4 dof/(4 dof + 1) is within 2 % (method version 1, section 2)."""
    for dof in range(4, 60):
        rough = 2 * ours.t_quantile(0.95, dof) * 4 * dof / (4 * dof + 1)
        assert ours.detection_factor(dof) == pytest.approx(rough, rel=0.02)


@pytest.mark.parametrize(
    ("dof", "printed"),
    [(math.inf, (2.77, 3.31, 3.63, 3.86, 4.03)), (9, (3.20, 3.95, 4.41, 4.76, 5.02))],
)
def test_studentized_range_as_printed(dof: float, printed: tuple[float, ...]) -> None:
    """Method version 1, section 1."""
    assert tuple(round(studentized_range_95(n, dof), 2) for n in range(2, 7)) == printed


@pytest.mark.parametrize("dof", TABLE_DOFS)
def test_studentized_range_of_two_is_a_t_quantile(dof: float) -> None:
    """The range of two is |a - b|: q = sqrt(2) t(0.975, dof)."""
    expected = math.sqrt(2) * ours.t_quantile(0.975, dof)
    assert studentized_range_95(2, dof) == pytest.approx(expected, rel=2e-12)


@pytest.mark.parametrize("dof", [1, 3, 9, 26, math.inf])
def test_studentized_range_against_scipy(dof: float) -> None:
    values = range(2, 21)
    table = [studentized_range_95(n, dof) for n in values]
    below = stats.studentized_range.cdf(table, values, dof)
    above = stats.studentized_range.cdf([q * (1 + 1e-9) for q in table], values, dof)
    assert below == pytest.approx(0.95, abs=2e-12)
    # q is right to 1e-9: moving it by so much moves the probability by more than it is off.
    assert np.all(above - below > np.abs(below - 0.95))


@pytest.mark.parametrize("dof", TABLE_DOFS)
def test_every_studentized_range_has_probability_95(dof: float) -> None:
    """P(range/s <= q), n ∫ φ(z) (Φ(z) - Φ(z - r))^(n-1) dz averaged over s, by plain quadrature."""
    x, weight = np.polynomial.legendre.leggauss(120)
    z, z_weight = 9 * x, 9 * weight * stats.norm.pdf(9 * x)
    x, weight = np.polynomial.legendre.leggauss(240)
    s, s_weight = np.ones(1), np.ones(1)
    if dof < INF:
        # s beyond these limits has a probability of 2e-14 together.
        low, high = np.sqrt(stats.chi2.ppf([1e-14, 1 - 1e-14], dof) / dof)
        s = (low + high) / 2 + (high - low) / 2 * x
        s_weight = (high - low) * weight * stats.chi2.pdf(dof * s * s, dof) * dof * s
    for n in range(2, 21):
        between = special.ndtr(z) - special.ndtr(z - studentized_range_95(n, dof) * s[:, None])
        held = n * between ** (n - 1) @ z_weight
        assert held @ s_weight == pytest.approx(0.95, abs=2e-12)


@pytest.mark.long
@pytest.mark.parametrize("dof", TABLE_DOFS)
def test_every_studentized_range_against_scipy(dof: float) -> None:
    for n in range(2, 21):
        expected = stats.studentized_range.ppf(0.95, n, dof)
        assert studentized_range_95(n, dof) == pytest.approx(expected, rel=1e-9)


def test_studentized_range_table_is_smooth() -> None:
    """A wrong digit breaks the even run of second differences in n and of rows in 1/dof."""
    rows = [[studentized_range_95(n, dof) for n in range(2, 21)] for dof in TABLE_DOFS]
    for row in rows:
        steps = [b - a for a, b in pairwise(row)]
        bends = [a - b for a, b in pairwise(steps)]
        assert all(step > 0 for step in steps)
        assert all(a > b > 0 for a, b in pairwise(bends))
    for column in zip(*rows, strict=True):
        falls = [a - b for a, b in pairwise(column[:30])]
        assert all(a > b > 0 for a, b in pairwise(falls))
        assert all(a > b for a, b in pairwise(column[29:]))


def test_studentized_range_between_rows_takes_the_next_lower() -> None:
    for dof, row in ((1.99, 1), (9.7, 9), (39.9, 30), (59, 40), (119.5, 60), (1e9, 120)):
        for n in (2, 7, 20):
            chosen = studentized_range_95(n, dof)
            assert chosen == studentized_range_95(n, row)
            exact = stats.studentized_range.ppf(0.95, n, dof)
            # With 1 dof the rows lie far apart; from 30 dof on the excess stays small.
            assert exact < chosen <= exact * (1.023 if dof >= 30 else 4)


@pytest.mark.parametrize("n", [1, 2, 3, 8, 31, 64, 127, 512])
def test_gauss_legendre_against_numpy(n: int) -> None:
    nodes, weights = np.polynomial.legendre.leggauss(n)
    rule = ours.gauss_legendre(n)
    assert [x for x, _ in rule] == pytest.approx(nodes, abs=1e-14)
    assert [w for _, w in rule] == pytest.approx(weights, abs=2e-14)
    assert ours.gauss_legendre(n) is rule


def test_gauss_legendre_is_exact_for_polynomials_of_degree_2n_less_1() -> None:
    for n in (1, 2, 5, 9):
        for power in range(2 * n):
            exact = (1 - (-1) ** (power + 1)) / (power + 1)
            value = sum(w * x**power for x, w in ours.gauss_legendre(n))
            assert value == pytest.approx(exact, abs=1e-14)
        beyond = sum(w * x ** (2 * n) for x, w in ours.gauss_legendre(n))
        assert beyond != pytest.approx(2 / (2 * n + 1), rel=1e-9)


def test_integrate() -> None:
    assert ours.integrate(math.exp, 0, 1) == pytest.approx(math.e - 1, rel=1e-15)
    assert ours.integrate(math.exp, 1, 0) == pytest.approx(1 - math.e, rel=1e-15)
    assert ours.integrate(math.exp, 2, 2) == 0
    waves = ours.integrate(lambda x: math.sin(x) ** 2, 0, 100 * math.pi, n=20, panels=50)
    assert waves == pytest.approx(50 * math.pi, rel=1e-12)
    coarse = ours.integrate(lambda x: x**8, 0, 1, n=2, panels=1)
    finer = ours.integrate(lambda x: x**8, 0, 1, n=2, panels=4)
    assert abs(finer - 1 / 9) < abs(coarse - 1 / 9) / 50


BAD: list[tuple[Callable[[], object], str]] = [
    (lambda: ours.phi(NAN), "z must be a number"),
    *((lambda p=p: ours.phi_inv(p), "probability p") for p in (0, 1, -0.1, 1.1, NAN)),
    *((lambda p=p: ours.t_quantile(p, 5), "probability p") for p in (0, 1, 2, NAN)),
    *((lambda p=p: ours.t_quantile(p, INF), "probability p") for p in (0, 1, 2, NAN)),
    *((lambda p=p: ours.chi2_quantile(p, 5), "probability p") for p in (0, 1, 2, NAN)),
    *((lambda d=d: ours.t_cdf(1, d), "degrees of freedom") for d in (0, -1, NAN)),
    *((lambda d=d: ours.t_quantile(0.9, d), "degrees of freedom") for d in (0, -1, NAN)),
    *((lambda d=d: ours.chi2_cdf(1, d), "degrees of freedom") for d in (0, -1, INF, NAN)),
    *((lambda d=d: ours.chi2_quantile(0.9, d), "degrees of freedom") for d in (0, -1, INF, NAN)),
    *((lambda d=d: ours.noncentral_t_cdf(1, d, 1), "degrees of freedom") for d in (0, -1, NAN)),
    *((lambda d=d: ours.detection_factor(d), "degrees of freedom") for d in (0, -1, NAN)),
    (lambda: ours.t_cdf(NAN, 3), "t must be a number"),
    (lambda: ours.t_cdf(NAN, INF), "must be a number"),
    (lambda: ours.chi2_cdf(NAN, 3), "x must be a number"),
    (lambda: ours.t_quantile(1e-200, 0.5), "outside 1e-150 to 1e150"),
    (lambda: ours.chi2_quantile(1e-6, 0.01), "outside 1e-150 to 1e150"),
    (lambda: ours.noncentral_t_cdf(NAN, 3, 1), "t and delta"),
    (lambda: ours.noncentral_t_cdf(1, 3, INF), "t and delta"),
    *((lambda a=a: ours.detection_factor(3, a), "alpha") for a in (0, 0.6, NAN)),
    *((lambda b=b: ours.detection_factor(3, 0.05, b), "beta") for b in (0, 0.6, NAN)),
    *((lambda a=a: ours.incomplete_beta(a, 1, 0.5), "shape a") for a in (0, -1, 1e9, NAN)),
    *((lambda b=b: ours.incomplete_beta(1, b, 0.5), "shape b") for b in (0, -1, 1e9, NAN)),
    *((lambda x=x: ours.incomplete_beta(1, 1, x), "argument x") for x in (-0.1, 1.1, NAN)),
    *((lambda n=n: studentized_range_95(n, 5), "2 to 20 values") for n in (-1, 0, 1, 21)),
    *((lambda d=d: studentized_range_95(3, d), "degree of freedom") for d in (0, 0.99, -1, NAN)),
    *((lambda n=n: ours.gauss_legendre(n), "number of nodes") for n in (-1, 0, 513)),
    (lambda: ours.integrate(math.exp, 0, INF), "limits of an integral"),
    (lambda: ours.integrate(math.exp, NAN, 1), "limits of an integral"),
    (lambda: ours.integrate(math.exp, 0, 1, n=0), "number of nodes"),
    (lambda: ours.integrate(math.exp, 0, 1, panels=0), "number of panels"),
]


@pytest.mark.parametrize(("call", "named"), BAD)
def test_bad_argument_is_named_in_one_sentence(call: Callable[[], object], named: str) -> None:
    with pytest.raises(ValueError, match=named) as fault:
        call()
    sentence = str(fault.value)
    assert sentence.endswith(".")
    assert "\n" not in sentence


DOF_REAL = st.floats(0.5, 1e6)
# Beyond, a cdf near 1 has too few digits left to find its argument again.
LEVEL = st.floats(1e-6, 1 - 1e-6)


@given(p=LEVEL, dof=DOF_REAL)
def test_t_quantile_and_cdf_are_inverse(p: float, dof: float) -> None:
    assert ours.t_cdf(ours.t_quantile(p, dof), dof) == pytest.approx(p, rel=1e-12)


@given(p=LEVEL, dof=DOF_REAL)
def test_chi2_quantile_and_cdf_are_inverse(p: float, dof: float) -> None:
    assert ours.chi2_cdf(ours.chi2_quantile(p, dof), dof) == pytest.approx(p, rel=1e-11)


@given(z=st.floats(-30, 5))
def test_phi_round_trip(z: float) -> None:
    assert ours.phi_inv(ours.phi(z)) == pytest.approx(z, rel=1e-9, abs=1e-9)


@given(t=st.floats(-1e3, -1e-3), dof=st.floats(0.5, 50))
def test_t_round_trip(t: float, dof: float) -> None:
    assert ours.t_quantile(ours.t_cdf(t, dof), dof) == pytest.approx(t, rel=1e-9)


@given(ratio=st.floats(0.01, 1.2), dof=st.floats(0.5, 300))
def test_chi2_round_trip(ratio: float, dof: float) -> None:
    x = ratio * dof
    assert ours.chi2_quantile(ours.chi2_cdf(x, dof), dof) == pytest.approx(x, rel=1e-9)


@given(w=st.floats(-0.05, 0.05).filter(lambda w: abs(w) > 1e-100))
def test_series_for_small_deviance(w: float) -> None:
    """(e^(2w) - 1)/2 - w in many digits, on both sides of the change to the series."""
    with localcontext(prec=250):
        exact = ((2 * Decimal(w)).exp() - 1) / 2 - Decimal(w)
    assert ours._deviance(w) == pytest.approx(float(exact), rel=1e-13, abs=0)


@given(log_t=st.floats(-8, 12), sign=st.sampled_from((-1, 1)), log_dof=st.floats(-0.3, 7))
def test_noncentral_t_cdf_without_noncentrality(log_t: float, sign: int, log_dof: float) -> None:
    t, dof = sign * 10**log_t, 10**log_dof
    assert ours.noncentral_t_cdf(t, dof, 0.0) == pytest.approx(ours.t_cdf(t, dof), abs=1e-12)


@given(dof=st.floats(1, 1e4), more=st.floats(1.01, 3))
def test_detection_factor_falls_with_dof(dof: float, more: float) -> None:
    assert ours.detection_factor(dof) > ours.detection_factor(dof * more) > 3.2897


def test_loading_and_common_quantiles_import_nothing_slow() -> None:
    program = (
        "import sys; from assaybench.metrology import special as s;"
        "s.t_quantile(0.975, 7.5), s.phi_inv(0.975), s.chi2_quantile(0.1, 4);"
        "s.detection_factor(9), s.detection_factor(s.math.inf), s.studentized_range_95(3, 9);"
        "print([m for m in ('statistics', 'random', 'typing', 'dataclasses', 'functools')"
        " if m in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-S", "-c", program],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(Path(ours.__file__).parents[2])},
    )
    assert run.stdout.strip() == "[]"
