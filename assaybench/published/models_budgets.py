"""Models of uncertainty budgets: sums, products, a gauge, a standard solution, a logarithm.

All go through `Sources`: one variable for each input, first-order propagation, degrees of freedom.
A published limit ±a is made a standard uncertainty as its source does: a/√3 for a rectangular
distribution (GUM 4.3.7), a/√6 for a triangular one (GUM 4.3.9), a/√2 for an arcsine one.
"""

import math
from collections.abc import Sequence
from statistics import correlation, fmean, variance

from assaybench.metrology.freedom import coverage_factor
from assaybench.metrology.special import chi2_quantile, integrate, phi_inv, t_quantile
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

NORMAL_95 = phi_inv(0.975)
"""Coverage factor of a normal distribution for 95 %, where a source does not round it to 2."""


def rectangular(limit: float) -> float:
    """Standard uncertainty of something anywhere within ±limit."""
    return limit / math.sqrt(3)


def triangular(limit: float) -> float:
    """Standard uncertainty of something within ±limit, most likely in the middle."""
    return limit / math.sqrt(6)


def arcsine(limit: float) -> float:
    """Standard uncertainty of something that swings between -limit and +limit."""
    return limit / math.sqrt(2)


def to_first_order(x: Uncertain, value: float, slope: float) -> Uncertain:
    """f(x) to first order: its value and slope at the value of x (GUM 5.1.2)."""
    return value + slope * (x - nominal(x))


def sum_of_terms(*, u: Sequence[float], dof: Sequence[float] = ()) -> dict[str, float | str]:
    """Independent terms added: u_c, ν_eff, and U of a normal sum, in the unit of u."""
    sources = Sources()
    terms = [
        sources.variable(f"term {i}", 0.0, u_i, dof=dof[i] if dof else math.inf)
        for i, u_i in enumerate(u)
    ]
    doubt = sources.doubt(sum(terms[1:], start=terms[0]))
    return {"u_c": doubt.u, "nu_eff": doubt.dof, "U_normal": NORMAL_95 * doubt.u}


def expanded(*, u_c: float, dof: int) -> dict[str, float | str]:
    """k and U for 95 %, in the unit of u_c."""
    k = coverage_factor(dof)
    return {"k": k, "U": k * u_c}


def tared_weighing(
    *, mass_g: float, spread_mg: float, spread_dof: int, drift_mg: float, readability_mg: float
) -> dict[str, float | str]:
    """One tared weighing: repeatability, a drift ±limit and a readability ±limit, in g."""
    sources = Sources()
    mass = (
        sources.variable("repeatability", mass_g, spread_mg / 1000, dof=spread_dof)
        + sources.variable("drift", 0.0, rectangular(drift_mg) / 1000)
        + sources.variable("readability", 0.0, rectangular(readability_mg) / 1000)
    )
    doubt = sources.doubt(mass)
    return {"mass_g": nominal(mass), "u_g": doubt.u, "nu_eff": doubt.dof}


