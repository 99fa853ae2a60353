"""Streams of a circuit as a log holds them, made to agree: typed, or of its samples; kg, g/t, mg.

A feed and its products; or two stages between which the stage-1 tailings were assayed. Where a
product was cupelled whole and not weighed, its metal is all that is known of it: then the metal
alone is made to agree, and no masses.
"""

import math
from typing import NamedTuple

from assaybench.circuit.products import ALL
from assaybench.circuit.reconcile import MASS, Place, Stage, Stream
from assaybench.circuit.streams import FeedTest, part_feed
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Figure, Flag, flag
from assaybench.metrology.uncertain import Uncertain, nominal, product, ratio, total
from assaybench.record.circuit_cells import Cells, only_weighed
from assaybench.record.circuit_typed import (
    BETWEEN,
    FEED,
    KILOGRAM,
    doubted,
    dry_masses,
    grade_typed,
    limited,
    mass_of,
)
from assaybench.record.entries import Effective
from assaybench.record.results import SampleResult
from assaybench.units import parse, table, write

OF_STAGE_1 = ("concentrate", "middlings", "mats")
"""What stage 1 holds back of its feed, the one that was wanted first."""
OF_STAGE_2 = ("rerun", "tailings")
SEVERAL = ("middlings", "mats")
"""Products that may stand several times."""
BEADS = (*OF_STAGE_1, "rerun")
"""Products that are cupelled whole, or a portion of them that is named."""


class Held(NamedTuple):
    """What was measured of a stream; None where it was not.

    Attributes:
        mass: dry, kg.
        grade: g/t.
        metal: of all of it, mg.
    """

    mass: Uncertain | None = None
    grade: Uncertain | None = None
    metal: Uncertain | None = None

    def over(self, share: float) -> "Held":
        """Of all, where this is of a share."""
        mass, metal = (
            None if x is None else total((1 / share, x)) for x in (self.mass, self.metal)
        )
        return self._replace(mass=mass, metal=metal)


def feed_test(cells: Cells) -> FeedTest:
    """The streams of a log, made to agree.

    Raises:
        BadInput: when a product stands twice, or in sizes where nothing was run again, or
            something that is missing cannot be worked out.
    """
    reader = _Reader(cells)
    stages = reader.stages()
    held = {name: reader.held(name) for name in dict.fromkeys((FEED, *_names(stages)))}
    if reader.again < 1:
        held |= {name: held[name].over(reader.again) for name in OF_STAGE_2 if name in held}
    alone = any(one.metal is not None and one.mass is None for one in held.values())
    streams = [_metal(name, one) if alone else _stream(name, one) for name, one in held.items()]
    test = part_feed(
        cells.sources,
        streams[0],
        streams[1:],
        mass_unit=table.MILLIGRAM.symbol if alone else KILOGRAM.symbol,
        grade_units=() if alone else (table.GRAM_PER_TONNE.symbol,),
        said=tuple(reader.said),
        stages=stages if len(stages) > 1 else (),
        limits=reader.limits,
    )
    test = test._replace(flags=(*test.flags, *reader.flags, *cells.closures()))
    if not alone:
        return test
    masses = dry_masses(cells.entries)
    masses |= {name: masses[name] / reader.again for name in OF_STAGE_2 if name in masses}
    return test._replace(masses=masses, head=_head(test, held[FEED].mass))


def _head(test: FeedTest, dry_kg: Uncertain | None) -> Figure | None:
    """The head that agrees with all of its products; None where the feed was not weighed."""
    if test.agreed is None or dry_kg is None:
        return None
    grade = ratio([(1.0, test.agreed.values[Place(FEED, MASS)])], dry_kg)
    return test.sources.figure(grade, table.GRAM_PER_TONNE.symbol, layer="assay", basis="dry")


def _names(stages: tuple[Stage, ...]) -> list[str]:
    return [name for stage in stages for name in stage.out]


def _stream(name: str, held: Held) -> Stream:
    """Mass and grade of a stream; a grade from its metal where that was found instead."""
    grade = held.grade
    if held.metal is not None and held.mass is not None:
        grade = ratio([(1.0, held.metal)], held.mass)
    return Stream(name, held.mass, (grade,))


def _metal(name: str, held: Held) -> Stream:
    """The metal of a stream alone."""
    if held.metal is not None:
        return Stream(name, held.metal)
    if held.grade is None:
        return Stream(name)
    if held.mass is None:
        raise BadInput.of("circuit_grade_alone", name=quoted(name))
    return Stream(name, product(held.mass, held.grade))


