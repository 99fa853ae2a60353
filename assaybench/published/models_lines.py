"""Models that use a straight line fitted by least squares: GUM H.3, QUAM A5, DIN 32645.

The line enters the core as two inputs observed together: intercept and slope with their standard
uncertainties, their correlation and N - 2 degrees of freedom.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, linear_regression

from assaybench.metrology.special import t_quantile
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

SPREAD = "scatter about the line"


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted line.

    Attributes:
        intercept, slope: as uncertain numbers.
        u_intercept, u_slope: their standard uncertainties.
        r: correlation coefficient of the two.
        scatter: standard deviation of one observation about the line.
        dof: N - 2.
    """

    intercept: Uncertain
    slope: Uncertain
    u_intercept: float
    u_slope: float
    r: float
    scatter: float
    dof: int


def fitted(sources: Sources, x: Sequence[float], y: Sequence[float]) -> Line:
    """The least-squares line of y over x (GUM H.3.2, equations H.13a to H.13g)."""
    slope, intercept = linear_regression(x, y)
    n, mean = len(x), fmean(x)
    off = [b - intercept - slope * a for a, b in zip(x, y, strict=True)]
    scatter = math.sqrt(math.fsum(part * part for part in off) / (n - 2))
    square = math.fsum((a - mean) ** 2 for a in x)
    u_slope = scatter / math.sqrt(square)
    u_intercept = scatter * math.sqrt(1 / n + mean**2 / square)
    r = -mean / math.sqrt(square / n + mean**2)
    made = [
        sources.variable(name, value, u, dof=n - 2, spread=SPREAD)
        for name, value, u in (
            ("intercept", intercept, u_intercept),
            ("slope", slope, u_slope),
        )
    ]
    sources.correlate("intercept", "slope", r)
    return Line(made[0], made[1], u_intercept, u_slope, r, scatter, n - 2)


def _read_back(sources: Sources, line: Line, y: float, repeats: int) -> Uncertain:
    """The x at which the line has y, the mean of so many observations."""
    observed = sources.variable(
        "observation", y, line.scatter / math.sqrt(repeats), dof=line.dof, spread=SPREAD
    )
    return (observed - line.intercept) / line.slope


def thermometer_line(
    *,
    temperature_c: Sequence[float],
    correction_c: Sequence[float],
    reference_c: float,
    at_c: float,
) -> dict[str, float | str]:
    """Calibration line of a thermometer, and its correction at one temperature, in °C."""
    sources = Sources()
    line = fitted(sources, [t - reference_c for t in temperature_c], correction_c)
    predicted = line.intercept + line.slope * (at_c - reference_c)
    doubt = sources.doubt(predicted)
    return {
        "intercept_c": nominal(line.intercept),
        "u_intercept_c": line.u_intercept,
        "slope": nominal(line.slope),
        "u_slope": line.u_slope,
        "r": line.r,
        "scatter_c": line.scatter,
        "predicted_c": nominal(predicted),
        "u_predicted_c": doubt.u,
        "nu": doubt.dof,
    }


def calibration_reading(
    *, x: Sequence[float], y: Sequence[float], y_sample: Sequence[float]
) -> dict[str, float | str]:
    """Concentration read back from a calibration line, in the unit of x."""
    sources = Sources()
    line = fitted(sources, x, y)
    found = _read_back(sources, line, fmean(y_sample), len(y_sample))
    doubt = sources.doubt(found)
    return {
        "c": nominal(found),
        "u": doubt.u,
        "nu": doubt.dof,
        "half_width_99": t_quantile(0.995, line.dof) * doubt.u,
    }


def calibration_limits(
    *, x: Sequence[float], y: Sequence[float], alpha: float, factor: float
) -> dict[str, float | str]:
    """Critical value, detection and quantification limit of a calibration line, unit of x.

    Args:
        x, y: the calibration.
        alpha: risk of a false detection, and of a missed one.
        factor: k of the quantification limit: x_Q = k times the half-width of the interval at x_Q.
    """
    sources = Sources()
    line = fitted(sources, x, y)
    at_zero = sources.doubt(_read_back(sources, line, nominal(line.intercept), 1))
    critical = t_quantile(1 - alpha, line.dof) * at_zero.u
    return {
        "x_C": critical,
        "x_D": 2 * critical,
        "x_Q": _quantified(x, y, t_quantile(1 - alpha / 2, line.dof) * factor),
    }


def _quantified(x: Sequence[float], y: Sequence[float], widths: float) -> float:
    """The x that is so many of its own standard uncertainties, by repeated substitution."""
    found = fmean(x)
    for _ in range(60):
        sources = Sources()
        line = fitted(sources, x, y)
        level = nominal(line.intercept) + nominal(line.slope) * found
        found = widths * sources.doubt(_read_back(sources, line, level, 1)).u
    return found
