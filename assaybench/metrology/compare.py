"""Is a difference shown? Is a result above a cut-off? Do repeats agree?

Method version 1, section 7. Every function says what it assumes; none says `significant`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, variance

from assaybench.metrology.figure import COVERAGE
from assaybench.metrology.freedom import coverage_factor, welch_satterthwaite
from assaybench.metrology.special import (
    chi2_quantile,
    noncentral_t_cdf,
    studentized_range_95,
    t_cdf,
    t_quantile,
)

NO_DOUBT = 1e-12
"""A spread below this share of the figures is the rounding of the machine, not of the work."""
SHOWN = 0.95
"""The probability from which on `above` and `below` are said (and 1 less it on the other side)."""


@dataclass(frozen=True, slots=True)
class Difference:
    """The difference of two results, first less second.

    Attributes:
        value: in the unit of the two.
        u: its standard uncertainty.
        dof: effective degrees of freedom.
        k: coverage factor for 95 %.
        en: E_n score, value/√(U_a² + U_b² - covariance); |E_n| <= 1 is agreement; None for
            means of runs, which have no stated U.
        p: two-sided probability of a difference this large if the truths are equal.
    """

    value: float
    u: float
    dof: float
    k: float
    en: float | None
    p: float

    @property
    def low(self) -> float:
        """Lower end of the 95 % interval."""
        return self.value - self.k * self.u

    @property
    def high(self) -> float:
        """Upper end of the 95 % interval."""
        return self.value + self.k * self.u

    @property
    def shown(self) -> bool:
        """Whether the 95 % interval leaves zero out."""
        return abs(self.value) > self.k * self.u

    @property
    def times_too_wide(self) -> float:
        """By how much both ± would have to shrink for this difference to be shown."""
        return self.k * self.u / abs(self.value) if self.value else math.inf


def difference(
    a: float,
    u_a: float,
    b: float,
    u_b: float,
    *,
    covariance: float = 0.0,
    dof_a: float = math.inf,
    dof_b: float = math.inf,
) -> Difference:
    """Two results compared, all in one unit.

    Args:
        a, b: the values.
        u_a, u_b: standard uncertainties, above zero.
        covariance: of the two; leaving out what they share makes E_n too small.
        dof_a, dof_b: degrees of freedom.

    Raises:
        ValueError: when the two doubts leave the difference without any.

    Source: ISO/IEC 17043 and ISO 13528 for E_n (from memory); GUM G.4.1 for the degrees of freedom.
    """
    apart = u_a**2 + u_b**2
    u2 = apart - 2 * covariance
    if abs(covariance) > u_a * u_b * (1 + 1e-9):
        raise ValueError("the covariance is larger than the doubts allow")
    if u2 <= NO_DOUBT * apart:
        raise ValueError("the difference has no doubt: nothing can be judged")
    u = math.sqrt(u2)
    # u_c⁴ holds the covariance, the terms below it do not (GUM G.4.1 as far as it goes)
    dof = welch_satterthwaite([(u_a, dof_a), (u_b, dof_b)]) * (u2 / apart) ** 2
    value = a - b
    k_a, k_b = coverage_factor(dof_a), coverage_factor(dof_b)
    en = value / math.sqrt((k_a * u_a) ** 2 + (k_b * u_b) ** 2 - 2 * k_a * k_b * covariance)
    p = 2 * t_cdf(-abs(value) / u, dof)
    return Difference(value, u, dof, coverage_factor(dof), en, p)


def probability_above(y: float, u: float, cutoff: float, dof: float = math.inf) -> float:
    """P(truth > cut-off) for a result y with standard uncertainty u, all in one unit.

    Source: JCGM 106:2012, clause 7 (Φ((y - T_L)/u) for a lower limit; from memory); t for few
    degrees of freedom.

    Raises:
        ValueError: when u is not above zero.
    """
    if u <= 0:
        raise ValueError("a result without doubt cannot be judged against a cut-off")
    return t_cdf((y - cutoff) / u, dof)


def welch(first: Sequence[float], second: Sequence[float]) -> Difference:
    """Means of two sets of runs compared, second less first, spreads not taken as equal.

    The degrees of freedom are Welch's, not floored, as the source has them.

    Raises:
        ValueError: for fewer than two runs of each, or runs without any spread.

    Source: B. L. Welch, Biometrika 34 (1947) 28 (citation from memory).
    """
    if min(len(first), len(second)) < 2:
        raise ValueError("two runs of each are the least that can be compared")
    u_1, u_2 = (math.sqrt(variance(runs) / len(runs)) for runs in (first, second))
    dof = welch_satterthwaite([(u_1, len(first) - 1), (u_2, len(second) - 1)])
    gain, u = fmean(second) - fmean(first), math.hypot(u_1, u_2)
    return _of_means(gain, u, dof, [*first, *second])


def paired(first: Sequence[float], second: Sequence[float]) -> Difference:
    """Runs made in pairs compared, second less first: Student's t of the differences.

    Raises:
        ValueError: when the sets differ in length, hold fewer than two, or have no spread.

    Source: Student, Biometrika 6 (1908) 1 (citation from memory).
    """
    if len(first) != len(second) or len(first) < 2:
        raise ValueError("pairs need as many runs after as before, two at least")
    differences = [b - a for a, b in zip(first, second, strict=True)]
    u = math.sqrt(variance(differences) / len(differences))
    return _of_means(fmean(differences), u, len(differences) - 1, [*first, *second])


def _of_means(value: float, u: float, dof: float, runs: Sequence[float]) -> Difference:
    if u <= NO_DOUBT * max(abs(run) for run in runs):
        raise ValueError("the runs have no spread: nothing can be judged")
    k = t_quantile((1 + COVERAGE) / 2, dof)
    return Difference(value, u, dof, k, None, 2 * t_cdf(-abs(value) / u, dof))


def power(gain: float, spread: float, runs: int, *, in_pairs: bool) -> float:
    """Chance that a true gain is shown (two-sided, 95 %) by so many runs of each.

    Args:
        gain: the true difference.
        spread: standard deviation of one run, or of one difference when run in pairs; same unit.
        runs: runs of each, or pairs; two or more.
        in_pairs: whether old and new were run in turn and are compared in pairs.

    Source: noncentral t; R. V. Lenth, American Statistician 55 (2001) 187 (from memory).
    """
    dof = runs - 1 if in_pairs else 2 * (runs - 1)
    delta = abs(gain) / (spread * math.sqrt((1 if in_pairs else 2) / runs))
    t = t_quantile((1 + COVERAGE) / 2, dof)
    return 1 - noncentral_t_cdf(t, dof, delta) + noncentral_t_cdf(-t, dof, delta)


MOST_RUNS = 200
PLANNED_POWER = 0.80


def runs_needed(
    gain: float, spread: float, *, in_pairs: bool, planned: float = PLANNED_POWER
) -> int | None:
    """Fewest runs of each that show a true gain with the planned power; None above 200.

    Args:
        gain, spread, in_pairs: as `power`.
        planned: the chance that it is shown; four times in five unless said.
    """
    if gain == 0:
        return None
    for runs in range(2, MOST_RUNS + 1):
        if power(gain, spread, runs, in_pairs=in_pairs) >= planned:
            return runs
    return None


UPPER_BOUND = 0.90
"""How sure the upper bound of a spread is, for planning: few runs often show too small a spread."""


def spread_bound(spread: float, dof: float) -> float:
    """The one-sided 90 % upper bound of a standard deviation, s·√(ν/χ²(0.10, ν)).

    Args:
        spread: s, of so many degrees of freedom.
        dof: ν, one or more.

    Source: the law of s² of normal runs, any textbook of statistics.
    """
    return spread * math.sqrt(dof / chi2_quantile(1 - UPPER_BOUND, dof))


def spread_interval(spread: float, dof: float) -> tuple[float, float]:
    """The 95 % interval of a standard deviation of so many degrees of freedom; the same law."""
    tail = (1 - COVERAGE) / 2
    return (
        spread * math.sqrt(dof / chi2_quantile(1 - tail, dof)),
        spread * math.sqrt(dof / chi2_quantile(tail, dof)),
    )


def spread_of_runs(first: Sequence[float], second: Sequence[float], *, in_pairs: bool) -> float:
    """Standard deviation of one run, pooled over both sets; in pairs, of one difference."""
    if in_pairs:
        return math.sqrt(variance([b - a for a, b in zip(first, second, strict=True)]))
    return math.sqrt((variance(first) + variance(second)) / 2)


REPEATABILITY_FACTOR = 2.8
"""r = 2.8·s_r, the limit for two results; exactly 1.96·√2 = 2.772 (ISO 5725-6)."""


def critical_difference_one_laboratory(s_r: float, n_1: int, n_2: int) -> float:
    """Critical difference of two means of n_1 and n_2 results in one laboratory.

    2.8·s_r·√(1/(2·n_1) + 1/(2·n_2)); ISO 5725-6:1994, 4.2.1 (from memory).
    """
    return REPEATABILITY_FACTOR * s_r * math.sqrt(1 / (2 * n_1) + 1 / (2 * n_2))


def critical_difference_two_laboratories(s_r: float, s_R: float, n_1: int, n_2: int) -> float:  # noqa: N803  the standard's own symbols
    """Critical difference of the means of two laboratories.

    √((2.8·s_R)² - (2.8·s_r)²·(1 - 1/(2·n_1) - 1/(2·n_2))); ISO 5725-6:1994, 4.2.2 (from memory).

    Raises:
        ValueError: when s_R is below s_r, which cannot be.
    """
    if s_R < s_r:
        raise ValueError("the spread between laboratories cannot be below that within one")
    within = (REPEATABILITY_FACTOR * s_r) ** 2 * (1 - 1 / (2 * n_1) - 1 / (2 * n_2))
    return math.sqrt((REPEATABILITY_FACTOR * s_R) ** 2 - within)


def critical_range(s_r: float, n: int, dof: float = math.inf) -> float:
    """The range that n results stay within 95 times in 100: q(0.95; n, ν)·s_r.

    Source: ISO 5725-6:1994, 4.2.3 and 5.2.2 (f(n) = 2.8 3.3 3.6 3.9 4.0 for n = 2..6; from memory).
    """
    return studentized_range_95(n, dof) * s_r
