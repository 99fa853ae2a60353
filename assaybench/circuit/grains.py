"""Gold grains: what one weighs, how many make a mass of metal, and what their number lets expect.

Method version 1, section 6. Diameters in micrometres, masses of metal in milligrams, densities in
grams per cubic centimetre (the same number in milligrams per cubic millimetre).
"""

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

from assaybench.circuit.counts import NONE_FOUND
from assaybench.messages import BadInput, quoted
from assaybench.units import parse
from assaybench.units.table import MICROMETRE, Quantity

Shape = Literal["sphere", "flake"]

GOLD_DENSITY = 19.3
"""Density of pure gold, g/cm³; native gold with silver and copper in it is lighter."""
SHAPE_FACTORS: dict[Shape, float] = {"sphere": math.pi / 6, "flake": math.pi / 40}
"""Volume over d³: a sphere, and a disc of thickness d/10. The method prints them as 0.52 and 0.08;
its check value 0.056666 mg for 106-250 µm comes from π/6, not from 0.52 (0.056277 mg)."""
MOST_GRAINS = 1_000_000
"""More than anybody counts."""
ENOUGH_GRAINS = 20.0
"""From 20 grains on, a count is near enough to normal: Clifton and others, U.S. Geological Survey
Professional Paper 625-C (1969)."""
WIDE_RANGE = 0.25
"""Gy's size factor g of a wide range, d95/d5 above 4, as course notes on sampling give it; metal
even in ln d from d/4 to d has 0.237."""
CLASSES = ("over 4 mg", "1 to 4 mg", "under 1 mg")
"""Placer grains by eye, numbers 1 to 3: J. H. Wells, Placer Examination, Technical Bulletin 4,
appendix D (Bureau of Land Management)."""
SIZES: tuple[Quantity, ...] = ("length", "mesh")
SPAN_FORM = "106um:250um, or one size such as 150um"

_MM_PER_UM = 1e-3


def positive(value: float, name: str) -> float:
    """The value, where it is above zero; ValueError names it otherwise."""
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"{name} must be above zero, not {value!r}")
    return value


def grain_mass_mg(
    diameter_um: float, shape: Shape = "sphere", density_g_cm3: float = GOLD_DENSITY
) -> float:
    """Mass of one grain, f·ρ·d³, mg.

    Args:
        diameter_um: sieve diameter d, µm.
        shape: `sphere`, or `flake` of thickness d/10.
        density_g_cm3: ρ, g/cm³.

    Raises:
        ValueError: when diameter or density is not above zero.
    """
    diameter_mm = positive(diameter_um, "the diameter") * _MM_PER_UM
    return SHAPE_FACTORS[shape] * positive(density_g_cm3, "the density") * diameter_mm**3


def sieved_grain_mg(
    fine_um: float,
    coarse_um: float,
    shape: Shape = "sphere",
    density_g_cm3: float = GOLD_DENSITY,
) -> float:
    """m_w of a size fraction, its metal even in ln d: f·ρ·(d2³ - d1³)/(3·ln(d2/d1)), mg.

    Args:
        fine_um, coarse_um: openings d1 and d2 of the sieves below and above, µm.
        shape: `sphere`, or `flake` of thickness d/10.
        density_g_cm3: ρ, g/cm³.

    Raises:
        ValueError: when an opening or the density is not above zero, or d2 is not above d1.

    Source: method version 1, section 6; m_w = ∫m·d(ln d)/∫d(ln d).
    """
    if positive(coarse_um, "the coarse opening") <= positive(fine_um, "the fine opening"):
        raise ValueError(f"the coarse opening must be above the fine one, {fine_um!r} µm")
    top = grain_mass_mg(coarse_um, shape, density_g_cm3)
    bottom = grain_mass_mg(fine_um, shape, density_g_cm3)
    return (top - bottom) / (3 * math.log(coarse_um / fine_um))


def weighed_grain_mg(masses_mg: Sequence[float]) -> float:
    """m_w = Σm²/Σm of grains weighed one by one, mg: the mean by mass, which rules the noise.

    Raises:
        ValueError: for no grain, or one that is not above zero.
    """
    if not masses_mg:
        raise ValueError("one grain is the least that has a mean mass")
    masses = [positive(mass, "the mass of a grain") for mass in masses_mg]
    return math.fsum(m * m for m in masses) / math.fsum(masses)


