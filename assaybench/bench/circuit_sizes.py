"""Names of size fractions: their order, and what they share; `circuit.size_names` makes them."""

import re
from collections.abc import Sequence

from assaybench.circuit.grains import read_um
from assaybench.circuit.size_names import UNITS
from assaybench.messages import BadInput

_PART = re.compile(r"([+-])\s*([0-9]+(?:[.,][0-9]+)?)\s*([a-zµ]*)")


def ends_um(name: str) -> tuple[float, float] | None:
    """Openings that a size passed and stayed on, µm; 0 and infinite where there was none.

    None for a name that is no size of sieves.
    """
    found = _PART.findall(name)
    unit = next((u for _, _, u in reversed(found) if u in UNITS), "")
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
