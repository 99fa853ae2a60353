"""What cannot be in a circuit test, said when it is typed: one answer held against the others.

What a log holds already is never refused, only told: it may come from a sheet or a command.
"""

from collections.abc import Mapping, Sequence

from assaybench.bench.circuit_model import STAGES, Model, Spot
from assaybench.bench.circuit_sizes import ends_um
from assaybench.circuit.contradiction import metal_within
from assaybench.circuit.products import portion_share
from assaybench.messages import BadInput, quoted, say
from assaybench.record.circuit_typed import KILOGRAM
from assaybench.record.entries import Effective
from assaybench.units import parse, table
from assaybench.units.table import FRACTION, GRAM, MILLIGRAM

_MG_PER_KG = float(KILOGRAM.size / MILLIGRAM.size)
_MOST_WATER = 99.0
"""Per cent; with more of it no dry mass is left that anything could be worked out from."""
_TYPED = ("mass", "wet_mass", "portion")


def one_amiss(key: str, text: str) -> None:
    """See that one figure can be what its key says.

    Args:
        key: of the circuit entry.
        text: the figure as it is stored.

    Raises:
        BadInput: for water that leaves nothing dry, gold below zero, a mass that is a limit.
    """
    if key == "water":
        parse.share(text, "water", 0, _MOST_WATER)
    elif key in ("grade", "metal"):
        typed = parse.figure(text, (*table.MASS, *FRACTION))
        if typed.value < 0:
            raise BadInput.of("number_negative", x=quoted(text), what=key)
    elif key in _TYPED and parse.figure(text, table.MASS).below:
        raise BadInput.of("uncertainty_below", x=quoted(text))


def all_amiss(model: Model, spot: Spot, values: Mapping[str, object]) -> None:
    """See that what is typed for a spot fits together, and with the other spots.

    Args:
        model: the test as the log stands.
        spot: what is typed.
        values: all keys of its entry as they are to be.

    Raises:
        BadInput: for a sample that stands for another spot, a portion heavier than its product,
            gold heavier than what it is in.
    """
    _tied_once(model, spot, str(values.get("sample", "")))
    mass, portion = (_mg(values, key) for key in ("mass", "portion"))
    if mass is not None and portion is not None:
        grams = float(GRAM.size / MILLIGRAM.size)
        portion_share(portion / grams, mass / grams, spot.words)
    gold = _mg(values, "metal")
    if gold is None and mass is not None and "grade" in values:
        typed = parse.figure(str(values["grade"]), FRACTION)
        gold = mass * float(typed.exact(table.BY_SPELLING["g/g"]))
    if gold is None:
        return
    held = mass if "metal" not in values or portion is None else portion
    if held is not None:
        metal_within(spot.words, gold, held)
    feed = model.entry(Spot("feed"))
    fed = None if feed is None else _mg(feed.values, "mass") or _mg(feed.values, "wet_mass")
    if fed is not None and spot.product != "feed":
        metal_within(say("circuit_gold_of_feed", what=spot.words), gold, fed)


def _tied_once(model: Model, spot: Spot, sample: str) -> None:
    """A cupel holds the gold of one spot; counted twice, the test would have gold from nowhere."""
    for other in model.tied(sample):
        if other != spot and STAGES[0:] and {other.product, spot.product} & set(STAGES):
            raise BadInput.of("circuit_tied_twice", x=quoted(sample), what=other.words)


def _mg(values: Mapping[str, object], key: str) -> float | None:
    """A mass of an entry, mg; None where it has none."""
    text = str(values.get(key) or "")
    return float(parse.figure(text, table.MASS).exact(MILLIGRAM)) if text else None


def overlapping(sizes: Sequence[str]) -> list[str]:
    """The first two sizes that share grains, in one sentence: they would count twice."""
    known = [(name, ends) for name in sizes if (ends := ends_um(name)) is not None]
    for i, (name, (upper, lower)) in enumerate(known):
        for other, (top, bottom) in known[i + 1 :]:
            if lower < top and bottom < upper:
                return [say("circuit_sizes_overlap", a=name, b=other)]
    return []


def typed_sizes(model: Model, entries: Sequence[Effective]) -> list[str]:
    """Sizes of which gold or a mass is typed, coarse first."""
    typed = {entry.text("size") for entry in entries}
    return [size for size in model.sizes if size in typed]