def expected_grains(metal_mg: float, grain_mg: float) -> float:
    """N = metal/m_w, the number of equal grains; none for metal at or below zero.

    Raises:
        ValueError: when the grain is not above zero.
    """
    return max(metal_mg, 0.0) / positive(grain_mg, "the mass of a grain")


def unseen_mg(grain_mg: float) -> float:
    """3.0·m_w: the metal that may be expected where no grain was found, 95 in 100, mg."""
    return NONE_FOUND * positive(grain_mg, "the mass of a grain")


def u_grains_mg(metal_mg: float, grain_mg: float) -> float:
    """Standard uncertainty of a mass of metal from its number of grains, √(metal·m_w), mg.

    It is metal/√N of equal grains (Poisson); of unequal ones too, m_w being Σm²/Σm.
    """
    return math.sqrt(max(metal_mg, 0.0) * positive(grain_mg, "the mass of a grain"))


def largest_grain_mg(
    largest_um: float, shape: Shape = "sphere", density_g_cm3: float = GOLD_DENSITY
) -> float:
    """m_w where only the width of the largest grain is known, mg: g·f·ρ·d³ with g = 0.25.

    Most of the metal is then taken to be much finer than the largest grain, as in Gy's formula.

    Raises:
        ValueError: when width or density is not above zero.
    """
    return WIDE_RANGE * grain_mass_mg(largest_um, shape, density_g_cm3)


def by_class(masses_mg: Sequence[float]) -> tuple[int, int, int]:
    """How many weighed grains are over 4 mg, from 1 to 4 mg, and under 1 mg: see `CLASSES`."""
    over = sum(mass > 4 for mass in masses_mg)
    under = sum(mass < 1 for mass in masses_mg)
    return over, len(masses_mg) - over - under, under


def mass_of_classes(over: int, middle: int, under: int) -> tuple[float, float | None]:
    """The least and the most that grains counted by class weigh, mg.

    A count by eye is no weighing: grains over 4 mg have no upper end, so then there is no most.

    Raises:
        ValueError: for a count below zero.
    """
    if min(over, middle, under) < 0:
        raise ValueError("a count is zero or more")
    least = 4.0 * over + 1.0 * middle
    return least, None if over else 4.0 * middle + 1.0 * under


class Span(NamedTuple):
    """The sizes between which grains lie, µm; one size has `fine_um` None.

    Attributes:
        fine_um: opening of the sieve below.
        coarse_um: opening of the sieve above, or the one size.
    """

    fine_um: float | None
    coarse_um: float

    def grain_mg(self, shape: Shape = "sphere", density_g_cm3: float = GOLD_DENSITY) -> float:
        """m_w of grains of these sizes, mg."""
        if self.fine_um is None:
            return grain_mass_mg(self.coarse_um, shape, density_g_cm3)
        return sieved_grain_mg(self.fine_um, self.coarse_um, shape, density_g_cm3)


def read_span(text: str) -> Span:
    """The sizes of `106um:250um`, or of one size: `150um`, `100 mesh`.

    Raises:
        BadInput: when it cannot be read, or the first size is not below the second.
    """
    parts = text.split(":")
    if len(parts) > 2:
        raise BadInput.of("size_unreadable", x=quoted(text), form=SPAN_FORM)
    found = [read_um(part) for part in parts]
    if len(found) == 1:
        return Span(None, found[0])
    if found[0] >= found[1]:
        raise BadInput.of("span_order", x=quoted(text), form=SPAN_FORM)
    return Span(*found)


def read_um(text: str) -> float:
    """A size with its unit, µm; a mesh number is that of the ASTM E11 sieve.

    Raises:
        BadInput: when it cannot be read or is not above zero.
    """
    typed = parse.plain_figure(text, SIZES, example="150um")
    if typed.value <= 0:
        raise BadInput.of("number_not_positive", x=quoted(text), what="a size")
    if typed.unit.quantity == "length":
        return float(typed.exact(MICROMETRE))
    from assaybench.units import sieves  # a table that most commands never read

    try:
        return float(sieves.by_designation(f"{typed.value:f} mesh").opening_um)
    except BadInput:
        raise
    except ValueError as fault:
        raise BadInput([str(fault)]) from fault
