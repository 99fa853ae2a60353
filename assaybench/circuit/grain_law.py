"""A grade made by few grains: its law, its interval, and how it stands to a cut-off.

Method version 1, sections 6 and 7. The assay says how much metal was in the charge, with its own
doubt (normal, or t); how much the material holds in charges like it follows the count of grains.
The two are put together by a fixed quadrature, without random numbers: a sealed figure recomputes.
All in one unit, that of the result: `grain` is what one grain makes of it in this charge.
"""

import math
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from assaybench.circuit.grains import ENOUGH_GRAINS
from assaybench.circuit.quantiles import quantile
from assaybench.metrology.compare import SHOWN, probability_above
from assaybench.metrology.figure import COVERAGE, Interval, Layer
from assaybench.metrology.freedom import coverage_factor, welch_satterthwaite
from assaybench.metrology.special import chi2_cdf, gauss_legendre

_NODES = 40
_REACH = 8.0
_ENDLESS_DOF = 3000.0
_MANY_DOF = 30.0
_FAR_TAIL = 10.0  # of t with many degrees of freedom
_TRACE = 1e-9
_LEAST_COUNT = 1e-6  # the incomplete gamma function starts here; fewer grains are none


class Result(NamedTuple):
    """A result with the doubt of its assay and, as far as known, the weight of one grain.

    Attributes:
        value: y, signed.
        u: standard uncertainty of the assay, sampling not in it.
        dof: its degrees of freedom.
        grain: m_w in the unit of y: what one grain makes of the result; 0 where sampling is not
            known.
        replicated: the part of u² that replicates of the charge showed by their scatter, beyond
            the model: it holds the grains already, so only what they exceed it by is added.
    """

    value: float
    u: float
    dof: float = math.inf
    grain: float = 0.0
    replicated: float = 0.0

    @property
    def grains(self) -> float | None:
        """N, the grains behind the result; None where sampling is not known."""
        return max(self.value, 0.0) / self.grain if self.grain else None

    @property
    def few(self) -> bool:
        """Whether fewer than 20 grains make it, so that ± would mislead."""
        return self.grains is not None and self.grains < ENOUGH_GRAINS

    @property
    def u_sampling(self) -> float:
        """Standard uncertainty that the number of grains adds, √(y·m_w); 0 where not known."""
        return math.sqrt(max(max(self.value, 0.0) * self.grain - self.replicated, 0.0))

    @property
    def u_apart(self) -> float:
        """Standard uncertainty without the scatter that the law of the grains accounts for."""
        shared = min(self.replicated, max(self.value, 0.0) * self.grain)
        return math.sqrt(max(self.u**2 - shared, 0.0))

    @property
    def u_widest(self) -> float:
        """Standard uncertainty with all that is known."""
        return math.hypot(self.u, self.u_sampling)

    @property
    def dof_widest(self) -> float:
        """Its degrees of freedom: the law of grains is well known."""
        return welch_satterthwaite([(self.u, self.dof), (self.u_sampling, math.inf)])

    @property
    def layer(self) -> Layer:
        """The widest layer known."""
        return "sampling" if self.grain else "assay"


