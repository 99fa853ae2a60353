"""Lines and words of the circuit editor that need nothing of the page: heads, sizes, dry masses."""

from assaybench.bench.characters import cells, cut
from assaybench.bench.circuit_model import Spot
from assaybench.bench.circuit_sizes import ends_um
from assaybench.bench.sheet import Line, line
from assaybench.circuit.products import dry_mass_kg
from assaybench.messages import BadInput, say
from assaybench.metrology.uncertain import nominal
from assaybench.record.circuit_typed import KILOGRAM
from assaybench.record.entries import Effective
from assaybench.units import parse, table, write

LABEL, CELL = 15, 18
"""Columns of the name of a line, and of each stage behind it."""


def heads() -> list[Line]:
    """The heads of the two stages."""
    upper = filled(say("circuit_gold_of"), LABEL) + f" {say('circuit_stage_1'):<{CELL}}"
    lower = filled(say("circuit_size"), LABEL) + f" {say('circuit_concentrate'):<{CELL}}"
    return [
        line(f"  {upper}{say('circuit_stage_2')}"),
        line(f"  {lower}{say('circuit_rerun')}"),
    ]


def filled(text: str, width: int) -> str:
    """A text cut or filled to a width."""
    text = cut(text, width - 1)
    return text + " " * (width - cells(text))


def of_size(spot: Spot) -> list[str]:
    """What a size passed and stayed on, in micrometres; nothing for a name that is no size."""
    ends = ends_um(spot.size)
    if ends is None:
        return []
    upper, lower = ends
    if lower == 0:
        return [say("size_passed", a=write.short(upper))]
    if upper == float("inf"):
        return [say("size_stayed", b=write.short(lower))]
    return [say("size_between", a=write.short(upper), b=write.short(lower))]


def dry(entry: Effective) -> list[str]:
    """What a wet mass is when it is dry; nothing where that is not known."""
    wet, water = entry.text("wet_mass"), entry.text("water")
    if not (wet and water):
        return []
    try:
        share = float(parse.share(water, "water", 0, 99))
    except BadInput as fault:
        return [*fault.lines]
    mass = float(parse.figure(wet, table.MASS).exact(KILOGRAM))
    return [say("circuit_dry", x=write.short(nominal(dry_mass_kg(mass, share)), 4))]


def of_grains(grains: Effective | None) -> list[str]:
    """Grains that were counted, and the largest of them."""
    if grains is None:
        return []
    largest = grains.text("largest")
    told = f", {largest}" if largest else ""
    return [say("circuit_grains", n=grains.whole("count"), largest=told)]
