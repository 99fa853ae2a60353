"""Check weights, certificates, zeros of a log, buoyancy."""

import math

import numpy as np
import pytest

from assaybench.metrology.calibration import (
    CertificatePoint,
    CheckWeight,
    buoyancy_factor,
    error_at,
    scale_from_check,
    spread_from_zeros,
)
from assaybench.metrology.weighing import Balance

FINE = Balance("fine", 0.001, 0.002, 9)


def test_a_check_weight_gives_error_and_relative_uncertainty() -> None:
    scale = scale_from_check(CheckWeight(10.0, 0.0046), [10.003, 10.001], FINE)
    assert scale.error_mg == pytest.approx(0.002)
    assert scale.u_error_mg == pytest.approx(math.sqrt(0.0046**2 + 0.002**2 / 2))
    assert (scale.corrected, scale.factor) == (False, 1.0)
    assert scale.u_relative == pytest.approx(scale.u_error_mg / 10)


def test_an_error_that_is_shown_is_corrected_or_added() -> None:
    weight = CheckWeight(10.0, 0.001)
    corrected = scale_from_check(weight, [10.02], FINE)
    assert corrected.factor == pytest.approx(10 / 10.02)
    added = scale_from_check(weight, [10.02], FINE, correct=False)
    assert added.factor == 1
    assert added.u_relative == pytest.approx(math.hypot(corrected.u_relative, 0.002))


def test_drift_between_before_and_after_widens_the_scale() -> None:
    weight = CheckWeight(10.0, 0.001)
    steady = scale_from_check(weight, [10.0], FINE, after_mg=[10.0])
    drifted = scale_from_check(weight, [10.0], FINE, after_mg=[9.997])
    extra = math.sqrt(drifted.u_relative**2 - steady.u_relative**2)
    assert extra == pytest.approx(0.003 / math.sqrt(12) / 10)


def test_certificate_points_are_interpolated_and_not_left() -> None:
    points = [CertificatePoint(0, 0.0, 0.002), CertificatePoint(100, 0.01, 0.006)]
    assert error_at(50, points) == pytest.approx((0.005, 0.002))
    assert error_at(100, points) == pytest.approx((0.01, 0.003))
    with pytest.raises(ValueError, match="outside the points"):
        error_at(101, points)


def test_spread_from_zeros_finds_the_spread_under_a_steady_drift() -> None:
    dice = np.random.default_rng(5)
    zeros = 0.0004 * np.arange(4000) + dice.normal(0, 0.001, 4000)
    found = spread_from_zeros([float(step) for step in zeros[1::2] - zeros[::2]])
    assert found is not None
    spread, dof = found
    assert dof == 1999
    assert spread == pytest.approx(math.sqrt(2) * 0.001, rel=0.05)
    assert spread_from_zeros([0.0] * 5) is None


def test_spread_of_six_pairs_by_hand() -> None:
    """Δ = 1 -1 2 0 -2 0 µg: ΣΔ² = 10, s² = 2·10/(2·5) = 2 µg², ν = 5."""
    found = spread_from_zeros([0.001, -0.001, 0.002, 0.0, -0.002, 0.0])
    assert found is not None
    assert found[0] == pytest.approx(0.001 * math.sqrt(2))
    assert found[1] == 5


@pytest.mark.parametrize(
    ("density", "ppm"), [(19300, -87.83), (10500, -35.72), (11340, -44.18), (2700, 294.6)]
)
def test_buoyancy_of_the_materials_of_the_bench(density: float, ppm: float) -> None:
    """Derived from the formula of NIST SOP 2, air 1.2 kg/m³."""
    assert (buoyancy_factor(density) - 1) * 1e6 == pytest.approx(ppm, abs=0.1)


def test_buoyancy_of_an_aluminium_weight() -> None:
    """Conventional 2 g of density 2700 has the mass 2000.589 mg (operating instructions, seen)."""
    assert 2000 * buoyancy_factor(2700) == pytest.approx(2000.589, abs=0.001)


def test_nothing_floats() -> None:
    with pytest.raises(ValueError, match="denser than the air"):
        buoyancy_factor(1.0)
