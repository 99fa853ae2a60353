"""Uncertainty, correlation and degrees of freedom against GTC, an independent implementation."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import GTC
import pytest

from assaybench.metrology.compare import difference
from assaybench.metrology.uncertain import Sources, nominal
from assaybench.published import models_budgets


@dataclass(frozen=True)
class Input:
    value: float
    u: float
    dof: float = math.inf


@dataclass(frozen=True)
class Formula:
    """A formula that both libraries can work out."""

    name: str
    of: Callable[..., Any]
    inputs: tuple[Input, ...]


FORMULAS = (
    Formula("net", lambda a, b: a - b, (Input(21.34, 0.02, 9), Input(0.01, 0.02, 4))),
    Formula("grade", lambda b, m: 1000 * b / m, (Input(0.31, 0.012, 9), Input(29.17, 0.005))),
    Formula("share", lambda a, b: a / (a + b), (Input(2.0, 0.02, 5), Input(0.15, 0.02, 3))),
    Formula(
        "silver by difference",
        lambda b, g, a, loss: (b - g) / (1 - loss) - a,
        (Input(9.398, 0.004, 9), Input(1.204, 0.003, 9), Input(8.0, 0.01), Input(0.02, 0.004, 3)),
    ),
    Formula(
        "two products",
        lambda f, c, t: c * (f - t) / (f * (c - t)),
        (Input(2.0, 0.1, 4), Input(40.0, 2.0, 7), Input(0.3, 0.015, 2)),
    ),
    Formula(
        "screen metallics",
        lambda plus, m, g, total: (plus + m * g) / total,
        (Input(3.0, 0.01, 12), Input(980.0, 0.5), Input(1.5, 0.06, 1), Input(1000.0, 0.5)),
    ),
    Formula(
        "power",
        lambda x, y, z: x**3 * y**-0.5 + z,
        (Input(1.2, 0.05, 6), Input(7.0, 0.3, 2.5), Input(-2.0, 0.2, 40)),
    ),
)


def ours(formula: Formula) -> tuple[Sources, Any]:
    sources = Sources()
    variables = [
        sources.variable(f"x{i}", one.value, one.u, dof=one.dof)
        for i, one in enumerate(formula.inputs)
    ]
    return sources, formula.of(*variables)


def theirs(formula: Formula) -> Any:
    return formula.of(*(GTC.ureal(one.value, one.u, one.dof) for one in formula.inputs))


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.name)
def test_budget_and_degrees_of_freedom(formula: Formula) -> None:
    sources, result = ours(formula)
    doubt, expected = sources.doubt(result), theirs(formula)
    assert nominal(result) == pytest.approx(expected.x, rel=1e-13)
    assert doubt.u == pytest.approx(expected.u, rel=1e-12)
    assert doubt.dof == pytest.approx(expected.df, rel=1e-11)
    assert math.fsum(share.share for share in doubt.budget) == pytest.approx(1, rel=1e-12)


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda formula: formula.name)
def test_share_of_each_source(formula: Formula) -> None:
    sources, result = ours(formula)
    inputs = [GTC.ureal(one.value, one.u, one.dof) for one in formula.inputs]
    expected = formula.of(*inputs)
    parts = {f"x{i}": float(GTC.component(expected, one)) for i, one in enumerate(inputs)}
    for share in sources.doubt(result).budget:
        assert share.share == pytest.approx((parts[share.source] / expected.u) ** 2, rel=1e-11)


def test_gum_h1_end_gauge() -> None:
    """Written out again with GTC from the table of the example."""
    root = math.sqrt(3)
    standard = GTC.ureal(50000623, 25, 18)
    measured = GTC.ureal(215, 5.8, 24) + GTC.ureal(0, 3.9, 5) + GTC.ureal(0, 6.7, 8)
    alpha = GTC.ureal(11.5e-6, 2e-6 / root)
    theta = GTC.ureal(-0.1, 0.2) + GTC.ureal(0, 0.5 / math.sqrt(2))
    alpha_gap = GTC.ureal(0, 1e-6 / root, 50)
    theta_gap = GTC.ureal(0, 0.05 / root, 2)
    expected = standard + measured - standard * (alpha_gap * theta + alpha * theta_gap)
    found = models_budgets.end_gauge(
        standard_nm=50000623,
        u_standard_nm=25,
        standard_dof=18,
        difference_nm=215,
        u_difference_nm=[5.8, 3.9, 6.7],
        difference_dof=[24, 5, 8],
        expansion_per_k=11.5e-6,
        expansion_limit_per_k=2e-6,
        deviation_k=-0.1,
        u_deviation_k=0.2,
        swing_k=0.5,
        expansion_gap_limit_per_k=1e-6,
        expansion_gap_dof=50,
        temperature_gap_limit_k=0.05,
        temperature_gap_dof=2,
    )
    assert found["length_nm"] == pytest.approx(expected.x, rel=1e-14)
    assert found["u_nm"] == pytest.approx(expected.u, rel=1e-12)
    assert found["nu_eff"] == pytest.approx(expected.df, rel=1e-11)


def observed_together(columns: Sequence[Sequence[float]]) -> tuple[Any, ...]:
    return tuple(GTC.type_a.multi_estimate_real(columns))


def test_gum_h2_observed_together() -> None:
    """Correlated inputs: uncertainties, correlations of results, common degrees of freedom."""
    voltage = [5.007, 4.994, 5.005, 4.990, 4.999]
    current = [19.663, 19.639, 19.640, 19.685, 19.678]
    phase = [1.0456, 1.0438, 1.0468, 1.0428, 1.0433]
    found = models_budgets.impedance(voltage_v=voltage, current_ma=current, phase_rad=phase)
    v, i, angle = observed_together((voltage, current, phase))
    expected = {
        "R": v * GTC.cos(angle) / i * 1000,
        "X": v * GTC.sin(angle) / i * 1000,
        "Z": v / i * 1000,
    }
    for name, result in expected.items():
        assert found[f"{name}_ohm"] == pytest.approx(result.x, rel=1e-13)
        assert found[f"u_{name}_ohm"] == pytest.approx(result.u, rel=1e-11)
    for a, b in ("RX", "RZ", "XZ"):
        r = GTC.get_correlation(expected[a], expected[b])
        assert found[f"r_{a}{b}"] == pytest.approx(r, rel=1e-9)


def test_correlated_inputs_keep_their_common_degrees_of_freedom() -> None:
    columns = ([2.01, 2.03, 1.99, 2.02], [0.151, 0.150, 0.153, 0.148])
    a, b = observed_together(columns)
    sources = Sources()
    ours_a, ours_b = (
        sources.variable(name, x.x, x.u, dof=x.df, spread="runs")
        for name, x in (("a", a), ("b", b))
    )
    sources.correlate("a", "b", GTC.get_correlation(a, b))
    doubt, expected = sources.doubt(ours_a / (ours_a + ours_b)), a / (a + b)
    assert doubt.u == pytest.approx(expected.u, rel=1e-11)
    assert doubt.dof == pytest.approx(expected.df, rel=1e-10) == 3


def test_a_shared_scale_cancels_in_a_share_and_stays_in_a_mass() -> None:
    sources = Sources()
    scale, theirs_scale = sources.variable("scale", 1.0, 0.02), GTC.ureal(1, 0.02)
    found, expected = [], []
    for name, value in (("a", 2.0), ("b", 0.15)):
        found.append(sources.variable(name, value, 0.002, dof=9) * scale)
        expected.append(GTC.ureal(value, 0.002, 9) * theirs_scale)
    share = sources.doubt(found[0] / (found[0] + found[1]))
    their_share = expected[0] / (expected[0] + expected[1])
    assert share.u == pytest.approx(their_share.u, rel=1e-9)
    assert share.u == pytest.approx(8.67763e-4, rel=1e-6)
    mass = sources.doubt(found[0])
    assert mass.u == pytest.approx(expected[0].u, rel=1e-12)
    assert mass.dof == pytest.approx(expected[0].df, rel=1e-10)


def test_difference_of_results_that_share_a_calibration() -> None:
    shared, own_a, own_b = GTC.ureal(0, 0.0003), GTC.ureal(0, 0.0004, 9), GTC.ureal(0, 0.0002, 4)
    a, b = 10.0012 + shared + own_a, 10.0005 + shared + own_b
    expected = a - b
    found = difference(a.x, a.u, b.x, b.u, covariance=GTC.get_covariance(a, b))
    assert found.value == pytest.approx(expected.x, rel=1e-9)
    assert found.u == pytest.approx(expected.u, rel=1e-9)


def test_independent_results_compared_by_their_expanded_uncertainties() -> None:
    """E_n and zeta of U 0.0008 and 0.0006 (k = 2): a made-up pair, worked out by hand."""
    found = difference(10.0012, 0.0004, 10.0005, 0.0003)
    assert found.en == pytest.approx(0.7, rel=1e-9)
    assert found.value / found.u == pytest.approx(1.4, rel=1e-9)
