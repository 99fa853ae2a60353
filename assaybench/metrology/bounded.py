"""Intervals of ratios that cannot leave 0..1, and of the equal-stages recovery.

A share R = A/(A + B) of two measured amounts keeps its interval inside 0..1 although A or B may be
read below zero. The distribution function is closed form while both amounts are far from zero,
and a fixed Gauss quadrature over the densities cut at zero while one or both are near. There is no
random sampling: a sealed figure must recompute to the last digit.
Method version 1, section 5; E. C. Fieller, Biometrika 24 (1932) 428 for the closed form
(citation from memory).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from assaybench.metrology.special import integrate, phi

NEAR = 4.0
"""An amount below four times its u is near zero: cutting it there is felt above 3 in 100 000."""
_REACH = 9.0
_STEPS = 60
_NODES = 20
_LEAST_MASS = 1e-40


@dataclass(frozen=True, slots=True)
class Pair:
    """Two amounts measured together, in one unit.

    Attributes:
        a, b: the amounts as measured; noise may make one negative.
        u_a, u_b: their standard uncertainties; at least one above zero.
        covariance: of the two, in the square of the unit.
    """

    a: float
    b: float
    u_a: float
    u_b: float
    covariance: float = 0.0

    def __post_init__(self) -> None:
        if min(self.u_a, self.u_b) < 0 or max(self.u_a, self.u_b) == 0:
            raise ValueError("both doubts must be zero or more, and one above zero")
        if abs(self.covariance) > self.u_a * self.u_b * (1 + 1e-9):
            raise ValueError("the covariance is larger than the doubts allow")

    @property
    def a_near_zero(self) -> bool:
        """Whether the cut of A at zero is felt."""
        return self.a < NEAR * self.u_a

    @property
    def b_near_zero(self) -> bool:
        """Whether the cut of B at zero is felt."""
        return self.b < NEAR * self.u_b


def _step(z: float, spread: float) -> float:
    """Φ(z/spread), and the step function where there is no spread."""
    if spread > 0:
        return phi(z / spread)
    return 1.0 if z >= 0 else 0.0


def _spread(pair: Pair, weight_a: float, weight_b: float) -> float:
    """Standard uncertainty of weight_a·A + weight_b·B."""
    variance = (
        (weight_a * pair.u_a) ** 2
        + (weight_b * pair.u_b) ** 2
        + 2 * weight_a * weight_b * pair.covariance
    )
    return math.sqrt(max(variance, 0.0))


def share_cdf(r: float, pair: Pair) -> float:
    """P(A/(A + B) <= r), with A and B not below zero.

    Args:
        r: a share of one.
        pair: the two amounts.

    Where only one amount is near zero the truncated form stands for the method's renormalised one,
    (F(r) - F(0))/(F(1) - F(0)): they agree while that one is right, and the truncated form also
    rises steadily and stays inside 0..1 where it is not.

    Raises:
        ValueError: when both lie so far below zero that no share can be given.

    Source: method version 1, section 5 (closed and truncated forms).
    """
    if r < 0:
        return 0.0
    if r >= 1:
        return 1.0
    if pair.a_near_zero or pair.b_near_zero:
        return _cut(r, pair)
    return _closed(r, pair)


def _closed(r: float, pair: Pair) -> float:
    return _step(r * pair.b - (1 - r) * pair.a, _spread(pair, -(1 - r), r))


def _one_exact(r: float, pair: Pair) -> float:
    """One amount known exactly, the other cut at zero."""
    if pair.u_a == 0 and pair.a <= 0:
        return 1.0  # nothing of A: the share is 0 whatever B is
    if pair.u_b == 0 and pair.b <= 0:
        return 0.0  # nothing of B: the share is 1 whatever A is
    if pair.u_a == 0:
        # the share is r or less where B is at least A·(1 - r)/r
        least = pair.a * (1 - r) / r if r else math.inf
        return phi((pair.b - least) / pair.u_b) / phi(pair.b / pair.u_b)
    below = _step(pair.b * r / (1 - r) - pair.a, pair.u_a) - _step(-pair.a, pair.u_a)
    return below / phi(pair.a / pair.u_a)


def _cut(r: float, pair: Pair) -> float:
    """The densities cut at zero: the part of the quarter plane below A = B·r/(1 - r)."""
    if pair.u_a == 0 or pair.u_b == 0:
        return _one_exact(r, pair)
    slope = pair.covariance / pair.u_b**2
    own = math.sqrt(max(pair.u_a**2 - slope * pair.covariance, 0.0))
    top = max(pair.b, 0.0) + _REACH * pair.u_b

    def density(b: float) -> float:
        z = (b - pair.b) / pair.u_b
        return math.exp(-z * z / 2)

    def below(b: float, limit: float) -> float:
        centre = pair.a + slope * (b - pair.b)
        return _step(limit - centre, own) - _step(-centre, own)

    def mass(odds: float) -> float:
        """Mass with A below B·odds, in panels that hold no more than one steep step each."""
        ends = [0.0, top, pair.b - 6 * pair.u_b, pair.b]
        for steep in (odds - slope, -slope):
            if steep and math.isfinite(steep):
                step = (pair.a - slope * pair.b) / steep
                ends += [step + z * own / steep for z in (-6.0, 0.0, 6.0)]
        inner = sorted(x for x in ends if 0.0 <= x <= top)
        return math.fsum(
            integrate(lambda b: density(b) * below(b, b * odds if b else 0.0), low, high, _NODES)
            for low, high in pairwise(inner)
        )

    whole = mass(math.inf)
    if whole < _LEAST_MASS:
        raise ValueError("A and B lie too far below zero: no share of them can be given")
    return min(mass(r / (1 - r)) / whole, 1.0)


def equal_stages_cdf(r: float, pair: Pair) -> float:
    """P(1 - B/A <= r): recovery of stage 1 if stage 2 catches as well as it.

    Source: method version 1, section 5; valid while A is far from zero and B below A.
    """
    return _step(pair.b - (1 - r) * pair.a, _spread(pair, -(1 - r), 1.0))


def quantile(cdf: Callable[[float], float], p: float, low: float = 0.0, high: float = 1.0) -> float:
    """The r in low..high with cdf(r) = p, by bisection; an end where the cdf never reaches p."""
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if cdf(middle) < p:
            low = middle
        else:
            high = middle
    return (low + high) / 2
