"""A list of duplicates: how well a determination repeats, as a spread and as a share of the grade.

s_r = √(Σd²/2n) holds where the spread is the same at all grades, the root mean square of the single
coefficients of variation where it grows with the grade; with 50 pairs and more the line of Thompson
and Howarth tells the two apart. Method version 1, sections 4 and 7.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import fmean, median
from typing import NamedTuple

from assaybench.metrology.special import phi_inv

Pairs = Sequence[tuple[float, float]]

LEAST_PAIRS = 50
"""Pairs below which no line of Thompson and Howarth is drawn."""
GROUP = 11
MEDIAN_TO_SD = 1 / (math.sqrt(2) * phi_inv(0.75))
"""From the median of |d| of duplicates to their standard deviation: 1/(√2·Φ⁻¹(0.75)), 1.048."""
LIMIT_99 = math.sqrt(2) * phi_inv(0.995)
"""|d|/s that 99 in 100 pairs stay within, 3.643."""


def relative_spread(pairs: Pairs) -> float:
    """Root mean square of the coefficients of variation of single pairs, a share of one.

    √((2/N)·Σ((a - b)/(a + b))²).

    Args:
        pairs: in one unit; no pair adds up to zero or less.

    Raises:
        ValueError: for a pair that does, or no pair at all.

    Source: C. R. Stanley, D. Lawie, Exploration and Mining Geology 16 (2007) 265: of the averages
    in use only the root mean square is unbiased (formula from memory).
    """
    if not pairs or min(a + b for a, b in pairs) <= 0:
        raise ValueError("a relative spread needs pairs whose sum is above zero")
    return math.sqrt(2 * fmean(((a - b) / (a + b)) ** 2 for a, b in pairs))


def bias(pairs: Pairs) -> float:
    """Mean of second less first."""
    return fmean(b - a for a, b in pairs)


class Line(NamedTuple):
    """The spread of one determination against its grade: s = s0 + k·c.

    Attributes:
        s0: spread at grade zero, in the unit of the grades.
        k: growth with the grade, a share of one.
        groups: how many groups of pairs it rests on.
    """

    s0: float
    k: float
    groups: int


def thompson_howarth(pairs: Pairs) -> Line | None:
    """The line of Thompson and Howarth; None below 50 pairs.

    Pairs are sorted by their mean and taken eleven at a time; the median of |d| of each group,
    times 1.048, is a spread at the mean grade of the group; a line is fitted through these.

    Source: M. Thompson, R. J. Howarth, Journal of Geochemical Exploration 9 (1978) 23 (from
    memory); the factor as in C. R. Stanley, D. Lawie, 2008.
    """
    if len(pairs) < LEAST_PAIRS:
        return None
    by_mean = sorted(pairs, key=lambda pair: pair[0] + pair[1])
    count = len(by_mean) // GROUP
    # what is left over joins the last group, so that every pair counts
    ends = [GROUP * i for i in range(count)] + [len(by_mean)]
    groups = [by_mean[a:b] for a, b in pairwise(ends)]
    grades = [fmean((a + b) / 2 for a, b in group) for group in groups]
    spreads = [MEDIAN_TO_SD * median(abs(a - b) for a, b in group) for group in groups]
    middle, level = fmean(grades), fmean(spreads)
    across = math.fsum((g - middle) ** 2 for g in grades)
    if across == 0:
        return Line(level, 0.0, count)
    slope = (
        math.fsum((g - middle) * (s - level) for g, s in zip(grades, spreads, strict=True)) / across
    )
    return Line(level - slope * middle, slope, count)


def beyond(pairs: Pairs, spread: float, factor: float) -> list[int]:
    """Places of the pairs that lie further apart than factor × spread, from 0."""
    return [i for i, (a, b) in enumerate(pairs) if abs(a - b) > factor * spread]
