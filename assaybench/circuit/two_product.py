"""A product and its feed: what part of the feed it is, and the ratio of concentration.

Of two products known by their grades, part and whole are c(f - t) and f(c - t) for the metal, f - t
and c - t for the mass: grades of feed f, concentrate c and tails t in one unit. Method version 1,
section 5; B. A. Wills, Mineral Processing Technology, chapter 3 (from memory). A test in which
whole products are weighed needs no feed grade: see `ways.py`.
"""

import math
from collections.abc import Sequence

from assaybench.circuit import written
from assaybench.circuit.split import TAIL, widening
from assaybench.circuit.tailings_law import excess
from assaybench.circuit.ways import OF_THE_FEED
from assaybench.messages import say
from assaybench.metrology.bounded import quantile
from assaybench.metrology.figure import (
    COVERAGE,
    Budget,
    Figure,
    Layer,
    measured,
    not_determinable,
)
from assaybench.metrology.special import phi
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write

NEARLY_LINEAR = 0.05
"""A yield with an U below this share of itself is turned over as value ± U."""

NARROW = 1e-3
"""A rectangle narrower than this share of all else is as good as none."""
NOTHING = 1e-6
"""A yield below this many per cent is nothing."""


def concentration_ratio(part: Figure) -> Figure:
    """Ratio of concentration: mass of the feed over that of the product, from its mass yield.

    Both ends are those of the yield turned over; no upper end where the yield may be nothing, and
    no ratio where it is nothing as measured.
    """
    assert part.value is not None and part.u is not None  # noqa: S101, PT018  a yield has both
    if part.value < NOTHING:
        return not_determinable("1", say("ratio_of_nothing"), layer=part.layer, basis=OF_THE_FEED)
    value, u = 100 / part.value, 100 * part.u / part.value**2
    low = 100 / part.high if part.high else 0.0
    high = 100 / part.low if part.low and part.low > NOTHING else None
    if part.k is not None and part.k * part.u <= NEARLY_LINEAR * part.value:
        return measured(value, u, "1", k=part.k, dof=part.dof, layer=part.layer, basis=OF_THE_FEED)
    if high is None:
        text = f"{write.short(value, 2)} ({write.short(low, 2)} or more)"
    else:
        text = f"{write.short(value, 3)} ({' to '.join(written.ends(low, high))})"
    return Figure(
        value=value,
        unit="1",
        u=u,
        low=low,
        high=high,
        coverage_probability=COVERAGE,
        dof=part.dof,
        layer=part.layer,
        basis=OF_THE_FEED,
        text=text,
    )


def part_of(
    sources: Sources,
    part: Uncertain,
    whole: Uncertain,
    layer: Layer,
    limits: Sequence[Uncertain] = (),
) -> tuple[Figure, Budget]:
    """part/whole in per cent, with P(ratio <= r) = Φ((r·whole - part)/u(r·whole - part)).

    Where a grade was typed as a limit, that is averaged over all it may be, from nothing to x; of
    several limits over the one that counts most.

    Args:
        sources: the sources of doubt.
        part, whole: of one thing in one unit, the part at most the whole.
        layer: how far the doubt reaches.
        limits: the variables behind them that are rectangular.

    Raises:
        ValueError: when neither carries any doubt.

    Source: E. C. Fieller, Biometrika 24 (1932) 428, part and whole to first order.
    """
    ratio = part / whole
    doubt = sources.doubt(ratio)
    if doubt.u == 0:
        raise ValueError("grades without any doubt give no recovery: a measured grade has one")
    widen = widening(doubt.dof)
    own, common, other = (
        sources.covariance(*pair) for pair in ((part, part), (part, whole), (whole, whole))
    )
    shared = [
        (sources.covariance(part, x), sources.covariance(whole, x), sources.covariance(x, x))
        for x in limits
    ]

    def cdf(r: float) -> float:
        gap = r * nominal(whole) - nominal(part)
        variance = own - 2 * r * common + r * r * other
        if variance <= 0:
            return 1.0 if gap >= 0 else 0.0
        even = max(((r * w - p) ** 2 / u2 for p, w, u2 in shared), default=0.0)
        half = math.sqrt(3 * even)
        rest = widen * math.sqrt(max(variance - even, 0.0))
        if half <= NARROW * rest:
            return phi(gap / (widen * math.sqrt(variance)))
        beyond = excess(gap + half, 0.0, rest) - excess(gap - half, 0.0, rest)
        return min(max(beyond / (2 * half), 0.0), 1.0)

    figure = written.between(
        nominal(ratio),
        doubt.u,
        (quantile(cdf, TAIL), quantile(cdf, 1 - TAIL)),
        k=doubt.k,
        dof=doubt.dof,
        status="measured",
        layer=layer,
        basis=OF_THE_FEED,
    )
    return figure, doubt.budget
