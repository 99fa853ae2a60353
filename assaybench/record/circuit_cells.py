"""What the circuit entries of a log say of one product or size: its mass, and its metal."""

from assaybench.circuit.contradiction import fractions_of, metal_within
from assaybench.circuit.products import Cell, cell, dry_mass_kg, portion_share
from assaybench.messages import BadInput, quoted
from assaybench.metrology.figure import Flag, Layer
from assaybench.metrology.uncertain import Uncertain, nominal, total
from assaybench.record.circuit_typed import KILOGRAM, grade_of
from assaybench.record.entries import Effective
from assaybench.record.pools import pooled_of_circuit
from assaybench.record.results import Results, SampleResult
from assaybench.record.typed import typed_doubt, without_doubt
from assaybench.units import parse, table
from assaybench.units.table import MILLIGRAM, Unit

_TYPED = {
    "metal": MILLIGRAM,
    "grade": table.GRAM_PER_TONNE,
    "mass": KILOGRAM,
    "wet_mass": KILOGRAM,
    "portion": KILOGRAM,
}
"""Keys of a circuit entry that hold a figure with its ±."""


class Cells:
    """Reads circuit entries of a log, product by product.

    Attributes:
        sources: the sources of doubt.
        samples: the samples of the log by id.
        layer: how far the doubt of the metal reaches that was read so far.
        flags: what a reader must know of it.
        typed_fineness: doubt of the fineness of beads not parted; None where they were.
    """

    def __init__(self, found: Results, entries: list[Effective]) -> None:
        self.found, self.entries = found, entries
        self.sources = found.sources
        self.samples = {sample.id: sample for sample in found.samples} | pooled_of_circuit(found)
        self.layer: Layer = "weighing"
        self.flags: list[Flag] = []
        self.typed_fineness = self.share("fineness_spread")

    def of(self, product: str) -> list[Effective]:
        """The entries of a product, without one that only weighs all of its sizes."""
        found = [entry for entry in self.entries if entry.text("product") == product]
        sized = any(entry.text("size") for entry in found)
        return [entry for entry in found if not (sized and only_weighed(entry))]

    def share(self, key: str) -> float | None:
        """A share that any entry of the circuit may carry; the last one counts."""
        texts = [entry.text(key) for entry in self.entries if entry.text(key)]
        return float(parse.share(texts[-1], key, 0, 100)) if texts else None

    def cell(self, size: str, entry: Effective, name: str) -> Cell:
        """The metal of an entry: typed, of its grade and mass, or of its sample."""
        if entry.text("metal"):
            typed = self.typed(entry, "metal", MILLIGRAM, name)
            metal_held(entry, name, typed)
            return cell(size, typed, self.portion(entry))
        if entry.text("grade"):
            mass = self.mass_kg(entry, name)
            if mass is None:
                raise BadInput.of("circuit_grade_alone", name=quoted(name))
            return cell(size, mass * grade_of(self.sources, entry, name))
        sample = self.samples.get(entry.text("sample"))
        metal = None if sample is None else self.metal_of(sample)
        if metal is None:
            raise BadInput.of("circuit_no_metal", name=quoted(name))
        metal_held(entry, name, metal)
        critical = None
        if sample is not None and sample.parts is not None and sample.parts.gold is not None:
            critical = sample.parts.gold.levels.critical
        return cell(size, metal, self.portion(entry), critical)

    def metal_of(self, sample: SampleResult) -> Uncertain | None:
        """Gold of a sample, mg; the doré of its bead where fineness is declared; else none."""
        parts = sample.parts
        if parts is None:
            return None
        if parts.gold is not None and parts.gold.mg is not None:
            self.layer = "assay"
            return parts.gold.mg
        if self.typed_fineness and parts.dore is not None:
            return parts.dore.mg
        return None

    def typed(self, entry: Effective, key: str, unit: Unit, name: str) -> Uncertain:
        """A typed figure of an entry in `unit`, with its doubt.

        Raises:
            BadInput: when it is a limit.
        """
        typed = parse.figure(entry.text(key), (unit.quantity,))
        if typed.below:
            raise BadInput.of("uncertainty_below", x=quoted(entry.text(key)))
        value, u = float(typed.exact(unit)), typed_doubt(typed, unit)
        return self.sources.variable(f"{key} of {name}", value, u, row=f"{key} of {name}")

    def portion(self, entry: Effective) -> Uncertain:
        """Share of the product that was cupelled; 1 when all of it was."""
        if not (entry.text("portion") and entry.text("mass")):
            return 1.0
        name = f"{entry.text('product')} {entry.text('size')}".strip()
        portion, mass = (self._grams(entry, key, name) for key in ("portion", "mass"))
        return portion_share(portion, mass, name)

    def _grams(self, entry: Effective, key: str, name: str) -> Uncertain:
        """A typed mass, g; the variable of its kilograms."""
        return total((1000.0, self.typed(entry, key, KILOGRAM, name)))

    def mass_kg(self, entry: Effective, name: str = "") -> Uncertain | None:
        """Dry mass of an entry, kg; None where it was not weighed, or is wet and nothing more."""
        name = name or f"{entry.text('product')} {entry.text('size')}".strip()
        if entry.text("mass"):
            return self.typed(entry, "mass", KILOGRAM, name)
        if not entry.text("wet_mass"):
            return None
        wet = self.typed(entry, "wet_mass", KILOGRAM, name)
        water = entry.text("water")
        return dry_mass_kg(wet, float(parse.share(water, "water", 0, 99))) if water else None

    def closures(self) -> tuple[Flag, ...]:
        """Whether the sizes of a product add up to it, where both were weighed."""
        flags: list[Flag] = []
        for product in ("concentrate", "rerun", "tailings"):
            sizes = [e for e in self.of(product) if e.text("size")]
            whole = [
                e
                for e in self.entries
                if e.text("product") == product and only_weighed(e) and e.text("mass")
            ]
            if not sizes or not whole or not all(e.text("mass") for e in sizes):
                continue
            masses = [self._grams(e, "mass", f"{product} {e.text('size')}") for e in sizes]
            all_of_it = self._grams(whole[-1], "mass", f"all of the {product}")
            flags += fractions_of(self.sources, product, all_of_it, masses)
        return tuple(flags)

    def unseen(self, sample: SampleResult) -> bool:
        """Whether a sample shows no metal, on a balance whose spread nobody measured.

        Without it u is a lower bound: nothing but 0 to L_D can be vouched for.
        """
        if sample.parts is None or sample.parts.gold is None or sample.parts.gold.mg is None:
            return False
        weighed = self.found.run.weighing(sample.id, "gold")
        spread_known = weighed is not None and weighed[1].spread_mg is not None
        seen = nominal(sample.parts.gold.mg) >= sample.parts.gold.levels.critical
        return not seen and not spread_known

    def bare(self) -> bool:
        """Whether a mass or grade was typed without its ±, or the doubt of one would be nothing."""
        typed = ((entry.text(key), unit) for entry in self.entries for key, unit in _TYPED.items())
        return any(without_doubt(text, unit) for text, unit in typed if "<" not in text)

    def assayed(self, entry: Effective) -> bool:
        """Whether a product was assayed; else it was only weighed, and may bear a name."""
        named = entry.text("sample")
        if entry.text("metal") or entry.text("grade"):
            return True
        if not named:
            return False
        return any((named, what) in self.found.run.raw for what in ("charge", "bead", "gold"))


def metal_held(entry: Effective, name: str, metal_mg: Uncertain) -> None:
    """The metal of an entry held against what was cupelled, or all that was weighed.

    Raises:
        BadInput: when the metal is heavier.
    """
    cupelled = entry.text("mass") and entry.text("portion")
    text = cupelled or entry.text("mass") or entry.text("wet_mass")
    if text:
        held = parse.figure(text, table.MASS)
        metal_within(name, metal_mg, float(held.exact(MILLIGRAM)))


def only_weighed(entry: Effective) -> bool:
    """Whether an entry says nothing of a product but what all of it weighs."""
    return not any(entry.text(key) for key in ("size", "metal", "sample", "grade"))
