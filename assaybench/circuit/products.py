"""Products of a circuit test: from a bead to the metal of the whole product, on one feed.

Every mass of metal is milligrams, counted on one feed: bead × (product mass / portion cupelled),
over the share of the stage-1 tailings that was run again. Added silver is taken off before, by the
bead's own calculation. Masses stay signed: noise may be below zero, nothing is set to zero here.
Method version 1, section 5.
"""

from dataclasses import dataclass

from assaybench.circuit.tailings import Tailings, together
from assaybench.messages import BadInput
from assaybench.metrology.uncertain import Uncertain, nominal
from assaybench.units import write

ALL = "all"
"""The name of a size that stands for all sizes together."""


@dataclass(frozen=True, slots=True)
class Cell:
    """The metal of one size of one whole product.

    Attributes:
        size: name of the size, for instance `-0.25 mm`.
        metal_mg: metal of the whole product, signed.
        critical_mg: L_C on the scale of the whole product, mg; a cell below it is not seen. None
            when no blank or spread gave one: then 1.645·u.
    """

    size: str
    metal_mg: Uncertain
    critical_mg: float | None = None


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One size of a test: stage-1 concentrate, what the second stage caught, final tailings.

    Attributes:
        concentrate, rerun: the metal of the two products in this size.
        tailings: of this size; None when the final tailings were not assayed by size.
    """

    concentrate: Cell
    rerun: Cell
    tailings: Tailings | None = None

    def __post_init__(self) -> None:
        if self.concentrate.size != self.rerun.size:
            raise ValueError(
                f"one row holds one size, not {self.concentrate.size!r} and {self.rerun.size!r}"
            )

    @property
    def size(self) -> str:
        """Name of the size."""
        return self.concentrate.size


@dataclass(frozen=True, slots=True)
class CircuitTest:
    """A two-stage test on one feed.

    Attributes:
        rows: its sizes, coarse first; a single row named `all` when nothing was sieved.
        tailings: final tailings of all sizes together, when they were not assayed by size.
        mats_mg: metal left in the mats of stage 1: feed, but not caught.
        middlings_mg: metal set aside as middlings: feed, but neither caught nor lost.
        rerun_share: φ, the share of the stage-1 tailings that was run again; what stage 2 caught
            and the final tailings are divided by it.
        dry_feed_kg: dry mass of the feed, for the head built up.
        head_g_t: the head as it was assayed, to stand beside the one built up.
    """

    rows: tuple[SizeRow, ...]
    tailings: Tailings | None = None
    mats_mg: Uncertain = 0.0
    rerun_share: Uncertain = 1.0
    dry_feed_kg: Uncertain = None
    middlings_mg: Uncertain = 0.0
    head_g_t: Uncertain = None

    def __post_init__(self) -> None:
        names = [row.size for row in self.rows]
        if not names:
            raise ValueError("a circuit test has one size at least")
        if len(set(names)) != len(names):
            raise ValueError(f"each size stands once in a test, not as {', '.join(names)}")
        if len(names) > 1 and ALL in names:
            raise ValueError(f"{ALL!r} stands for all sizes: no other size beside it")
        by_size = [row.size for row in self.rows if row.tailings is not None]
        if by_size and (len(by_size) < len(names) or self.tailings is not None):
            raise ValueError("final tailings are given for every size, or once for all of them")
        _share(self.rerun_share, "the share run again")

    @property
    def held_mg(self) -> Uncertain:
        """Metal of the feed in mats and middlings: neither caught nor in the tailings."""
        return self.mats_mg + self.middlings_mg

    @property
    def all_tailings(self) -> Tailings | None:
        """Final tailings of all sizes as given, before φ; None when they were not assayed."""
        by_size = [row.tailings for row in self.rows if row.tailings is not None]
        return together(by_size) if by_size else self.tailings


def _share(share: Uncertain, name: str) -> Uncertain:
    if not 0 < nominal(share) <= 1:
        raise ValueError(f"{name} is above 0 and at most 1, not {nominal(share)!r}")
    return share


def portion_share(portion_g: Uncertain, product_g: Uncertain, name: str = "a product") -> Uncertain:
    """The share of a product that was cupelled, from two dry masses.

    Args:
        portion_g, product_g: dry masses, g.
        name: of the product, for the reasons.

    Raises:
        BadInput: when the portion is heavier than its product.
        ValueError: when one of them is not above zero.
    """
    portion, whole = nominal(portion_g), nominal(product_g)
    if whole <= 0:
        raise ValueError(f"a product weighs more than zero, not {whole!r}")
    if portion > whole:
        shown = {"p": write.short(portion), "w": write.short(whole)}
        raise BadInput.of("portion_above_whole", name=name, **shown)
    return _share(portion_g / product_g, "a portion as a share of its product")


def cell(
    size: str, found_mg: Uncertain, share: Uncertain = 1.0, critical_mg: float | None = None
) -> Cell:
    """The cell of a size of a product, of which a share was cupelled: found/share.

    Args:
        size: name of the size.
        found_mg: metal of what was cupelled, signed, added silver and blank off.
        share: of the product that was cupelled (1: all of it); a splitter's share with its doubt.
        critical_mg: L_C of what was cupelled, mg.

    Raises:
        ValueError: when the share is not above 0 and at most 1.
    """
    part = _share(share, "the share of a product that was cupelled")
    limit = None if critical_mg is None else critical_mg / nominal(part)
    return Cell(size, found_mg / part, limit)


def dry_mass_kg(wet_kg: Uncertain, water: Uncertain) -> Uncertain:
    """Dry mass: wet × (1 - w), w = water over WET mass, a share of one.

    Raises:
        ValueError: when w is below 0, or 1 and above.
    """
    if not 0 <= nominal(water) < 1:
        raise ValueError(f"moisture is from 0 to below 1 of the wet mass, not {nominal(water)!r}")
    return wet_kg * (1 - water)
