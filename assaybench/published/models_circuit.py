"""Models of circuit work: two products, recovery from masses, grains and their number."""

from collections.abc import Sequence

from assaybench.assay.bullion import fine_mass
from assaybench.assay.grade import grade, in_unit
from assaybench.circuit.counts import limits
from assaybench.circuit.grains import Shape, expected_grains, grain_mass_mg
from assaybench.circuit.reconcile import Stream
from assaybench.circuit.split import Split, share
from assaybench.circuit.streams import Product, part_feed
from assaybench.metrology.bounded import quantile
from assaybench.metrology.figure import COVERAGE
from assaybench.metrology.uncertain import Sources, nominal
from assaybench.units.table import BY_SPELLING

PPB = BY_SPELLING["ppb"]
ANY_SHARE = 0.001
"""A relative doubt where the source gives none: grades without any give no recovery."""
UNIT_UM = 1000.0


def _number(value: float | None) -> float:
    if value is None:
        raise ValueError("there is no recovery")
    return value


def _concentrate(feed: float, concentrate: float, tails: float) -> Product:
    """What the concentrate of two products holds of a feed, from three grades in per cent."""
    sources = Sources()
    streams = [
        Stream(name, None, (sources.variable(name, value, ANY_SHARE * value),))
        for name, value in (("feed", feed), ("concentrate", concentrate), ("tails", tails))
    ]
    test = part_feed(sources, streams[0], streams[1:], mass_unit="kg", grade_units=("%",))
    return test.products[0]


def two_products(*, feed: float, concentrate: float, tails: float) -> dict[str, float | str]:
    """Recovery and mass yield in per cent; ratio of concentration, and of enrichment."""
    found = _concentrate(feed, concentrate, tails).figures
    return {
        "recovery_percent": _number(found["recovery"].value),
        "yield_percent": _number(found["mass_yield"].value),
        "concentration": _number(found["concentration"].value),
        "enrichment": _number(found["enrichment"].value),
    }


def yields_by_element(
    *, feed: Sequence[float], concentrate: Sequence[float], tails: Sequence[float]
) -> dict[str, float | str]:
    """Mass yield, per cent, as each element gives it, numbered."""
    rows = enumerate(zip(feed, concentrate, tails, strict=True), 1)
    return {
        f"yield_percent {i}": _number(_concentrate(*row).figures["mass_yield"].value)
        for i, row in rows
    }


def recovery_of_masses(
    *, feed: float, feed_permille: float, concentrate: float, concentrate_permille: float
) -> dict[str, float | str]:
    """Recovery, per cent, of a concentrate from a feed, both weighed and assayed."""
    sources = Sources()
    metal = sources.variable("feed", feed, ANY_SHARE * feed)
    metal = fine_mass(metal, feed_permille)
    caught = fine_mass(concentrate, concentrate_permille)
    split = Split(caught, metal - caught, caught_seen=True, rest_seen=True)
    figure, _ = share(sources, "all", split, layer="assay", basis="of the feed", status="measured")
    return {"recovery_percent": _number(figure.value)}


def grade_of_grains(
    *, grains: int, diameter_um: float, shape: Shape, sample_g: float
) -> dict[str, float | str]:
    """Grade at which a sample holds so many grains of gold."""
    g_per_t = grade(grains * grain_mass_mg(diameter_um, shape), sample_g)
    return {"g_per_t": g_per_t, "ppb": nominal(in_unit(g_per_t, PPB))}


def limits_of_count(*, counts: Sequence[int], coverage: float = COVERAGE) -> dict[str, float | str]:
    """Limits of the number expected where so many grains were counted, numbered."""
    found: dict[str, float | str] = {}
    for i, count in enumerate(counts, 1):
        ends = limits(count, coverage)
        found[f"low {i}"], found[f"high {i}"] = ends.low, ends.high
    return found


def same_count(*, mass: float, less: float) -> dict[str, float | str]:
    """By how much grains must be smaller for a lesser mass to hold as many of them."""
    aim = expected_grains(mass, grain_mass_mg(UNIT_UM))

    def fewer(part: float) -> float:
        """Rises with the diameter, a part of the first: 1 where the count falls to the aim."""
        return aim / expected_grains(less, grain_mass_mg(part * UNIT_UM))

    return {"masses": mass / less, "radius_factor": 1 / quantile(fewer, 1.0)}
