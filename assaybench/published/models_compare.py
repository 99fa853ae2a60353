"""Models of comparisons: t-tests, conformity, critical differences, a share of a count."""

from collections.abc import Sequence

from assaybench.metrology.bounded import quantile
from assaybench.metrology.compare import (
    Difference,
    critical_difference_one_laboratory,
    critical_difference_two_laboratories,
    critical_range,
    paired,
    probability_above,
    welch,
)
from assaybench.metrology.special import incomplete_beta


def _test(difference: Difference) -> dict[str, float | str]:
    return {"t": difference.value / difference.u, "dof": difference.dof, "p": difference.p}


def welch_test(*, first: Sequence[float], second: Sequence[float]) -> dict[str, float | str]:
    """Welch's t of the first mean less the second, its degrees of freedom, two-sided p."""
    return _test(welch(second, first))


def paired_test(*, first: Sequence[float], second: Sequence[float]) -> dict[str, float | str]:
    """Student's t of pairs, first less second, its degrees of freedom, two-sided p."""
    return _test(paired(second, first))


def against_certified(*, certified: float, results: Sequence[float]) -> dict[str, float | str]:
    """Results held against a certified value taken as exact: mean, t, p, 95 % interval."""
    difference = paired([certified] * len(results), results)
    return {
        "mean": certified + difference.value,
        "low": certified + difference.low,
        "high": certified + difference.high,
        **_test(difference),
    }


def conformity_below(*, limit: float, y: float, u: float) -> dict[str, float | str]:
    """Probability that the truth lies at or below an upper limit."""
    return {"p": 1 - probability_above(y, u, limit)}


def conformity_between(*, low: float, high: float, y: float, u: float) -> dict[str, float | str]:
    """Probability that the truth lies between two limits."""
    return {"p": probability_above(y, u, low) - probability_above(y, u, high)}


def critical_ranges(*, s_r: float, n: Sequence[int]) -> dict[str, float | str]:
    """Critical ranges of n results, numbered in the order of n, in the unit of s_r."""
    return {f"range {i}": critical_range(s_r, count) for i, count in enumerate(n, 1)}


def one_laboratory(*, s_r: float, n_1: int, n_2: int) -> dict[str, float | str]:
    """Critical difference of two means of one laboratory, in the unit of s_r."""
    return {"cd": critical_difference_one_laboratory(s_r, n_1, n_2)}


def two_laboratories(*, s_r: float, s_between: float, n_1: int, n_2: int) -> dict[str, float | str]:
    """Critical difference of the means of two laboratories, in the unit of the spreads."""
    return {"cd": critical_difference_two_laboratories(s_r, s_between, n_1, n_2)}


def share_of_count(*, found: int, of: int, tail: float) -> dict[str, float | str]:
    """Exact limits of a share found in a count, with this chance beyond each of them.

    Source: C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404: quantiles of beta distributions.
    """
    return {
        "low": quantile(lambda p: incomplete_beta(found, of - found + 1, p), tail),
        "high": quantile(lambda p: incomplete_beta(found + 1, of - found, p), 1 - tail),
    }
