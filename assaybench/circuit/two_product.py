"""Two products from three grades: recovery and mass yield of a feed split in two.

R = c(f - t)/(f(c - t)) and yield (f - t)/(c - t), grades of feed f, concentrate c and tails t in
one unit. Method version 1, section 5; B. A. Wills, Mineral Processing Technology, chapter 3 (from
memory). A test in which whole products are weighed needs no feed grade: see `ways.py`.
"""

import math

from assaybench.circuit import written
from assaybench.circuit.split import TAIL, widening
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

NOTHING = 1e-6
"""A yield below this many per cent is nothing."""


def two_product_recovery(
    sources: Sources,
    feed: Uncertain,
    concentrate: Uncertain,
    tails: Uncertain,
    layer: Layer = "assay",
) -> tuple[Figure, Budget]:
    """Recovery R = c(f - t)/(f(c - t)) in per cent, with its budget.

    Args:
        sources: the sources of doubt.
        feed, concentrate, tails: grades f, c, t in one unit.
        layer: how far the doubt reaches.

    Raises:
        ValueError: unless c > f > t >= 0, or when the grades carry no doubt.
    """
    _ordered(feed, concentrate, tails)
    return part_of(sources, concentrate * (feed - tails), feed * (concentrate - tails), layer)


def mass_yield(
    sources: Sources,
    feed: Uncertain,
    concentrate: Uncertain,
    tails: Uncertain,
    layer: Layer = "assay",
) -> tuple[Figure, Budget]:
    """Mass of the concentrate over that of the feed, (f - t)/(c - t), in per cent.

    Arguments and errors as in `two_product_recovery`.
    """
    _ordered(feed, concentrate, tails)
    return part_of(sources, feed - tails, concentrate - tails, layer)


def _ordered(feed: Uncertain, concentrate: Uncertain, tails: Uncertain) -> None:
    f, c, t = nominal(feed), nominal(concentrate), nominal(tails)
    if not c > f > t >= 0:
        raise ValueError(
            "the grade of the feed lies between those of tails and concentrate: "
            f"tails {t!r}, feed {f!r}, concentrate {c!r} do not"
        )


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
    sources: Sources, part: Uncertain, whole: Uncertain, layer: Layer
) -> tuple[Figure, Budget]:
    """part/whole in per cent, with P(ratio <= r) = Φ((r·whole - part)/u(r·whole - part)).

    Args:
        sources: the sources of doubt.
        part, whole: of one thing in one unit, the part at most the whole.
        layer: how far the doubt reaches.

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

    def cdf(r: float) -> float:
        gap = r * nominal(whole) - nominal(part)
        variance = own - 2 * r * common + r * r * other
        if variance <= 0:
            return 1.0 if gap >= 0 else 0.0
        return phi(gap / (widen * math.sqrt(variance)))

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
