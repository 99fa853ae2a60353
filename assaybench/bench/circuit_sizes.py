"""Names of size fractions: from the sieves that were used, in order, and what they share.

`+1.0 mm` stayed on a sieve, `-0.25 mm` passed one, `-1.0 +0.25 mm` passed the first and stayed on
the second. Openings are millimetres, micrometres or mesh numbers of ASTM E11, kept as typed.
"""

import re
from collections.abc import Sequence
from itertools import pairwise

from assaybench.circuit.grains import read_um
from assaybench.messages import BadInput, quoted
from assaybench.units import parse

FEWEST, MOST = 1, 9
_PART = re.compile(r"([+-])\s*([0-9]+(?:[.,][0-9]+)?)\s*([a-zµ]*)")
_UNITS = ("mm", "um", "µm", "mesh")


def sizes_of(typed: str) -> list[str]:
    """The sizes that some sieves leave, coarse first: one more than there are sieves.

    Args:
        typed: openings, coarse first, the unit behind the last or behind each: `1.0 0.25 mm`,
            `18 60 mesh`, `250um`.

    Raises:
        BadInput: when that is no list of openings, or they do not get finer.
    """
    words = re.sub(r"([0-9])\s*(mm|um|µm|mesh)\b", r"\1 \2", parse.clean(typed)).split()
    units = [word for word in words if word in _UNITS]
    numbers = [word for word in words if word not in _UNITS]
    if len(set(units)) != 1 or not FEWEST <= len(numbers) <= MOST or words[-1] != units[0]:
        raise BadInput.of("sieves_unreadable", x=quoted(typed), most=MOST)
    unit = units[0]
    openings = [read_um(f"{number} {unit}") for number in numbers]
    for (coarse, a), (fine, b) in pairwise(zip(openings, numbers, strict=True)):
        if coarse <= fine:
            raise BadInput.of("sieve_order", a=f"{a} {unit}", b=f"{b} {unit}")
    between = [f"-{a} +{b} {unit}" for a, b in pairwise(numbers)]
    return [f"+{numbers[0]} {unit}", *between, f"-{numbers[-1]} {unit}"]


def ends_um(name: str) -> tuple[float, float] | None:
    """Openings that a size passed and stayed on, µm; 0 and infinite where there was none.

    None for a name that is no size of sieves.
    """
    found = _PART.findall(name)
    unit = next((u for _, _, u in reversed(found) if u in _UNITS), "")
    if not found or not unit:
        return None
    upper, lower = float("inf"), 0.0
    try:
        for sign, number, own in found:
            opening = read_um(f"{number} {own or unit}")
            upper, lower = (opening, lower) if sign == "-" else (upper, opening)
    except BadInput:
        return None
    return upper, lower


def coarse_first(names: Sequence[str]) -> list[str]:
    """Names of sizes, the coarsest first; one that cannot be read stays behind the others."""

    def key(name: str) -> tuple[float, float]:
        ends = ends_um(name)
        return (0.0, 0.0) if ends is None else (-ends[1] - 1, -ends[0])

    return sorted(names, key=key)


def in_one_unit(names: Sequence[str]) -> tuple[list[str], str]:
    """Names of sizes without the unit that all of them end with, and that unit.

    Empty, with the names as they are, where they have no unit in common.
    """
    ends = [re.fullmatch(r"(.*[0-9])\s*(mm|um|µm|mesh)", name) for name in names]
    units = {match[2] if match else "" for match in ends}
    if len(units) != 1 or "" in units:
        return list(names), ""
    bare = [match[1] for match in ends if match]
    return [re.sub(r"(?<=[0-9])(?=[+-])", " ", name) for name in bare], units.pop()
