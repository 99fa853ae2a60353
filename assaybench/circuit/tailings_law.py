"""The distribution of A/(A + B + T) when the tailings T are near zero, bounded, or a few grains.

`metrology.bounded` knows A/(A + B) of two normal amounts. Here a third amount T of another law
joins the feed: P(A/(A + B + T) <= r) = E[S(((1 - r)·A - r·B)/r)], S(t) = P(T > t), the expectation
over A and B (cut at zero where that is felt). A rectangular T has a closed form: a quadrature over
T itself would climb in steps, one for each node, whenever the weighings are much finer than the
limit. The other laws take a fixed Gauss quadrature. No random numbers: a sealed figure recomputes.
Method version 1, section 5. Masses in milligrams.
"""

import math
from collections.abc import Callable, Sequence
from itertools import accumulate
from typing import NamedTuple

from assaybench.circuit import quantiles
from assaybench.metrology import bounded
from assaybench.metrology.bounded import Pair
from assaybench.metrology.special import chi2_cdf, integrate, phi

_REACH = 9.0
_NODES = 48
_CELLS, _CELL_NODES = 256, 4


class Law(NamedTuple):
    """The law of an amount that cannot be below zero.

    Attributes:
        survival: P(T > t) for t in mg above zero; at and below zero it is 1.
        top_mg: beyond it the probability is nothing.
        rectangular: whether it is even from 0 to `top_mg`.
    """

    survival: Callable[[float], float]
    top_mg: float
    rectangular: bool = False


class Laws(NamedTuple):
    """The law that rules the upper end of T, and the one that rules its lower end.

    They differ for a count of few grains alone (limits of a Poisson count).
    """

    most: Law
    least: Law


def one(law: Law) -> Laws:
    """One law for both ends."""
    return Laws(law, law)


def _ramp(z: float) -> float:
    """E[(z - Z)+] of a standard normal Z: z·Φ(z) + φ(z), the integral of Φ."""
    return z * phi(z) + math.exp(-z * z / 2) / math.sqrt(2 * math.pi)


def excess(level: float, mean: float, spread: float) -> float:
    """E[(level - Y)+] of a normal Y."""
    if spread == 0:
        return max(level - mean, 0.0)
    return spread * _ramp((level - mean) / spread)


def rectangle(up_to_mg: float) -> Law:
    """Known only to lie between 0 and `up_to_mg`."""
    return Law(lambda t: max(0.0, 1 - t / up_to_mg), up_to_mg, rectangular=True)


def cut_normal(value_mg: float, u_mg: float, up_to_mg: float = 0.0) -> Law:
    """A weighed mass, its density cut at zero, and beside it perhaps 0 to `up_to_mg` unseen.

    Args:
        value_mg: the mass, signed.
        u_mg: its standard uncertainty, above zero.
        up_to_mg: width of the unseen part; 0 leaves it out.
    """
    whole = phi(value_mg / u_mg)

    def weighed(t: float) -> float:
        return phi((value_mg - t) / u_mg) / whole if t > 0 else 1.0

    def area(t: float) -> float:
        """Integral of `weighed` from 0 to t."""
        if t <= 0:
            return t
        return u_mg * (_ramp(value_mg / u_mg) - _ramp((value_mg - t) / u_mg)) / whole

    top = max(value_mg, 0.0) + _REACH * u_mg
    if up_to_mg == 0:
        return Law(weighed, top)
    return Law(lambda t: (area(t) - area(t - up_to_mg)) / up_to_mg, top + up_to_mg)


def two_cut(one: tuple[float, float], other: tuple[float, float], up_to_mg: float = 0.0) -> Law:
    """Two independent weighed masses, each density cut at zero, perhaps 0 to `up_to_mg` beside.

    Cut as one sum, a mass could be less than nothing while the other makes up for it. The density
    of the sum is a normal one times the chance that neither part is below zero. Its survival, and
    the area below that, are laid down at fixed places and cubic between them.

    Args:
        one, other: a mass, signed, and its standard uncertainty, above zero, mg.
        up_to_mg: width of the unseen part; 0 leaves it out.
    """
    (v1, u1), (v2, u2) = one, other
    whole, u = phi(v1 / u1) * phi(v2 / u2), math.hypot(u1, u2)
    own, lean = u1 * u2 / u, (u1 / u) ** 2

    def density(t: float) -> float:
        z, middle = (t - v1 - v2) / u, v1 + lean * (t - v1 - v2)
        inside = phi((t - middle) / own) - phi(-middle / own)
        return math.exp(-z * z / 2) / (u * math.sqrt(2 * math.pi)) * inside / whole

    top = max(v1, 0.0) + max(v2, 0.0) + _REACH * u
    step = top / _CELLS
    falls = [-density(k * step) for k in range(_CELLS + 1)]
    cells = [integrate(density, k * step, (k + 1) * step, _CELL_NODES) for k in range(_CELLS)]
    rising = list(accumulate(reversed(cells), initial=0.0))
    left = [part / rising[-1] for part in reversed(rising)]
    weighed = _between(left, falls, step)
    if up_to_mg == 0:
        return Law(lambda t: weighed(t) if t > 0 else 1.0, top)
    strips = [integrate(weighed, k * step, (k + 1) * step, _CELL_NODES) for k in range(_CELLS)]
    laid = _between(list(accumulate(strips, initial=0.0)), left, step)

    def area(t: float) -> float:
        """Integral of the survival from 0 to t."""
        return laid(t) if t > 0 else t

    return Law(lambda t: (area(t) - area(t - up_to_mg)) / up_to_mg, top + up_to_mg)


