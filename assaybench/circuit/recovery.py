"""The recovery of a two-stage circuit test: each size and all of them, by every way that is open.

At most, closed, both stages, equal stages, a stated and a least second stage stand beside each
other, each named what it is; where the 95 % intervals of two do not overlap both are kept and said.
Con ÷ re-run is a ratio and is refused. Method version 1, section 5.
"""

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple

from assaybench.circuit import scenarios, ways, written
from assaybench.circuit.alike import Drawn
from assaybench.circuit.amounts import Amounts, amounts_by_size, amounts_of_all, below_zero
from assaybench.circuit.contradiction import contradiction
from assaybench.circuit.head import HeadGap, beside_assayed, built_up_head
from assaybench.circuit.losses import Loss, losses
from assaybench.circuit.products import ALL, CircuitTest
from assaybench.circuit.sampling import next_recovery
from assaybench.circuit.ways import Recovery, Way
from assaybench.messages import say
from assaybench.metrology.figure import Figure, Flag, Layer, flag, not_determinable
from assaybench.metrology.freedom import coverage_factor
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write

SecondStage = Uncertain | Mapping[str, Uncertain]
"""r2, a share of one: the same for all sizes, or by the name of each."""


class Part(NamedTuple):
    """One size, or all of them, by every way that is open.

    Attributes:
        name: of the size, or `all`.
        recoveries: in the order of `ways.Way`.
    """

    name: str
    recoveries: tuple[Recovery, ...]

    def by(self, way: Way) -> Recovery | None:
        """The recovery by one way; None when that way is not open."""
        return next((found for found in self.recoveries if found.way == way), None)


class CircuitResult(NamedTuple):
    """What a circuit test says.

    Attributes:
        sizes: each size, in the order given.
        total: all of them.
        losses: what stage 1 loses in each size, and last in all of them when there are several.
        look_at: the size that loses most; empty when there is one size, or nothing is lost.
        head: built up from the products, g/t of dry feed; None when the feed was not weighed.
        flags: what a reader must know: contradictions, no lower bound, the size to look at.
        assumptions: what all of it rests on, in words.
        head_gap: the head beside the one assayed; None when there are not both.
        catches: of the second stage as stated, or the least one, by way and size, shares of one.
        next_run: what stage 1 may hold of both catches when other grains are drawn, by size, where
            the grains of both catches were counted.
    """

    sizes: tuple[Part, ...]
    total: Part
    losses: tuple[Loss, ...]
    look_at: str
    head: Figure | None
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]
    head_gap: HeadGap | None = None
    catches: Mapping[Way, Mapping[str, float]] = MappingProxyType({})
    next_run: Mapping[str, Figure] = MappingProxyType({})


def concentrate_over_rerun(concentrate_mg: Uncertain, rerun_mg: Uncertain) -> Figure:
    """Con ÷ re-run asked for as a recovery: refused, with the reason.

    Args:
        concentrate_mg, rerun_mg: metal of the two, mg.
    """
    a, b = nominal(concentrate_mg), nominal(rerun_mg)
    ratio = write.short(a / b, 2) if b > 0 else "endless"
    return not_determinable("%", say("ratio_no_recovery", x=ratio))


