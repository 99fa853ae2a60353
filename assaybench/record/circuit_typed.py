"""Masses and grades of a circuit as they were typed: what they may be, and their doubt."""

import math
from collections.abc import Iterable

from assaybench.circuit.products import dry_mass_kg
from assaybench.messages import BadInput, quoted
from assaybench.metrology.uncertain import Sources, Uncertain
from assaybench.record.entries import Effective
from assaybench.record.typed import typed_doubt
from assaybench.units import parse, table
from assaybench.units.parse import Typed
from assaybench.units.table import Unit

KILOGRAM = table.BY_SPELLING["kg"]
FEED = "feed"
BETWEEN = "stage-1 tailings"
"""What stage 1 left, before it was run again."""
PURE_G_T = 1_000_000
"""Grade of pure metal."""


def grade_of(sources: Sources, entry: Effective, name: str) -> Uncertain:
    """The typed grade of an entry, g/t; of a product noise may be below zero, a feed has some.

    Raises:
        BadInput: when it is a limit, or more metal than mass; of a feed, when it is less than none.
    """
    text = entry.text("grade")
    typed = grade_typed(text, name) if name == FEED else signed_grade(text)
    if typed.below:
        raise BadInput.of("uncertainty_below", x=quoted(text))
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
    typed = signed_grade(text)
    if typed.value < 0:
        raise BadInput.of("number_negative", x=quoted(text), what="a grade")
    if name == FEED and (typed.value == 0 or typed.below):
        raise BadInput.of("number_not_positive", x=quoted(text), what="the grade of a feed")
    return typed


def signed_grade(text: str) -> Typed:
    """A grade of at most pure metal, with its ±, or as a limit; noise may be below zero.

    Raises:
        BadInput: for anything else.
    """
    typed = parse.figure(text, table.FRACTION, example="3.2 ± 0.4 g/t")
    if typed.exact(table.GRAM_PER_TONNE) > PURE_G_T:
        raise BadInput.of("grade_above_whole", x=quoted(text))
    return typed


def limited(sources: Sources, name: str, typed: Typed, unit: Unit) -> Uncertain:
    """A typed grade; a limit <x as x/2 ± x/√12, anything from 0 to x (GUM 4.3.7)."""
    if not typed.below:
        return doubted(sources, name, typed, unit)
    most = float(typed.exact(unit))
    return sources.variable(name, most / 2, most / math.sqrt(12))


def doubted(sources: Sources, name: str, typed: Typed, unit: Unit) -> Uncertain:
    """A typed figure as the variable of its name, with the doubt that was typed."""
    return sources.variable(name, float(typed.exact(unit)), typed_doubt(typed, unit))


def dry_masses(entries: Iterable[Effective]) -> dict[str, Uncertain]:
    """Dry mass of every product of a circuit that was weighed whole, or in all of its parts, kg.

    For showing what was weighed: the masses belong to no sum.
    """
    shown, found = Sources(), dict[str, Uncertain]()
    by_product: dict[str, list[Effective]] = {}
    for entry in entries:
        by_product.setdefault(entry.text("product"), []).append(entry)
    for product, parts in by_product.items():
        wholes = [entry for entry in parts if not entry.text("size")]
        counted = wholes[-1:] if len(wholes) < len(parts) and wholes else parts
        masses = [_dry_mass(shown, entry, f"{product} {i}") for i, entry in enumerate(counted)]
        if all(mass is not None for mass in masses):
            found[product] = sum(masses)
    return found


def _dry_mass(sources: Sources, entry: Effective, name: str) -> Uncertain | None:
    dry, wet, water = (entry.text(key) for key in ("mass", "wet_mass", "water"))
    if not dry and not (wet and water):
        return None
    typed = parse.figure(dry or wet, table.MASS)
    share = 0.0 if dry else float(parse.share(water, "water", 0, 100))
    if typed.below or share >= 1:
        return None
    return dry_mass_kg(doubted(sources, name, typed, KILOGRAM), share)