class _Reader:
    """Reads the entries of streams."""

    def __init__(self, cells: Cells) -> None:
        self.cells, self.sources = cells, cells.sources
        self.between = bool(cells.of(BETWEEN))
        self.again = 1.0
        self.flags: list[Flag] = []
        self.limits: list[Uncertain] = []
        self.said: dict[str, None] = {}
        if cells.bare():
            self.said[say("typed_without_doubt")] = None

    def stages(self) -> tuple[Stage, ...]:
        """Where the streams meet: one stage, or two where the first one's tailings are known."""
        first = [name for name in OF_STAGE_1 if self.cells.of(name)]
        if not self.between:
            return (Stage((FEED,), (*first, "tailings")),)
        stage = Stage((FEED,), (*first, BETWEEN))
        if not any(self.cells.of(name) for name in OF_STAGE_2):
            return (stage,)
        share = self.cells.share("rerun_share")
        if share is not None and share < 1:
            self.again = share
            self.said[say("assumed_share", pct=write.percent(share, 3))] = None
        return (stage, Stage((BETWEEN,), OF_STAGE_2))

    def held(self, name: str) -> Held:
        """What the entries of a stream tell."""
        entries = self.cells.of(name)
        if not entries:
            return Held()
        if len(entries) == 1 and not entries[0].text("size"):
            return self._one(name, entries[0])
        sizes = [entry.text("size") or ALL for entry in entries]
        sized = self.between and name in ("concentrate", "rerun")
        if not sized and name not in SEVERAL:
            code = "stream_whole" if self.between else "stream_once"
            raise BadInput.of(code, name=name)
        if sized and len(set(sizes)) < len(sizes):
            twice = next(size for size in sizes if sizes.count(size) > 1)
            raise BadInput.of("circuit_twice", product=name, size=quoted(twice))
        if sized:
            self.said[say("streams_added_up", name=name.capitalize())] = None
        parts = [self._part(name, entry, i) for i, entry in enumerate(entries)]
        whole = [e for e in self.cells.entries if e.text("product") == name and only_weighed(e)]
        masses = [part.mass for part in parts]
        if sized and whole:
            mass = self._mass(name, whole[-1])
        else:
            mass = None if None in masses else total(*((1.0, mass) for mass in masses))
        return Held(mass, None, total(*((1.0, part.metal) for part in parts)))

    def _part(self, name: str, entry: Effective, i: int) -> Held:
        """Mass and metal of one of several entries of a product."""
        part = f"{name} {entry.text('size') or i + 1}"
        if only_weighed(entry):
            self.flags.append(flag("circuit_not_assayed", name=part.capitalize()))
            return Held(self.cells.mass_kg(entry, part), None, 0.0)
        metal = self.cells.cell(ALL, entry, part).metal_mg
        return Held(self.cells.mass_kg(entry, part), None, self._fine(part, metal))

    def _one(self, name: str, entry: Effective) -> Held:
        mass = self._mass(name, entry)
        if entry.text("metal"):
            metal = self.cells.cell(ALL, entry, name).metal_mg
            return Held(mass, None, self._fine(name, metal) if name in BEADS else metal)
        if entry.text("grade"):
            typed = grade_typed(entry.text("grade"), name)
            if typed.below:
                self._limit(name, typed.shown)
            grade = limited(self.sources, f"grade of {name}", typed, table.GRAM_PER_TONNE)
            self.limits += [grade] if typed.below else []
            return Held(mass, grade)
        sample = self.cells.samples.get(entry.text("sample"))
        metal = None if sample is None else self.cells.metal_of(sample)
        if sample is None or metal is None:
            return Held(mass)
        return self._of_sample(name, entry, mass, self._fine(name, metal), sample)

    def _of_sample(
        self,
        name: str,
        entry: Effective,
        mass: Uncertain | None,
        metal: Uncertain,
        sample: SampleResult,
    ) -> Held:
        """What a sample tells of its stream: by the portion named, by its charge, else whole."""
        if entry.text("portion") and entry.text("mass"):
            return Held(mass, None, metal / self.cells.portion(entry))
        charge = None if sample.parts is None or sample.parts.mass is None else sample.parts.mass.g
        if charge is None:
            return Held(mass, None, metal) if name in BEADS else Held(mass)
        grade = ratio([(1000.0, metal)], charge)
        if self.cells.unseen(sample):
            grade = self._unseen(name, sample, nominal(charge))
        if mass is None and self.between and name in BEADS:
            mass = total((0.001, charge))  # all of it was cupelled, where no portion is named
        return Held(mass, grade)

    def _unseen(self, name: str, sample: SampleResult, charge_g: float) -> Uncertain:
        """The grade of a sample in which nothing was seen: from 0 to L_D, all equally likely."""
        assert sample.parts is not None and sample.parts.gold is not None  # noqa: S101, PT018
        most = 1000 * sample.parts.gold.levels.detection / charge_g
        self._limit(name, f"{write.short(most, 2)} g/t")
        name = f"grade of {name}, not seen"
        self.limits.append(self.sources.variable(name, most / 2, most / math.sqrt(12)))
        return self.limits[-1]

    def _limit(self, name: str, most: str) -> None:
        self.said[say("stream_limit", name=name.capitalize(), x=most)] = None

    def _fine(self, name: str, metal: Uncertain) -> Uncertain:
        """The metal of a bead with the doubt of its fineness, where it was not parted."""
        spread = self.cells.typed_fineness
        if not spread:
            return metal
        self.said[say("assumed_fineness", pct=write.percent(spread))] = None
        return product(metal, self.sources.variable(f"fineness of {name}", 1.0, spread))

    def _mass(self, name: str, entry: Effective) -> Uncertain | None:
        wet, text = entry.text("wet_mass"), entry.text("mass") or entry.text("wet_mass")
        if not text:
            return None
        mass = doubted(self.sources, f"mass of {name}", mass_of(text, name), KILOGRAM)
        water = entry.text("water")
        if not wet or entry.text("mass"):
            return mass
        return mass * (1 - float(parse.share(water, "water", 0, 99))) if water else None
