"""Names of the size fractions that some sieves leave.

`+1.0 mm` stayed on a sieve, `-0.25 mm` passed one, `-1.0 +0.25 mm` passed the first and stayed on
the second. Openings are millimetres, micrometres or mesh numbers of ASTM E11, kept as typed.
"""

import re
from itertools import pairwise

from assaybench.circuit.grains import read_um
from assaybench.messages import BadInput, quoted
from assaybench.units import parse

FEWEST, MOST = 1, 9
UNITS = ("mm", "um", "µm", "mesh")


def sizes_of(typed: str) -> list[str]:
    """The sizes that some sieves leave, coarse first: one more than there are sieves.

    Args:
        typed: openings, coarse first, the unit behind the last or behind each: `1.0 0.25 mm`,
            `18 60 mesh`, `250um`.

    Raises:
        BadInput: when that is no list of openings, or they do not get finer.
    """
    words = re.sub(r"([0-9])\s*(mm|um|µm|mesh)\b", r"\1 \2", parse.clean(typed)).split()
    units = [word for word in words if word in UNITS]
    numbers = [word for word in words if word not in UNITS]
    listed = len(set(units)) == 1 and FEWEST <= len(numbers) <= MOST and words[-1] == units[0]
    if not listed or "+" in typed:  # a sieve has an opening; the sign belongs to what stayed on it
        raise BadInput.of("sieves_unreadable", x=quoted(typed), most=MOST)
    unit = units[0]
    openings = [read_um(f"{number} {unit}") for number in numbers]
    for (coarse, a), (fine, b) in pairwise(zip(openings, numbers, strict=True)):
        if coarse <= fine:
            raise BadInput.of("sieve_order", a=f"{a} {unit}", b=f"{b} {unit}")
    between = [f"-{a} +{b} {unit}" for a, b in pairwise(numbers)]
    return [f"+{numbers[0]} {unit}", *between, f"-{numbers[-1]} {unit}"]
