"""The sum of a circuit test: every recovery whose value is a quotient of masses, with its numbers.

A value that is the median or an end of a distribution cut at zero is no such quotient: it gets no
line, since no pocket calculator gives it.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

from assaybench.circuit.products import ALL
from assaybench.circuit.recovery import Part
from assaybench.circuit.tailings import Tailings
from assaybench.circuit.ways import Way
from assaybench.metrology.uncertain import nominal
from assaybench.record import sums
from assaybench.record.circuit_run import Circuit

STAGE_2: dict[Way, str] = {
    "stated second stage": "with stage 2 as stated",
    "least second stage": "with stage 2 at its least",
}


class _Masses(NamedTuple):
    """What one size, or all of them, is worked out from, mg on one feed.

    Attributes:
        names: of its sizes.
        caught, behind: A and B of each, B of all the stage-1 tailings.
        mats: metal left in mats and middlings.
        tailings: T of all the stage-1 tailings; None when they were not assayed.
    """

    names: tuple[str, ...]
    caught: tuple[float, ...]
    behind: tuple[float, ...]
    mats: float
    tailings: float | None


def steps(circuit: Circuit) -> list[sums.Step]:
    """Each size, then all of them, by every way that is open."""
    test, result = circuit.test, circuit.result
    share = nominal(test.rerun_share)
    caught = tuple(nominal(row.concentrate.metal_mg) for row in test.rows)
    behind = tuple(nominal(row.rerun.metal_mg) / share for row in test.rows)
    names = tuple(row.size for row in test.rows)
    made: list[sums.Step] = []
    if len(names) > 1:
        for i, (row, part) in enumerate(zip(test.rows, result.sizes, strict=True)):
            tailings = _metal(row.tailings, share)
            masses = _Masses(names[i : i + 1], caught[i : i + 1], behind[i : i + 1], 0.0, tailings)
            made += _of_part(circuit, part, part.name, masses)
    held, left = nominal(test.held_mg), _metal(test.all_tailings, share)
    masses = _Masses(names, caught, behind, held, left)
    return [*made, *_of_part(circuit, result.total, ALL, masses)]


def _metal(tailings: Tailings | None, share: float) -> float | None:
    return None if tailings is None else nominal(tailings.metal_mg) / share


def _of_part(circuit: Circuit, part: Part, name: str, held: _Masses) -> list[sums.Step]:
    """One size, or all of them: A over A + B, over what else is counted as the feed, or alike."""
    found = [_quotient(part, "at most", f"{name}, at most", held.caught, held.behind, held.mats)]
    found.append(_alike(part, name, held))
    if held.tailings is not None:
        rest = (*held.behind, held.tailings)
        found.append(_quotient(part, "closed", f"{name}, closed", held.caught, rest, held.mats))
        both, left = (*held.caught, *held.behind), (held.tailings,)
        found.append(_quotient(part, "both stages", f"{name}, both stages", both, left, held.mats))
    for way, words in STAGE_2.items():
        catch = circuit.result.catches.get(way)
        if catch is not None:
            r2 = [catch[size] for size in held.names]
            label = f"{name}, {words}"
            found.append(_quotient(part, way, label, held.caught, held.behind, held.mats, r2))
    return [step for step in found if step is not None]


def _quotient(
    part: Part,
    way: Way,
    name: str,
    caught: Sequence[float],
    rest: Sequence[float],
    mats: float,
    catches: Sequence[float] = (),
) -> sums.Step | None:
    """100 × caught / (caught + rest + mats), each of the rest over the catch of stage 2."""
    shares = catches or [1.0] * len(rest)
    value = 100 * math.fsum(caught)
    fed = math.fsum((*caught, mats, *(b / r2 for b, r2 in zip(rest, shares, strict=True))))
    behind = [f"{sums.n(b)}/{sums.n(r2)}" if catches else sums.n(b)
              for b, r2 in zip(rest, shares, strict=True)]  # fmt: skip
    top = " + ".join(sums.n(a) for a in caught)
    under = " + ".join([top, *behind, *([sums.n(mats)] if mats else [])])
    over = f"({top})" if len(caught) > 1 else top
    return _kept(part, way, name, f"100 × {over} / ({under})", value / fed if fed else math.nan)


def _alike(part: Part, name: str, held: _Masses) -> sums.Step | None:
    """1 - B/A of one size; ΣA over ΣA²/(A - B) of several; none with mats, which have no B."""
    # a catch of nothing has no 1 - B/A, and behind it noise may be below zero
    if held.mats or any(a <= max(b, 0) for a, b in zip(held.caught, held.behind, strict=True)):
        return None
    pairs = list(zip(held.caught, held.behind, strict=True))
    if part.name != ALL:
        ((a, b),) = pairs
        expression, value = f"100 × (1 - {sums.n(b)} / {sums.n(a)})", 100 * (1 - b / a)
    else:
        fed = " + ".join(f"{sums.n(a)}^2/({sums.n(a)} - {sums.n(b)})" for a, b in pairs)
        top = " + ".join(sums.n(a) for a, _ in pairs)
        expression = f"100 × ({top}) / ({fed})"
        value = 100 * math.fsum(held.caught) / math.fsum(a * a / (a - b) for a, b in pairs)
    return _kept(part, "equal stages", f"{name}, if alike", expression, value)


def _kept(part: Part, way: Way, name: str, expression: str, value: float) -> sums.Step | None:
    """The step, when the recovery of this way is this quotient."""
    found = part.by(way)
    shown = None if found is None else found.figure.value
    if shown is None or not math.isclose(value, shown, rel_tol=1e-9):
        return None
    return sums.step(name, expression, shown, "%")
