"""The doubt that taking a sample brings: Gy's formula, its inverse, and splitting in stages.

Method version 1, section 6. Relative variance (1/M_s - 1/M_L)·C·d³, C = f·g·l·c. It is the same
doubt as that of the number of grains, f·g·ρ·d³ being a guess at m_w: one of the two is used, never
both. Masses of sample in grams, densities and C in g/cm³, sizes in micrometres here and in
centimetres inside the formula; u_rel are standard uncertainties as shares of one.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from assaybench.circuit.grains import GOLD_DENSITY, WIDE_RANGE, positive
from assaybench.metrology.bounded import quantile
from assaybench.metrology.figure import COVERAGE, Interval
from assaybench.metrology.special import incomplete_beta
from assaybench.metrology.uncertain import Uncertain, total

USUAL_SHAPE = 0.5
"""Gy's shape factor f of ordinary grains; flakes 0.2 or less, a cube 1, a sphere 0.52."""
LIBERATION_POWER = 1.5
"""b of l = (d_l/d)^b. The square root of earlier texts makes the variance of gold ores far too
large (100 times at d = 1 cm, d_l = 0.01 cm): D. François-Bongarçon, P. Gy, 2002 (from memory)."""
ROCK_DENSITY = 2.65
"""Quartz, g/cm³; for the rock around a locked mineral where nothing else is said."""
USUAL_TARGET = 0.15
"""u_rel aimed at where nobody says another: Interstate Technology and Regulatory Council,
Incremental Sampling Methodology (ISM-1), hyperlink 18."""
OTHER_THIRD = 3.0
"""Once the other doubt is a third of that of sampling, mending it gains nothing: rule quoted in
Vogel's Textbook of Quantitative Chemical Analysis, 5th edition, section 5.3."""

_CM_PER_UM = 1e-4
_MILLION = 1e6


class Factors(NamedTuple):
    """Every factor of C, and the size it goes with.

    Attributes:
        shape: f, volume of a grain over d³.
        size_range: g, below 1 where most grains are finer than d.
        liberation: l, 1 for free metal.
        composition: c, g/cm³.
        top_um: d, µm: of the metal where it is free, of the broken rock where it is locked.
    """

    shape: float
    size_range: float
    liberation: float
    composition: float
    top_um: float

    @property
    def constant(self) -> float:
        """C = f·g·l·c, g/cm³."""
        return self.shape * self.size_range * self.liberation * self.composition

    @property
    def grams(self) -> float:
        """C·d³, g: the relative variance of a sample of one gram from a large lot."""
        return self.constant * (self.top_um * _CM_PER_UM) ** 3


def factors(
    shape: float, size_range: float, liberation: float, composition: float, top_um: float
) -> Factors:
    """The factors, checked.

    Raises:
        ValueError: for a factor or size that is not above zero, or g or l above 1.
    """
    for value, name in ((size_range, "the size factor g"), (liberation, "the liberation factor l")):
        if positive(value, name) > 1:
            raise ValueError(f"{name} is at most 1, not {value!r}")
    return Factors(
        positive(shape, "the shape factor f"),
        size_range,
        liberation,
        positive(composition, "the composition factor c"),
        positive(top_um, "the top size d"),
    )


def free_metal(
    top_um: float,
    g_per_t: float,
    *,
    shape: float = USUAL_SHAPE,
    size_range: float = WIDE_RANGE,
    density: float = GOLD_DENSITY,
) -> Factors:
    """Factors of free metal: l = 1, d the top size of the METAL, c = ρ/grade.

    Args:
        top_um: size that most of the metal passes, µm.
        g_per_t: grade, g/t; measured or expected.
        shape, size_range: f and g.
        density: of the metal, g/cm³.

    Raises:
        ValueError: for a value that is not above zero.

    Source: P. Gy, Sampling of Particulate Materials (1979), trace limit of c (from memory).
    """
    share = positive(g_per_t, "the grade") / _MILLION
    composition = positive(density, "the density") / share
    return factors(shape, size_range, 1.0, composition, top_um)


def composition_factor(share: float, density: float, rock_density: float = ROCK_DENSITY) -> float:
    """Gy's c = (1 - a)/a·[(1 - a)·ρ_m + a·ρ_r], g/cm³.

    Args:
        share: a, mass of the mineral as a share of the whole; between 0 and 1.
        density, rock_density: of the mineral and of the rock, g/cm³.

    Raises:
        ValueError: for a share not between 0 and 1, or a density that is not above zero.

    Source: P. Gy, 1979; B. A. Wills, Mineral Processing Technology, chapter 3 (from memory).
    """
    if not 0 < share < 1:
        raise ValueError(f"the share of the mineral lies between 0 and 1, not at {share!r}")
    ours = (1 - share) * positive(density, "the density of the mineral")
    rock = share * positive(rock_density, "the density of the rock")
    return (1 - share) / share * (ours + rock)


def liberation_factor(liberated_um: float, top_um: float, power: float = LIBERATION_POWER) -> float:
    """Gy's l = (d_l/d)^b; 1 where the rock is broken to d_l or finer.

    Args:
        liberated_um: d_l, size at which the mineral is free, µm.
        top_um: d, top size of the rock, µm.
        power: b; 1.5 for gold, 0.5 in earlier texts.

    Raises:
        ValueError: for a size that is not above zero.
    """
    ratio = positive(liberated_um, "the size of liberation") / positive(top_um, "the top size d")
    return float(min(1.0, ratio**power))


def relative_variance(factors: Factors, sample_g: float, lot_g: float = math.inf) -> float:
    """u_rel² = (1/M_s - 1/M_L)·C·d³; the whole lot taken has none.

    Raises:
        ValueError: unless 0 < sample <= lot.
    """
    if not 0 < sample_g <= lot_g:
        raise ValueError("a sample is above zero and not more than the lot it is taken from")
    return (1 / sample_g - 1 / lot_g) * factors.grams


