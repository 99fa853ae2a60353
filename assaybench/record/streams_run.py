"""A feed and its products as a log holds them: typed, or grades of its samples; kg and g/t."""

import math

from assaybench.circuit.reconcile import Stream
from assaybench.circuit.streams import FeedTest, part_feed
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.uncertain import Sources, Uncertain, ratio
from assaybench.record.entries import Effective
from assaybench.record.results import Results
from assaybench.record.run import typed_doubt
from assaybench.units import parse, table
from assaybench.units.parse import Typed
from assaybench.units.table import Unit

KILOGRAM = table.BY_SPELLING["kg"]
OF_A_FEED = ("concentrate", "middlings", "tailings")
"""Products of a feed, the one that was wanted first."""


def is_feed_test(entries: list[Effective]) -> bool:
    """Whether a circuit was run in one stage on a feed that was assayed: nothing was run again."""
    assayed = {
        entry.text("product") for entry in entries if entry.text("grade") or entry.text("sample")
    }
    return "feed" in assayed and not any(entry.text("product") == "rerun" for entry in entries)


def feed_test(found: Results, entries: list[Effective]) -> FeedTest:
    """The feed of a log and its products, made to agree.

    Raises:
        BadInput: when a product stands twice or in sizes, or something that is missing cannot be
            worked out.
    """
    reader = _Reader(found)
    by_product: dict[str, Effective] = {}
    for entry in entries:
        name = entry.text("product")
        if name in by_product or entry.text("size"):
            raise BadInput.of("stream_once", name=name)
        by_product[name] = entry
    products = [
        reader.stream(name, by_product.get(name))
        for name in OF_A_FEED
        if name in by_product or name == "tailings"
    ]
    feed = reader.stream("feed", by_product["feed"])
    return part_feed(
        found.sources,
        feed,
        products,
        mass_unit=KILOGRAM.symbol,
        grade_units=(table.GRAM_PER_TONNE.symbol,),
        said=tuple(reader.said),
    )


class _Reader:
    """Reads the entries of a feed and its products."""

    def __init__(self, found: Results) -> None:
        self.found, self.sources = found, found.sources
        self.samples = {sample.id: sample for sample in found.samples}
        self.said: list[str] = []

    def stream(self, name: str, entry: Effective | None) -> Stream:
        """A stream; what its entry does not tell was not measured."""
        if entry is None:
            return Stream(name, None, (None,))
        return Stream(name, self._mass(entry, name), (self._grade(entry, name),))

    def _mass(self, entry: Effective, name: str) -> Uncertain | None:
        wet, text = entry.text("wet_mass"), entry.text("mass") or entry.text("wet_mass")
        if not text:
            return None
        mass = doubted(self.sources, f"mass of {name}", mass_of(text, name), KILOGRAM)
        water = entry.text("water")
        if not wet or entry.text("mass"):
            return mass
        return mass * (1 - float(parse.share(water, "water", 0, 99))) if water else None

    def _grade(self, entry: Effective, name: str) -> Uncertain | None:
        if entry.text("grade"):
            typed = grade_typed(entry.text("grade"), name)
            if typed.below:
                self.said.append(say("stream_limit", name=name.capitalize(), x=typed.shown))
            return limited(self.sources, f"grade of {name}", typed, table.GRAM_PER_TONNE)
        sample = self.samples.get(entry.text("sample"))
        parts = None if sample is None else sample.parts
        if parts is None or parts.mass is None or parts.gold is None or parts.gold.mg is None:
            return None
        return ratio([(1000.0, parts.gold.mg)], parts.mass.g)


def grade_of(sources: Sources, entry: Effective, name: str) -> Uncertain:
    """The typed grade of an entry, g/t.

    Raises:
        BadInput: when it is a limit, more metal than mass, or less than none.
    """
    typed = grade_typed(entry.text("grade"), name)
    if typed.below:
        raise BadInput.of("uncertainty_below", x=quoted(entry.text("grade")))
    return doubted(sources, f"grade of {name}", typed, table.GRAM_PER_TONNE)


def mass_of(text: str, name: str) -> Typed:
    """A mass above zero, with its ± or without.

    Raises:
        BadInput: for anything else.
    """
    typed = parse.figure(text, table.MASS, example="100 kg")
    if typed.below:
        raise BadInput.of("uncertainty_below", x=quoted(text))
    if typed.value <= 0:
        raise BadInput.of("number_not_positive", x=quoted(text), what=f"the mass of {name}")
    return typed


def grade_typed(text: str, name: str) -> Typed:
    """A grade from nothing to pure metal, with its ±, or as a limit; a feed has some.

    Raises:
        BadInput: for anything else.
    """
    typed = parse.figure(text, table.FRACTION, example="3.2 ± 0.4 g/t")
    if typed.value < 0:
        raise BadInput.of("number_negative", x=quoted(text), what="a grade")
    if typed.exact(table.GRAM_PER_TONNE) > PURE_G_T:
        raise BadInput.of("grade_above_whole", x=quoted(text))
    if name == "feed" and (typed.value == 0 or typed.below):
        raise BadInput.of("number_not_positive", x=quoted(text), what="the grade of a feed")
    return typed


PURE_G_T = 1_000_000
"""Grade of pure metal."""


def limited(sources: Sources, name: str, typed: Typed, unit: Unit) -> Uncertain:
    """A typed grade; a limit <x as x/2 ± x/√12, anything from 0 to x (GUM 4.3.7)."""
    if not typed.below:
        return doubted(sources, name, typed, unit)
    most = float(typed.exact(unit))
    return sources.variable(name, most / 2, most / math.sqrt(12))


def doubted(sources: Sources, name: str, typed: Typed, unit: Unit) -> Uncertain:
    """A typed figure as the variable of its name, with the doubt that was typed."""
    return sources.variable(name, float(typed.exact(unit)), typed_doubt(typed, unit))
