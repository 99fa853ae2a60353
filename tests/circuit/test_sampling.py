"""Gy's formula both ways, its stages, and that it is the grain count in other words."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from assaybench.circuit import grains, sampling
from assaybench.circuit.sampling import (
    composition_factor,
    free_metal,
    liberation_factor,
    next_recovery,
    protocol,
    relative_variance,
    sample_needed_g,
    visman,
)


@pytest.mark.parametrize(
    ("um", "g_per_t", "grams", "percent"),
    [
        # reference sheet, Gy-6 and Gy-7: f 0.5, g 0.25, density 19.3, computed independently
        (100, 1, 50, 21.966),
        (106, 5, 30, 13.84),
        (500, 5, 1000, 24.56),
        (1000, 5, 5000, 31.06),
    ],
)
def test_free_gold(um: float, g_per_t: float, grams: float, percent: float) -> None:
    u = math.sqrt(relative_variance(free_metal(um, g_per_t), grams))
    assert 100 * u == pytest.approx(percent, abs=0.006)


@pytest.mark.parametrize(("mm", "kg"), [(0.25, 3.77), (0.5, 30.2), (1, 241), (2, 1930)])
def test_mass_for_ten_per_cent(mm: float, kg: float) -> None:
    """Reference sheet, Gy-8: 1 g/t; the mass grows with the cube of the size."""
    found = sample_needed_g(free_metal(1000 * mm, 1.0), 0.1)
    assert found / 1000 == pytest.approx(kg, rel=0.002)


@given(st.floats(10, 5000), st.floats(0.01, 1000), st.floats(1, 1e6), st.sampled_from([0.52, 0.08]))
def test_it_is_the_grain_count_in_other_words(
    um: float, g_per_t: float, grams: float, shape: float
) -> None:
    """f·g·ρ·d³ is m_w: u_rel = 1/√N of the metal in the sample; so one of the two is used."""
    u2 = relative_variance(free_metal(um, g_per_t, shape=shape, size_range=1.0), grams)
    grain_mg = shape * 19.3 * (um / 1000) ** 3
    assert 1 / u2 == pytest.approx(grains.expected_grains(g_per_t * grams / 1000, grain_mg))


def test_the_largest_grain_and_gys_size_factor_are_one_thing() -> None:
    factors = free_metal(425, 2.0, shape=math.pi / 6)
    grain_mg = factors.grams * 2.0 / 1000
    assert grain_mg == pytest.approx(grains.largest_grain_mg(425))


@given(st.floats(0.01, 1), st.floats(10, 1e6), st.floats(0.1, 1e3))
def test_the_inverse_gives_back_the_target(target: float, lot: float, g_per_t: float) -> None:
    factors = free_metal(300, g_per_t)
    for whole in (lot, math.inf):
        mass = sample_needed_g(factors, target, whole)
        assert 0 < mass < whole
        assert relative_variance(factors, mass, whole) == pytest.approx(target**2, rel=1e-6)


def test_a_lot_taken_whole_has_no_sampling_doubt() -> None:
    assert relative_variance(free_metal(300, 1.0), 500.0, 500.0) == 0.0


def test_why_not_the_square_root() -> None:
    """At d = 1 cm, d_l = 0.01 cm the square root makes the variance a hundred times too large."""
    root, gold = (liberation_factor(100, 10_000, power) for power in (0.5, 1.5))
    assert root / gold == pytest.approx(100)
    assert liberation_factor(100, 10_000) == gold
    assert liberation_factor(100, 80) == 1.0


def test_composition_of_a_trace_is_density_over_grade() -> None:
    assert composition_factor(5e-6, 19.3) == pytest.approx(19.3 / 5e-6, rel=2e-5)
    assert free_metal(100, 5.0).composition == pytest.approx(19.3 / 5e-6)


def test_stages_add_and_the_widest_is_named() -> None:
    coarse, fine = free_metal(1000, 5.0), free_metal(100, 5.0)
    found = protocol([(coarse, 10_000.0), (coarse, 1000.0), (fine, 30.0)], 100_000.0)
    parts = [
        relative_variance(coarse, 10_000.0, 100_000.0),
        relative_variance(coarse, 1000.0, 10_000.0),
        relative_variance(fine, 30.0, 1000.0),
    ]
    assert found.variance == pytest.approx(math.fsum(parts))
    assert found.shares == pytest.approx([part / math.fsum(parts) for part in parts])
    assert found.widest == 2
    assert math.fsum(found.shares) == pytest.approx(1)


@given(st.lists(st.floats(1, 1e5), min_size=1, max_size=5), st.floats(1e5, 1e7))
def test_splitting_at_one_size_is_as_good_as_one_split(masses: list[float], lot: float) -> None:
    factors = free_metal(250, 2.0)
    kept = sorted(masses, reverse=True)
    found = protocol([(factors, mass) for mass in kept], lot)
    assert found.variance == pytest.approx(relative_variance(factors, kept[-1], lot), rel=1e-9)


def test_a_protocol_that_splits_nothing_has_no_widest_share() -> None:
    found = protocol([(free_metal(250, 2.0), 50.0)], 50.0)
    assert (found.variance, found.shares, found.widest) == (0.0, (0.0,), 1)


def test_what_is_left_for_the_sampling() -> None:
    assert sampling.left_for_sampling(0.05, 0.03) == pytest.approx(0.04)
    assert sampling.left_for_sampling(0.05, 0.05) is None


def test_visman_gives_back_both_sets() -> None:
    a, b = visman(1.0, 0.2745, 10.0, 0.069)
    assert a / 1.0 + b == pytest.approx(0.2745)
    assert a / 10.0 + b == pytest.approx(0.069)


# --- whole products, and the next run ------------------------------------------------------------


def test_the_next_run_draws_other_grains() -> None:
    u, ends = next_recovery(0.8, 25)
    assert u == pytest.approx(math.sqrt(0.8 * 0.2 / 25))
    known = stats.binomtest(20, 25).proportion_ci(method="exact")
    assert (ends.low, ends.high) == pytest.approx((known.low, known.high), abs=1e-9)


@pytest.mark.parametrize("recovery", [0.0, 1.0])
def test_all_or_none_caught_is_not_sure_for_the_next_run(recovery: float) -> None:
    u, ends = next_recovery(recovery, 10)
    assert u == 0.0
    width = 1 - 0.025 ** (1 / 10)
    assert ends.high - ends.low == pytest.approx(width, abs=1e-9)


@pytest.mark.parametrize(("truth", "grains_fed"), [(0.97, 12), (0.9, 8), (0.5, 6), (0.02, 15)])
def test_monte_carlo_of_the_next_run_near_its_bounds(truth: float, grains_fed: int) -> None:
    drawn = np.random.default_rng(3).binomial(grains_fed, truth, 5000)
    ends = {int(k): next_recovery(int(k) / grains_fed, grains_fed)[1] for k in np.unique(drawn)}
    held = np.mean([ends[int(k)].low <= truth <= ends[int(k)].high for k in drawn])
    assert held >= 0.95 - 3 * math.sqrt(0.05 * 0.95 / 5000)


def test_monte_carlo_of_gy_and_of_the_grain_count() -> None:
    """Grains of the sizes that m_w is made for, thrown into samples: their RSD is 1/√(metal/m_w).

    Metal even in ln d between 106 and 250 µm; some 9 µg of mean grain, 40 grains by mass.
    """
    dice = np.random.default_rng(9)
    sizes = 106.0 * (250 / 106) ** dice.random(400_000)
    masses = np.array(math.pi / 6 * 19.3 * (sizes / 1000) ** 3)
    grain = grains.sieved_grain_mg(106, 250)
    # metal even in ln d means the number of grains falls as 1/mass
    weights = (1 / masses) / np.sum(1 / masses)
    pool = dice.choice(masses, 400_000, p=weights)
    mean_number = 40 * grain / float(np.mean(pool))
    metal = [float(np.sum(dice.choice(pool, n))) for n in dice.poisson(mean_number, 4000)]
    found = float(np.std(metal) / np.mean(metal))
    assert np.mean(metal) / grain == pytest.approx(40, rel=0.02)
    assert found == pytest.approx(1 / math.sqrt(40), rel=0.05)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: free_metal(0, 1), "top size"),
        (lambda: free_metal(100, 0), "grade"),
        (lambda: free_metal(100, 1, size_range=1.5), "size factor g"),
        (lambda: free_metal(100, 1, density=-1), "density"),
        (lambda: sampling.factors(0.5, 0.25, 2.0, 1.0, 1.0), "liberation factor"),
        (lambda: composition_factor(1.0, 19.3), "share of the mineral"),
        (lambda: composition_factor(0.5, 19.3, 0), "density of the rock"),
        (lambda: liberation_factor(0, 1), "size of liberation"),
        (lambda: relative_variance(free_metal(100, 1), 5.0, 4.0), "not more than the lot"),
        (lambda: sample_needed_g(free_metal(100, 1), 0.0), "target"),
        (lambda: sample_needed_g(free_metal(100, 1), 0.1, 0.0), "mass of the lot"),
        (lambda: protocol([]), "one split"),
        (lambda: protocol([(free_metal(100, 1), 5.0), (free_metal(100, 1), 6.0)]), "split 2"),
        (lambda: visman(1, 0.1, 1, 0.1), "two different masses"),
        (lambda: next_recovery(1.1, 3), "recovery"),
        (lambda: next_recovery(0.5, 0), "number of grains"),
        (lambda: sampling.grains_worth(0), "doubt"),
    ],
)
def test_bad_input_is_named(call: object, named: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=named):
        call()
