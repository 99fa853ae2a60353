"""Quantiles of a recovery from a distribution function that is costly to compute.

On the scale of normal deviates a distribution of a recovery is nearly a straight line, so a few
chords find what bisection needs sixty steps for.
"""

from collections.abc import Callable

from assaybench.metrology.special import phi_inv

_LEAST = 1e-15
_CLOSE = 1e-10
_STEEP = 5.5
_MOST_STEPS = 200


def quantile(
    cdf: Callable[[float], float], p: float, near: tuple[float, float] = (0.0, 1.0)
) -> float:
    """The share r in 0..1 with cdf(r) = p; an end where the distribution never reaches p.

    Args:
        cdf: rising from 0 to 1, of a share of one.
        p: a probability.
        near: where to look first; when r is not between them, all of 0..1 is searched.

    Source: false position after G. E. Forsythe's Illinois rule (Dowell and Jarratt, BIT 11 (1971)
    168; from memory), on normal deviates.
    """
    aim = phi_inv(p)

    def gap(r: float) -> float:
        return phi_inv(min(max(cdf(r), _LEAST), 1 - _LEAST)) - aim

    low, high = near
    below, above = gap(low), gap(high)
    if below > 0 or above < 0:
        low, high = 0.0, 1.0
        below, above = gap(low), gap(high)
    if below >= 0 or above <= 0:
        return low if below >= 0 else high
    side = 0
    for _ in range(_MOST_STEPS):
        r = low - below * (high - low) / (above - below)
        if -below > _STEEP or above > _STEEP or not low < r < high:
            r = (low + high) / 2  # no chord where the distribution is flat at 0 or 1
        found = gap(r)
        if abs(found) < _CLOSE or high - low < _LEAST:
            return r
        if found < 0:
            low, below = r, found
            above = above / 2 if side < 0 else above
            side = -1
        else:
            high, above = r, found
            below = below / 2 if side > 0 else below
            side = 1
    return (low + high) / 2
