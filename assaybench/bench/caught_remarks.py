"""The margin of page 5: which size to look at first, what the two figures mean, what would decide.

Plain sentences, the most important first; with a size chosen they speak of that size.
"""

from collections.abc import Iterator, Sequence

from assaybench.bench.caught_lines import Row, Shown
from assaybench.circuit import written
from assaybench.circuit.products import ALL
from assaybench.circuit.sampling import next_recovery
from assaybench.circuit.ways import Recovery
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
    flags = [*page.circuit.result.flags, *page.circuit.flags]
    found = [" ".join(f.text.split()) for f in flags if f.code not in _SAID_HERE]
    found.sort(key=lambda text: _of_another(page, row, text))
    supposed = _supposed(page, row)
    if chosen and row.part.name != ALL:
        return [*supposed, *_loses(page, row)[:1], *found]
    look = next((f.text for f in flags if f.code in _SAID_HERE[:2]), "")
    return [*supposed, *([look] if look else []), *found]


def _of_another(page: Shown, row: Row, text: str) -> bool:
    """Whether a sentence speaks of another size than that of a row."""
    names = (name for name in page.sizes if name != row.part.name)
    return any(text.startswith(f"{name}:") for name in names)


def middle(page: Shown, row: Row) -> Iterator[str]:
    """What a size loses of all, what its figures mean, and what would decide between them."""
    if row.part.name != ALL:
        yield from _loses(page, row)[1:]
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
    """What the weighing adds alone, or the assay with it, and beside it what the sample does.

    `Alone`, since which grains a run happens to catch is not in it.

    Args:
        page: what is shown.
        grains: counted in both catches together; None where not all of them were counted.
    """
    doubt, most = _largest_doubt(page.rows), page.circuit.result.total.by("at most")
    if doubt is None or most is None:
        return []
    ends = _next_run(most.figure, grains)
    code = "caught_weighing" if most.figure.layer == "weighing" else "caught_assay"
    U = write.significant_up(doubt, 1)  # noqa: N806  as the method calls it
    return [say(f"{code}_run", U=U, **ends) if ends else say(code, U=U)]


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


def _loses(page: Shown, row: Row) -> list[str]:
    """What stage 1 loses of a size, and how much that is of all that it loses."""
    made = page.circuit.result.losses
    loss = next((loss for loss in made if loss.size == row.part.name), None)
    if loss is None:
        return []
    found, alike = loss.found.value or 0.0, loss.alike.value
    said = say("caught_loses_from", name=row.part.name, lo=written.mass(found))
    if alike is not None:
        low, high = map(written.mass, sorted((found, alike)))
        said = say("caught_loses", name=row.part.name, lo=low, hi=high)
    if loss.share is None:
        return [said]
    return [said, say("caught_share", pct=write.percent(loss.share))]


def _largest_doubt(rows: Sequence[Row]) -> float | None:
    """The most that the weighing adds to either end of any line, points; None when not known."""
    figures = [r.figure for row in rows for r in row.part.recoveries if _of_a_line(r)]
    found = [_reach(figure) for figure in figures]
    known = [reach for reach in found if reach is not None]
    return max(known) if known else None


def _of_a_line(recovery: Recovery) -> bool:
    return recovery.way in ("at most", "equal stages") and recovery.figure.value is not None


def _reach(figure: Figure) -> float | None:
    if figure.value is None or figure.low is None or figure.high is None:
        return None
    return max(figure.value - figure.low, figure.high - figure.value)
