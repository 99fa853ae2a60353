"""Equal stages over several sizes: the total recovery and what is lost, with their intervals.

F_i = A_i²/(A_i - B_i), R = ΣA_i/ΣF_i; stage 1 loses F_i - A_i, both stages lose F_i - A_i - B_i. F
has a pole where B reaches A, so the distribution of a sum over sizes is skewed in its own way for
each test: the first order fails, and so does a transform of it when several sizes are doubtful.
The quantiles are those of a fixed rule of 4093 points with equal weights, laid out in the normal
space of all masses and turned so that its first coordinate, in which the points are even, is the
direction in which R changes most. The points never change and nothing is drawn at random: a sealed
figure recomputes. The chance beyond an end is within 0.003 of the 0.025 that it stands for.
Method version 1, section 5. Masses in milligrams.

Sources: R. D. Richtmyer 1951 and H. Niederreiter, Bull. Amer. Math. Soc. 84 (1978) 957 for points
built on square roots of primes (from memory).
"""

import math
from collections.abc import Sequence
from functools import lru_cache
from operator import mul
from typing import NamedTuple

from assaybench.metrology.bounded import NEAR
from assaybench.metrology.special import phi, phi_inv
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

POINTS = 4093
_LEAST = 1e-300

Rows = list[list[float]]


class Masses(NamedTuple):
    """The masses of a test, sizes in one order.

    Attributes:
        caught: A_i, stage-1 concentrate.
        rerun: B_i, caught by the second stage.
        mats: metal left in the mats, part of the feed.
    """

    caught: tuple[Uncertain, ...]
    rerun: tuple[Uncertain, ...]
    mats: Uncertain = 0.0


class Drawn(NamedTuple):
    """Values of a test at the fixed points, each list rising.

    Attributes:
        recovery: R, shares of one.
        lost: F - A of each size, mg; infinite where B reaches A.
        gone: F - A - B of each size, mg.
        lost_total, gone_total: the same, summed over the sizes.
    """

    recovery: tuple[float, ...]
    lost: tuple[tuple[float, ...], ...]
    gone: tuple[tuple[float, ...], ...]
    lost_total: tuple[float, ...]
    gone_total: tuple[float, ...]


def feed(caught: Uncertain, rerun: Uncertain) -> Uncertain:
    """F = A²/(A - B), the metal of the feed if both stages catch alike, mg; B below A."""
    return caught * caught / (caught - rerun)


def recovery(masses: Masses) -> Uncertain:
    """R = ΣA/(ΣF + mats), a share of one; every B below its A."""
    total = sum(feed(a, b) for a, b in zip(masses.caught, masses.rerun, strict=True))
    return sum(masses.caught) / (total + masses.mats)


def quantile_of(rising: Sequence[float], p: float) -> float:
    """The quantile of equally weighted values in rising order, between neighbours linear."""
    place = min(max(p * len(rising) - 0.5, 0.0), len(rising) - 1.0)
    below = math.floor(place)
    above = min(below + 1, len(rising) - 1)
    if rising[below] == rising[above]:
        return rising[below]
    return rising[below] + (place - below) * (rising[above] - rising[below])


def drawn(sources: Sources, masses: Masses, widen: float = 1.0) -> Drawn:
    """A test at the fixed points of its joint normal distribution, covariances in it.

    A re-run or mats near zero (4u) have their own law cut there, laid over the same points, so R
    stays between 0 and ΣA/Σ(A + B). A concentrate below zero at its point counts as none.

    Args:
        sources: the sources of doubt behind the masses.
        masses: every B below its A.
        widen: factor on every standard uncertainty, for few degrees of freedom.
    """
    values = [*masses.caught, *masses.rerun, masses.mats]
    centre = [nominal(value) for value in values]
    n = len(masses.caught)
    root = _root_of(sources, values, widen)
    spread = _turned(root, _slopes(centre, n))
    cuts = {
        j: u
        for j in range(n, len(values))
        if centre[j] < NEAR * (u := math.hypot(*root[j])) and u > 0
    }
    recovered: list[float] = []
    lost: Rows = [[] for _ in range(n)]
    gone: Rows = [[] for _ in range(n)]
    for point in _points(len(values)):
        place = [c + sum(map(mul, row, point)) for c, row in zip(centre, spread, strict=True)]
        for j, u in cuts.items():
            place[j] = _above_zero(place[j], centre[j], u)
        caught = [max(a, 0.0) for a in place[:n]]
        rerun = [max(b, 0.0) for b in place[n : 2 * n]]
        for i, (a, b) in enumerate(zip(caught, rerun, strict=True)):
            lost[i].append(a * b / (a - b) if b < a else math.inf)
            gone[i].append(b * b / (a - b) if b < a else math.inf)
        whole = sum(caught)
        all_feed = whole + sum(column[-1] for column in lost) + max(place[-1], 0.0)
        recovered.append(whole / all_feed if whole > 0 else 0.0)
    return Drawn(
        recovery=tuple(sorted(recovered)),
        lost=tuple(tuple(sorted(column)) for column in lost),
        gone=tuple(tuple(sorted(column)) for column in gone),
        lost_total=tuple(sorted(map(sum, zip(*lost, strict=True)))),
        gone_total=tuple(sorted(map(sum, zip(*gone, strict=True)))),
    )


