"""A feed and its products as a log holds them: typed, or grades of its samples; kg and g/t."""

from assaybench.circuit.reconcile import Stream
from assaybench.circuit.streams import FeedTest, part_feed
from assaybench.messages import BadInput, say
from assaybench.metrology.uncertain import Uncertain, ratio
from assaybench.record.circuit_typed import FEED, KILOGRAM, doubted, grade_typed, limited, mass_of
from assaybench.record.entries import Effective
from assaybench.record.results import Results
from assaybench.units import parse, table

OF_A_FEED = ("concentrate", "middlings", "tailings")
"""Products of a feed, the one that was wanted first."""


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
    feed = reader.stream(FEED, by_product[FEED])
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
