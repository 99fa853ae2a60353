"""Ends of a share of two amounts, and an average over a limit, straight from their definitions.

The program reaches the same distribution functions by shorter ways; tests hold these against them.
"""

from collections.abc import Callable

from assaybench.metrology.bounded import Pair, quantile, share_cdf
from assaybench.metrology.figure import COVERAGE, Interval
from assaybench.metrology.special import integrate


def share_interval(pair: Pair, coverage: float = COVERAGE) -> Interval:
    """The interval of A/(A + B), equal chances on both sides, inside 0..1."""
    tail = (1 - coverage) / 2
    low, high = (quantile(lambda r: share_cdf(r, pair), p) for p in (tail, 1 - tail))
    return Interval(low, high, coverage)


def least_share(pair: Pair) -> float:
    """The share that A/(A + B) exceeds in 95 of 100: `at least` of a B not detected."""
    return quantile(lambda r: share_cdf(r, pair), 1 - COVERAGE)


def averaged(
    cdf_at: Callable[[float, float], float], low: float, high: float
) -> Callable[[float], float]:
    """The mean of cdf_at(r, t) over t from low to high, all t alike."""
    return lambda r: integrate(lambda t: cdf_at(r, t), low, high) / (high - low)