def _above_zero(place: float, centre: float, u: float) -> float:
    """The point of a normal law moved to the same rank of that law cut at zero."""
    beyond = phi((centre - place) / u) * phi(centre / u)
    return centre - u * phi_inv(max(beyond, _LEAST))


def _slopes(centre: Sequence[float], n: int) -> list[float]:
    """Derivatives of R by every A, every B and the mats."""
    caught, rerun = centre[:n], centre[n : 2 * n]
    pairs = list(zip(caught, rerun, strict=True))
    whole = math.fsum(caught)
    total = math.fsum(feed(a, b) for a, b in pairs) + centre[-1]
    by_caught = [1 / total - whole / total**2 * a * (a - 2 * b) / (a - b) ** 2 for a, b in pairs]
    by_rerun = [-whole / total**2 * (a / (a - b)) ** 2 for a, b in pairs]
    return [*by_caught, *by_rerun, -whole / total**2]


def _root_of(sources: Sources, values: Sequence[Uncertain], widen: float) -> Rows:
    """The lower triangle L of the covariance matrix L·Lᵀ (Cholesky); 0 where no doubt is left."""
    root: Rows = [[0.0] * len(values) for _ in values]
    for i, one in enumerate(values):
        for j, other in enumerate(values[: i + 1]):
            rest = widen**2 * sources.covariance(one, other)
            rest -= math.fsum(map(mul, root[i][:j], root[j][:j]))
            if i == j:
                own = widen**2 * sources.covariance(one, one)
                root[i][i] = math.sqrt(rest) if rest > 1e-12 * own else 0.0
            elif root[j][j]:
                root[i][j] = rest / root[j][j]
    return root


def _turned(root: Rows, slopes: Sequence[float]) -> Rows:
    """L·H, H the reflection that lays the first axis along Lᵀ·slopes (Householder)."""
    size = len(root)
    steepest = [math.fsum(root[i][k] * slopes[i] for i in range(size)) for k in range(size)]
    length = math.hypot(*steepest)
    if length == 0:
        return root
    mirror = [part / length for part in steepest]
    mirror[0] += 1.0 if mirror[0] >= 0 else -1.0
    square = math.fsum(part * part for part in mirror)
    turned: Rows = []
    for row in root:
        along = 2 * math.fsum(map(mul, row, mirror)) / square
        turned.append([part - along * m for part, m in zip(row, mirror, strict=True)])
    return turned


@lru_cache(maxsize=8)
def _points(size: int) -> tuple[tuple[float, ...], ...]:
    """The fixed points in so many dimensions, standard normal: even in the first coordinate."""
    steps = [math.sqrt(prime) % 1 for prime in _primes(size - 1)]
    return tuple(
        (phi_inv((k + 0.5) / POINTS), *(phi_inv(_inside(k * step + 0.5)) for step in steps))
        for k in range(POINTS)
    )


def _inside(number: float) -> float:
    """Its part behind the point, kept off 0."""
    return max(number % 1, 0.5 / POINTS)


def _primes(count: int) -> list[int]:
    """The first primes."""
    found: list[int] = []
    candidate = 2
    while len(found) < count:
        if all(candidate % prime for prime in found):
            found.append(candidate)
        candidate += 1
    return found
