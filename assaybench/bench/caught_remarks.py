"""The margin of page 5: which size to look at first, what the two figures mean, what would decide.

Plain sentences, the most important first; with a size chosen they speak of that size.
"""

from collections.abc import Iterator

from assaybench.bench.caught_lines import Row, Shown, largest_doubt
from assaybench.circuit import written
from assaybench.circuit.losses import Loss
from assaybench.circuit.products import ALL
from assaybench.circuit.sampling import next_recovery
from assaybench.messages import say
from assaybench.metrology.figure import Figure
from assaybench.units import write

_SAID_HERE = (
    "look_at_size", "look_at_size_found", "no_lower_bound", "sizes_not_given", "next_run_caught",
    "circuit_portion_weighed", "circuit_mass_weighed",
)  # fmt: skip
"""Flags whose sentences stand in the margin in a shorter form."""
_TENTHS = -1


def first(page: Shown, row: Row, *, chosen: bool) -> list[str]:
    """What must be said: contradictions, the size to look at, what is supposed.

    Args:
        page: what is shown.
        row: the size under the pointer, or all of them.
        chosen: whether a size was chosen.
    """
    result = page.circuit.result
    flags = [*result.flags, *page.circuit.flags]
    found = [" ".join(f.text.split()) for f in flags if f.code not in _SAID_HERE]
    look = next((f.text for f in flags if f.code in _SAID_HERE[:2]), "")
    loss = next((loss for loss in result.losses if loss.size == row.part.name), None)
    if chosen and row.part.name != ALL and loss is not None:
        return [*_supposed(page, row), _loses(row, loss), *_share(loss), *found]
    return [*_supposed(page, row), *([look] if look else []), *found]


def middle(page: Shown, row: Row) -> Iterator[str]:
    """What the two figures of a size mean, and what would decide between them."""
    most, alike = row.part.by("at most"), row.part.by("equal stages")
    closed = row.part.by("closed")
    if closed is not None:
        yield " ".join(closed.sentence.split())
    if most is not None and most.figure.status == "at most":
        yield say("caught_at_most", name=row.part.name, hi=_tenths(most.figure))
    elif most is not None and most.sentence:
        yield " ".join(most.sentence.split())
    if alike is not None and alike.figure.value is not None:
        yield say("caught_if_alike", lo=_tenths(alike.figure))
    elif most is not None and most.figure.status == "at most":
        yield say("caught_not_alike")
    if page.circuit.test.all_tailings is None:
        yield say("caught_to_know")


def last(page: Shown, grains: int | None = None) -> list[str]:
    """What the weighing adds, or weighing and assay, and beside it what the sample does.

    Args:
        page: what is shown.
        grains: counted in both catches together; None where not all of them were counted.
    """
    doubt, most = largest_doubt(page.rows), page.circuit.result.total.by("at most")
    if doubt is None or most is None:
        return []
    ends = _next_run(most.figure, grains)
    sample = say("caught_sample_run", **ends) if ends else say("caught_sample_open")
    code = "caught_weighing" if most.figure.layer == "weighing" else "caught_assay"
    return [say(code, U=write.significant_up(doubt, 1), sample=sample)]


def of_sample(page: Shown, grains: int | None = None) -> list[str]:
    """The doubt of the sample at length, where there is room: portions, and the next run.

    Args:
        page: what is shown.
        grains: counted in both catches together; None where not all of them were counted.
    """
    most, portions = page.circuit.result.total.by("at most"), say("portion_grains")
    ends = None if most is None else _next_run(most.figure, grains)
    run = say("caught_next_run", n=grains, **ends) if ends else say("caught_next_run_open")
    return [*([portions] if portions in page.circuit.said else []), run]


def _next_run(most: Figure, grains: int | None) -> dict[str, str]:
    """Between which ends the next run may have it, per cent; empty where nobody counted grains."""
    if most.value is None or not grains:
        return {}
    _, ends = next_recovery(most.value / 100, grains)
    return {"lo": write.at_place(100 * ends.low, 0), "hi": write.at_place(100 * ends.high, 0)}


def _tenths(figure: Figure) -> str:
    return write.at_place(figure.value or 0.0, _TENTHS)


def _supposed(page: Shown, row: Row) -> list[str]:
    """The recovery that follows from what is supposed, in the words of the method."""
    if page.supposed is None:
        return []
    parts = (*page.supposed.sizes, page.supposed.total)
    part = next((p for p in parts if p.name == row.part.name), page.supposed.total)
    stated = part.by("stated second stage")
    return [] if stated is None else [" ".join(stated.sentence.split())]


def _loses(row: Row, loss: Loss) -> str:
    low = written.mass(loss.found.value or 0.0)
    if loss.alike.value is None:
        return say("caught_loses_from", name=row.part.name, lo=low)
    high = written.mass(loss.alike.value)
    return say("caught_loses", name=row.part.name, lo=low, hi=high)


def _share(loss: Loss) -> list[str]:
    if loss.share is None:
        return []
    return [say("caught_share", pct=write.percent(loss.share))]
