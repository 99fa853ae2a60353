"""What each product of a feed holds of it, from masses and grades that were made to agree.

Feed, and any products: concentrate, middlings, tailings, or one concentrate for each metal. Three
grades give the formula of two products; grades in two metals that of three products; whatever was
measured beyond that is used, and judged (`reconcile.py`). Streams between stages may be measured
too; then it is said what each stage catches of what it is fed. Method version 1, section 5.
"""

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from assaybench.circuit.reconcile import MASS, Agreed, Place, Stage, Stream, agree
from assaybench.circuit.two_product import concentration_ratio, part_of
from assaybench.messages import BadInput, say
from assaybench.metrology.figure import (
    Budget,
    Figure,
    Flag,
    Layer,
    Verdict,
    flag,
    not_determinable,
    plain,
)
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, total
from assaybench.units import write

if TYPE_CHECKING:
    from assaybench.circuit.products import CircuitTest
    from assaybench.circuit.recovery import CircuitResult

OF_ITS_FEED = "of what the stage is fed"


class Product(NamedTuple):
    """What one product holds of the feed.

    Attributes:
        name: of the product.
        recoveries: of each metal of the feed, in per cent.
        mass_yield: of the mass of the feed, in per cent; None where the metal stands alone.
        concentration: mass of the feed over its own; None where the metal stands alone.
        enrichments: its grade in each metal over that of the feed.
        budgets: of the recoveries.
    """

    name: str
    recoveries: tuple[Figure, ...]
    mass_yield: Figure | None
    concentration: Figure | None
    enrichments: tuple[Figure, ...]
    budgets: tuple[Budget, ...]

    @property
    def figures(self) -> dict[str, Figure]:
        """Its figures by name; those of a further metal are numbered."""
        found = {numbered("recovery", k): figure for k, figure in enumerate(self.recoveries, 1)}
        masses = {"mass_yield": self.mass_yield, "concentration": self.concentration}
        found |= {name: figure for name, figure in masses.items() if figure is not None}
        return found | {numbered("enrichment", k): f for k, f in enumerate(self.enrichments, 1)}


class Catch(NamedTuple):
    """What one of several stages catches of what it is fed.

    Attributes:
        stage: where its streams meet; the first that comes out is what it catches.
        caught: of each metal that goes in, in per cent.
        mass_yield: of the mass that goes in, in per cent; None where the metal stands alone.
    """

    stage: Stage
    caught: tuple[Figure, ...]
    mass_yield: Figure | None

    @property
    def figures(self) -> dict[str, Figure]:
        """Its figures by name; those of a further metal are numbered."""
        found = {numbered("caught", k): figure for k, figure in enumerate(self.caught, 1)}
        return found if self.mass_yield is None else found | {"mass_yield": self.mass_yield}


class FeedTest(NamedTuple):
    """A feed and its products.

    Attributes:
        feed: the feed as it was measured.
        measured: its products as they were measured.
        agreed: every mass and grade that agrees; the masses in parts of the feed where nothing was
            weighed. None when no split of the feed follows.
        products: what each holds; empty when no split follows.
        verdict: whether the measurements agree; None where none is to spare.
        flags: what a reader must know.
        sources: the sources of doubt.
        mass_unit: of the masses; 1 where nothing was weighed; of the metal where it stands alone.
        grade_units: of the grades, one for each metal; none where the metal stands alone, and what
            is the mass elsewhere is the metal.
        said: what the reading of it rests on, in words.
        stages: where the streams meet, the first of them fed with the feed; a single one where
            every product comes out of it.
        catches: of each of several stages.
        masses: dry masses, kg, as far as they were weighed, where the metal stands alone.
        head: metal of the feed over its dry mass, where the metal stands alone; else its grade is
            among the agreed values.
        by_size: catches of two stages by size, and what they alone say; None where not sieved.
    """

    feed: Stream
    measured: tuple[Stream, ...]
    agreed: Agreed | None
    products: tuple[Product, ...]
    verdict: Verdict | None
    flags: tuple[Flag, ...]
    sources: Sources
    mass_unit: str
    grade_units: tuple[str, ...]
    said: tuple[str, ...] = ()
    stages: tuple[Stage, ...] = ()
    catches: tuple[Catch, ...] = ()
    masses: Mapping[str, Uncertain] = MappingProxyType({})
    head: Figure | None = None
    by_size: "tuple[CircuitTest, CircuitResult] | None" = None

    @property
    def alone(self) -> bool:
        """Whether the metal alone was made to agree, without masses and grades."""
        return not self.grade_units

    @property
    def metals(self) -> range:
        """The places of the metals: from 1."""
        return range(1, len(self.feed.grades) + 1)

    def figure(self, place: Place, value: Uncertain) -> Figure:
        """A mass or grade of this test, measured or agreed, as a figure in its unit."""
        weighed = place.which == MASS
        unit = self.mass_unit if weighed else self.grade_units[place.which - 1]
        if self.sources.doubt(value).u == 0:
            return plain(nominal(value), unit, digits=6)
        layer: Layer = "weighing" if weighed and not self.alone else "assay"
        return self.sources.figure(value, unit, layer=layer)


