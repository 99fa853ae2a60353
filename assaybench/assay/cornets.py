"""Amounts of an assay of gold alloys by cupellation: lead foil and silver of one piece.

ISO 11426:2014, 7.2.1, as read in excerpts: 4 g of foil or more for a piece up to 200 mg, 6 g for
201 to 300 mg; silver 2.3 to 3 times the fine gold. Where an amount was not noted nothing is said.
"""

from typing import NamedTuple

from assaybench.metrology.figure import Flag, flag
from assaybench.units import write

LEAST_FOIL_G = ((200, 4.0), (300, 6.0))
"""(piece up to so many whole mg, least foil, g)."""
SILVER_TO_GOLD = (2.3, 3.0)
"""Least and most silver to one of fine gold."""


class Amounts(NamedTuple):
    """What went with one piece; None where it was not noted.

    Attributes:
        foil_g: lead foil, g.
        silver_mg: silver added, mg.
    """

    foil_g: float | None = None
    silver_mg: float | None = None


def least_foil_g(piece_mg: float) -> float | None:
    """Least lead foil for a piece, g; None above 300 mg, for which the standard has none.

    Args:
        piece_mg: mass of the piece, mg; the standard counts whole milligrams.
    """
    whole = round(piece_mg)
    return next((foil for most, foil in LEAST_FOIL_G if whole <= most), None)


def silver_range_mg(gold_mg: float) -> tuple[float, float]:
    """Least and most silver for so much fine gold, mg."""
    least, most = SILVER_TO_GOLD
    return least * gold_mg, most * gold_mg


def amounts_said(name: str, piece_mg: float, cornet_mg: float, amounts: Amounts) -> list[Flag]:
    """What is off with the foil or the silver of a piece.

    Silver is called too little only where even all that the piece lost in parting, taken as silver
    of its own, would not make it enough.

    Args:
        name: names the piece.
        piece_mg: mass of the piece, mg.
        cornet_mg: mass of its cornet, mg.
        amounts: what went with it.
    """
    said: list[Flag] = []
    foil = least_foil_g(piece_mg)
    if foil is not None and amounts.foil_g is not None and amounts.foil_g < foil:
        shown = {"foil": write.short(amounts.foil_g, 3), "least": write.short(foil)}
        said.append(flag("foil_little", name=name, m=write.short(round(piece_mg)), **shown))
    if amounts.silver_mg is None or cornet_mg <= 0:
        return said
    least, most = silver_range_mg(cornet_mg)
    at_most = amounts.silver_mg + max(piece_mg - cornet_mg, 0.0)
    if at_most < least:
        ratio = write.significant(at_most / cornet_mg, 2)
        said.append(flag("cornet_silver_little", name=name, ratio=ratio, least=SILVER_TO_GOLD[0]))
    elif amounts.silver_mg > most:
        ratio = write.significant(amounts.silver_mg / cornet_mg, 2)
        most_said = write.short(SILVER_TO_GOLD[1])
        said.append(flag("cornet_silver_much", name=name, ratio=ratio, most=most_said))
    return said
