"""Constants of mass, as exact records: a constant is never a bare number in a formula."""

from fractions import Fraction
from typing import NamedTuple

HANDBOOK_44 = "NIST Handbook 44, Appendix C, general tables of units of measurement (from memory)"
AVOIRDUPOIS = "international yard and pound agreement of 1959: 1 lb = 0.453 592 37 kg exactly"
ROSE = "T. K. Rose, The Metallurgy of Gold, p. 496: assay ton"


class Constant(NamedTuple):
    """One exact constant.

    Attributes:
        symbol: the sign it is known by.
        name: what it is, in words.
        value: its exact value, in `unit`.
        unit: the unit of `value`.
        source: where the value is defined.
    """

    symbol: str
    name: str
    value: Fraction
    unit: str
    source: str


POUND = Constant("lb", "avoirdupois pound", Fraction(45359237, 100000), "g", AVOIRDUPOIS)
GRAIN = Constant("grain", "grain, 1/7000 pound", POUND.value / 7000, "g", HANDBOOK_44)
OUNCE_AVOIRDUPOIS = Constant(
    "oz_av", "avoirdupois ounce, 1/16 pound", POUND.value / 16, "g", HANDBOOK_44
)
OUNCE_TROY = Constant("ozt", "troy ounce, 480 grains", GRAIN.value * 480, "g", HANDBOOK_44)
PENNYWEIGHT = Constant("dwt", "pennyweight, 24 grains", GRAIN.value * 24, "g", HANDBOOK_44)
SHORT_TON = Constant("short_ton", "short ton, 2000 pounds", POUND.value * 2000, "g", HANDBOOK_44)
LONG_TON = Constant("long_ton", "long ton, 2240 pounds", POUND.value * 2240, "g", HANDBOOK_44)
ASSAY_TON_SHORT = Constant(
    "AT_short",
    "assay ton for the short ton: 1 mg per assay ton is 1 troy ounce per ton",
    SHORT_TON.value / OUNCE_TROY.value / 1000,
    "g",
    ROSE,
)
ASSAY_TON_LONG = Constant(
    "AT_long",
    "assay ton for the long ton: 1 mg per assay ton is 1 troy ounce per ton",
    LONG_TON.value / OUNCE_TROY.value / 1000,
    "g",
    ROSE,
)
