"""The closed list of units people may type: one table, from which all else derives.

A unit that means two things in the trade (a bare ounce, a bare ton, an assay ton without its
kind) is not in the list; it stands among the refusals with the choices instead.
"""

from fractions import Fraction
from typing import Literal, NamedTuple

from assaybench.units import constants as c

Quantity = Literal["mass", "mass fraction", "length", "mesh", "number"]

SI = "the International System of Units (SI Brochure)"
RATIO = "ratio of the two units named"


class Unit(NamedTuple):
    """One unit of the closed list.

    Attributes:
        symbol: how it is printed, and typed.
        quantity: what it measures.
        size: one such unit in the base unit of its quantity (g; g/t; um), exactly.
        name: the unit in words.
        source: where `size` comes from.
        spellings: further spellings that are accepted.
    """

    symbol: str
    quantity: Quantity
    size: Fraction
    name: str
    source: str
    spellings: tuple[str, ...] = ()


def _per(mass: c.Constant, whole: c.Constant) -> Fraction:
    """A mass fraction of `mass` in `whole`, in g/t."""
    return mass.value / whole.value * 10**6


UNITS = (
    Unit("mg", "mass", Fraction(1, 1000), "milligram", SI),
    Unit("µg", "mass", Fraction(1, 10**6), "microgram", SI, ("ug", "μg")),
    Unit("g", "mass", Fraction(1), "gram", SI, ("gram", "grams")),
    Unit("kg", "mass", Fraction(1000), "kilogram", SI),
    Unit("t", "mass", Fraction(10**6), "tonne, 1000 kg", SI, ("tonne", "tonnes")),
    Unit("grain", "mass", c.GRAIN.value, c.GRAIN.name, c.GRAIN.source, ("grains",)),
    Unit("dwt", "mass", c.PENNYWEIGHT.value, c.PENNYWEIGHT.name, c.PENNYWEIGHT.source),
    Unit("ozt", "mass", c.OUNCE_TROY.value, c.OUNCE_TROY.name, c.OUNCE_TROY.source, ("oz_t",)),
    Unit(
        "oz_av",
        "mass",
        c.OUNCE_AVOIRDUPOIS.value,
        c.OUNCE_AVOIRDUPOIS.name,
        c.OUNCE_AVOIRDUPOIS.source,
    ),
    Unit("lb", "mass", c.POUND.value, c.POUND.name, c.POUND.source, ("lbs",)),
    Unit("short_ton", "mass", c.SHORT_TON.value, c.SHORT_TON.name, c.SHORT_TON.source),
    Unit("long_ton", "mass", c.LONG_TON.value, c.LONG_TON.name, c.LONG_TON.source),
    Unit(
        "AT_short",
        "mass",
        c.ASSAY_TON_SHORT.value,
        c.ASSAY_TON_SHORT.name,
        c.ASSAY_TON_SHORT.source,
    ),
    Unit("AT_long", "mass", c.ASSAY_TON_LONG.value, c.ASSAY_TON_LONG.name, c.ASSAY_TON_LONG.source),
    Unit("g/t", "mass fraction", Fraction(1), "grams per tonne", RATIO, ("mg/kg", "µg/g", "ug/g")),
    Unit("ppm", "mass fraction", Fraction(1), "parts per million by mass", RATIO),
    Unit("ppb", "mass fraction", Fraction(1, 1000), "parts per 1000 million by mass", RATIO),
    Unit("%", "mass fraction", Fraction(10**4), "parts per hundred by mass", RATIO),
    Unit("‰", "mass fraction", Fraction(10**3), "parts per thousand, fineness", RATIO, ("fine",)),
    Unit(
        "karat",
        "mass fraction",
        Fraction(10**6, 24),
        "parts in 24, fineness of gold",
        "common practice, no source: 24 karat is pure gold",
    ),
    Unit(
        "ozt/short_ton",
        "mass fraction",
        _per(c.OUNCE_TROY, c.SHORT_TON),
        "troy ounces per short ton, 240/7 g/t",
        RATIO,
    ),
    Unit(
        "ozt/long_ton",
        "mass fraction",
        _per(c.OUNCE_TROY, c.LONG_TON),
        "troy ounces per long ton, 1500/49 g/t",
        RATIO,
    ),
    Unit("ozt/t", "mass fraction", c.OUNCE_TROY.value, "troy ounces per tonne", RATIO),
    Unit(
        "dwt/short_ton",
        "mass fraction",
        _per(c.PENNYWEIGHT, c.SHORT_TON),
        "pennyweights per short ton, 12/7 g/t",
        RATIO,
    ),
    Unit(
        "dwt/long_ton",
        "mass fraction",
        _per(c.PENNYWEIGHT, c.LONG_TON),
        "pennyweights per long ton",
        RATIO,
    ),
    Unit(
        "grain/long_ton",
        "mass fraction",
        _per(c.GRAIN, c.LONG_TON),
        "grains per long ton",
        RATIO,
    ),
    Unit("um", "length", Fraction(1), "micrometre", SI, ("µm", "μm", "micron", "microns")),
    Unit("mm", "length", Fraction(1000), "millimetre", SI),
    Unit("mesh", "mesh", Fraction(1), "US sieve number of ASTM E11", "ASTM E11"),
    Unit("1", "number", Fraction(1), "a bare number", "a number"),
)

