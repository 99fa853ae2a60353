"""Equal stages: the recovery if the second stage catches as well as the first.

1 - B/A for one size; over sizes ΣA/ΣF with F = A²/(A - B), never from pooled sums, since mixing
sizes flatters. A size in which the second stage caught as much as the first, or may have, gives no
figure, and then the total has none. Method version 1, section 5.
"""

from collections.abc import Callable, Sequence

from assaybench.circuit import alike, written
from assaybench.circuit.alike import Drawn, Masses
from assaybench.circuit.amounts import Amounts
from assaybench.circuit.products import ALL
from assaybench.circuit.split import ONE_SIDED, TAIL, far_below, pair_of, widening
from assaybench.circuit.ways import OF_THE_FEED, Recovery
from assaybench.messages import say
from assaybench.metrology.bounded import Pair, equal_stages_cdf, quantile
from assaybench.metrology.figure import Layer, not_determinable
from assaybench.metrology.special import phi_inv
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

TOO_ALIKE = 0.05
"""P(B >= A) above which no equal-stages figure is formed."""
_FAR = 30.0
"""A - B from so many u on, and B from 4u on: the first order holds, the fixed points are spared."""
_NEAR = 4.0


def chance_not_below(pair: Pair) -> float:
    """P(B >= A); among the B that can be where B is near zero, that is, not below it."""
    whole = equal_stages_cdf(1.0, pair) if pair.b_near_zero else 1.0
    return equal_stages_cdf(0.0, pair) / whole if whole else 1.0


def equal_stages(sources: Sources, amounts: Amounts, at_most: Recovery, layer: Layer) -> Recovery:
    """1 - B/A of one size, with P(1 - B/A <= r) in closed form.

    Where B is near zero the distribution is cut at B = 0. Not determinable when B >= A, or
    P(B >= A) > 0.05, or stage 1 caught nothing to be seen.

    Raises:
        ValueError: when the masses carry no doubt.
    """
    why = refused(sources, amounts)
    if why:
        return _none(why, layer)
    ratio = 1 - amounts.rerun / amounts.caught
    doubt = sources.doubt(ratio)
    pair = pair_of(sources, amounts.caught, amounts.rerun, widening(doubt.dof))
    whole = equal_stages_cdf(1.0, pair) if pair.b_near_zero else 1.0

    def level(p: float) -> float:
        return quantile(lambda r: equal_stages_cdf(r, pair) / whole, p)

    return _record(sources, amounts, ratio, level, at_most, layer)


def fixed_points(sources: Sources, rows: Sequence[Amounts], mats: Uncertain) -> Drawn | None:
    """The test at the fixed points; None when a size gives no figure, or the first order holds."""
    doubt = sources.doubt(mats)
    far = nominal(mats) >= _NEAR * doubt.u and all(_far(sources, row) for row in rows)
    if far or any(refused(sources, row) for row in rows):
        return None
    masses = _masses(rows, mats)
    return alike.drawn(sources, masses, widening(sources.doubt(alike.recovery(masses)).dof))


def equal_stages_total(
    sources: Sources,
    rows: Sequence[Amounts],
    total: Amounts,
    points: Drawn | None,
    at_most: Recovery,
    layer: Layer,
) -> Recovery:
    """ΣA/ΣF over the sizes, with the mats in the feed.

    Args:
        sources: the sources of doubt.
        rows: the sizes.
        total: their sums, for the name, the mats and what was seen.
        points: of `fixed_points`; without them the interval is that of the first order.
        at_most: the upper bound of the total.
        layer: how far the doubt reaches.
    """
    reasons = [why for row in rows if (why := refused(sources, row))]
    if reasons:
        return _none(reasons[0], layer)
    ratio = alike.recovery(_masses(rows, total.mats))
    doubt = sources.doubt(ratio)

    def level(p: float) -> float:
        if points is None:
            return nominal(ratio) + phi_inv(p) * widening(doubt.dof) * doubt.u
        return alike.quantile_of(points.recovery, p)

    given = total if len(rows) > 1 else total._replace(name=rows[0].name)
    return _record(sources, given, ratio, level, at_most, layer, len(rows))


def refused(sources: Sources, amounts: Amounts) -> str:
    """Why a size has no equal-stages figure; empty when it has one."""
    below = far_below(sources, amounts.caught, amounts.rerun)
    if below is not None:
        return say("metal_below_zero", size=amounts.name, m=written.mass(nominal(below)))
    if not amounts.caught_seen and not amounts.rerun_seen:
        return say("recovery_none_seen", size=amounts.name)
    pair = pair_of(sources, amounts.caught, amounts.rerun)
    if not amounts.caught_seen or pair.b >= pair.a or chance_not_below(pair) > TOO_ALIKE:
        return say("stages_too_alike", size=amounts.name)
    return ""


def _none(why: str, layer: Layer) -> Recovery:
    figure = not_determinable("%", why, layer=layer, basis=OF_THE_FEED)
    return Recovery("equal stages", figure, sentence=why)


def _record(
    sources: Sources,
    amounts: Amounts,
    ratio: Uncertain,
    level: Callable[[float], float],
    at_most: Recovery,
    layer: Layer,
    sizes: int = 1,
) -> Recovery:
    assumptions = [say("assumed_alike")]
    if sizes == 1:
        assumptions.append(say("sizes_not_given" if amounts.name == ALL else "one_size_mixes"))
    if not amounts.rerun_seen:
        figure = written.one_sided(level(ONE_SIDED), "at least", layer, OF_THE_FEED)
        sentence = say("recovery_alike_least", figure=figure.text)
        return Recovery("equal stages", figure, (), tuple(assumptions), None, sentence)
    doubt = sources.doubt(ratio)
    figure = written.between(
        nominal(ratio),
        doubt.u,
        (max(level(TAIL), 0.0), min(level(1 - TAIL), 1.0)),
        k=doubt.k,
        dof=doubt.dof,
        status="measured",
        layer=layer,
        basis=OF_THE_FEED,
    )
    low, high = written.values(figure, at_most.figure)
    sentence = say("recovery_alike", figure=written.number(figure), lo=low, hi=high)
    return Recovery("equal stages", figure, doubt.budget, tuple(assumptions), None, sentence)


def _masses(rows: Sequence[Amounts], mats: Uncertain) -> Masses:
    return Masses(tuple(row.caught for row in rows), tuple(row.rerun for row in rows), mats)


def _far(sources: Sources, amounts: Amounts) -> bool:
    """Whether A - B and B are so far from zero that the first order holds."""
    gap, rerun = amounts.caught - amounts.rerun, amounts.rerun
    return bool(
        nominal(gap) > _FAR * sources.doubt(gap).u
        and nominal(rerun) > _NEAR * sources.doubt(rerun).u
    )