def part_feed(
    sources: Sources,
    feed: Stream,
    products: Sequence[Stream],
    *,
    mass_unit: str,
    grade_units: tuple[str, ...],
    said: tuple[str, ...] = (),
    stages: Sequence[Stage] = (),
    layer: Layer = "assay",
    limits: Sequence[Uncertain] = (),
) -> FeedTest:
    """The products of a feed, made to agree with it.

    Args:
        sources: the sources of doubt.
        feed: what went in.
        products: all that came out, and what lies between stages; the first is the one that was
            wanted.
        mass_unit: of the masses; of the metal where no stream has a grade.
        grade_units: of the grades, one for each metal.
        said: what the reading of them rests on, in words.
        stages: where they meet; left out when all come out of one stage.
        layer: how far the doubt of the grades reaches.
        limits: grades that are anything from nothing to a limit, all equally likely; so they are
            taken where no figure checks another, else by their doubt like all others.

    Raises:
        BadInput: when masses or grades are missing that nothing else tells; as `reconcile.agree`.
    """
    met = tuple(stages) or (Stage((feed.name,), tuple(p.name for p in products)),)
    measured = tuple(products)
    none = FeedTest(feed, measured, None, (), None, (), sources, mass_unit, grade_units, said, met)
    out_of_order = _out_of_order(feed, products, grade_units)
    if out_of_order is not None:
        return none._replace(flags=(out_of_order,))
    streams = [feed, *products]
    if not grade_units:
        said = (*said, say("assumed_metal_alone"))
    elif all(stream.mass is None for stream in streams):
        mass_unit, said = "1", (*said, say("assumed_masses_of_feed"))
        streams[0] = feed._replace(mass=1.0)
    none = none._replace(mass_unit=mass_unit, said=said)
    agreed = agree(sources, streams, met, metal_alone=not grade_units)
    if agreed.below_zero:
        what = place_words(agreed.below_zero[0], len(feed.grades))
        return none._replace(flags=(flag("streams_below_zero", what=what),))
    even = limits if agreed.dof == 0 else ()
    between = {name for stage in met for name in stage.into}
    ends = [product for product in products if product.name not in between]
    held = tuple(
        _product(sources, agreed, feed, p, [q for q in products if q is not p], layer, even)
        for p in ends
    )
    several = met if len(met) > 1 else ()
    verdict = _verdict(agreed, len(feed.grades))
    flags = [] if verdict is not None else [flag("streams_none_spare")]
    if limits and agreed.dof:
        said = (*said, say("stream_limit_spare"))
        flags += _passed(agreed, streams, limits, grade_units)
    if not agreed.agrees:
        said = (*said, say("streams_doubts_unmet"))
    return none._replace(
        agreed=agreed,
        products=held,
        verdict=verdict,
        flags=tuple(flags),
        said=said,
        catches=tuple(
            _catch(sources, agreed, stage, len(feed.grades), layer, even) for stage in several
        ),
    )


def no_recovery(test: FeedTest) -> Figure:
    """The recovery of a test whose feed no split gives."""
    return not_determinable("%", test.flags[0].text)


def figures_of_feed(test: FeedTest) -> Iterator[tuple[str, str, Figure]]:
    """Every printed figure: stream, name, figure."""
    if test.agreed is None:
        yield test.feed.name, "recovery", no_recovery(test)
        return
    for place, value in test.agreed.values.items():
        yield place.stream, f"agreed {quantity(test, place)}", test.figure(place, value)
    if test.head is not None:
        yield test.feed.name, "head", test.head
    for product in test.products:
        for name, figure in product.figures.items():
            yield product.name, name, figure
    for number, catch in enumerate(test.catches, 1):
        for name, figure in catch.figures.items():
            yield f"stage {number}", name, figure


def quantity(test: FeedTest, place: Place) -> str:
    """`mass`, `grade`, `grade_2`; `metal` where it stands alone."""
    if place.which != MASS:
        return numbered("grade", place.which)
    return "metal" if test.alone else "mass"


def numbered(what: str, metal: int) -> str:
    """`recovery`, for further metals `recovery_2`."""
    return what if metal == 1 else f"{what}_{metal}"


def place_words(place: Place, metals: int) -> str:
    """`the mass of tailings`, `the grade of feed`, of several metals `grade 2 of feed`.

    Of none, what stands for the mass is `the metal of tailings`.
    """
    if place.which == MASS:
        return f"the {'mass' if metals else 'metal'} of {place.stream}"
    which = "the grade" if metals == 1 else f"grade {place.which}"
    return f"{which} of {place.stream}"