def sample_needed_g(factors: Factors, u_rel: float, lot_g: float = math.inf) -> float:
    """The mass of sample at which u_rel is reached, g: 1/M_s = u_rel²/(C·d³) + 1/M_L.

    Raises:
        ValueError: for a target or lot that is not above zero.
    """
    if not lot_g > 0:
        raise ValueError("the mass of the lot must be above zero")
    return 1 / (positive(u_rel, "the target") ** 2 / factors.grams + 1 / lot_g)


def left_for_sampling(target: float, other: float) -> float | None:
    """u_rel that the sampling may have when the rest has `other`; None when nothing is left.

    Args:
        target: u_rel aimed at for all together.
        other: u_rel of weighing and assay together.
    """
    left = target**2 - other**2
    return math.sqrt(left) if left > 0 else None


def grains_worth(u_rel: float) -> float:
    """N = 1/u_rel²: the number of equal grains whose count has this doubt."""
    return 1 / positive(u_rel, "the doubt") ** 2


class Stage(NamedTuple):
    """One split: from more to less, at one top size.

    Attributes:
        factors: of the material as it is split.
        from_g: what it is taken from, g; infinite for a lot of unknown mass.
        to_g: what is kept, g.
        variance: its relative variance.
    """

    factors: Factors
    from_g: float
    to_g: float
    variance: float


class Protocol(NamedTuple):
    """A splitting protocol: Σ C_i·d_i³·(1/M_i - 1/M_(i-1)). Crushing in between adds nothing."""

    stages: tuple[Stage, ...]

    @property
    def variance(self) -> float:
        """The relative variance of all stages."""
        return math.fsum(stage.variance for stage in self.stages)

    @property
    def u_rel(self) -> float:
        """Relative standard uncertainty of all stages."""
        return math.sqrt(self.variance)

    @property
    def shares(self) -> tuple[float, ...]:
        """The share of each stage in the variance; none has any where nothing was split."""
        whole = self.variance
        return tuple(stage.variance / whole if whole else 0.0 for stage in self.stages)

    @property
    def widest(self) -> int:
        """Number of the stage with the greatest share, from 1."""
        shares = self.shares
        return shares.index(max(shares)) + 1


def protocol(splits: Sequence[tuple[Factors, float]], lot_g: float = math.inf) -> Protocol:
    """The stages of a splitting protocol in their order.

    Args:
        splits: factors at each split, and the mass kept, g.
        lot_g: mass of the lot, g.

    Raises:
        ValueError: for no split, or one that keeps more than it is taken from.

    Source: P. Gy, 1979: the variances of independent splits add (from memory).
    """
    if not splits:
        raise ValueError("a protocol has one split at least")
    stages, before = [], lot_g
    for number, (found, kept) in enumerate(splits, start=1):
        if not 0 < kept <= before:
            raise ValueError(f"split {number} keeps more than it is taken from")
        stages.append(Stage(found, before, kept, relative_variance(found, kept, before)))
        before = kept
    return Protocol(tuple(stages))


def visman(
    small_g: float, small_variance: Uncertain, large_g: float, large_variance: Uncertain
) -> tuple[Uncertain, Uncertain]:
    """A and B of s² = A/m + B from increments of two masses: A in g, B the segregation.

    Args:
        small_g, large_g: mass of an increment of each set, g.
        small_variance, large_variance: variance between the increments of each set.

    Raises:
        ValueError: when the two masses are alike, or not above zero.

    Source: J. Visman, Materials Research and Standards 9 (1969) 8, as D. Harvey, Analytical
    Chemistry 2.0, example 7.7 gives it.
    """
    if positive(small_g, "the mass") == positive(large_g, "the mass"):
        raise ValueError("two different masses of increment are needed")
    part = 1 / small_g - 1 / large_g
    a = total((1 / part, small_variance), (-1 / part, large_variance))
    return a, total((1.0, large_variance), (-1 / large_g, a))


def next_recovery(recovery: float, grains: float) -> tuple[float, Interval]:
    """Doubt of the recovery of the NEXT run that this run's grains bring, a share of one.

    When whole products are cupelled nothing was sampled: this run's recovery has no sampling doubt.
    The next run draws other grains from the same ore: u²(R) = R·(1 - R)/N.

    Args:
        recovery: R, 0 to 1.
        grains: N, grains in the feed that both products hold.

    Returns:
        u(R), and the exact 95 % interval of the chance that a grain is caught, which near 0 and 1
        is wider than R ± 2u.

    Raises:
        ValueError: for R outside 0..1 or N not above zero.

    Source: method version 1, section 6; limits of C. J. Clopper and E. S. Pearson, Biometrika 26
    (1934) 404, for a count R·N that need not be whole.
    """
    if not 0 <= recovery <= 1:
        raise ValueError(f"a recovery lies between 0 and 1, not at {recovery!r}")
    caught = recovery * positive(grains, "the number of grains")
    missed = grains - caught
    tail = (1 - COVERAGE) / 2
    low, high = 0.0, 1.0
    if caught > _A_TRACE:
        low = quantile(lambda x: incomplete_beta(caught, missed + 1, x), tail)
    if missed > _A_TRACE:
        high = quantile(lambda x: incomplete_beta(caught + 1, missed, x), 1 - tail)
    u = math.sqrt(recovery * (1 - recovery) / grains)
    return u, Interval(low, high, COVERAGE)


_A_TRACE = 1e-5  # of a grain: below it the limit is 0, or 1, to all digits printed
