"""The head of a feed built up from its products, and beside it the head as it was assayed.

Method version 1, section 5: the gap is shown with its significance and never spread over products.
"""

from typing import NamedTuple

from assaybench.messages import BadInput, say
from assaybench.metrology.compare import Difference, difference
from assaybench.metrology.figure import Figure, Layer, measured, not_determinable
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write

MG_PER_KG = 1e6


class HeadGap(NamedTuple):
    """The head built up beside the head as it was assayed.

    Attributes:
        assayed: the assayed head, g/t.
        gap: built up less assayed, g/t; not determinable while the one built up is a lower bound.
        shown: whether the two differ by more than their doubts.
        sentence: as it is said, two lines.
    """

    assayed: Figure
    gap: Figure
    shown: bool
    sentence: str


def built_up_head(
    sources: Sources,
    metal_mg: Uncertain,
    feed_kg: Uncertain,
    *,
    up_to_mg: float | None = 0.0,
    basis: str = "dry",
    layer: Layer = "weighing",
) -> Figure:
    """Metal of all products over the mass of the feed, g/t (which is mg/kg).

    Args:
        sources: the sources of doubt.
        metal_mg: metal found in all products and in the mats.
        feed_kg: mass of the feed: dry, unless `basis` says otherwise.
        up_to_mg: metal that may be in the final tailings unseen; None when they were not assayed.
            Unless it is 0 the head is `at least` this.
        basis: of the mass.
        layer: how far the doubt reaches.

    Raises:
        BadInput: when the metal is heavier than the feed.
        ValueError: when the feed weighs nothing, or nothing carries any doubt.
    """
    metal, feed = nominal(metal_mg), nominal(feed_kg)
    if feed <= 0:
        raise ValueError(f"a feed weighs more than zero, not {feed!r} kg")
    if metal > MG_PER_KG * feed:
        shown = {"m": write.short(metal), "M": write.short(MG_PER_KG * feed)}
        raise BadInput.of("metal_above_feed", **shown)
    head = metal_mg / feed_kg
    figure = sources.figure(head, "g/t", layer=layer, basis=basis)
    if up_to_mg == 0:
        return figure
    if up_to_mg is None:
        why = say("head_without_tailings")
    else:
        more = write.significant(up_to_mg / nominal(feed_kg), 2)
        why = say("head_tailings_unseen", more=more)
    return figure._replace(status="at least", text=f"at least {figure.text}", why=why)


def head_gap(sources: Sources, built_g_t: Uncertain, assayed_g_t: Uncertain) -> Difference:
    """Head built up less assayed head, g/t, with what the two share taken off its doubt.

    Raises:
        ValueError: when the two leave no doubt at all.
    """
    built, assayed = sources.doubt(built_g_t), sources.doubt(assayed_g_t)
    return difference(
        nominal(built_g_t),
        built.u,
        nominal(assayed_g_t),
        assayed.u,
        covariance=sources.covariance(built_g_t, assayed_g_t),
        dof_a=built.dof,
        dof_b=assayed.dof,
    )


def beside_assayed(
    sources: Sources, built: Figure, built_g_t: Uncertain, assayed_g_t: Uncertain
) -> HeadGap:
    """The head built up beside the assayed one, and what their gap says.

    Args:
        sources: the sources of doubt.
        built: the head built up, as `built_up_head` gives it.
        built_g_t: the same with what stands behind it.
        assayed_g_t: the head as it was assayed.

    Raises:
        ValueError: when the two leave no doubt at all.
    """
    assayed = sources.figure(assayed_g_t, "g/t", layer="assay", basis=built.basis)
    found = head_gap(sources, built_g_t, assayed_g_t)
    if built.status == "at least" and not (found.shown and found.value > 0):
        sentence = say("head_gap_open")
        return HeadGap(assayed, not_determinable("g/t", sentence), shown=False, sentence=sentence)
    place = write.uncertainty_place(found.k * found.u)
    code = "head_gap_shown" if found.shown else "head_gap_not_shown"
    ends = {"d": found.value, "lo": found.low, "hi": found.high}
    sentence = say(code, **{name: _signed(end, place) for name, end in ends.items()})
    gap = measured(found.value, found.u, "g/t", k=found.k, dof=found.dof, layer="assay")
    return HeadGap(assayed, gap, found.shown, sentence)


def _signed(number: float, place: int) -> str:
    text = write.at_place(number, place)
    return text if text.startswith("-") else f"+{text}"
