"""The final tailings of a circuit as a log holds them: one for all sizes, or one for each size.

Each is typed, or of its own sample; a size that was only weighed is not assayed. What of all of
them is known together is in `circuit/tailings.py`.
"""

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from assaybench.circuit.contradiction import metal_within
from assaybench.circuit.products import ALL
from assaybench.circuit.tailings import (
    Tailings,
    graded_tailings,
    tailings_below,
    tailings_not_detected,
    together,
    weighed_tailings,
)
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.uncertain import Uncertain, nominal
from assaybench.record.circuit_cells import Cells, metal_held
from assaybench.record.circuit_typed import signed_grade
from assaybench.record.entries import Effective
from assaybench.record.layers import grain_known
from assaybench.record.typed import typed_doubt
from assaybench.units import table
from assaybench.units.table import MILLIGRAM

PRODUCT = "tailings"


class Final(NamedTuple):
    """The final tailings of a test.

    Attributes:
        whole: of all sizes together; None where they were not assayed, or by size.
        by_size: of each size, by its name; empty where they were not assayed by size.
        said: what their grains rest on, in words.
    """

    whole: Tailings | None = None
    by_size: Mapping[str, Tailings] = MappingProxyType({})
    said: tuple[str, ...] = ()

    @property
    def all_of_them(self) -> Tailings | None:
        """All sizes together; None where they were not assayed."""
        return together(self.by_size.values()) if self.by_size else self.whole


def final_tailings(cells: Cells, sizes: Iterable[str]) -> Final:
    """What the log holds of its final tailings.

    Tailings by size beside catches that were not sieved are one amount of all.

    Args:
        cells: the entries of the circuit.
        sizes: of the two catches.

    Raises:
        BadInput: when they stand twice, for some sizes only, or half assayed.
    """
    whole, sized = _entries(cells)
    read = _Read(cells)
    if not sized:
        return Final(None if whole is None else read.tailings(whole), {}, read.all_said)
    if whole is not None:
        raise BadInput.of("circuit_twice", product=PRODUCT, size=quoted(ALL))
    by_size = {size: read.tailings(entry) for size, entry in sized.items()}
    known = [*sizes]
    if known == [ALL]:
        return Final(together(by_size.values()), {}, read.all_said)
    for size in by_size:
        if size not in known:
            raise BadInput.of("circuit_tailings_other", size=quoted(size))
    for size in known:
        if size not in by_size:
            raise BadInput.of("circuit_tailings_missing", size=quoted(size))
    return Final(None, by_size, read.all_said)


def _entries(cells: Cells) -> tuple[Effective | None, dict[str, Effective]]:
    """The entries that were assayed: the one for all sizes, and the ones by size."""
    whole: Effective | None = None
    sized: dict[str, Effective] = {}
    for entry in cells.of(PRODUCT):
        size = entry.text("size")
        if (size in sized) if size else (whole is not None):
            raise BadInput.of("circuit_twice", product=PRODUCT, size=quoted(size or ALL))
        if not cells.assayed(entry):
            continue
        if size:
            sized[size] = entry
        else:
            whole = entry
    return whole, sized


class _Read:
    """Reads the metal of tailings, one entry after the other."""

    def __init__(self, cells: Cells) -> None:
        self.cells, self.sources = cells, cells.sources
        self._said: dict[str, None] = {}

    @property
    def all_said(self) -> tuple[str, ...]:
        """What the grains rest on, each sentence once."""
        return tuple(self._said)

    def tailings(self, entry: Effective) -> Tailings:
        """The metal of one entry: typed, of a grade, or of its sample.

        Raises:
            BadInput: when its mass or its metal is missing.
        """
        name = f"final tailings {entry.text('size')}".strip()
        if entry.text("metal"):
            metal = self.cells.typed(entry, "metal", MILLIGRAM, name)
            metal_held(entry, PRODUCT, metal)
            return Tailings(weighed_mg=metal)
        mass = self.cells.mass_kg(entry)
        if mass is None:
            raise BadInput.of("circuit_no_mass")
        if entry.text("grade"):
            return self._graded(entry, mass, name)
        return self._of_sample(entry, mass, name)

    def _graded(self, entry: Effective, mass_kg: Uncertain, name: str) -> Tailings:
        typed = signed_grade(entry.text("grade"))
        unit = table.GRAM_PER_TONNE
        value = float(typed.exact(unit))
        if typed.below:
            kilograms = nominal(mass_kg)
            return tailings_below(self.sources, value * kilograms, mass_kg=kilograms, name=name)
        grade = self.sources.variable(f"grade of the {name}", value, typed_doubt(typed, unit))
        return graded_tailings(mass_kg, grade)

    def _of_sample(self, entry: Effective, mass: Uncertain, name: str) -> Tailings:
        sample = self.cells.samples.get(entry.text("sample"))
        known = sample is not None and sample.parts is not None and sample.parts.mass is not None
        metal = self.cells.metal_of(sample) if sample is not None and known else None
        if sample is None or sample.parts is None or sample.parts.mass is None or metal is None:
            raise BadInput.of("circuit_no_metal", name=quoted(name.removeprefix("final ")))
        if sample.parts.gold is None:
            raise BadInput.of("circuit_no_metal", name=quoted(name.removeprefix("final ")))
        levels, fused = sample.parts.gold.levels, sample.parts.mass.g
        metal_within(PRODUCT, metal, 1000 * nominal(fused))
        found = self.cells.found
        size = entry.text("size")
        grain_mg, of_size = grain_known(found, sample, nominal(metal), PRODUCT, size)
        self._said |= dict.fromkeys([*([say("tailings_grains")] if grain_mg > 0 else []), *of_size])
        if self.cells.unseen(sample):
            return tailings_not_detected(
                self.sources, mass, fused, levels.detection, grain_mg=grain_mg, name=name
            )
        return weighed_tailings(
            self.sources,
            mass,
            metal,
            fused,
            critical_mg=levels.critical,
            grain_mg=grain_mg,
            name=name,
        )