def end_gauge(
    *,
    standard_nm: float,
    u_standard_nm: float,
    standard_dof: int,
    difference_nm: float,
    u_difference_nm: Sequence[float],
    difference_dof: Sequence[int],
    expansion_per_k: float,
    expansion_limit_per_k: float,
    deviation_k: float,
    u_deviation_k: float,
    swing_k: float,
    expansion_gap_limit_per_k: float,
    expansion_gap_dof: int,
    temperature_gap_limit_k: float,
    temperature_gap_dof: int,
) -> dict[str, float | str]:
    """Length of an end gauge: l_S + d - l_S·(δα·θ + α_S·δθ), in nm (GUM equation H.3)."""
    sources = Sources()
    standard = sources.variable("standard", standard_nm, u_standard_nm, dof=standard_dof)
    difference = sum(
        sources.variable(f"difference {i}", difference_nm if i == 0 else 0.0, u_i, dof=dof)
        for i, (u_i, dof) in enumerate(zip(u_difference_nm, difference_dof, strict=True))
    )
    alpha = sources.variable("α_S", expansion_per_k, rectangular(expansion_limit_per_k))
    theta = sources.variable("θ mean", deviation_k, u_deviation_k) + sources.variable(
        "θ swing", 0.0, arcsine(swing_k)
    )
    alpha_gap = sources.variable(
        "δα", 0.0, rectangular(expansion_gap_limit_per_k), dof=expansion_gap_dof
    )
    theta_gap = sources.variable(
        "δθ", 0.0, rectangular(temperature_gap_limit_k), dof=temperature_gap_dof
    )
    length = standard + difference - standard * (alpha_gap * theta + alpha * theta_gap)
    doubt, of_difference = sources.doubt(length), sources.doubt(difference)
    return {
        "length_nm": nominal(length),
        "u_nm": doubt.u,
        "nu_eff": doubt.dof,
        "k_99": t_quantile(0.995, math.floor(doubt.dof)),
        "U_99_nm": t_quantile(0.995, math.floor(doubt.dof)) * doubt.u,
        "u_difference_nm": of_difference.u,
        "nu_difference": of_difference.dof,
    }


def impedance(
    *, voltage_v: Sequence[float], current_ma: Sequence[float], phase_rad: Sequence[float]
) -> dict[str, float | str]:
    """Resistance, reactance, impedance in Ω from observations made together (GUM H.2)."""
    sources, columns = Sources(), {"V": voltage_v, "I": current_ma, "φ": phase_rad}
    v, i, phase = (
        sources.variable(
            name,
            fmean(column),
            math.sqrt(variance(column) / len(column)),
            dof=len(column) - 1,
            spread="the observations",
        )
        for name, column in columns.items()
    )
    for first, second in (("V", "I"), ("V", "φ"), ("I", "φ")):
        sources.correlate(first, second, correlation(columns[first], columns[second]))
    at = nominal(phase)
    results = {
        "R": v / i * to_first_order(phase, math.cos(at), -math.sin(at)) * 1000,
        "X": v / i * to_first_order(phase, math.sin(at), math.cos(at)) * 1000,
        "Z": v / i * 1000,
    }
    u = {name: sources.doubt(result).u for name, result in results.items()}
    found: dict[str, float | str] = {}
    for name, result in results.items():
        found[f"{name}_ohm"], found[f"u_{name}_ohm"] = nominal(result), u[name]
    for a, b in (("R", "X"), ("R", "Z"), ("X", "Z")):
        found[f"r_{a}{b}"] = sources.covariance(results[a], results[b]) / (u[a] * u[b])
    return found


def _volume(
    sources: Sources, ml: float, limit_ml: float, u_ml: float, temperature_ml: float = 0.0
) -> Uncertain:
    """A volume, mL: triangular calibration limit, a standard uncertainty, rectangular warmth."""
    return (
        sources.variable("calibration", ml, triangular(limit_ml))
        + sources.variable("filling", 0.0, u_ml)
        + sources.variable("temperature", 0.0, rectangular(temperature_ml))
    )


def cadmium_standard(
    *,
    mass_mg: float,
    u_mass_mg: float,
    purity: float,
    u_purity: float = 0.0,
    purity_limit: float = 0.0,
    volume_ml: float,
    u_volume_ml: float = 0.0,
    calibration_limit_ml: float = 0.0,
    temperature_limit_ml: float = 0.0,
) -> dict[str, float | str]:
    """Concentration of a standard made from metal, 1000·m·P/V in mg/L (QUAM example A1)."""
    sources = Sources()
    volume = _volume(sources, volume_ml, calibration_limit_ml, u_volume_ml, temperature_limit_ml)
    share = sources.variable("P", purity, math.hypot(u_purity, rectangular(purity_limit)))
    result = 1000 * sources.variable("m", mass_mg, u_mass_mg) * share / volume
    return {
        "u_V_ml": sources.doubt(volume).u,
        "c_mg_per_l": nominal(result),
        "u_c_mg_per_l": sources.doubt(result).u,
    }


