"""Whether what was weighed in of a product is the portion of it that the log names.

A product of which only a part was cupelled holds more metal than its bead. When the portion was
forgotten, or is another mass than the charge, its recovery would be wrong without a word.
"""

from assaybench.messages import say
from assaybench.metrology.figure import Flag
from assaybench.record.entries import Effective
from assaybench.units import parse, table, write
from assaybench.units.table import GRAM

ALIKE = 0.01
"""Masses nearer than this share are one mass weighed twice; our own bound, no source."""


def portion_amiss(entry: Effective, charge_g: float | None, place: str) -> Flag | None:
    """What is amiss between a charge and what a circuit entry says was cupelled; None if nothing.

    Args:
        entry: an entry of a product that was cupelled whole, or a portion of it.
        charge_g: its charge as weighed in, g; None where none was.
        place: names the sample or its cupel.
    """
    if charge_g is None or not entry.text("mass"):
        return None
    typed = "portion" if entry.text("portion") else "mass"
    told = entry.text(typed)
    told_g = float(parse.figure(told, table.MASS).exact(GRAM))
    if abs(charge_g - told_g) <= ALIKE * told_g or (typed == "mass" and charge_g > told_g):
        return None
    code = f"circuit_{typed}_weighed"
    return Flag(code, say(code, place=place, x=write.short(charge_g), told=told))
