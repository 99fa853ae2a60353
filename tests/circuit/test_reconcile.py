"""Streams made to agree: textbook cases, properties, Monte Carlo, refusals."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from assaybench.circuit.reconcile import MASS, Place, Stage, Stream, agree
from assaybench.metrology.uncertain import Sources, nominal
from tests.circuit.streams import DOVI, ONE_SPLIT, masses_of, split_of, streams_of

# --- published cases -----------------------------------------------------------------------------


def test_six_streams_at_three_nodes() -> None:
    masses, variances, stages = DOVI
    sources = Sources()
    given_ = streams_of(sources, masses, {n: math.sqrt(v) for n, v in variances.items()})
    agreed = agree(sources, given_, stages)
    expected = {"1": 11.0293, "2": 9.9571, "3": 20.9864, "4": 11.0293, "5": 7.1780, "6": 3.8513}
    assert masses_of(agreed) == pytest.approx(expected, abs=5e-5)
    assert agreed.chi2 == pytest.approx(1.6675, abs=5e-5)
    assert agreed.dof == 3
    assert agreed.agrees
    assert agreed.p == pytest.approx(stats.chi2.sf(agreed.chi2, 3), abs=1e-12)


def test_heat_exchanger_with_bypass() -> None:
    """S. Narasimhan and C. Jordache, Data Reconciliation (2000), example 1-1 (from memory)."""
    measured = (101.91, 64.45, 34.65, 64.20, 36.44, 98.88)
    names = "123456"
    stages = [Stage(("1",), ("2", "3")), Stage(("2",), ("4",)), Stage(("3",), ("5",)),
              Stage(("4", "5"), ("6",))]  # fmt: skip
    sources = Sources()
    given_ = streams_of(sources, dict(zip(names, measured, strict=True)), dict.fromkeys(names, 1.0))
    found = [*masses_of(agree(sources, given_, stages)).values()]
    assert found == pytest.approx([100.22, 64.50, 35.72, 64.50, 35.72, 100.22], abs=0.005)


def test_gold_node() -> None:
    sources = Sources()
    given_ = streams_of(
        sources,
        {"feed": 15.30, "con": 12.00, "tails": 2.90},
        {"feed": 0.30, "con": 0.05, "tails": 0.30},
    )
    agreed = agree(sources, given_, ONE_SPLIT)
    expected = {"feed": 15.103, "con": 12.005, "tails": 3.097}
    assert masses_of(agreed) == pytest.approx(expected, abs=5e-4)
    doubts = [sources.doubt(agreed.values[Place(n, MASS)]).u for n in expected]
    assert doubts == pytest.approx([0.2136, 0.0497, 0.2136], abs=5e-5)
    assert agreed.chi2 == pytest.approx(0.877, abs=5e-4)
    assert len(agreed.measure_again) == 3  # one constraint: it cannot be told which is off


def test_masses_and_grades_together() -> None:
    sources = Sources()
    agreed = agree(sources, split_of(sources), ONE_SPLIT)
    expected = {
        Place("feed", 0): 99.967, Place("feed", 1): 2.0245, Place("con", 0): 4.391,
        Place("con", 1): 39.570, Place("tails", 0): 95.576, Place("tails", 1): 0.29947,
    }  # fmt: skip
    for place, value in expected.items():
        assert nominal(agreed.values[place]) == pytest.approx(value, rel=5e-4)
    recovery = nominal(agreed.metal("con")) / nominal(agreed.metal("feed"))
    assert recovery == pytest.approx(0.8586, abs=5e-5)
    assert agreed.chi2 == pytest.approx(0.122, abs=5e-4)
    assert agreed.dof == 2


def test_masses_and_grades_against_a_general_minimiser() -> None:
    """Two stages, two metals, every quantity measured; scipy minimises under the constraints."""
    dice = np.random.default_rng(20240611)
    names = ("feed", "con", "mids", "mid con", "tails")
    stages = [Stage(("feed",), ("con", "mids")), Stage(("mids",), ("mid con", "tails"))]
    true = np.array([
        [100.0, 5.0, 95.0, 15.0, 80.0],
        [0.0, 30.0, 0.0, 4.0, 0.2],
        [0.0, 50.0, 0.0, 20.0, 3.0],
    ])  # fmt: skip
    for k in (1, 2):
        true[k][2] = (15 * true[k][3] + 80 * true[k][4]) / 95
        true[k][0] = (5 * true[k][1] + 95 * true[k][2]) / 100
    u = 0.05 * true
    x = true + u * dice.standard_normal(true.shape)
    sources = Sources()
    streams = [
        Stream(
            n,
            sources.variable(f"m {n}", x[0][i], u[0][i]),
            tuple(sources.variable(f"g{k} {n}", x[k][i], u[k][i]) for k in (1, 2)),
        )
        for i, n in enumerate(names)
    ]
    agreed = agree(sources, streams, stages)
    incidence = np.array([[1, -1, -1, 0, 0], [0, 0, 1, -1, -1]], float)

    def gaps(flat: np.ndarray) -> np.ndarray:
        y = flat.reshape(true.shape)
        return np.concatenate([incidence @ y[0], incidence @ (y[0] * y[1]) / 100,
                               incidence @ (y[0] * y[2]) / 100])  # fmt: skip

    best = optimize.minimize(
        lambda flat: float(np.sum(((flat.reshape(true.shape) - x) / u) ** 2)),
        true.ravel(),
        constraints={"type": "eq", "fun": gaps},
        method="SLSQP",
        options={"ftol": 1e-14, "maxiter": 1000},
    )
    expected = best.x.reshape(true.shape)
    for i, n in enumerate(names):
        for k in range(3):
            assert nominal(agreed.values[Place(n, k)]) == pytest.approx(expected[k][i], rel=1e-4)
    assert agreed.chi2 == pytest.approx(best.fun, rel=1e-6)
    assert agreed.dof == 6


# --- properties ----------------------------------------------------------------------------------

shares = st.floats(0.05, 0.95)
noises = st.lists(st.floats(-3, 3), min_size=6, max_size=6)


def noisy_split(
    sources: Sources, yield_: float, rich: float, poor: float, noise: Sequence[float], u: float
) -> list[Stream]:
    """A split of 100 with relative doubts u, each value off by so many u."""
    feed = yield_ * rich + (1 - yield_) * rich * poor
    true = (100.0, 100 * yield_, 100 * (1 - yield_), feed, rich, rich * poor)
    off = [v * (1 + u * z) for v, z in zip(true, noise, strict=True)]
    doubts = [v * u for v in true]
    masses, grades = tuple(off[:3]), tuple(off[3:])
    return split_of(sources, masses, grades, tuple(doubts[:3]), tuple(doubts[3:]))  # type: ignore[arg-type]  # three each


@given(shares, st.floats(1, 100), st.floats(0.01, 0.9), noises, st.floats(1e-4, 0.05))
def test_agreed_streams_conserve_mass_and_metal(
    yield_: float, rich: float, poor: float, noise: list[float], u: float
) -> None:
    sources = Sources()
    agreed = agree(sources, noisy_split(sources, yield_, rich, poor, noise, u), ONE_SPLIT)
    masses = masses_of(agreed)
    assert masses["feed"] == pytest.approx(masses["con"] + masses["tails"], rel=1e-9)
    feed, con, tails = (agreed.metal(n) for n in ("feed", "con", "tails"))
    assert nominal(feed) == pytest.approx(nominal(con) + nominal(tails), rel=1e-9)
    # not only the values: what is left has no doubt either
    assert sources.doubt(feed - con - tails).u <= 1e-9 * sources.doubt(feed).u


@given(shares, st.floats(1, 100), st.floats(0.01, 0.9), st.floats(1e-4, 0.05))
def test_measurements_that_agree_are_not_changed(
    yield_: float, rich: float, poor: float, u: float
) -> None:
    sources = Sources()
    streams = noisy_split(sources, yield_, rich, poor, [0.0] * 6, u)
    agreed = agree(sources, streams, ONE_SPLIT)
    assert agreed.chi2 == pytest.approx(0, abs=1e-12)
    assert agreed.p == pytest.approx(1)
    for stream in streams:
        for which, value in enumerate((stream.mass, *stream.grades)):
            found = nominal(agreed.values[Place(stream.name, which)])
            assert found == pytest.approx(nominal(value), rel=1e-9)


@given(noises, st.sampled_from((1e-6, 1e-3, 1e4)), st.sampled_from((1e-6, 1e4)))
def test_units_do_not_matter(noise: list[float], mass: float, grade: float) -> None:
    first, other = Sources(), Sources()
    agreed = agree(first, noisy_split(first, 0.1, 40.0, 0.01, noise, 0.03), ONE_SPLIT)
    streams = [
        Stream(
            s.name,
            other.variable(f"m {s.name}", mass * nominal(s.mass), mass * first.doubt(s.mass).u),
            (
                other.variable(
                    f"g {s.name}",
                    grade * nominal(s.grades[0]),
                    grade * first.doubt(s.grades[0]).u,
                ),
            ),
        )
        for s in noisy_split(first, 0.1, 40.0, 0.01, noise, 0.03)
    ]
    scaled = agree(other, streams, ONE_SPLIT)
    assert scaled.chi2 == pytest.approx(agreed.chi2, rel=1e-6, abs=1e-9)
    for place, value in agreed.values.items():
        factor = mass if place.which == MASS else grade
        assert nominal(scaled.values[place]) == pytest.approx(factor * nominal(value), rel=1e-8)


@given(noises)
def test_no_agreed_value_is_less_sure_than_its_measurement(noise: list[float]) -> None:
    sources = Sources()
    streams = noisy_split(sources, 0.3, 10.0, 0.1, noise, 0.02)
    agreed = agree(sources, streams, ONE_SPLIT)
    for stream in streams:
        for which, value in enumerate((stream.mass, *stream.grades)):
            after = sources.doubt(agreed.values[Place(stream.name, which)]).u
            assert after <= sources.doubt(value).u * (1 + 1e-9)


def test_a_stage_said_twice_counts_once() -> None:
    sources = Sources()
    streams = split_of(sources)
    once = agree(sources, streams, ONE_SPLIT)
    twice = agree(sources, streams, ONE_SPLIT * 2)
    assert twice.dof == once.dof
    assert twice.chi2 == pytest.approx(once.chi2, rel=1e-9)


def test_chi_square_of_measurements_that_agree_is_chi_square() -> None:
    """1000 draws of the six streams: the law of their chi-square with three constraints."""
    masses, variances, stages = DOVI
    dice = np.random.default_rng(20240612)
    true = masses_of_truth()
    found = []
    for _ in range(1000):
        sources = Sources()
        drawn = {n: v + math.sqrt(variances[n]) * dice.standard_normal() for n, v in true.items()}
        given_ = streams_of(sources, drawn, {n: math.sqrt(v) for n, v in variances.items()})
        found.append(agree(sources, given_, stages).chi2)
    assert len(masses) == len(true)
    assert stats.kstest(found, stats.chi2(3).cdf).pvalue > 0.01


def masses_of_truth() -> dict[str, float]:
    return {"1": 11.0, "2": 10.0, "3": 21.0, "4": 11.0, "5": 7.2, "6": 3.8}


def test_what_two_streams_share_is_weighed_in() -> None:
    """Feed and concentrate weighed on one scale of doubtful calibration, tailings on another."""
    sources = Sources()
    scale = sources.variable("scale", 1.0, 0.02)
    feed = scale * sources.variable("feed", 101.0, 0.1)
    con = scale * sources.variable("con", 40.0, 0.1)
    tails = sources.variable("tails", 60.0, 0.5)
    streams = [Stream("feed", feed), Stream("con", con), Stream("tails", tails)]
    agreed = agree(sources, streams, ONE_SPLIT)
    v = np.array(
        [[sources.covariance(a, b) for b in (feed, con, tails)] for a in (feed, con, tails)]
    )
    a = np.array([[1.0, -1.0, -1.0]])
    x = np.array([101.0, 40.0, 60.0])
    expected = x - v @ a.T @ np.linalg.inv(a @ v @ a.T) @ a @ x
    assert [*masses_of(agreed).values()] == pytest.approx(expected, rel=1e-12)
    left = v - v @ a.T @ np.linalg.inv(a @ v @ a.T) @ a @ v
    found = [sources.doubt(agreed.values[Place(n, MASS)]).u for n in ("feed", "con", "tails")]
    assert found == pytest.approx(np.sqrt(np.diag(left)), rel=1e-9)


def test_intervals_against_monte_carlo() -> None:
    """The agreed recovery over 600 drawn sets of six measurements has the u it states."""
    dice = np.random.default_rng(20240613)
    truth = (99.967, 4.391, 95.576, 2.0245, 39.570, 0.0)
    metal = truth[0] * truth[3] - truth[1] * truth[4]
    truth = (*truth[:5], metal / truth[2])
    u = (1.0, 0.1, 1.0, 0.1, 2.0, 0.015)
    recoveries, stated = [], []
    for _ in range(600):
        x = [v + d * dice.standard_normal() for v, d in zip(truth, u, strict=True)]
        sources = Sources()
        drawn = split_of(sources, tuple(x[:3]), tuple(x[3:]), u[:3], u[3:])  # type: ignore[arg-type]  # three each
        agreed = agree(sources, drawn, ONE_SPLIT)
        recovery = agreed.metal("con") / agreed.metal("feed")
        recoveries.append(nominal(recovery))
        stated.append(sources.doubt(recovery).u)
    assert float(np.std(recoveries)) == pytest.approx(float(np.mean(stated)), rel=0.1)
    exact = truth[1] * truth[4] / (truth[0] * truth[3])
    inside = np.abs(np.array(recoveries) - exact) <= 1.96 * np.array(stated)
    assert np.mean(inside) == pytest.approx(0.95, abs=0.03)
