"""Parting: is there silver enough around the gold, and what silver stays in it.

Method version 1, section 3. Masses in milligrams. Ratios are from textbooks of assaying (T. K.
Rose, The Metallurgy of Gold; attribution from memory) and, for cornets, ISO 11426:2014, 7.2.1.
"""

import math
from itertools import pairwise
from typing import NamedTuple

from assaybench.messages import say
from assaybench.metrology.figure import Flag, flag
from assaybench.units import write

RATIOS = ((0.2, 10.0), (1.0, 6.0), (10.0, 4.0), (250.0, 2.0))
"""(gold, mg; least silver to gold). Below 0.2 mg the first holds, above 250 mg the last.

The last is the general floor of the method; ISO 11426 adds 2.3 to 3 parts to cornets of 125-250 mg.
"""

RETAINED = (0.001, 0.002)
"""Silver left in parted gold, shares of the gold: 1 per 1000 in cornets, 0.2 % in well-parted beads
of ore (Rose, p. 512)."""


class Ratio(NamedTuple):
    """Silver to gold in a bead before parting.

    Attributes:
        silver_to_gold: (B - G)/G; None where no gold was found.
        least: the least ratio that parts, for this much gold.
        enough: whether it parts; None where no gold was found.
        to_add_mg: silver to add before parting again, mg.
        flags: `too_little_silver` where it does not.
    """

    silver_to_gold: float | None
    least: float
    enough: bool | None
    to_add_mg: float
    flags: tuple[Flag, ...] = ()


def least_ratio(gold_mg: float) -> float:
    """Least silver to gold that parts: 10, 6, 4, 2 at 0.2, 1, 10, 250 mg of gold.

    Between these the ratio is interpolated linearly in the logarithm of the gold (our choice: the
    sources give points only).
    """
    first, last = RATIOS[0], RATIOS[-1]
    if gold_mg <= first[0]:
        return first[1]
    for (low, ratio_low), (high, ratio_high) in pairwise(RATIOS):
        if gold_mg <= high:
            along = math.log(gold_mg / low) / math.log(high / low)
            return ratio_low + along * (ratio_high - ratio_low)
    return last[1]


def silver_to_gold(bead_mg: float, gold_mg: float) -> Ratio:
    """(B - G)/G of a parted bead against the least ratio for its gold.

    Args:
        bead_mg: bead before parting, mg, as read.
        gold_mg: gold after parting, mg, as read.
    """
    least = least_ratio(gold_mg)
    if gold_mg <= 0:
        return Ratio(None, least, None, 0.0)
    ratio = (bead_mg - gold_mg) / gold_mg
    if ratio >= least:
        return Ratio(ratio, least, enough=True, to_add_mg=0.0)
    sentence = flag(
        "too_little_silver", ratio=write.significant(ratio, 2), least=write.significant(least, 2)
    )
    return Ratio(
        ratio,
        least,
        enough=False,
        to_add_mg=least * gold_mg - (bead_mg - gold_mg),
        flags=(sentence,),
    )


SEEN_SHARE = 0.1
"""What is less than this share of a ± moves nothing that is printed."""


def retained_silver_mg(gold_mg: float) -> tuple[float, float]:
    """Silver that parted gold may still hold, mg: from 0.1 to 0.2 % of it."""
    return RETAINED[0] * max(gold_mg, 0.0), RETAINED[1] * max(gold_mg, 0.0)


def retained_silver_said(gold_mg: float, expanded_mg: float) -> tuple[str, ...]:
    """The assumption about silver left in gold that no proof of its own boil corrects.

    None where that silver is lost in the doubt of the gold: below a tenth of it.

    Args:
        gold_mg: gold after parting, mg.
        expanded_mg: its ±, mg.

    Source: method version 1, section 3; the tenth is our own bound, no source.
    """
    seen = retained_silver_mg(gold_mg)[1] > SEEN_SHARE * expanded_mg
    return (say("retained_silver"),) if seen else ()
