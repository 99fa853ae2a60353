"""A feed in two parts, what was caught and the rest: the share with its interval inside 0..100 %.

The rest may hold final tailings, joined as a normal amount while far from zero and by a law of
their own otherwise. Method version 1, section 5. Masses in milligrams.
"""

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from assaybench.circuit import quantiles, tailings_law, written
from assaybench.circuit.tailings import Tailings, critical_level_mg, few_grains
from assaybench.circuit.tailings_law import Law, Laws
from assaybench.messages import say
from assaybench.metrology import bounded
from assaybench.metrology.bounded import NEAR, Pair, share_cdf
from assaybench.metrology.figure import Budget, Figure, Layer, Status, not_determinable
from assaybench.metrology.freedom import WELL_KNOWN, coverage_factor
from assaybench.metrology.special import phi, phi_inv
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

TAIL = 0.025
ONE_SIDED = 0.05
FAR_BELOW = 3.0
_WIDE = 4.0
_EXACT = 1e-9


class Split(NamedTuple):
    """A feed in two: what is counted as caught, and the rest of it.

    Attributes:
        caught, rest: normal amounts, mg, signed; the rest without what its laws hold.
        caught_seen, rest_seen: whether anything of them can be told from zero.
        laws: of a further part of the rest that is near zero, bounded, or a few grains.
        further: that part as a first-order number, mg.
        up_to_mg: how much of it is only bounded.
        cut: whether a term is not told from zero, so that the value is the median of what is
            possible; from its L_C on the median is the nominal value but for 0.06 u of the term.
        held: a term of the rest that has noise of its own, such as the mats, mg.
    """

    caught: Uncertain
    rest: Uncertain
    caught_seen: bool
    rest_seen: bool
    laws: Laws | None = None
    further: Uncertain = 0.0
    up_to_mg: float = 0.0
    cut: bool = False
    held: Uncertain = 0.0


def seen(metal_mg: Uncertain, critical: float) -> bool:
    """Whether a mass is above zero and not below its L_C."""
    return nominal(metal_mg) > 0 and nominal(metal_mg) >= critical


def widening(dof: float) -> float:
    """Factor on u where an interval of few degrees of freedom is read off a normal law: t/z."""
    return 1.0 if dof >= WELL_KNOWN else coverage_factor(dof) / phi_inv(1 - TAIL)


def pair_of(sources: Sources, a: Uncertain, b: Uncertain, widen: float = 1.0) -> Pair:
    """Two amounts with the covariance of what they share.

    An exact mass beside a doubtful one gets a doubt of 1e-9 of itself, so that the laws of two
    doubtful masses hold for it.

    Raises:
        ValueError: when neither carries any doubt: a measured figure always has one.
    """
    u_a = widen * max(sources.covariance(a, a), 0.0) ** 0.5
    u_b = widen * max(sources.covariance(b, b), 0.0) ** 0.5
    if u_a == 0 and u_b == 0:
        raise ValueError("masses without any doubt give no recovery: a measured mass has one")
    u_a, u_b = u_a or _EXACT * abs(nominal(a)), u_b or _EXACT * abs(nominal(b))
    most = u_a * u_b
    covariance = min(max(widen**2 * sources.covariance(a, b), -most), most)
    return Pair(nominal(a), nominal(b), u_a, u_b, covariance)


def cut_at_zero(sources: Sources, metal: Uncertain, name: str, row: str) -> Uncertain:
    """A mass read below zero as what it can be: mean and spread of its law cut at zero.

    Args:
        sources: the sources of doubt.
        metal: the mass, mg, less than 3u below zero; its own noise is nearly all of its doubt.
        name, row: of the new source of doubt.

    Source: the mean and variance of a normal law cut on one side, any textbook of statistics.
    """
    doubt = sources.doubt(metal)
    below = -nominal(metal) / doubt.u
    steep = math.exp(-below * below / 2) / math.sqrt(2 * math.pi) / phi(-below)
    spread = doubt.u * math.sqrt(max(1 - steep * (steep - below), 0.0))
    middle = nominal(metal) + doubt.u * steep
    return sources.variable(f"{name}, not below zero", middle, spread, dof=doubt.dof, row=row)


def far_below(sources: Sources, *metals: Uncertain) -> Uncertain | None:
    """The first mass that lies more than 3u below zero; None when noise explains them all."""
    for metal in metals:
        if nominal(metal) < -FAR_BELOW * sources.doubt(metal).u:
            return metal
    return None


def joined(sources: Sources, tailings: Tailings, split: Split) -> Split:
    """The final tailings joined to the rest of a split.

    Weighed metal far from zero (4u) and of 20 grains or more joins as a normal amount, with all
    that it shares with the others; then the rest may be near zero, and has its own law. Below, the
    tailings are independent of the others and have theirs.
    """
    weighed = tailings.weighed_mg
    doubt = sources.doubt(weighed)
    u = doubt.u * widening(doubt.dof)
    limit = critical_level_mg(sources, weighed, tailings.critical_mg)
    tailings_seen = seen(weighed, limit)
    found = split._replace(rest_seen=split.rest_seen or tailings_seen, up_to_mg=tailings.up_to_mg)
    grains = few_grains(tailings, u)
    if grains is not None and tailings.up_to_mg == 0:
        laws = tailings_law.grain_count(nominal(weighed), grains)
        return found._replace(laws=laws, further=weighed, cut=split.cut or not tailings_seen)
    near = u > 0 and nominal(weighed) < NEAR * u
    found = found._replace(cut=split.cut or (near and not tailings_seen))
    apart = _near_apart(sources, found, (split.rest - split.held, split.held, weighed), tailings)
    if apart is not None:
        return apart
    if near:
        law = tailings_law.cut_normal(nominal(weighed), u, tailings.up_to_mg)
        return found._replace(laws=tailings_law.one(law), further=tailings.metal_mg)
    bounded = tailings_law.rectangle(tailings.up_to_mg) if tailings.up_to_mg > 0 else None
    return found._replace(
        rest=split.rest + weighed,
        laws=None if bounded is None else tailings_law.one(bounded),
        further=tailings.unseen_mg,
    )


