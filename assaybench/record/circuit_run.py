"""A circuit test as a log holds it: products by size, each tied to its sample or typed with ±.

Two stages, with what the second caught from the tailings of the first; or, where nothing was run
again and the feed was assayed, a feed and its products (`streams_run.py`).
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from assaybench.circuit.contradiction import fractions_of, metal_within
from assaybench.circuit.products import (
    ALL,
    Cell,
    CircuitTest,
    SizeRow,
    cell,
    dry_mass_kg,
    portion_share,
)
from assaybench.circuit.recovery import CircuitResult, recover
from assaybench.circuit.tailings import (
    Tailings,
    graded_tailings,
    tailings_below,
    tailings_not_detected,
    weighed_tailings,
)
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Flag, Layer, flag
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.record.circuit_typed import FEED, KILOGRAM, dry_masses, grade_of, signed_grade
from assaybench.record.entries import Effective
from assaybench.record.results import Results, SampleResult
from assaybench.record.typed import typed_doubt, without_doubt
from assaybench.units import parse, table
from assaybench.units.table import GRAM, MILLIGRAM, Unit

if TYPE_CHECKING:
    from assaybench.circuit.streams import FeedTest


class Circuit(NamedTuple):
    """A circuit test worked out.

    Attributes:
        test: its products by size.
        result: every recovery that is open.
        sources: the sources of doubt.
        feed_basis: what the mass of the feed counts: dry, or as received.
        said: what the reading of it rests on, in words.
        flags: what a reader must know of the reading of it.
        masses: dry masses of its products, kg, as far as they were weighed.
    """

    test: CircuitTest
    result: CircuitResult
    sources: Sources
    feed_basis: str = "dry"
    said: tuple[str, ...] = ()
    flags: tuple[Flag, ...] = ()
    masses: Mapping[str, Uncertain] = MappingProxyType({})


def circuit_of(found: Results) -> "Circuit | FeedTest | None":
    """The circuit test of a log; None when it holds none.

    Raises:
        BadInput: when a product is missing, or its metal, with what is accepted.
    """
    entries = found.run.state.of("circuit")
    if not any(e.text("product") == "concentrate" for e in entries):
        return None
    try:
        if _is_feed_test(entries):
            from assaybench.record.streams_run import feed_test

            return feed_test(found, entries)
        return _Reader(found, entries).circuit()
    except BadInput:
        raise
    except ValueError as fault:
        raise BadInput([f"circuit: {fault}."]) from fault


class Kept(NamedTuple):
    """Final tailings as they were kept.

    Attributes:
        name: sample that stands for them, empty when none does.
        dry_kg: dry mass; None where it is not known.
        tailings: what was found in them; None when they were not assayed.
        second_stage, second_stage_least: r2 as the log states it, a share of one.
        fineness_spread: doubt of the fineness of beads not parted.
    """

    name: str
    dry_kg: Uncertain | None
    tailings: Tailings | None
    second_stage: float | None
    second_stage_least: float | None
    fineness_spread: float


def kept_tailings(found: Results) -> Kept | None:
    """The final tailings of a log; None when it names none.

    Raises:
        BadInput: when they stand twice, or half assayed, with what is accepted.
    """
    return _Reader(found, found.run.state.of("circuit")).kept()


def _is_feed_test(entries: list[Effective]) -> bool:
    """Whether a circuit was run in one stage on a feed that was assayed: nothing was run again."""
    assayed = {
        entry.text("product") for entry in entries if entry.text("grade") or entry.text("sample")
    }
    return FEED in assayed and not any(entry.text("product") == "rerun" for entry in entries)


class _Reader:
    """Reads the circuit entries of a log."""

    def __init__(self, found: Results, entries: list[Effective]) -> None:
        self.found, self.entries = found, entries
        self.sources = found.sources
        self.samples = {sample.id: sample for sample in found.samples}
        self.layer: Layer = "weighing"
        self.flags: list[Flag] = []
        self.typed_fineness = self._share("fineness_spread")

    def circuit(self) -> Circuit:
        rerun_share = self._share("rerun_share")
        test = CircuitTest(
            rows=self._rows(),
            tailings=self._tailings(),
            mats_mg=self._metals("mats"),
            middlings_mg=self._metals("middlings"),
            rerun_share=1.0 if rerun_share is None else rerun_share,
            dry_feed_kg=self._feed(),
            head_g_t=self._head(),
        )
        result = recover(
            self.sources,
            test,
            second_stage=self._share("second_stage"),
            second_stage_least=self._share("second_stage_least"),
            u_fineness=self.typed_fineness or 0.0,
            layer=self.layer,
        )
        portions = any(entry.text("portion") for entry in self.entries)
        bare = any(without_doubt(entry.text("metal"), MILLIGRAM) for entry in self.entries)
        said = (*_if(portions, "portion_grains"), *_if(bare, "typed_without_doubt"))
        flags = (*self.flags, *self._closures())
        masses = dry_masses(self.entries)
        return Circuit(test, result, self.sources, said=said, flags=flags, masses=masses)

    def _of(self, product: str) -> list[Effective]:
        """The entries of a product, without one that only weighs all of its sizes."""
        found = [entry for entry in self.entries if entry.text("product") == product]
        sized = any(entry.text("size") for entry in found)
        return [entry for entry in found if not (sized and _only_weighed(entry))]

    def _closures(self) -> tuple[Flag, ...]:
        """Whether the sizes of a product add up to it, where both were weighed."""
        flags: list[Flag] = []
        for product in ("concentrate", "rerun"):
            sizes = [e for e in self._of(product) if e.text("size")]
            whole = [
                e
                for e in self.entries
                if e.text("product") == product and _only_weighed(e) and e.text("mass")
            ]
            if not sizes or not whole or not all(e.text("mass") for e in sizes):
                continue
            masses = [self._typed(e, "mass", GRAM, f"{product} {e.text('size')}") for e in sizes]
            all_of_it = self._typed(whole[-1], "mass", GRAM, f"all of the {product}")
            flags += fractions_of(self.sources, product, all_of_it, masses)
        return tuple(flags)

    def _share(self, key: str) -> float | None:
        """A share that any entry of the circuit may carry; the last one counts."""
        texts = [entry.text(key) for entry in self.entries if entry.text(key)]
        return float(parse.share(texts[-1], key, 0, 100)) if texts else None

    def _rows(self) -> tuple[SizeRow, ...]:
        faults: list[str] = []
        concentrate, rerun = (self._by_size(name, faults) for name in ("concentrate", "rerun"))
        rows: list[SizeRow] = []
        for size, entry in concentrate.items():
            partner = rerun.pop(size, None)
            if partner is None:
                faults += BadInput.of("circuit_no_rerun", size=quoted(size)).lines
                continue
            try:
                first = self._cell(size, entry, f"concentrate, {size}")
                rows.append(SizeRow(first, self._cell(size, partner, f"rerun, {size}")))
            except BadInput as fault:
                faults += fault.lines
        faults += [BadInput.of("circuit_no_con", size=quoted(s)).lines[0] for s in rerun]
        if faults:
            raise BadInput(faults)
        return tuple(rows)

    def _by_size(self, product: str, faults: list[str]) -> dict[str, Effective]:
        found: dict[str, Effective] = {}
        for entry in self._of(product):
            size = entry.text("size") or ALL
            if size in found:
                fault = BadInput.of("circuit_twice", product=product, size=quoted(size))
                faults += fault.lines
            found[size] = entry
        return found

    def _cell(self, size: str, entry: Effective, name: str) -> Cell:
        """The metal of an entry: typed, of its grade and mass, or of its sample."""
        if entry.text("metal"):
            typed = self._typed(entry, "metal", MILLIGRAM, name)
            _within(entry, name, typed)
            return cell(size, typed, self._portion(entry))
        if entry.text("grade"):
            mass = self._mass_kg(entry, name)
            if mass is None:
                raise BadInput.of("circuit_grade_alone", name=quoted(name))
            return cell(size, mass * grade_of(self.sources, entry, name))
        sample = self.samples.get(entry.text("sample"))
        metal = None if sample is None else self._metal_of(sample)
        if metal is None:
            raise BadInput.of("circuit_no_metal", name=quoted(name))
        _within(entry, name, metal)
        critical = None
        if sample is not None and sample.parts is not None and sample.parts.gold is not None:
            critical = sample.parts.gold.net.levels.critical
        return cell(size, metal, self._portion(entry), critical)

    def _metal_of(self, sample: SampleResult) -> Uncertain | None:
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

    def _typed(self, entry: Effective, key: str, unit: Unit, name: str) -> Uncertain:
        typed = parse.figure(entry.text(key), (unit.quantity,))
        if typed.below:
            raise BadInput.of("uncertainty_below", x=quoted(entry.text(key)))
        value, u = float(typed.exact(unit)), typed_doubt(typed, unit)
        return self.sources.variable(f"{key} of {name}", value, u, row=f"{key} of {name}")

    def _portion(self, entry: Effective) -> Uncertain:
        """Share of the product that was cupelled; 1 when all of it was."""
        if not (entry.text("portion") and entry.text("mass")):
            return 1.0
        name = f"{entry.text('product')} {entry.text('size')}".strip()
        portion, mass = (self._typed(entry, key, GRAM, name) for key in ("portion", "mass"))
        return portion_share(portion, mass, name)

    def _mass_kg(self, entry: Effective, name: str = "") -> Uncertain | None:
        name = name or f"{entry.text('product')} {entry.text('size')}".strip()
        if entry.text("mass"):
            return self._typed(entry, "mass", KILOGRAM, name)
        if not entry.text("wet_mass"):
            return None
        wet = self._typed(entry, "wet_mass", KILOGRAM, name)
        water = entry.text("water")
        return dry_mass_kg(wet, float(parse.share(water, "water", 0, 99))) if water else None

    def _feed(self) -> Uncertain | None:
        feed = self._of("feed")
        return self._mass_kg(feed[-1]) if feed else None

    def _head(self) -> Uncertain | None:
        """The assayed head, of the last feed entry that has a grade."""
        graded = [entry for entry in self._of("feed") if entry.text("grade")]
        return grade_of(self.sources, graded[-1], FEED) if graded else None

    def _metals(self, product: str) -> Uncertain:
        """Metal of all entries of a product, mg; one that was only weighed is flagged."""
        metal: Uncertain = 0.0
        for i, entry in enumerate(self._of(product)):
            if any(entry.text(key) for key in ("metal", "grade", "sample")):
                name = f"{product} {i + 1}" if i else product
                metal = metal + self._cell(ALL, entry, name).metal_mg
            else:
                self.flags.append(flag("circuit_not_assayed", name=product.capitalize()))
        return metal

    def _tailings(self) -> Tailings | None:
        found = self._of("tailings")
        if not found:
            return None
        if len(found) > 1:
            raise BadInput.of("circuit_twice", product="tailings", size=quoted(ALL))
        entry = found[0]
        if not self._assayed(entry):
            return None
        if entry.text("metal"):
            metal = self._typed(entry, "metal", MILLIGRAM, "final tailings")
            _within(entry, "tailings", metal)
            return Tailings(weighed_mg=metal)
        mass = self._mass_kg(entry)
        if mass is None:
            raise BadInput.of("circuit_no_mass")
        if entry.text("grade"):
            return self._graded(entry, mass)
        sample = self.samples.get(entry.text("sample"))
        if sample is None or sample.parts is None or sample.parts.mass is None:
            raise BadInput.of("circuit_no_metal", name=quoted("tailings"))
        metal = self._metal_of(sample)
        if metal is None or sample.parts.gold is None:
            raise BadInput.of("circuit_no_metal", name=quoted("tailings"))
        levels, fused = sample.parts.gold.net.levels, sample.parts.mass.g
        metal_within("tailings", metal, 1000 * nominal(fused))
        weighed = self.found.run.weighing(sample.id, "gold")
        spread_known = weighed is not None and weighed[1].spread_mg is not None
        if nominal(metal) < levels.critical and not spread_known:
            # without a measured spread u is a lower bound: nothing but 0..L_D can be vouched for
            return tailings_not_detected(self.sources, mass, fused, levels.detection)
        return weighed_tailings(self.sources, mass, metal, fused, critical_mg=levels.critical)

    def _assayed(self, entry: Effective) -> bool:
        """Whether tailings were assayed; else they were only weighed, and may bear a name."""
        named = entry.text("sample")
        if not named or entry.text("metal") or entry.text("grade"):
            return not _only_weighed(entry)
        return any((named, what) in self.found.run.raw for what in ("charge", "bead", "gold"))

    def kept(self) -> "Kept | None":
        """The final tailings as they were kept; None when the log names none."""
        found = self._of("tailings")
        if not found:
            return None
        tailings = self._tailings()
        return Kept(
            name=found[0].text("sample"),
            dry_kg=self._mass_kg(found[0]),
            tailings=tailings,
            second_stage=self._share("second_stage"),
            second_stage_least=self._share("second_stage_least"),
            fineness_spread=self.typed_fineness or 0.0,
        )

    def _graded(self, entry: Effective, mass_kg: Uncertain) -> Tailings:
        typed = signed_grade(entry.text("grade"))
        unit = table.GRAM_PER_TONNE
        value = float(typed.exact(unit))
        if typed.below:
            kilograms = nominal(mass_kg)
            return tailings_below(self.sources, value * kilograms, mass_kg=kilograms)
        u = typed_doubt(typed, unit)
        grade = self.sources.variable("grade of the final tailings", value, u)
        return graded_tailings(mass_kg, grade)


def _if(holds: bool, code: str) -> tuple[str, ...]:  # noqa: FBT001
    return (say(code),) if holds else ()


def _within(entry: Effective, name: str, metal_mg: Uncertain) -> None:
    """The metal of an entry held against what was cupelled, or all that was weighed.

    Raises:
        BadInput: when the metal is heavier.
    """
    cupelled = entry.text("mass") and entry.text("portion")
    text = cupelled or entry.text("mass") or entry.text("wet_mass")
    if text:
        held = parse.figure(text, table.MASS)
        metal_within(name, metal_mg, float(held.exact(MILLIGRAM)))


def _only_weighed(entry: Effective) -> bool:
    """Whether an entry says nothing of a product but what all of it weighs."""
    return not any(entry.text(key) for key in ("size", "metal", "sample", "grade"))