def potassium_hydrogen_phthalate(
    *,
    mass_g: float,
    linearity_mg: float,
    purity: float,
    purity_limit: float,
    atoms: Sequence[int],
    atomic_mass: Sequence[float],
    atomic_mass_limit: Sequence[float],
    volume_ml: float,
    calibration_limit_ml: float,
    u_temperature_ml: float,
    u_repeatability: float,
) -> dict[str, float | str]:
    """Concentration of sodium hydroxide, 1000·m·P·R/(M·V) in mol/L (QUAM example A2)."""
    sources = Sources()
    mass = sources.variable("gross", mass_g, rectangular(linearity_mg) / 1000) + sources.variable(
        "tare", 0.0, rectangular(linearity_mg) / 1000
    )
    molar = sum(
        n * sources.variable(f"element {i}", m, rectangular(limit))
        for i, (n, m, limit) in enumerate(zip(atoms, atomic_mass, atomic_mass_limit, strict=True))
    )
    share = sources.variable("P", purity, rectangular(purity_limit))
    volume = _volume(sources, volume_ml, calibration_limit_ml, u_temperature_ml)
    repeat = sources.variable("R", 1.0, u_repeatability)
    result = 1000 * mass * share * repeat / (molar * volume)
    return {
        "u_m_mg": sources.doubt(mass).u * 1000,
        "u_M_g_per_mol": sources.doubt(molar).u,
        "u_V_ml": sources.doubt(volume).u,
        "c_mol_per_l": nominal(result),
        "u_c_mol_per_l": sources.doubt(result).u,
    }


def thermal_expansion(
    *,
    length_m: Sequence[float],
    u_length_m: Sequence[float],
    temperature_k: Sequence[float],
    u_temperature_k: Sequence[float],
) -> dict[str, float | str]:
    """Expansion coefficient (L1 - L0)/(L0·(T1 - T0)) in 1/K."""
    sources = Sources()
    cold, warm = (sources.variable(f"L{i}", length_m[i], u_length_m[i]) for i in range(2))
    start, end = (sources.variable(f"T{i}", temperature_k[i], u_temperature_k[i]) for i in range(2))
    result = (warm - cold) / (cold * (end - start))
    return {"alpha_per_k": nominal(result), "u_per_k": sources.doubt(result).u}


def logarithm(*, low: float, high: float) -> dict[str, float | str]:
    """ln X of a rectangular X by first-order propagation, with its normal upper 97.5 % end."""
    sources = Sources()
    x = sources.variable("X", (low + high) / 2, rectangular((high - low) / 2))
    result = to_first_order(x, math.log(nominal(x)), 1 / nominal(x))
    u = sources.doubt(result).u
    return {"y": nominal(result), "u": u, "upper": nominal(result) + NORMAL_95 * u}


def logarithm_of_rectangular(*, low: float, high: float) -> dict[str, float | str]:
    """Mean and standard deviation of ln X of a rectangular X, by the core's quadrature."""
    width = high - low
    mean = integrate(math.log, low, high) / width
    square = integrate(lambda x: (math.log(x) - mean) ** 2, low, high) / width
    return {"y": mean, "u": math.sqrt(square)}


def sum_of_squares(*, x1: float, u: float) -> dict[str, float | str]:
    """X1² + X2² at x2 = 0, both with u, by first-order propagation, in millionths."""
    sources = Sources()
    result = sources.variable("X1", x1, u) ** 2 + sources.variable("X2", 0.0, u) ** 2
    return {"y_e6": nominal(result) * 1e6, "u_e6": sources.doubt(result).u * 1e6}


def sum_of_squares_at_zero(*, u: float) -> dict[str, float | str]:
    """Upper end of the shortest 95 % interval of X1² + X2² at x1 = x2 = 0, in millionths.

    The sum over u² is chi-square with two degrees of freedom, whose density only falls, so that
    the shortest interval starts at zero.
    """
    return {"high_e6": u * u * chi2_quantile(0.95, 2) * 1e6}
