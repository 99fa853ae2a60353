"""Equal stages over several sizes: the fixed points against seeded Monte Carlo."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats

from assaybench.circuit import alike
from assaybench.circuit.alike import Masses, drawn, quantile_of
from assaybench.circuit.products import CircuitTest
from assaybench.circuit.recovery import recover
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from tests.circuit.builders import FINE, R_09, by_size, ends, way

DRAWS = 400_000
Draws = NDArray[np.float64]

TESTS = {
    # caught, re-run, u of the caught, u of the re-run
    "one doubtful size": ((186, 242, 58), (2.1, 31.5, 49), (0.01, 0.01, 2.9), (0.01, 0.01, 2.4)),
    "all doubtful alike": ((10, 10, 10), (5, 5, 5), (1, 1, 1), (1, 1, 1)),
    "all near the pole": ((10, 10, 10), (5, 5, 5), (1.5, 1.5, 1.5), (1.5, 1.5, 1.5)),
    "a rich and a poor size": ((10, 1), (1, 0.7), (0.2, 0.1), (0.2, 0.1)),
    "nothing much escapes": ((3, 3, 3, 3), (0.1, 0.1, 0.1, 0.1), (0.3,) * 4, (0.1,) * 4),
    "five sizes": ((40, 25, 12, 8, 3), (4, 6, 5, 4, 1), (1, 1, 0.8, 0.6, 0.3), (0.4,) * 4 + (0.2,)),
}  # fmt: skip


def masses_of(name: str, sources: Sources) -> Masses:
    caught, rerun, u_caught, u_rerun = TESTS[name]
    return Masses(
        tuple(
            sources.variable(f"A{i}", float(m), u)
            for i, (m, u) in enumerate(zip(caught, u_caught, strict=True))
        ),
        tuple(
            sources.variable(f"B{i}", float(m), u)
            for i, (m, u) in enumerate(zip(rerun, u_rerun, strict=True))
        ),
    )


def random_feed(a: Draws, b: Draws) -> Draws:
    """A²/(A - B) of draws, endless where B reaches A."""
    return np.where(b < a, a * a / np.where(b < a, a - b, 1), np.inf)


@pytest.mark.parametrize("name", TESTS)
def test_ends_hold_their_chance(name: str) -> None:
    """Chances beyond the ends are within 0.003 of 0.025, as the file says (draws: ± 0.0012)."""
    sources = Sources()
    found = drawn(sources, masses_of(name, sources))
    caught, rerun, u_caught, u_rerun = (np.array(part, float)[:, None] for part in TESTS[name])
    random = np.random.default_rng(20240303)
    a = np.maximum(caught + u_caught * random.standard_normal((len(caught), DRAWS)), 0)
    least = stats.norm.cdf(-rerun / u_rerun)  # a re-run is not below nothing: its law is cut there
    rank = least + (1 - least) * random.random((len(rerun), DRAWS))
    b = rerun + u_rerun * stats.norm.ppf(rank)
    feeds = random_feed(a, b)
    shares, lost = a.sum(0) / feeds.sum(0), (feeds - a).sum(0)
    low, high = quantile_of(found.recovery, 0.025), quantile_of(found.recovery, 0.975)
    if low > 0:
        assert np.mean(shares <= low) == pytest.approx(0.025, abs=0.0042)
    else:
        assert np.mean(shares <= 0) > 0.022
    assert np.mean(shares > high) == pytest.approx(0.025, abs=0.0042)
    assert np.mean(lost <= quantile_of(found.lost_total, 0.025)) == pytest.approx(0.025, abs=0.0055)
    assert np.mean(lost > quantile_of(found.lost_total, 0.5)) == pytest.approx(0.5, abs=0.02)


def test_correlated_masses_against_monte_carlo() -> None:
    """A zero residue common to all beads and a fineness common to a product."""
    sources = Sources()
    residue = sources.variable("residue", 0.0, 0.8)
    fineness = sources.variable("fineness", 1.0, 0.1)
    own = [sources.variable(f"own {i}", m, 0.3) for i, m in enumerate((20, 12, 6, 5))]
    masses = Masses(
        (own[0] + residue, own[1] + residue),
        (own[2] * fineness + residue, own[3] * fineness + residue),
    )
    found = drawn(sources, masses)
    random = np.random.default_rng(20240304)
    z = random.standard_normal((6, DRAWS))
    r, f = 0.8 * z[0], 1 + 0.1 * z[1]
    a = np.array([20 + 0.3 * z[2] + r, 12 + 0.3 * z[3] + r])
    b = np.array([(6 + 0.3 * z[4]) * f + r, (5 + 0.3 * z[5]) * f + r])
    shares = a.sum(0) / random_feed(a, b).sum(0)
    assert np.mean(shares <= quantile_of(found.recovery, 0.025)) == pytest.approx(0.025, abs=0.005)
    assert np.mean(shares > quantile_of(found.recovery, 0.975)) == pytest.approx(0.025, abs=0.005)


def test_points_have_the_moments_of_the_masses() -> None:
    """Means, variances and covariances over the points are those of the sources."""
    sources = Sources()
    shared = sources.variable("shared", 0.0, 0.5)
    values = [
        sources.variable("a", 20.0, 0.6) + shared,
        sources.variable("b", 3.0, 0.2) - shared,
        sources.variable("m", 1.0, 0.3),
    ]
    slopes = alike._slopes([nominal(value) for value in values], 1)
    rows = alike._turned(alike._root_of(sources, values, 1.0), slopes)
    points = np.array(alike._points(3)) @ np.array(rows).T
    covariance = np.cov(points.T)
    wanted = [[sources.covariance(x, y) for y in values] for x in values]
    assert points.mean(0) == pytest.approx(np.zeros(3), abs=3e-3)
    assert covariance == pytest.approx(np.array(wanted), abs=6e-3)


def test_first_coordinate_is_the_steepest_direction() -> None:
    """Along the other coordinates R does not change to first order."""
    sources = Sources()
    masses = masses_of("a rich and a poor size", sources)
    values: list[Uncertain] = [*masses.caught, *masses.rerun, 0.0]
    slopes = alike._slopes([nominal(value) for value in values], 2)
    rows = alike._turned(alike._root_of(sources, values, 1.0), slopes)
    along = [sum(s * r[k] for s, r in zip(slopes, rows, strict=True)) for k in range(len(values))]
    assert abs(along[0]) == pytest.approx(sources.doubt(alike.recovery(masses)).u)
    assert along[1:] == pytest.approx([0.0] * (len(values) - 1), abs=1e-12)


def test_a_slope_against_the_first_axis_is_turned_too() -> None:
    rows = alike._turned([[2.0, 0.0], [0.0, 3.0]], [-1.0, 0.0])
    assert rows == [[-2.0, 0.0], [0.0, 3.0]]


def test_same_input_same_bits() -> None:
    first, second = (
        drawn(sources, masses_of("five sizes", sources)) for sources in (Sources(), Sources())
    )
    assert first == second


def test_first_order_and_points_agree_where_one_gives_way_to_the_other() -> None:
    """At A - B of 30u the ends of both differ by less than a tenth of U."""
    found = []
    for u in (9.3 / math.sqrt(2) / 30.5, 9.3 / math.sqrt(2) / 29.5):
        sources = Sources()
        rows = by_size(sources, {FINE: R_09[FINE], "+1.0 mm": (186.4, 2.1)}, u=u)
        figure = way(recover(sources, CircuitTest(rows)).total, "equal stages").figure
        low, high = ends(figure)
        found.append((low, high))
        assert figure.u is not None
    assert found[0] == pytest.approx(found[1], rel=0.01)


def test_a_total_of_one_size_is_that_size() -> None:
    sources = Sources()
    rows = by_size(sources, {FINE: (58.3, 49.0)}, u=2.5)
    found = recover(sources, CircuitTest(rows))
    assert way(found.total, "equal stages").figure == way(found.sizes[0], "equal stages").figure


def test_quantiles_of_few_values() -> None:
    assert quantile_of([1.0, 2.0, 3.0, 4.0], 0.5) == 2.5
    assert quantile_of([1.0, 2.0], 0.01) == 1.0
    assert quantile_of([1.0, math.inf], 0.99) == math.inf
    assert quantile_of([1.0, math.inf, math.inf], 0.7) == math.inf


def test_loss_without_an_upper_end() -> None:
    """P(B >= A) = 4 %: more than 1 in 40, so the loss has no upper end but a lower one."""
    sources = Sources()
    rows = by_size(sources, {"coarse": (100.0, 5.0), "fine": (10.0, 10 - 1.75 * math.sqrt(2))}, u=1)
    found = recover(sources, CircuitTest(rows))
    fine = found.losses[1].alike
    assert fine.high is None
    assert "or more" in fine.text
    assert fine.low is not None
    assert found.look_at == "fine"
    assert ends(way(found.total, "equal stages").figure)[0] == 0.0
