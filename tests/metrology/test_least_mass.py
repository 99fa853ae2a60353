"""What a balance can see: limits, least mass for an aim, repeats that reach it."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assaybench.metrology.sight import (
    doubt_of,
    least_mass,
    limits,
    relative_expanded,
    repeats_for_aim,
    useful_repeats,
    verdict,
)
from assaybench.metrology.uncertain import Sources
from assaybench.metrology.weighing import Balance, Reading, u0, weigh
from tests.metrology.seen_weighings import AIM, FINE, weighed
from tests.strategies import magnitudes

FINE_OF_TEN = Balance("fine", 0.001, 0.002, spread_dof=9)


def _single(balance: Balance) -> tuple[float, float]:
    """u_c in mg and k of one reading and one zero."""
    return doubt_of(balance, u0(balance, 1, 1), balance.u_shared_mg)


# --- limits --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    # Currie 1968: 1.645, 3.29, 10. For ν = 9 and 4: t(0.95, ν) and the noncentral t (method
    # version 1, section 2; 4.07 for ν = 4 is Currie's own, from memory).
    ("dof", "critical", "detection"),
    [(math.inf, 1.6449, 3.2897), (9, 1.8331, 3.5754), (4, 2.1318, 4.0673)],
)
def test_limits_in_units_of_u0(dof: float, critical: float, detection: float) -> None:
    balance = Balance("fine", 0.001, 0.002, spread_dof=dof)
    weighing, _ = weighed(balance, "0.184")
    found = limits(weighing, balance, AIM)
    assert found.critical_mg / 0.002 == pytest.approx(critical, abs=6e-5)
    assert found.detection_mg / 0.002 == pytest.approx(detection, abs=6e-5)
    assert found.tenfold_mg / 0.002 == pytest.approx(10, rel=1e-12)


def test_more_readings_see_less_metal_but_rounding_does_not_average() -> None:
    texts = ("0.184", "0.185", "0.183", "0.184")
    four, _ = weighed(FINE, *texts, zeros=("0.000",) * 4)
    assert limits(four, FINE, AIM).critical_mg == pytest.approx(1.6449 * 0.001, rel=1e-4)
    coarse = Balance("coarse", 0.001, 0.0005)
    rounded, _ = weighed(coarse, *texts, zeros=("0.000",) * 4)
    assert limits(rounded, coarse, AIM).critical_mg == pytest.approx(1.6449 * 0.0005, rel=1e-4)


def simulated(true_mg: float) -> float:
    """Share of simulated weighings of this mass whose verdict is `not detected`; s = 2 d."""
    rng = np.random.default_rng(41)
    step = Fraction(1, 1000)
    sigma = math.sqrt(4 - 1 / 6) / math.sqrt(2)
    times, missed = 1500, 0
    for _ in range(times):
        offset = rng.uniform(-0.5, 0.5)
        load, zero = (round(offset + mass + rng.normal(0, sigma)) for mass in (true_mg * 1000, 0.0))
        sources = Sources()
        weighing = weigh(
            sources,
            FINE,
            [Reading("load", load * step, "")],
            [Reading("zero", zero * step, "")],
        )
        found, _ = verdict(weighing, FINE, AIM, sources.doubt(weighing.net))
        missed += found.code in {"not_detected", "below_zero"}
    return missed / times


def test_an_empty_pan_is_taken_for_metal_in_5_of_100() -> None:
    """L_C = 3.3 divisions here, so the displayed 3 is not, 4 is detected: 4 to 5 in 100."""
    assert 1 - simulated(0.0) == pytest.approx(0.05, abs=0.02)


def test_a_mass_of_l_d_is_missed_in_5_of_100() -> None:
    weighing, _ = weighed(FINE, "0.184")
    missed = simulated(limits(weighing, FINE, AIM).detection_mg)
    assert missed == pytest.approx(0.05, abs=0.025)


# --- least mass ----------------------------------------------------------------------------------


def test_usp_41() -> None:
    """USP <41>: s = 0.00015 g and 0.10 % make 2000 s = 0.30000 g; below 0.41 d it is 820 d."""
    balance = Balance("analytical", 0.1, 0.15)
    assert least_mass(0.001, balance, *_single(balance)) == pytest.approx(300.00, rel=1e-12)
    steady = Balance("steady", 0.1, 0.01)
    assert least_mass(0.001, steady, *_single(steady)) == pytest.approx(82.0, rel=1e-12)


@pytest.mark.parametrize(
    # Derived, k = 2: m_min = 2·max(s, 0.41 d)/p.
    ("s", "d", "least"),
    [
        (0.0001, 0.0001, (0.2, 0.04, 0.02, 0.01, 0.004)),
        (0.0004, 0.0001, (0.8, 0.16, 0.08, 0.04, 0.016)),
        (0.0015, 0.001, (3.0, 0.6, 0.3, 0.15, 0.06)),
        (0.02, 0.01, (40, 8, 4, 2, 0.8)),
        (0.08, 0.1, (160, 32, 16, 8, 3.2)),
    ],
)
def test_least_mass_at_five_aims(s: float, d: float, least: tuple[float, ...]) -> None:
    balance = Balance("b", d, s)
    found = [
        least_mass(aim, balance, *_single(balance)) for aim in (0.001, 0.005, 0.01, 0.02, 0.05)
    ]
    assert found == pytest.approx(least, rel=1e-12)


def test_least_mass_with_a_calibration() -> None:
    """s .0015 mg, u_rel 2e-4, aim 1 %, k 2: 0.30024 mg (derived)."""
    balance = Balance("b", 0.001, 0.0015, calibration=0.0002)
    assert least_mass(AIM, balance, *_single(balance)) == pytest.approx(0.30024, abs=5e-6)


@pytest.mark.parametrize("calibration", [0.005, 0.006, 0.1])
def test_no_mass_meets_an_aim_that_the_calibration_alone_exceeds(calibration: float) -> None:
    balance = Balance("b", 0.001, 0.002, calibration=calibration)
    assert least_mass(AIM, balance, *_single(balance)) is None


def test_what_is_shared_counts_in_the_least_mass() -> None:
    balance = Balance("b", 0.001, 0.002, linearity_mg=0.006, zero_residue_mg=0.003)
    shared = math.hypot(0.006 / math.sqrt(3), 0.003 / math.sqrt(3))
    assert _single(balance) == pytest.approx((math.hypot(0.002, shared), 2.0), rel=1e-12)
    assert _single(FINE_OF_TEN)[1] == pytest.approx(2.2622, abs=1e-4)
    # ν_eff = 9·(1 + 1/ratio²)²: 1 to 1 makes 36, so k = t(36)
    assert doubt_of(FINE_OF_TEN, 0.002, 0.002)[1] == pytest.approx(2.0281, abs=1e-4)


@given(
    magnitudes(-4, 0),
    st.floats(0.3, 3),
    st.integers(2, 80) | st.just(math.inf),
    st.floats(0, 0.004),
    st.floats(0.001, 0.2),
)
def test_at_the_least_mass_u_is_the_aim(
    step: float, ratio: float, dof: float, calibration: float, aim: float
) -> None:
    balance = Balance("b", step, ratio * step, spread_dof=dof, calibration=calibration)
    u_c, k = _single(balance)
    least = least_mass(aim, balance, u_c, k)
    assume(least is not None)
    assert least is not None
    assert k * math.hypot(u_c, calibration * least) / least == pytest.approx(aim, rel=1e-9)


# --- repeats -------------------------------------------------------------------------------------


def test_repeats_for_a_bead_of_0_184_mg() -> None:
    """s = 0.002 mg well known, aim 1 %: once ± 2.2 %, five times ± 1.0 %."""
    assert relative_expanded(0.184, FINE, 1) == pytest.approx(0.0217, abs=5e-5)
    assert repeats_for_aim(0.184, FINE, AIM) == 5
    assert relative_expanded(0.184, FINE, 5) == pytest.approx(0.0097, abs=5e-5)
    assert relative_expanded(0.184, FINE, 4) > AIM


def test_repeats_are_told_until_as_many_were_made() -> None:
    found = useful_repeats(weighed(FINE, *["0.184"] * 4)[0], FINE, AIM)
    assert found == (5, relative_expanded(0.184, FINE, 5))
    assert useful_repeats(weighed(FINE, *["0.184"] * 5)[0], FINE, AIM) is None


@pytest.mark.parametrize(
    ("mass", "balance"),
    [
        (0.184, Balance("unmeasured", 0.001)),
        (0.05, Balance("rounding rules", 0.001, 0.0005)),
        (0.12, FINE),
        (0.0, FINE),
        (-0.1, FINE),
        (100.0, Balance("poor scale", 0.001, 0.002, calibration=0.006)),
    ],
)
def test_no_number_of_repeats_is_promised_in_vain(mass: float, balance: Balance) -> None:
    assert repeats_for_aim(mass, balance, AIM) is None


def test_linearity_is_not_averaged_away() -> None:
    balance = Balance("b", 0.001, 0.002, linearity_mg=0.004)
    assert relative_expanded(0.5, balance, 10) == pytest.approx(
        2 * math.hypot(0.002 / math.sqrt(10), 0.004 / math.sqrt(3)) / 0.5, rel=1e-12
    )