def recover(
    sources: Sources,
    test: CircuitTest,
    *,
    second_stage: SecondStage | None = None,
    second_stage_least: SecondStage | None = None,
    u_fineness: float = 0.0,
    layer: Layer = "weighing",
    grains: Mapping[str, int] = MappingProxyType({}),
) -> CircuitResult:
    """Recovery of stage 1, and of both stages, from the products of a test.

    Args:
        sources: the sources of doubt behind its masses; what two masses share cancels by it.
        test: the products by size, final tailings, mats and feed.
        second_stage: r2 as stated, a share of one; for the scenario A/(A + B/r2).
        second_stage_least: the least r2 that is vouched for; gives a lower bound.
        u_fineness: relative standard uncertainty of the unknown fineness of the beads, one
            variable for each product: u(R) gains R(1 - R)·√2·u_f. 0 when gold was parted.
        layer: how far the doubt of the masses reaches.
        grains: counted in both catches together, by size, or of all; for the next run alone.

    Raises:
        ValueError: when r2 is not above 0 and at most 1, or lacks a size; when u_fineness is
            negative; when masses carry no doubt at all.
    """
    rows = amounts_by_size(sources, test, u_fineness)
    total = amounts_of_all(sources, test, rows, u_fineness)
    points = scenarios.fixed_points(sources, rows, total.mats)
    asked = [
        (_by_size(second_stage, rows, "the catch of the second stage"), False),
        (_by_size(second_stage_least, rows, "the least catch of the second stage"), True),
    ]
    sizes = tuple(_size(sources, row, asked, layer) for row in rows)
    whole = _all(sources, rows, total, points, asked, layer)
    lost = losses(sources, rows, points, layer)
    look_at = _size_to_look_at(lost)
    flags = _flags(rows, total, (*sizes, whole), lost, look_at)
    if total.tailings is None and second_stage_least is None:
        flags.append(flag("no_lower_bound"))
    next_run = {
        row.name: found
        for row in (*rows, total)
        if (found := _next_run(row, grains.get(row.name, 0))) is not None
    }
    flags += [_drawn_again(name, found, grains[name]) for name, found in next_run.items()]
    head, gap = _head(sources, test, rows, total, layer)
    return CircuitResult(
        sizes=sizes,
        total=whole,
        losses=lost,
        look_at=look_at,
        head=head,
        flags=tuple(flags),
        assumptions=_assumptions(test, u_fineness),
        head_gap=gap,
        catches={
            "least second stage" if least else "stated second stage": {
                size: nominal(catch) for size, catch in by_size.items()
            }
            for by_size, least in asked
            if by_size
        },
        next_run=next_run,
    )


def _next_run(amounts: Amounts, grains: int) -> Figure | None:
    """A/(A + B) of the next run, which draws other grains; None where none was counted or seen."""
    a, b = (max(nominal(mass), 0.0) for mass in (amounts.caught, amounts.rerun))
    if grains < 1 or a + b == 0:
        return None
    share = a / (a + b)
    u, ends = next_recovery(share, grains)
    return written.between(
        share,
        u,
        (ends.low, ends.high),
        k=coverage_factor(math.inf),
        dof=math.inf,
        status="measured",
        layer="sampling",
        basis=ways.OF_BOTH_CATCHES,
    )


def _drawn_again(name: str, found: Figure, grains: int) -> Flag:
    low, high = written.ends(found.low or 0.0, found.high or 0.0)
    shown = write.short(found.value or 0.0, 3)
    return flag("next_run_caught", size=name, N=grains, R=shown, lo=low, hi=high)


Asked = Sequence[tuple[Mapping[str, Uncertain], bool]]
"""Catches of the second stage by size, and whether each is the least one; empty when not stated."""


def _size(sources: Sources, row: Amounts, asked: Asked, layer: Layer) -> Part:
    bound = ways.at_most(sources, row, layer)
    alike = scenarios.equal_stages(sources, row, bound, layer)
    part = _part(sources, row, [row], (bound, alike), asked, layer)
    found = [_unless_below(sources, [row], row, by, layer) for by in part.recoveries]
    return part._replace(recoveries=tuple(found))


def _all(
    sources: Sources,
    rows: Sequence[Amounts],
    total: Amounts,
    points: Drawn | None,
    asked: Asked,
    layer: Layer,
) -> Part:
    bound = ways.at_most(sources, total, layer)
    if len(rows) == 1 and nominal(total.mats) == 0:
        given = total._replace(name=rows[0].name)  # one size that was given is no unknown mix
        alike = scenarios.equal_stages(sources, given, bound, layer)
    else:
        alike = scenarios.equal_stages_total(sources, rows, total, points, bound, layer)
    part = _part(sources, total, rows, (bound, alike), asked, layer)
    found = [_unless_below(sources, rows, total, by, layer) for by in part.recoveries]
    return part._replace(recoveries=tuple(found))


def _unless_below(
    sources: Sources, rows: Sequence[Amounts], total: Amounts, found: Recovery, layer: Layer
) -> Recovery:
    """A recovery of all sizes, refused where metal far below zero would hide in the sum."""
    why = below_zero(sources, rows, total.mats, tailings=found.way in {"closed", "both stages"})
    if not why:
        return found
    figure = not_determinable("%", why, layer=layer, basis=found.figure.basis)
    return Recovery(found.way, figure, sentence=why)