def _out_of_order(
    feed: Stream, products: Sequence[Stream], grade_units: Sequence[str]
) -> Flag | None:
    """Two products and nothing but grades: the feed must lie between concentrate and tailings."""
    weighed = [p for p in products if p.mass is not None]
    assayed = [s.grades[0] for s in (feed, *products) if s.grades and s.grades[0] is not None]
    if weighed or len(products) != 2 or len(feed.grades) != 1 or len(assayed) != 3:
        return None
    unit, grades = grade_units[0], [nominal(grade) for grade in assayed]
    f, c, t = grades
    shown = [write.short(grade, 4) for grade in grades]
    if c <= f:
        name = products[0].name.capitalize()
        return flag("concentrate_below_feed", name=name, c=shown[1], f=shown[0], unit=unit)
    if t >= f:
        name = products[1].name.capitalize()
        return flag("tailings_above_feed", name=name, t=shown[2], f=shown[0], unit=unit)
    return None


def _passed(
    agreed: Agreed, streams: Sequence[Stream], limits: Sequence[Uncertain], units: Sequence[str]
) -> Iterator[Flag]:
    """The grades typed as a limit that are made to agree above it."""
    places = [(Place(s.name, k), g) for s in streams for k, g in enumerate(s.grades, 1)]
    for place, grade in places:
        found = nominal(agreed.values[place])
        if any(grade is x for x in limits) and found > (most := 2 * nominal(grade)):
            what, unit = place_words(place, len(units)), units[place.which - 1]
            shown = {"g": write.short(found, 3), "x": write.short(most, 3), "unit": unit}
            yield flag("stream_limit_passed", what=what, **shown)


Amount = tuple[Uncertain, Uncertain]
"""A part and its whole."""


def _amounts(
    agreed: Agreed, feed: Stream, product: Stream, others: Sequence[Stream]
) -> tuple[Amount, list[Amount]]:
    """Mass, and each metal, of a product and of the feed, in one unit each.

    Of two products known by their grades alone, a of this and b of the other: f - b parts of
    a - b. The same shares with less curvature than masses worked out first, which matters to an
    interval that holds them to first order.
    """
    name = product.name
    grades: list[Uncertain] = [
        s.grades[0] for s in (feed, product, *others) if s.grades and s.grades[0] is not None
    ]
    if len(feed.grades) == 1 and len(others) == 1 and len(grades) == 3 and agreed.dof == 0:
        f, a, b = grades
        sign = 1.0 if nominal(a) > nominal(b) else -1.0
        mass = (sign * (f - b), sign * (a - b))
        return mass, [(a * mass[0], f * mass[1])]
    masses = agreed.values[Place(name, MASS)], agreed.values[Place(feed.name, MASS)]
    metals = range(1, len(feed.grades) + 1)
    return masses, [(agreed.metal(name, k), agreed.metal(feed.name, k)) for k in metals]


def _product(
    sources: Sources,
    agreed: Agreed,
    feed: Stream,
    product: Stream,
    others: Sequence[Stream],
    layer: Layer,
    limits: Sequence[Uncertain],
) -> Product:
    name = product.name
    masses, metals = _amounts(agreed, feed, product, others)
    try:
        if not metals:
            recovery, budget = part_of(sources, *masses, layer, limits)
            return Product(name, (recovery,), None, None, (), (budget,))
        parts = [part_of(sources, *metal, layer, limits) for metal in metals]
        mass_yield, _ = part_of(sources, *masses, layer, limits)
        enrichments = [
            sources.figure(
                agreed.values[Place(name, k)] / agreed.values[Place(feed.name, k)],
                "1",
                layer=layer,
            )
            for k in range(1, len(metals) + 1)
        ]
    except (ValueError, ZeroDivisionError) as fault:
        raise BadInput.of("streams_no_doubt") from fault
    return Product(
        name,
        tuple(figure for figure, _ in parts),
        mass_yield,
        concentration_ratio(mass_yield),
        tuple(enrichments),
        tuple(budget for _, budget in parts),
    )


def _catch(
    sources: Sources,
    agreed: Agreed,
    stage: Stage,
    metals: int,
    layer: Layer,
    limits: Sequence[Uncertain],
) -> Catch:
    """What the first stream out of a stage holds of all that goes in."""
    first = stage.out[0]

    def held(which: int, names: Sequence[str]) -> Uncertain:
        masses = (agreed.values[Place(name, MASS)] for name in names)
        parts = masses if which == MASS else (agreed.metal(name, which) for name in names)
        return total(*((1.0, part) for part in parts))

    try:
        found = [
            part_of(sources, held(which, [first]), held(which, stage.into), layer, limits)[0]
            for which in (MASS, *range(1, metals + 1))
        ]
    except (ValueError, ZeroDivisionError) as fault:
        raise BadInput.of("streams_no_doubt") from fault
    first_of_all, *caught = (figure._replace(basis=OF_ITS_FEED) for figure in found)
    if not caught:
        return Catch(stage, (first_of_all,), None)
    return Catch(stage, tuple(caught), first_of_all)


def _verdict(agreed: Agreed, metals: int) -> Verdict | None:
    if agreed.dof == 0:
        return None
    if agreed.agrees:
        return Verdict("streams_agree", "they agree", say("streams_agree"))
    again = agreed.measure_again
    if len(again) == 1:
        sentence = say("streams_disagree", what=place_words(again[0], metals))
    else:
        sentence = say("streams_disagree_open")
    return Verdict("streams_disagree", "do not agree", sentence)
