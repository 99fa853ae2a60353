"""What is known of a balance's scale and spread: check weights, certificates, zeros, buoyancy.

Method version 1, section 1. Masses in milligrams, densities in kg/m³.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from assaybench.metrology.weighing import Balance, u0

CONVENTIONAL_DENSITY = 8000.0
"""Density that weights are adjusted to, kg/m³ (OIML D 28; from memory)."""
FEWEST_ZERO_PAIRS = 6


class CheckWeight(NamedTuple):
    """A check weight.

    Attributes:
        mass_mg: its mass from the certificate, or nominal.
        u_mg: standard uncertainty: U/k of a certificate, MPE/√3 of a class (OIML R 111).
    """

    mass_mg: float
    u_mg: float


class Scale(NamedTuple):
    """The scale of a balance as a check weight shows it.

    Attributes:
        error_mg: E, mean reading less reference mass.
        u_error_mg: standard uncertainty of E.
        factor: what a net reading is multiplied by: 1/(1 + E/m_ref), or 1 when not corrected.
        u_relative: u_rel, relative standard uncertainty of the scale.
        corrected: whether E is larger than chance lets expect, and so corrected for.
    """

    error_mg: float
    u_error_mg: float
    factor: float
    u_relative: float
    corrected: bool


def scale_from_check(
    weight: CheckWeight,
    readings_mg: Sequence[float],
    balance: Balance,
    *,
    after_mg: Sequence[float] = (),
    correct: bool = True,
) -> Scale:
    """The scale of a balance from readings of a check weight, before and perhaps after a series.

    u_rel² = (u_ref² + u0²/n + u_lin²)/m_ref² + (E_after - E_before)²/(12·m_ref²). An error beyond
    2·u(E) is corrected, or adds (E/m_ref)² when `correct` is off; a smaller one stays in u_rel.

    Args:
        weight: the check weight.
        readings_mg: net readings before, one or more.
        balance: the balance.
        after_mg: net readings after, for the drift.
        correct: whether an error that is shown is corrected.

    Raises:
        ValueError: without a reading.

    Source: method version 1, section 1; EURAMET cg-18 7.4 (from memory).
    """
    if not readings_mg:
        raise ValueError("a check needs at least one reading of the weight")
    n = len(readings_mg) + len(after_mg)
    errors = [_error(part, weight) for part in (readings_mg, after_mg) if part]
    error = math.fsum([*readings_mg, *after_mg]) / n - weight.mass_mg
    drift = (errors[-1] - errors[0]) ** 2 / 12
    variance = weight.u_mg**2 + u0(balance, 1, 1) ** 2 / n + balance.u_linearity_mg**2
    u_error = math.sqrt(variance)
    relative = (variance + drift) / weight.mass_mg**2
    shown = abs(error) > 2 * u_error
    if shown and not correct:
        relative += (error / weight.mass_mg) ** 2
    factor = 1 / (1 + error / weight.mass_mg) if shown and correct else 1.0
    return Scale(error, u_error, factor, math.sqrt(relative), shown and correct)


def _error(readings_mg: Sequence[float], weight: CheckWeight) -> float:
    return math.fsum(readings_mg) / len(readings_mg) - weight.mass_mg


class CertificatePoint(NamedTuple):
    """One line of a calibration certificate: load, error of indication, its U and k; all mg."""

    load_mg: float
    error_mg: float
    expanded_mg: float
    k: float = 2.0


def error_at(load_mg: float, points: Sequence[CertificatePoint]) -> tuple[float, float]:
    """E(m) and its standard uncertainty at a load, interpolated on straight lines, mg.

    Raises:
        ValueError: without points, or for a load outside them.
    """
    ordered = sorted(points)
    if not ordered or not ordered[0].load_mg <= load_mg <= ordered[-1].load_mg:
        raise ValueError("the load lies outside the points of the certificate")
    above = next(p for p in ordered if p.load_mg >= load_mg)
    below = next(p for p in reversed(ordered) if p.load_mg <= load_mg)
    width = above.load_mg - below.load_mg
    part = (load_mg - below.load_mg) / width if width else 0.0
    error = below.error_mg + part * (above.error_mg - below.error_mg)
    u_below, u_above = below.expanded_mg / below.k, above.expanded_mg / above.k
    return error, u_below + part * (u_above - u_below)


def spread_from_zeros(steps_mg: Sequence[float]) -> tuple[float, int] | None:
    """Repeatability s of a net weighing from pairs of zeros of a log, mg, and its ν.

    s = √2·s_zero with s_zero = √(Σ(Δ - Δ̄)²/(2(N - 1))) from the differences Δ of N pairs, so that a
    steady drift drops out. None below six pairs. To be marked `from the zeros of this log`.

    Args:
        steps_mg: second less first zero of each pair, mg; no zero belongs to two pairs, since
            neighbouring differences would not be N independent ones.

    Source: method version 1, section 1.
    """
    n = len(steps_mg)
    if n < FEWEST_ZERO_PAIRS:
        return None
    mean = math.fsum(steps_mg) / n
    variance = math.fsum((step - mean) ** 2 for step in steps_mg) / (2 * (n - 1))
    return math.sqrt(2 * variance), n - 1


def buoyancy_factor(density: float, air_density: float = 1.2) -> float:
    """True mass over indication: (1 - ρa/8000)/(1 - ρa/ρ), of a balance set with 8000 kg/m³.

    Args:
        density: of the object, kg/m³; gold 19300, silver 10500, lead 11340, quartz 2700.
        air_density: of the air, kg/m³.

    Raises:
        ValueError: when the object is not denser than air.

    Source: NIST SOP 2 and EURAMET cg-18 (both forms as an open-source mass calibration library has
    them).
    """
    if density <= air_density or air_density < 0:
        raise ValueError("the object must be denser than the air")
    return (1 - air_density / CONVENTIONAL_DENSITY) / (1 - air_density / density)