def _near_apart(
    sources: Sources,
    split: Split,
    terms: Sequence[Uncertain],
    tailings: Tailings | None = None,
) -> Split | None:
    """A rest whose terms near zero are each cut there, beside those that are far from it.

    In a sum with another term a near one could be less than nothing and no cut would be felt. So
    near to zero its own noise is nearly all of its doubt, and it is independent of the others.

    Args:
        sources: the sources of doubt.
        split: what is to be split further.
        terms: of the rest, mg.
        tailings: of which a part may only be bounded, beside the near terms.
    """
    near: list[Uncertain] = []
    far: list[Uncertain] = []
    for term in terms:
        doubt = sources.doubt(term)
        if doubt.u > 0 or nominal(term) != 0:
            felt = nominal(term) < NEAR * doubt.u * widening(doubt.dof)
            (near if felt else far).append(term)
    if not near or len(near) + len(far) < 2:
        return None
    if not far:  # the pair itself cuts one of them
        far, near = near[:1], near[1:]
    up_to = 0.0 if tailings is None else tailings.up_to_mg
    law = _law_of(sources, near, up_to)
    unseen = 0.0 if tailings is None else tailings.unseen_mg
    return split._replace(rest=sum(far), laws=tailings_law.one(law), further=sum(near) + unseen)


def _law_of(sources: Sources, near: Sequence[Uncertain], up_to_mg: float) -> Law:
    """The law of one or two masses near zero, each cut there, and of what was not seen."""
    cut = []
    for term in near:
        doubt = sources.doubt(term)
        cut.append((nominal(term), doubt.u * widening(doubt.dof)))
    if len(cut) == 1:
        return tailings_law.cut_normal(*cut[0], up_to_mg)
    return tailings_law.two_cut(cut[0], cut[1], up_to_mg)


def share(
    sources: Sources,
    name: str,
    split: Split,
    *,
    layer: Layer,
    basis: str,
    status: Status,
) -> tuple[Figure, Budget]:
    """caught/(caught + rest) in per cent, with its interval inside 0..100 and its budget.

    Neither seen: not determinable. The rest not seen: `at least`, exceeded 95 times in 100. What
    was caught not seen: `at most`, likewise.

    Args:
        sources: the sources of doubt.
        name: of the size, for the reasons.
        split: the two amounts.
        layer, basis, status: of the figure when both are seen.

    Raises:
        ValueError: when no mass carries any doubt.
    """
    if split.laws is None and nominal(split.further) == 0:
        split = _near_apart(sources, split, (split.rest - split.held, split.held)) or split
    below = far_below(sources, split.caught, split.rest, split.further)
    if below is not None:
        why = say("metal_below_zero", size=name, m=written.mass(nominal(below)))
        return not_determinable("%", why, layer=layer, basis=basis), ()
    if not split.caught_seen and not split.rest_seen:
        why = say("recovery_none_seen", size=name)
        return not_determinable("%", why, layer=layer, basis=basis), ()
    whole = split.caught + split.rest + split.further
    ratio = split.caught / whole if nominal(whole) > 0 else whole
    doubt = sources.doubt(ratio)
    level = _quantiles(sources, split, widening(doubt.dof), _around(nominal(ratio), doubt.u))
    if not split.rest_seen:
        return written.one_sided(level(ONE_SIDED), "at least", layer, basis), ()
    if not split.caught_seen:
        return written.one_sided(level(1 - ONE_SIDED), "at most", layer, basis), ()
    figure = written.between(
        level(0.5) if split.cut else nominal(ratio),
        doubt.u,
        (level(TAIL), level(1 - TAIL)),
        k=doubt.k,
        dof=doubt.dof,
        status=status,
        layer=layer,
        basis=basis,
    )
    return figure, doubt.budget


def _around(value: float, u: float) -> tuple[float, float]:
    """Where the quantiles of a share lie while the first order holds."""
    low, high = max(value - _WIDE * u, 0.0), min(value + _WIDE * u, 1.0)
    return (low, high) if low < high else (0.0, 1.0)


def _quantiles(
    sources: Sources, split: Split, widen: float, near: tuple[float, float]
) -> Callable[[float], float]:
    """The share that is not exceeded with probability p; where to look first is given."""
    pair = pair_of(sources, split.caught, split.rest, widen)
    held = split.laws
    if held is not None:
        return lambda p: tailings_law.closed_quantile(p, pair, held, near)
    if pair.a_near_zero or pair.b_near_zero:
        return lambda p: quantiles.quantile(lambda r: share_cdf(r, pair), p, near)
    return lambda p: bounded.quantile(lambda r: share_cdf(r, pair), p)
