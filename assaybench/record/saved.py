"""The tailings that a circuit test saved, as its log tells them, and what a log was fed with.

A heap bears the name of the sample that stands for it, else that of its log. A later log that was
fed with it says so by the sample of its feed: that sample is the heap, or is `of` it.
"""

from typing import NamedTuple

from assaybench.circuit import heaps
from assaybench.circuit.amounts import amounts_by_size
from assaybench.circuit.heaps import UNKNOWN, Left
from assaybench.circuit.losses import left_in_tailings
from assaybench.circuit.reconcile import MASS, Place
from assaybench.circuit.scenarios import refused
from assaybench.circuit.streams import FeedTest
from assaybench.messages import BadInput
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.record.circuit_run import Circuit, Kept, circuit_of, kept_tailings, streams_of
from assaybench.record.circuit_typed import KILOGRAM
from assaybench.record.results import Results

KILOGRAMS_IN_TONNE = 1000
TAILINGS = "tailings"


class Saved(NamedTuple):
    """The saved tailings of a log.

    Attributes:
        name: of the heap; empty where the log gives none.
        dry_t: its dry mass, t; None where it is not known.
        left: what is left in it.
        not_rerun: share of the stage-1 tailings that never went over the second stage.
        sources: the sources of doubt behind it.
        disagree: whether the streams of the test do not agree.
    """

    name: str
    dry_t: Uncertain | None
    left: Left
    not_rerun: float
    sources: Sources
    disagree: bool = False


def fed_with(found: Results) -> tuple[str, ...]:
    """Names of the heaps that the feed of a log came from, as far as the log names its feed."""
    names: dict[str, None] = {}
    samples = found.run.state.samples
    for entry in found.run.state.of("circuit"):
        named = entry.text("sample")
        if entry.text("product") == "feed" and named:
            names[named] = None
            if named in samples and samples[named].text("of"):
                names[samples[named].text("of")] = None
    return tuple(names)


def saved_tailings(found: Results) -> Saved | None:
    """The saved tailings of a log; None when it kept none, or does not say how much.

    Raises:
        BadInput: what stands in the way of its products, with what is accepted.
    """
    kept = kept_tailings(found)
    if kept is None:
        return None
    dry_t = None if kept.dry_kg is None else kept.dry_kg / KILOGRAMS_IN_TONNE
    circuit = None if kept.tailings is not None and dry_t is not None else circuit_of(found)
    if isinstance(circuit, FeedTest):
        worked_out = _worked_out(circuit, kept)
        if worked_out is not None:
            return worked_out
    if kept.tailings is not None:
        left = heaps.assayed(found.sources, kept.tailings)
        apart = _disagree(found)
        return Saved(kept.name, dry_t, left, 0.0, found.sources, disagree=apart)
    if dry_t is None:
        return None
    if not isinstance(circuit, Circuit):
        return Saved(kept.name, dry_t, UNKNOWN, 0.0, found.sources)
    share = nominal(circuit.test.rerun_share)
    return Saved(kept.name, dry_t, _scenario(circuit, kept, share), 1 - share, found.sources)


def _worked_out(test: FeedTest, kept: Kept) -> Saved | None:
    """What the feed and the other products leave for the tailings; None when nothing follows."""
    if test.agreed is None or Place(TAILINGS, MASS) not in test.agreed.values:
        return None
    share = kept.rerun_share
    mass: Uncertain | None
    if test.alone:
        mass, metal = kept.dry_kg, test.agreed.values[Place(TAILINGS, MASS)]
    elif test.mass_unit == KILOGRAM.symbol:
        mass = test.agreed.values[Place(TAILINGS, MASS)] * share
        metal = test.agreed.metal(TAILINGS)
    else:
        return None
    left = Left("worked out", heaps.even(test.sources, metal * share / 1000))
    dry_t = None if mass is None else mass / KILOGRAMS_IN_TONNE
    apart = not test.agreed.agrees
    return Saved(kept.name, dry_t, left, 1 - share, test.sources, disagree=apart)


def _disagree(found: Results) -> bool:
    """Whether the test is one of streams, and they do not agree; what cannot be told is no."""
    try:
        test = streams_of(found)
    except BadInput:
        return False
    return test is not None and test.agreed is not None and not test.agreed.agrees


def _scenario(circuit: Circuit, kept: Kept, share: float) -> Left:
    """What is left where nothing was assayed: by a stated second stage, else by equal stages."""
    sources = circuit.sources
    rows = amounts_by_size(sources, circuit.test, kept.fineness_spread)
    caught = share * sum(row.rerun for row in rows)
    if kept.second_stage is not None:
        left = caught * (1 / kept.second_stage - 1) / 1000
        return Left("stated second stage", heaps.even(sources, left))
    if not any(refused(sources, row) for row in rows):
        gone = circuit.result.losses[-1].gone
        return heaps.alike(sources, gone, left_in_tailings(rows), share)
    if kept.second_stage_least is not None:
        return heaps.least_stage(sources, caught * (1 / kept.second_stage_least - 1))
    return UNKNOWN
