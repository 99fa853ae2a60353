"""What stage 1 loses in each size: found behind it, lost if both stages catch alike, lost for good.

Method version 1, section 5. Figures in mg on one feed.
"""

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

from assaybench.circuit import alike
from assaybench.circuit.alike import Drawn
from assaybench.circuit.amounts import Amounts, below_zero
from assaybench.circuit.products import ALL
from assaybench.circuit.scenarios import refused
from assaybench.circuit.split import TAIL
from assaybench.messages import say
from assaybench.metrology.figure import COVERAGE, Figure, Layer, not_determinable, plain
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write

Measure = Literal["found", "equal stages"]


class Loss(NamedTuple):
    """What stage 1 loses in one size, or in all of them; figures in mg on one feed.

    Attributes:
        size: its name, or `all`.
        found: what was found behind stage 1: B, and weighed T where it was assayed by size.
        alike: AB/(A - B), lost by stage 1 if both stages catch alike; `high` is None where the
            interval has no upper end.
        gone: B²/(A - B), the part of it that the second stage lost too.
        share: of the loss of all sizes, 0..1; None when nothing was lost that can be counted, or
            metal of a size lies far below zero.
        by: what the share goes by.
    """

    size: str
    found: Figure
    alike: Figure
    gone: Figure
    share: float | None
    by: Measure


def losses(
    sources: Sources, rows: Sequence[Amounts], points: Drawn | None, layer: Layer
) -> tuple[Loss, ...]:
    """What stage 1 loses in each size, in the order of the sizes, and last in all of them.

    The share goes by what was found behind stage 1 where the final tailings were assayed by size,
    or a size has no equal-stages figure; else by equal stages.

    Args:
        sources: the sources of doubt.
        rows: the sizes.
        points: of `scenarios.fixed_points`; without them intervals are of the first order.
        layer: how far the doubt reaches.
    """
    assayed = all(row.tailings is not None for row in rows)
    formed = [not refused(sources, row) for row in rows]
    by: Measure = "found" if assayed or not all(formed) else "equal stages"
    found = [_found(row) for row in rows]
    lost: list[Uncertain] = [
        _lost(row) if ok else None for row, ok in zip(rows, formed, strict=True)
    ]
    gone: list[Uncertain] = [
        _gone(row) if ok else None for row, ok in zip(rows, formed, strict=True)
    ]
    weights = [max(nominal(mass), 0.0) for mass in (found if by == "found" else lost)]
    why = below_zero(sources, rows)
    whole = 0.0 if why else math.fsum(weights)
    made = [
        Loss(
            row.name,
            _found_behind(sources, row, found[i], layer),
            _figure(sources, lost[i], points.lost[i] if points else None, layer),
            _figure(sources, gone[i], points.gone[i] if points else None, layer),
            weights[i] / whole if whole > 0 else None,
            by,
        )
        for i, row in enumerate(rows)
    ]
    if len(rows) == 1:
        return tuple(made)
    lost_total, gone_total = (sum(lost), sum(gone)) if all(formed) else (None, None)
    total = Loss(
        ALL,
        not_determinable("mg", why, layer=layer)
        if why
        else _figure(sources, sum(found), None, layer),
        _figure(sources, lost_total, points.lost_total if points else None, layer),
        _figure(sources, gone_total, points.gone_total if points else None, layer),
        1.0 if whole > 0 else None,
        by,
    )
    return (*made, total)


def left_in_tailings(rows: Sequence[Amounts]) -> Uncertain:
    """Σ B²/(A - B): metal of the final tailings if both stages catch alike, mg; every B below A."""
    return sum(_gone(row) for row in rows)


def _found_behind(sources: Sources, row: Amounts, found: Uncertain, layer: Layer) -> Figure:
    """What was found behind stage 1, unless a mass that no noise explains would hide in the sum."""
    why = below_zero(sources, [row]) if row.tailings is not None else ""
    return not_determinable("mg", why, layer=layer) if why else _figure(sources, found, None, layer)


def _found(row: Amounts) -> Uncertain:
    return row.rerun + (row.tailings.weighed_mg if row.tailings is not None else 0.0)


def _lost(row: Amounts) -> Uncertain:
    return row.caught * row.rerun / (row.caught - row.rerun)


def _gone(row: Amounts) -> Uncertain:
    return row.rerun * row.rerun / (row.caught - row.rerun)


def _figure(
    sources: Sources, mass: Uncertain, rising: Sequence[float] | None, layer: Layer
) -> Figure:
    """A mass as a figure, mg: with the ends of its distribution where that is given."""
    if mass is None:
        return not_determinable("mg", say("loss_not_known"), layer=layer)
    doubt = sources.doubt(mass)
    if doubt.u == 0:
        return plain(nominal(mass), "mg", layer=layer)
    if rising is None:
        return sources.figure(mass, "mg", layer=layer)
    low, high = (alike.quantile_of(rising, p) for p in (TAIL, 1 - TAIL))
    if nominal(mass) < low:  # noise took it below all that it can be
        return _at_most(high, layer)
    text = write.short(nominal(mass), 3)
    least = write.short(low, 3)
    if math.isinf(high):
        text = f"{text} mg ({least} mg or more)"
    else:
        text = f"{text} mg ({least} to {write.short(high, 3)} mg)"
    return Figure(
        value=nominal(mass),
        unit="mg",
        u=doubt.u,
        low=low,
        high=None if math.isinf(high) else high,
        coverage_probability=COVERAGE,
        dof=doubt.dof,
        layer=layer,
        text=text,
    )


def _at_most(high: float, layer: Layer) -> Figure:
    """A loss of which only an upper end is known, or not even that."""
    if math.isinf(high):
        return not_determinable("mg", say("loss_not_known"), layer=layer)
    return Figure(
        value=high,
        unit="mg",
        low=0.0,
        high=high,
        coverage_probability=COVERAGE,
        layer=layer,
        status="at most",
        text=f"at most {write.short(high, 3)} mg",
    )
