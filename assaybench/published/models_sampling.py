"""Models of sampling: Gy's formula both ways, increments, exact limits of counts, two counts."""

from collections.abc import Sequence

from assaybench.circuit import counts, sampling
from assaybench.circuit.sampling import Factors

UM_PER_CM = 10_000
ONE = 1.0
"""A size, a mass, a factor that stands for nothing more than one."""


def sample_mass(*, constant: float, top_cm: float, u_rel: float) -> dict[str, float | str]:
    """Mass of sample, g, that reaches u_rel by Gy's formula, C known."""
    found = sampling.factors(ONE, ONE, ONE, constant, top_cm * UM_PER_CM)
    grams = sampling.sample_needed_g(found, u_rel)
    return {"g": grams, "kg": grams / 1000}


def largest_sizes(
    *, constant: float, u_rel: float, masses: Sequence[float]
) -> dict[str, float | str]:
    """Largest size, mm, at which each mass of sample, g, reaches u_rel, numbered."""
    unit = sampling.factors(ONE, ONE, ONE, constant, UM_PER_CM)

    def size_mm(mass: float) -> float:
        """A relative variance grows with d³: what 1 cm has, against the target."""
        variance = sampling.relative_variance(unit, mass)
        return 10 * float((u_rel**2 / variance) ** (1 / 3))

    return {f"mm {i}": size_mm(mass) for i, mass in enumerate(masses, 1)}


def locked_ore(
    *,
    share: float,
    density: float,
    rock_density: float,
    liberated_cm: float,
    top_cm: float,
    power: float,
    shape: float,
    size_range: float,
    u_rel: float,
) -> dict[str, float | str]:
    """Gy's factors of a locked mineral, C, and the mass of sample for u_rel."""
    top_um = top_cm * UM_PER_CM
    free = sampling.liberation_factor(liberated_cm * UM_PER_CM, top_um, power)
    composition = sampling.composition_factor(share, density, rock_density)
    found: Factors = sampling.factors(shape, size_range, free, composition, top_um)
    grams = sampling.sample_needed_g(found, u_rel)
    return {
        "composition": composition,
        "liberation": free,
        "constant": found.constant,
        "g": grams,
        "kg": grams / 1000,
    }


def liberation(*, liberated_cm: float, top_cm: float, power: float) -> dict[str, float | str]:
    """Gy's liberation factor."""
    sizes = liberated_cm * UM_PER_CM, top_cm * UM_PER_CM
    return {"l": sampling.liberation_factor(*sizes, power)}


def particles_for_share(*, share: float, u_rel: float) -> dict[str, float | str]:
    """Particles to take so that a share of them is found with u_rel.

    By Gy's formula in the particles' own size and density: f·d³·ρ is the mass of one, and c/ρ is
    (1 - p)/p.
    """
    found = sampling.factors(ONE, ONE, ONE, sampling.composition_factor(share, ONE, ONE), UM_PER_CM)
    return {"particles": sampling.sample_needed_g(found, u_rel)}


def increments(
    *,
    masses_g: Sequence[float],
    numbers: Sequence[int],
    variances: Sequence[float],
    increment_g: float,
    variance: float,
) -> dict[str, float | str]:
    """Visman's A and B, and how many increments of a mass bring the variance of their mean down.

    The variances are those of the means of so many increments of each mass.
    """
    small, large = (n * v for n, v in zip(numbers, variances, strict=True))
    a, b = sampling.visman(masses_g[0], small, masses_g[1], large)
    return {"A": a, "B": b, "increments": (a / increment_g + b) / variance}


def rate_limits(*, count: int, size: float) -> dict[str, float | str]:
    """A rate, and its exact 95 % limits."""
    ends = counts.limits(count)
    return {"rate": count / size, "low": ends.low / size, "high": ends.high / size}


def rates_compared(
    *, first: int, second: int, size: float, other_size: float
) -> dict[str, float | str]:
    """The ratio of two rates with its exact 95 % limits."""
    found = counts.two_counts(first, second, size, other_size)
    return {
        "ratio": found.ratio if found.ratio is not None else "none",
        "low": found.low,
        "high": found.high,
    }


def one_sided_chance(
    *, first: int, second: int, size: float, other_size: float, ratio: float
) -> dict[str, float | str]:
    """Chance of counts this far apart or more where the true ratio of the rates is known."""
    found = counts.two_counts(first, second, ratio * size, other_size)
    return {"p": found.p / 2}


def counts_e_test(
    *, first: int, second: int, size: float, other_size: float
) -> dict[str, float | str]:
    """Statistic and p of the E-test of two counts."""
    found = counts.e_test(first, second, size, other_size)
    if found is None:
        raise ValueError("the counts are none or too many for the E-test")
    return {"statistic": found[0], "p": found[1]}