def _between(
    values: Sequence[float], slopes: Sequence[float], step: float
) -> Callable[[float], float]:
    """Cubic between places from 0 on, a step apart (Hermite); beyond the last its value."""

    def at(t: float) -> float:
        k = int(t / step)
        if k >= len(values) - 1:
            return values[-1]
        x = t / step - k
        y = 1 - x
        ends = y * y * (1 + 2 * x) * values[k] + x * x * (1 + 2 * y) * values[k + 1]
        return ends + x * y * step * (y * slopes[k] - x * slopes[k + 1])

    return at


def grain_count(value_mg: float, grains: float) -> Laws:
    """A mass made of few equal grains: the lower limit is χ² of 2N, the upper one of 2N + 2.

    Args:
        value_mg: the mass, above zero.
        grains: N, below 20.

    Source: F. Garwood, Biometrika 28 (1936) 437.
    """
    grain_mg = value_mg / grains

    def law(dof: float) -> Law:
        top = grain_mg * (dof / 2 + _REACH * math.sqrt(dof / 2) + 4 * _REACH)
        return Law(lambda t: 1 - chi2_cdf(2 * t / grain_mg, dof) if t > 0 else 1.0, top)

    return Laws(most=law(2 * grains + 2), least=law(2 * grains))


def closed_cdf(r: float, pair: Pair, law: Law) -> float:
    """P(A/(A + B + T) <= r), none of the three below zero, T of its own law and independent.

    Args:
        r: a share of one.
        pair: A and B, mg.
        law: of T.
    """
    if r <= 0:
        return 0.0
    if r >= 1:
        return 1.0
    if pair.a_near_zero or pair.b_near_zero:
        return _cut(r, pair, law)
    lean = (1 - r) / r
    variance = (lean * pair.u_a) ** 2 + pair.u_b**2 - 2 * lean * pair.covariance
    return _expected(lean * pair.a - pair.b, math.sqrt(max(variance, 0.0)), law)


def _expected(mean: float, spread: float, law: Law) -> float:
    """E[S(Y)] of a normal Y."""
    if law.rectangular:
        top = law.top_mg
        return (excess(top, mean, spread) - excess(0.0, mean, spread)) / top
    if spread == 0:
        return law.survival(mean) if mean > 0 else 1.0
    low, high = max(0.0, mean - _REACH * spread), min(law.top_mg, mean + _REACH * spread)
    return phi(-mean / spread) + _weighted(law, mean, spread, low, high, lambda y: y)


def _weighted(
    law: Law,
    mean: float,
    spread: float,
    low: float,
    high: float,
    missing: Callable[[float], float],
) -> float:
    """Integral of S(missing(x))·(normal density of x) from low to high; 0 when high is below."""
    if high <= low:
        return 0.0

    def term(x: float) -> float:
        z = (x - mean) / spread
        return law.survival(missing(x)) * math.exp(-z * z / 2)

    return integrate(term, low, high, _NODES) / (spread * math.sqrt(2 * math.pi))


def _cut(r: float, pair: Pair, law: Law) -> float:
    """A and B cut at zero: over B, and for each B over A."""
    slope = pair.covariance / pair.u_b**2 if pair.u_b else 0.0
    own = math.sqrt(max(pair.u_a**2 - slope * pair.covariance, 0.0))
    lean = (1 - r) / r

    def inside(b: float) -> float:
        """P(A >= 0 and the share is at most r), B being b."""
        mean = pair.a + slope * (b - pair.b)
        enough = b / lean  # up to this A no T at all is needed
        if own == 0:
            held = max(mean, 0.0)
            return law.survival(lean * held - b) if held > enough else 1.0
        low = max(enough, mean - _REACH * own)
        high = min((law.top_mg + b) / lean, mean + _REACH * own)
        without = phi((enough - mean) / own) - phi(-mean / own)
        return without + _weighted(law, mean, own, low, high, lambda a: lean * a - b)

    def possible(b: float) -> float:
        """P(A >= 0), B being b."""
        return phi((pair.a + slope * (b - pair.b)) / own) if own else 1.0

    if pair.u_b == 0:
        held = max(pair.b, 0.0)
        return inside(held) / possible(held)
    low = max(0.0, pair.b - _REACH * pair.u_b)
    high = max(0.0, pair.b) + _REACH * pair.u_b

    def density(b: float) -> float:
        z = (b - pair.b) / pair.u_b
        return math.exp(-z * z / 2)

    part = integrate(lambda b: density(b) * inside(b), low, high, _NODES)
    return part / integrate(lambda b: density(b) * possible(b), low, high, _NODES)


def closed_quantile(
    p: float, pair: Pair, laws: Laws, near: tuple[float, float] = (0.0, 1.0)
) -> float:
    """The share that A/(A + B + T) stays below with probability p.

    A low share is a large T: its own law rules there when a count of grains has two.

    Args:
        p: a probability.
        pair: A and B, mg.
        laws: of T.
        near: where to look first.
    """
    law = laws.most if p < 0.5 else laws.least
    if law.rectangular and not (pair.a_near_zero or pair.b_near_zero):
        return bounded.quantile(lambda r: closed_cdf(r, pair, law), p)
    return quantiles.quantile(lambda r: closed_cdf(r, pair, law), p, near)
