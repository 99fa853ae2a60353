"""Gold grains: masses by sieve, expected numbers, and the limits of a count against scipy."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from assaybench.circuit.grains import (
    GOLD_DENSITY,
    SHAPE_FACTORS,
    Shape,
    expected_grains,
    grain_doubt,
    grain_mass_mg,
    sieved_grain_mg,
    u_grains_mg,
    unseen_mg,
    weighed_grain_mg,
)

SHAPES: tuple[Shape, ...] = ("sphere", "flake")


def test_method_value_of_a_size_fraction() -> None:
    """Method version 1, test vectors: 106-250 µm, sphere, even in ln d."""
    assert sieved_grain_mg(106, 250) == pytest.approx(0.056666, abs=5e-7)


def test_printed_shape_factors_are_the_exact_ones_rounded() -> None:
    assert SHAPE_FACTORS["sphere"] == pytest.approx(0.52, abs=0.005)
    assert SHAPE_FACTORS["flake"] == pytest.approx(0.08, abs=0.005)


@pytest.mark.parametrize(
    ("um", "sphere_ug", "disc_ug"),
    [
        # π/6·d³·ρ and π/4·d²·(d/10)·ρ at 19.3 g/cm³, computed independently, three digits
        (38, 0.555, 0.083),
        (75, 4.26, 0.640),
        (106, 12.0, 1.81),
        (212, 96.3, 14.4),
        (425, 776, 116),
        (850, 6210, 931),
        (1700, 49700, 7450),
    ],
)
def test_grain_mass_by_sieve(um: float, sphere_ug: float, disc_ug: float) -> None:
    assert grain_mass_mg(um) * 1000 == pytest.approx(sphere_ug, rel=0.005)
    assert grain_mass_mg(um, "flake") * 1000 == pytest.approx(disc_ug, rel=0.005)


@given(st.floats(5, 2000), st.floats(1.01, 10), st.sampled_from(SHAPES))
def test_size_fraction_is_the_mean_over_ln_d(fine: float, ratio: float, kind: Shape) -> None:
    low, high = math.log(fine), math.log(fine * ratio)
    whole, _ = integrate.quad(lambda x: grain_mass_mg(math.exp(x), kind), low, high)
    assert sieved_grain_mg(fine, fine * ratio, kind) == pytest.approx(whole / (high - low))


def test_colours_of_an_ounce_lie_in_their_sieve_class() -> None:
    """12 000 fine colours to the troy ounce, 0.38-0.76 mm: a state placer circular."""
    mean_mg = 31103.4768 / 12000
    diameter_um = 1000 * (mean_mg / (SHAPE_FACTORS["sphere"] * GOLD_DENSITY)) ** (1 / 3)
    assert diameter_um == pytest.approx(635, abs=1)
    assert 380 < diameter_um < 760


def test_weighed_grains_one_nugget_rules() -> None:
    """5, 5, 5, 10, 50 mg: √Σm²/Σm is 68.96 %, computed independently."""
    masses = [5.0, 5.0, 5.0, 10.0, 50.0]
    grain = weighed_grain_mg(masses)
    assert math.sqrt(grain / sum(masses)) == pytest.approx(0.6896, abs=5e-5)
    assert u_grains_mg(75.0, grain) / 75.0 == pytest.approx(0.6896, abs=5e-5)


@pytest.mark.parametrize("count", [1, 2, 3, 5, 10, 19])
def test_limits_of_a_small_count(count: int) -> None:
    """F. Garwood 1936, by scipy: χ²(0.025, 2n)/2 and χ²(0.975, 2n + 2)/2."""
    found = grain_doubt(count * 0.25, 0.25)
    low, high = stats.chi2.ppf(0.025, 2 * count) / 2, stats.chi2.ppf(0.975, 2 * count + 2) / 2
    assert found.interval.low / 0.25 == pytest.approx(low, rel=1e-9)
    assert found.interval.high / 0.25 == pytest.approx(high, rel=1e-9)
    assert found.u_rel is None


def test_enough_grains() -> None:
    found = grain_doubt(25.0, 1.0)
    assert found.u_rel == pytest.approx(0.2)
    assert found.interval.low == pytest.approx(25 - 1.959964 * 5, abs=1e-5)
    assert grain_doubt(20.0, 1.0).u_rel is not None


@pytest.mark.parametrize("metal_mg", [0.0, -0.003])
def test_none_found_is_never_nothing(metal_mg: float) -> None:
    found = grain_doubt(metal_mg, 0.012)
    assert found.interval.low == 0.0
    assert found.interval.high == pytest.approx(0.036)
    assert unseen_mg(0.012) == pytest.approx(-math.log(0.05) * 0.012, rel=0.002)


def test_a_part_of_a_grain_has_an_interval_too() -> None:
    found = grain_doubt(1e-9, 1.0)
    assert found.interval.low == 0.0
    assert found.interval.high == pytest.approx(3.6889, abs=1e-3)


@given(st.floats(1e-6, 1e3), st.floats(1e-4, 1e2))
def test_interval_holds_the_metal_and_n_is_its_share(metal_mg: float, grain_mg: float) -> None:
    found = grain_doubt(metal_mg, grain_mg)
    assert found.interval.low <= metal_mg <= found.interval.high
    assert found.grains == pytest.approx(expected_grains(metal_mg, grain_mg))
    assert u_grains_mg(metal_mg, grain_mg) == pytest.approx(metal_mg / math.sqrt(found.grains))


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: sieved_grain_mg(250, 106), "coarse opening"),
        (lambda: sieved_grain_mg(0, 106), "fine opening"),
        (lambda: grain_mass_mg(100, density_g_cm3=-1), "density"),
        (lambda: grain_mass_mg(math.nan), "diameter"),
        (lambda: weighed_grain_mg([]), "one grain"),
        (lambda: weighed_grain_mg([1.0, 0.0]), "mass of a grain"),
        (lambda: expected_grains(1.0, 0.0), "mass of a grain"),
    ],
)
def test_bad_input_is_named(call: object, named: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=named):
        call()
