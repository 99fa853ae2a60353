"""Models of streams that are made to agree, of products of a feed, and of size distributions."""

import math
from collections.abc import Sequence
from itertools import pairwise

from assaybench.circuit.reconcile import MASS, Agreed, Place, Stage, Stream, agree
from assaybench.circuit.sizes import Fit, Fraction, Law, curve_of
from assaybench.circuit.streams import FeedTest, part_feed
from assaybench.metrology.uncertain import Sources, nominal

ANY_SHARE = 0.001
"""A relative doubt where the source gives none: figures without any give no recovery."""
FEED, TAILINGS = "feed", "tailings"


def _number(value: float | None) -> float:
    if value is None:
        raise ValueError("there is no figure")
    return value


def agreed_flows(
    *, flows: Sequence[float], into: Sequence[str], out_of: Sequence[str]
) -> dict[str, float | str]:
    """Flows, numbered from 1, that agree at nodes given by the numbers of what goes in and out.

    All flows are measured alike well.
    """
    sources = Sources()
    streams = [
        Stream(str(i), sources.variable(str(i), flow, 1.0)) for i, flow in enumerate(flows, 1)
    ]
    stages = [Stage(tuple(a.split()), tuple(b.split())) for a, b in zip(into, out_of, strict=True)]
    agreed = agree(sources, streams, stages)
    return {f"flow {s.name}": nominal(agreed.values[Place(s.name, MASS)]) for s in streams}


def one_thing_measured_often(
    *, values: Sequence[float], u: Sequence[float]
) -> dict[str, float | str]:
    """One thing measured several times, as streams that pass each into the next."""
    sources = Sources()
    streams = [
        Stream(str(i), sources.variable(str(i), value, doubt))
        for i, (value, doubt) in enumerate(zip(values, u, strict=True))
    ]
    stages = [Stage((a.name,), (b.name,)) for a, b in pairwise(streams)]
    agreed = agree(sources, streams, stages)
    best = agreed.values[Place("0", MASS)]
    return {
        "best": nominal(best),
        "u": sources.doubt(best).u,
        "chi_square": agreed.chi2,
        "p": agreed.p,
    }


def _feed_test(
    masses: Sequence[float], grades: Sequence[Sequence[float]], products: Sequence[str]
) -> tuple[FeedTest, Agreed]:
    """A feed and products with what is known first: masses, then grades of each metal."""
    sources = Sources()
    names = (FEED, *products)
    streams = []
    for i, name in enumerate(names):
        known = [*masses[i : i + 1]], *(metal[i : i + 1] for metal in grades)
        figures = [
            sources.variable(f"{k} of {name}", kind[0], ANY_SHARE * kind[0]) if kind else None
            for k, kind in enumerate(known)
        ]
        streams.append(Stream(name, figures[0], tuple(figures[1:])))
    units = ("%",) * len(grades)
    test = part_feed(sources, streams[0], streams[1:], mass_unit="t", grade_units=units)
    if test.agreed is None:
        raise ValueError("no split gives this feed")
    return test, test.agreed


def three_products(
    *, feed: float, first: Sequence[float], second: Sequence[float]
) -> dict[str, float | str]:
    """Two concentrates and tailings from grades in two metals: of feed, both, tailings."""
    names = ("1", "2", TAILINGS)
    test, agreed = _feed_test([feed], [first, second], names)
    found: dict[str, float | str] = {}
    for name, product in zip(names, test.products, strict=True):
        found[f"mass of {name}"] = nominal(agreed.values[Place(name, MASS)])
        for k, (recovery, enrichment) in enumerate(
            zip(product.recoveries, product.enrichments, strict=True), 1
        ):
            found[f"recovery_percent {k} in {name}"] = _number(recovery.value)
            found[f"enrichment {k} in {name}"] = _number(enrichment.value)
        found[f"concentration {name}"] = _number(product.figures["concentration"].value)
    return found


def separation_efficiency(
    *,
    feed_percent: float,
    mineral_percent: float,
    concentrate_percent: Sequence[float],
    recovery_percent: Sequence[float],
) -> dict[str, float | str]:
    """Recovery of the mineral less that of the gangue, for each concentrate, numbered."""
    found: dict[str, float | str] = {}
    for i, (grade, recovery) in enumerate(
        zip(concentrate_percent, recovery_percent, strict=True), 1
    ):
        masses = [1.0, recovery / 100 * feed_percent / grade]
        gangue = [100 * (1 - g / mineral_percent) for g in (feed_percent, grade)]
        test, _ = _feed_test(masses, [[feed_percent, grade], gangue], ("concentrate", TAILINGS))
        metal, rest = (_number(figure.value) for figure in test.products[0].recoveries)
        found[f"efficiency_percent {i}"] = metal - rest
    return found


def sieve_test(*, openings_um: Sequence[float], masses: Sequence[float]) -> dict[str, float | str]:
    """What passes each sieve, per cent, from what stayed on it and, last, passed the finest."""
    made = [Fraction(um, m) for um, m in zip((*openings_um, 0.0), masses, strict=True)]
    points = curve_of(Sources(), made).points
    return {f"passing_percent {i}": 100 * nominal(p.passing) for i, p in enumerate(points, 1)}


def size_by_law(*, law: Law, size_m: float, slope: float, share: float) -> dict[str, float | str]:
    """The size, m, that a share passes by a law."""
    return {"size_m": nominal(Fit(law, size_m, slope, None).size_at(share))}


def size_by_exponent(*, k: float, slope: float, share: float) -> dict[str, float | str]:
    """The same by 1 - exp(-k·d^m), the size of the law being k^(-1/m)."""
    size_m = math.exp(-math.log(k) / slope)
    return size_by_law(law="Rosin-Rammler", size_m=size_m, slope=slope, share=share)