def _part(
    sources: Sources,
    amounts: Amounts,
    rows: Sequence[Amounts],
    bound_and_alike: tuple[Recovery, Recovery],
    asked: Asked,
    layer: Layer,
) -> Part:
    bound, alike = bound_and_alike
    found = [bound]
    if amounts.tailings is not None:
        found.append(ways.closed(sources, amounts, layer))
        found.append(ways.both_stages(sources, amounts, layer))
    found.append(alike)
    for catch, least in asked:
        if catch:
            escaped = sum(row.rerun / catch[row.name] for row in rows)
            said = _percent_of([catch[row.name] for row in rows])
            found.append(ways.second_stage(sources, amounts, escaped, said, layer, least=least))
    return Part(amounts.name, tuple(found))


def _percent_of(catches: Sequence[Uncertain]) -> str:
    """Shares in per cent as they are written, one when all are alike."""
    shown = [write.short(100 * nominal(catch), 3) for catch in catches]
    return shown[0] if len(set(shown)) == 1 else ", ".join(shown)


def _by_size(
    stated: SecondStage | None, rows: Sequence[Amounts], name: str
) -> Mapping[str, Uncertain]:
    if stated is None:
        return {}
    by_size = stated if isinstance(stated, Mapping) else {row.name: stated for row in rows}
    for row in rows:
        if row.name not in by_size:
            raise ValueError(
                f"{name} is stated for every size or for none: {row.name!r} is missing"
            )
        if not 0 < nominal(by_size[row.name]) <= 1:
            raise ValueError(f"{name} is above 0 and at most 1, not {nominal(by_size[row.name])!r}")
    return by_size


def _size_to_look_at(lost: Sequence[Loss]) -> str:
    """The size that loses most; empty when there is one size, or nothing is lost."""
    by_size = [loss for loss in lost if loss.size != ALL]
    if len(by_size) < 2 or any(loss.share is None for loss in by_size):
        return ""
    return max(by_size, key=lambda loss: loss.share or 0.0).size


def _flags(
    rows: Sequence[Amounts],
    total: Amounts,
    parts: Sequence[Part],
    lost: Sequence[Loss],
    look_at: str,
) -> list[Flag]:
    flags = [_look(loss) for loss in lost if loss.size == look_at]
    behind = [([row], row) for row in rows] + [(list(rows), total)]
    if len(rows) == 1:
        behind, parts = behind[1:], parts[1:]  # one size is all of them: said once
    for part, (sizes, amounts) in zip(parts, behind, strict=True):
        closed, alike = part.by("closed"), part.by("equal stages")
        if closed is not None and alike is not None:
            flags.extend(contradiction(amounts, sizes, closed.figure, alike.figure))
    return flags


def _look(loss: Loss) -> Flag:
    found, alike = loss.found.value or 0.0, loss.alike.value
    if alike is None:
        return flag("look_at_size_found", size=loss.size, lo=written.mass(found))
    low, high = map(written.mass, sorted((found, alike)))
    return flag("look_at_size", size=loss.size, lo=low, hi=high)


def _head(
    sources: Sources, test: CircuitTest, rows: Sequence[Amounts], total: Amounts, layer: Layer
) -> tuple[Figure | None, HeadGap | None]:
    if test.dry_feed_kg is None:
        return None, None
    why = below_zero(sources, rows, total.mats)
    if why:
        return not_determinable("g/t", why, layer=layer), None
    metal = total.caught + total.rerun + total.mats
    up_to: float | None = None
    if total.tailings is not None:
        metal = metal + total.tailings.weighed_mg
        up_to = total.tailings.up_to_mg
    head = built_up_head(sources, metal, test.dry_feed_kg, up_to_mg=up_to, layer=layer)
    if test.head_g_t is None:
        return head, None
    return head, beside_assayed(sources, head, metal / test.dry_feed_kg, test.head_g_t)


def _assumptions(test: CircuitTest, u_fineness: float) -> tuple[str, ...]:
    said = []
    if nominal(test.rerun_share) < 1:
        said.append(say("assumed_share", pct=write.percent(nominal(test.rerun_share), 3)))
    if nominal(test.mats_mg):
        said.append(say("assumed_mats"))
    if nominal(test.middlings_mg):
        said.append(say("assumed_middlings"))
    if u_fineness > 0:
        said.append(say("assumed_fineness", pct=write.percent(u_fineness)))
    return tuple(said)
