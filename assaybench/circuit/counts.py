"""Counts of grains: what a count lets expect, and whether two counts differ.

Method version 1, section 6. A count of grains follows Poisson's law: rare things that fall into a
sample one by one. Limits are exact, never 1.96·√N, which is wrong where grains are few.
"""

import math
from typing import NamedTuple

from assaybench.metrology.bounded import quantile
from assaybench.metrology.figure import COVERAGE, Interval
from assaybench.metrology.special import chi2_quantile, incomplete_beta

NONE_FOUND = 3.0
"""Grains that may have been expected where none was found, 95 in 100: -ln 0.05 = 2.996."""
NONE_FOUND_TWO_SIDED = 3.69
"""The same where 2.5 in 100 are left on each side, as for other counts: -ln 0.025 = 3.689."""
ALIKE = 0.05
"""A difference is shown when chance alone would give one as large less often than this."""

_BARELY_A_GRAIN = 0.1  # below it the lower limit is under 1e-16 grains
_MOST_TIMES = 1000
_MOST_COUNTED = 10_000_000  # within what the incomplete beta function takes
_STEPS = 30
_LARGEST_E_TEST = 400


def limits(count: float, coverage: float = COVERAGE) -> Interval:
    """Two-sided exact limits of the number expected: χ²(α/2, 2N)/2 and χ²(1 - α/2, 2N + 2)/2.

    Args:
        count: N, zero or more; a share of a grain is taken as it is.
        coverage: probability of the interval, 1 - α.

    Raises:
        ValueError: for a count below zero.

    Source: F. Garwood, Biometrika 28 (1936) 437.
    """
    if not (math.isfinite(count) and count >= 0):
        raise ValueError(f"a count is zero or more, not {count!r}")
    tail = (1 - coverage) / 2
    low = chi2_quantile(tail, 2 * count) / 2 if count > _BARELY_A_GRAIN else 0.0
    return Interval(low, chi2_quantile(1 - tail, 2 * count + 2) / 2, coverage)


def expected(count: float) -> Interval:
    """The 95 % limits of the number expected as they are reported; none found: 0 to 3.0.

    With none found there is nothing to leave out below, so all of the 5 in 100 lie above:
    one-sided, -ln 0.05 = 3.0. The two-sided end, 3.69, is that of `limits`.
    """
    return limits(count) if count else Interval(0.0, NONE_FOUND, COVERAGE)


class TwoCounts(NamedTuple):
    """Two counts held against each other.

    Attributes:
        ratio: grains per unit of the first sample over those of the second; None when the second
            holds none.
        low, high: exact 95 % limits of that ratio; infinite where the second holds none.
        p: two-sided chance of counts this far apart if both samples are alike; the smaller tail
            twice, so that it is below 0.05 just where `low` to `high` leaves 1 out.
        times: by how much both samples would have to grow for such counts to differ; None when
            they differ already, or not even a thousand times would do.
    """

    ratio: float | None
    low: float
    high: float
    p: float
    times: int | None

    @property
    def shown(self) -> bool:
        """Whether the difference is shown."""
        return self.p < ALIKE


def two_counts(first: int, second: int, size: float = 1.0, other_size: float = 1.0) -> TwoCounts:
    """Whether two counts differ: given their sum, the first is binomial.

    Args:
        first, second: grains counted, zero or more.
        size, other_size: how much was searched for each, in one unit.

    Raises:
        ValueError: for a count below zero, or a size that is not above zero.

    Source: J. Przyborowski and H. Wilenski, Biometrika 31 (1940) 313 (from memory); limits of C. J.
    Clopper and E. S. Pearson, Biometrika 26 (1934) 404.
    """
    _check(first, second, size, other_size)
    scale = other_size / size
    p = _p(first, second, size, other_size)
    low, high = 0.0, math.inf
    if first:
        low = _odds(quantile(lambda x: incomplete_beta(first, second + 1, x), ALIKE / 2)) * scale
    if second:
        share = quantile(lambda x: incomplete_beta(first + 1, second, x), 1 - ALIKE / 2)
        high = _odds(share) * scale
    ratio = first / second * scale if second else None
    times = None if p < ALIKE else _times(first, second, size, other_size)
    return TwoCounts(ratio, low, high, p, times)


def _check(first: int, second: int, size: float, other_size: float) -> None:
    if min(first, second) < 0:
        raise ValueError("a count is zero or more")
    if not (min(size, other_size) > 0 and math.isfinite(size) and math.isfinite(other_size)):
        raise ValueError("how much was searched must be above zero")


def _odds(share: float) -> float:
    return share / (1 - share)


def _p(first: int, second: int, size: float, other_size: float) -> float:
    """Twice the smaller tail of the binomial of the first count, given the sum; 1 at most."""
    share = size / (size + other_size)
    at_least = incomplete_beta(first, second + 1, share) if first else 1.0
    at_most = incomplete_beta(second, first + 1, 1 - share) if second else 1.0
    return min(1.0, 2 * at_least, 2 * at_most)


def _times(first: int, second: int, size: float, other_size: float) -> int | None:
    """Least whole factor at which counts grown in step would differ.

    Few grains make p fall in jumps, so small factors are tried one by one; larger ones by halving.
    """
    most = min(_MOST_TIMES, _MOST_COUNTED // max(first + second, 1))
    if first * other_size == second * size or most < 2:
        return None

    def differ(n: int) -> bool:
        return _p(n * first, n * second, size, other_size) < ALIKE

    steps = range(2, min(_STEPS, most) + 1)
    found = next((n for n in steps if differ(n)), None)
    if found is not None or not differ(most):
        return found
    low, high = min(_STEPS, most), most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if differ(middle) else (middle, high)
    return high


def e_test(
    first: int, second: int, size: float = 1.0, other_size: float = 1.0
) -> tuple[float, float] | None:
    """Statistic and p of the E-test, a check beside `two_counts`; None for large or no counts.

    It is sharper than the conditional test, whose p is too large where grains are few. The verdict
    rests on the conditional test; where only this one finds a difference, count more.

    Args: as `two_counts`.

    Raises:
        ValueError: as `two_counts`.

    Source: K. Krishnamoorthy and J. Thomson, J. Statistical Planning and Inference 119 (2004) 23,
    equations (3.3) to (3.6) (numbers of the equations from memory).
    """
    _check(first, second, size, other_size)
    if not 0 < first + second <= _LARGEST_E_TEST:
        return None
    common = (first + second) / (size + other_size)

    def statistic(x: int, y: int) -> float:
        spread = math.sqrt(x / size**2 + y / other_size**2)
        return (x / size - y / other_size) / spread if spread else 0.0

    found = statistic(first, second)
    least = abs(found) * (1 - 1e-12)  # counts as far apart as these must not fall to rounding
    ours, theirs = _chances(size * common), _chances(other_size * common)
    parts = [a * math.fsum(b for y, b in theirs if abs(statistic(x, y)) >= least) for x, a in ours]
    return found, min(1.0, math.fsum(parts))


def _chances(mean: float) -> list[tuple[int, float]]:
    """Counts about a mean and their chance by Poisson's law; what is left out is under 1e-15."""
    reach = 9 * math.sqrt(mean) + 20
    counts = range(max(0, math.floor(mean - reach)), math.ceil(mean + reach) + 1)
    return [(n, math.exp(n * math.log(mean) - mean - math.lgamma(n + 1))) for n in counts]