BY_SPELLING: dict[str, Unit] = {
    spelling: unit for unit in UNITS for spelling in (unit.symbol, *unit.spellings)
}
ONE = BY_SPELLING["1"]
MILLIGRAM = BY_SPELLING["mg"]
GRAM = BY_SPELLING["g"]
GRAM_PER_TONNE = BY_SPELLING["g/t"]
MICROMETRE = BY_SPELLING["um"]
PER_CENT = BY_SPELLING["%"]

MASS: tuple[Quantity, ...] = ("mass",)
LENGTH: tuple[Quantity, ...] = ("length",)
FRACTION: tuple[Quantity, ...] = ("mass fraction",)
ANYTHING: tuple[Quantity, ...] = ("mass", "mass fraction", "length", "number")

_OUNCES = "ozt (troy ounce, 31.10 g) or oz_av (28.35 g)"
_TONS = "t (1000 kg), short_ton (2000 lb) or long_ton (2240 lb)"
_OUNCES_PER_TON = "ozt/short_ton (34.29 g/t), ozt/long_ton (30.61 g/t) or ozt/t (31.10 g/t, tonne)"
_PENNYWEIGHTS_PER_TON = "dwt/short_ton (1.714 g/t) or dwt/long_ton (1.531 g/t)"

REFUSED: dict[str, str] = {
    "oz": _OUNCES,
    "ounce": _OUNCES,
    "ounces": _OUNCES,
    "ton": _TONS,
    "tons": _TONS,
    "gr": "g (gram) or grain (0.0648 g)",
    "AT": "AT_short (29.167 g) or AT_long (32.667 g)",
    "A.T.": "AT_short (29.167 g) or AT_long (32.667 g)",
    "oz/ton": _OUNCES_PER_TON,
    "ozt/ton": _OUNCES_PER_TON,
    "oz/t": _OUNCES_PER_TON,
    "opt": _OUNCES_PER_TON,
    "oz/short_ton": "ozt/short_ton (troy ounces, 34.29 g/t)",
    "oz/long_ton": "ozt/long_ton (troy ounces, 30.61 g/t)",
    "dwt/ton": _PENNYWEIGHTS_PER_TON,
    "dwt/t": _PENNYWEIGHTS_PER_TON,
    "g/ton": "g/t (per tonne of 1000 kg); for other tons give ozt or dwt per short_ton or long_ton",
    "gpt": "g/t (grams per tonne)",
    "Mg": "mg (milligram) or t (tonne)",
    "ct": "g (a gem carat is 0.2 g) or karat (parts in 24)",
    "carat": "g (a gem carat is 0.2 g) or karat (parts in 24)",
    "K": "karat (parts in 24)",
    "kt": "karat (parts in 24) or t (a kilotonne is 1000 t)",
    "cwt": "kg or lb: a hundredweight is 100 or 112 lb",
    "ppt": "‰ (parts per thousand) or ppb (parts per 1000 million)",
}


def refusal(spelling: str) -> str | None:
    """The choices behind a unit that means two things, in any case of letters; None for others."""
    return REFUSED.get(spelling) or REFUSED.get(spelling.lower())
