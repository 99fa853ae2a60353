"""Models of units, rounding and sieves: what people type, what is printed, what a screen is."""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from assaybench.metrology.figure import measured
from assaybench.units import constants, parse, registry, sieves, table, write
from assaybench.units.table import BY_SPELLING, Unit

LONG = BY_SPELLING["ozt/long_ton"]


def rounded_result(*, value: float, u: float, k: float) -> dict[str, float | str]:
    """A result as it is printed: value and u in one, and value and U, in grams."""
    shown, wide = write.value_and_expanded(value, k * u)
    figure = measured(value, u, "g", k=k)
    return {
        "value": shown,
        "expanded": wide,
        "parentheses": write.parentheses(value, u, "g"),
        "plus_minus": figure.text,
    }


def rounded_numbers(*, numbers: Sequence[float], place: int) -> dict[str, float | str]:
    """Numbers rounded to 10**place, in their order."""
    return {f"number {i}": write.at_place(x, place) for i, x in enumerate(numbers, 1)}


def _typed(value: float, unit: str) -> parse.Typed:
    return parse.plain_figure(f"{Decimal(repr(value)):f} {unit}", table.ANYTHING)


def converted(*, values: Sequence[float], unit: str, to: Sequence[str]) -> dict[str, float | str]:
    """Figures typed with their unit, in other units; several figures are numbered.

    Every figure goes both ways the program has, the exact table and the registry.
    """
    found: dict[str, float | str] = {}
    for i, value in enumerate(values, 1):
        typed = _typed(value, unit)
        for symbol in to:
            target = BY_SPELLING[symbol]
            exact = typed.exact(target)
            same = exact == registry.converted(Fraction(typed.value), typed.unit, target)
            name = symbol if len(values) == 1 else f"{symbol} {i}"
            found[name] = float(exact) if same else "the table and the registry differ"
    return found


def _grade(bead_mg: float, sample: float, sample_unit: str, to: Unit) -> Fraction:
    """Grade of a bead from a sample, exactly: 1 mg/g is 1000 g/t."""
    bead = _typed(bead_mg, "mg").exact(BY_SPELLING["mg"])
    mass = _typed(sample, sample_unit).exact(BY_SPELLING["g"])
    return registry.converted(1000 * bead / mass, BY_SPELLING["g/t"], to)


def grade_of_bead(
    *, beads_mg: Sequence[float], sample: float, sample_unit: str, to: str
) -> dict[str, float | str]:
    """Grades of beads from one sample mass, numbered."""
    unit = BY_SPELLING[to]
    grades = [float(_grade(bead, sample, sample_unit, unit)) for bead in beads_mg]
    return {f"grade {i}": grade for i, grade in enumerate(grades, 1)}


def ounces_pennyweights_grains(*, bead_mg: float, sample_g: float) -> dict[str, float | str]:
    """A grade per long ton in whole ounces, whole pennyweights and grains."""
    ounces = _grade(bead_mg, sample_g, "g", LONG)
    grains = ounces * constants.OUNCE_TROY.value / constants.GRAIN.value
    per_ounce = constants.OUNCE_TROY.value / constants.GRAIN.value
    per_pennyweight = constants.PENNYWEIGHT.value / constants.GRAIN.value
    whole, rest = divmod(grains, per_ounce)
    pennyweights, left = divmod(rest, per_pennyweight)
    return {
        "oz": float(whole),
        "dwt": float(pennyweights),
        "grain": float(left),
    }


def sieve_row(*, mesh: int) -> dict[str, float | str]:
    """A sieve by its ASTM E11 number: opening and tolerances, µm."""
    sieve = sieves.by_designation(f"No. {mesh}", sieves.ASTM_E11)
    return {
        "opening_um": sieve.opening_um,
        "mean_tolerance_um": sieve.tolerance_mean_um,
        "single_tolerance_um": sieve.tolerance_single_um,
    }


def tyler_of_opening(*, openings_um: Sequence[float]) -> dict[str, float | str]:
    """Tyler mesh of sieves by their openings, numbered."""
    found = [sieves.by_opening(opening) for opening in openings_um]
    return {f"tyler {i}": sieve.tyler or "none" for i, sieve in enumerate(found, 1)}


def tolerances_by_formula(*, openings_um: Sequence[float]) -> dict[str, float | str]:
    """Tolerances of sieve openings by the formulas of the standard, µm, numbered."""
    found: dict[str, float | str] = {}
    for i, opening in enumerate(openings_um, 1):
        found[f"mean {i}"] = sieves.mean_tolerance_um(opening)
        found[f"single {i}"] = sieves.single_tolerance_um(opening)
    return found