class FewGrains:
    """The law of a result of fewer than 20 grains: its lower end and its upper end apart.

    Given the metal x in the charge, the limits of a Poisson count are quantiles of gamma laws of
    shape x/m_w (below) and x/m_w + 1 (above), F. Garwood, Biometrika 28 (1936) 437; x is y with the
    doubt of the assay, cut at zero where no grain is left.
    """

    def __init__(self, result: Result) -> None:
        self.result = result

    @cached_property
    def _counts(self) -> list[tuple[float, float]]:
        """Counts x/m_w over the doubt of the assay, and their weights, which add to 1."""
        y, dof, grain = self.result.value, self.result.dof, self.result.grain
        u = self.result.u_apart
        if u == 0:
            return [(max(y, 0.0) / grain, 1.0)]
        # t = √ν·tan θ turns the density of t into cos^(ν - 1) θ on a finite range
        normal = dof > _ENDLESS_DOF
        edge = _REACH if normal else math.pi / 2
        if _MANY_DOF < dof <= _ENDLESS_DOF:
            edge = math.atan(_FAR_TAIL / math.sqrt(dof))
        zero = -y / u if normal else math.atan(-y / (u * math.sqrt(dof)))
        cuts = sorted({-edge, min(max(zero, -edge), edge), 0.0, edge})
        found = []
        for low, high in pairwise(cuts):
            half, middle = (high - low) / 2, (high + low) / 2
            for node, weight in gauss_legendre(_NODES):
                at = middle + half * node
                t = at if normal else math.sqrt(dof) * math.tan(at)
                density = math.exp(-at * at / 2) if normal else math.cos(at) ** (dof - 1)
                found.append((max(y + u * t, 0.0) / grain, weight * half * density))
        whole = math.fsum(weight for _, weight in found)
        return [(count, weight / whole) for count, weight in found]

    def _below(self, level: float, more: int) -> float:
        """P(metal expected <= level) by the law of shape N + more."""
        if level <= 0:
            return 0.0
        twice = 2 * level / self.result.grain
        return math.fsum(
            weight * (chi2_cdf(twice, 2 * (count + more)) if count + more > _LEAST_COUNT else 1.0)
            for count, weight in self._counts
        )

    def chance_above(self, level: float) -> Interval:
        """The least and the most chance that the material holds more than this."""
        return Interval(1 - self._below(level, 0), 1 - self._below(level, 1))

    def interval(self) -> Interval:
        """The 95 % interval of what the material holds; from 0 where no grain may be behind it.

        Where nothing was found all of the 5 in 100 lie above, as for a count of none.
        """
        tail, far = (1 - COVERAGE) / 2, self._far
        if self.result.value <= 0:
            high = far * quantile(lambda part: self._below(part * far, 1), COVERAGE)
            return Interval(0.0, high, COVERAGE)
        high = far * quantile(lambda part: self._below(part * far, 1), 1 - tail)
        low = 0.0
        if self._below(_TRACE * far, 0) < tail:
            low = far * quantile(lambda part: self._below(part * far, 0), tail)
        return Interval(low, high, COVERAGE)

    @property
    def _far(self) -> float:
        """Somewhere above every end."""
        y, dof, grain = self.result.value, self.result.dof, self.result.grain
        far = max(y, 0.0) + 2 * coverage_factor(dof) * self.result.u_apart
        return far + grain * (10 + 6 * math.sqrt(far / grain))


def interval(result: Result) -> Interval:
    """The 95 % interval with the widest layer known: ± k·u, or the law of few grains."""
    if result.few:
        return FewGrains(result).interval()
    reach = coverage_factor(result.dof_widest) * result.u_widest
    return Interval(result.value - reach, result.value + reach, COVERAGE)


class Judged(NamedTuple):
    """How a result stands to a cut-off.

    Attributes:
        low, high: chance that the truth is above it, least and most; alike from 20 grains on.
        code: `cutoff_above`, `cutoff_below` or `cutoff_not_shown`.
        layer: the widest layer known, with which it was judged; without `sampling` the judgement
            is about this charge and must say so (`not_sampling`).
        few_grains: whether the law of few grains was used.
    """

    low: float
    high: float
    code: str
    layer: Layer
    few_grains: bool


def against_cutoff(result: Result, cutoff: float) -> Judged:
    """Whether a result is above a cut-off, at 95 in 100, with the widest layer known.

    Above when even the least chance reaches 0.95, below when even the most is 0.05 or less.

    Args:
        result: in the unit of the cut-off.
        cutoff: the cut-off.

    Raises:
        ValueError: for a result without any doubt.

    Source: JCGM 106:2012, clause 7 (from memory); t for few degrees of freedom.
    """
    if result.few:
        ends = FewGrains(result).chance_above(cutoff)
        low, high = ends.low, ends.high
    else:
        low = high = probability_above(result.value, result.u_widest, cutoff, result.dof_widest)
    code = "cutoff_not_shown"
    if low >= SHOWN:
        code = "cutoff_above"
    elif high <= 1 - SHOWN:
        code = "cutoff_below"
    return Judged(low, high, code, result.layer, result.few)
