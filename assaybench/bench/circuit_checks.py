"""What cannot be in a circuit test, said when it is typed: one answer held against the others.

What a log holds already is never refused, only told: it may come from a sheet or a command.
"""

from collections.abc import Mapping, Sequence

from assaybench.bench.circuit_model import STAGES, Model, Spot
from assaybench.bench.circuit_sizes import ends_um
from assaybench.circuit.contradiction import metal_within
from assaybench.circuit.products import portion_share
from assaybench.circuit.split import FAR_BELOW
from assaybench.messages import BadInput, quoted, say
from assaybench.record.typed import typed_doubt
from assaybench.units import parse, table
from assaybench.units.table import FRACTION, GRAM, GRAM_PER_TONNE, MILLIGRAM

_MG_PER_G = float(GRAM.size / MILLIGRAM.size)
_G_PER_TONNE = float(table.BY_SPELLING["t"].size / GRAM.size)
_SHARES = {
    "water": (0, 99),
    "rerun_share": (0.1, 100),
    "second_stage": (0.1, 100),
    "second_stage_least": (0, 100),
    "fineness_spread": (0, 100),
}
"""Ends of the shares, per cent: with more water nothing dry is left to work with, and a second
stage that was fed nothing, or catches nothing, tells nothing of the first."""
_TYPED = ("mass", "wet_mass", "portion")


def one_amiss(key: str, text: str, product: str = "") -> None:
    """See that one figure can be what its key says.

    Args:
        key: of the circuit entry.
        text: the figure as it is stored.
        product: of the entry.

    Raises:
        BadInput: for water that leaves nothing dry, gold further below zero than its ± explains, a
            mass that is a limit.
    """
    if key in _SHARES:
        least, most = _SHARES[key]
        parse.share(text, key if key == "water" else say(f"asked_{key}"), least, most)
    elif key in ("grade", "metal"):
        typed = parse.figure(text, (*table.MASS, *FRACTION))
        noise = 0.0 if product == "feed" else FAR_BELOW * typed_doubt(typed, typed.unit)
        if typed.value < -noise:
            raise BadInput.of("number_negative", x=quoted(text), what=key)
        if key == "metal" and typed.below:
            raise BadInput.of("uncertainty_below", x=quoted(text))
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
    _assayed_once(model, spot, values)
    mass, portion = (_mg(values, key) for key in ("mass", "portion"))
    if mass is not None and portion is not None:
        portion_share(portion / _MG_PER_G, mass / _MG_PER_G, spot.words)
    gold = _mg(values, "metal")
    if gold is None and mass is not None and "grade" in values:
        grade = parse.figure(str(values["grade"]), FRACTION)
        gold = mass * float(grade.exact(GRAM_PER_TONNE)) / _G_PER_TONNE
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
        if other != spot and {other.product, spot.product} & set(STAGES):
            raise BadInput.of("circuit_tied_twice", x=quoted(sample), what=other.words)


def _assayed_once(model: Model, spot: Spot, values: Mapping[str, object]) -> None:
    """Tailings are assayed for every size, or once for all of them: else they would count twice."""
    others = model.spots_of(spot.product)[1:] if not spot.size else [Spot(spot.product)]
    if spot.product in STAGES or not {"metal", "grade"} & set(values):
        return
    for other in others:
        entry = model.entry(other)
        if entry is not None and (entry.text("metal") or entry.text("grade")):
            raise BadInput.of("tailings_twice", what=other.words)


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
