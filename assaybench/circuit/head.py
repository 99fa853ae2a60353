"""The head of a feed built up from its products, and beside it the head as it was assayed.

Method version 1, section 5: the gap is shown with its significance and never spread over products.
"""

from assaybench.messages import say
from assaybench.metrology.compare import Difference, difference
from assaybench.metrology.figure import Figure, Layer
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write


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
        ValueError: when the feed weighs nothing, or nothing carries any doubt.
    """
    if nominal(feed_kg) <= 0:
        raise ValueError(f"a feed weighs more than zero, not {nominal(feed_kg)!r} kg")
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
