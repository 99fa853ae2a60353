"""Final tailings of a circuit test: weighed, not detected, typed as a limit or as a grade.

Metal is milligrams in ALL of the tailings: M_T·(metal/mass fused), g/t being mg/kg. What was not
seen is never zero. Method version 1, section 5.
"""

import math
from collections.abc import Iterable
from typing import NamedTuple

from assaybench.circuit.grains import ENOUGH_GRAINS, expected_grains, u_grains_mg, unseen_mg
from assaybench.metrology.freedom import one_sided_factor
from assaybench.metrology.uncertain import Sources, Uncertain, nominal


class Tailings(NamedTuple):
    """What is known of the metal in the final tailings: a weighed part, and a part only bounded.

    Attributes:
        weighed_mg: metal found, scaled to all of the tailings, signed; its doubt holds the grains.
        critical_mg: L_C on that scale, mg; None means 1.645·u.
        unseen_mg: the bounded part as GUM 4.3.7 has it: up_to/2 ± up_to/√12.
        up_to_mg: metal that may be there unseen: anything from 0 to this.
        grain_variance_mg2: the part of u²(weighed) that the number of grains brings, mg².
        mass_kg: dry mass of all the tailings, for a grade; None when it is not known.
        bead: whether it was weighed as a bead, and so shares the question of its fineness.
    """

    weighed_mg: Uncertain = 0.0
    critical_mg: float | None = None
    unseen_mg: Uncertain = 0.0
    up_to_mg: float = 0.0
    grain_variance_mg2: float = 0.0
    mass_kg: float | None = None
    bead: bool = False

    @property
    def metal_mg(self) -> Uncertain:
        """Both parts together, mg."""
        return self.weighed_mg + self.unseen_mg


def critical_level_mg(sources: Sources, metal_mg: Uncertain, given: float | None) -> float:
    """L_C of a mass of metal, mg: the given one, or t(0.95, ν)·u."""
    if given is not None:
        return given
    doubt = sources.doubt(metal_mg)
    return one_sided_factor(doubt.dof) * doubt.u


def weighed_tailings(
    sources: Sources,
    mass_kg: Uncertain,
    found_mg: Uncertain,
    fused_g: Uncertain,
    *,
    critical_mg: float | None = None,
    grain_mg: float = 0.0,
    name: str = "final tailings",
) -> Tailings:
    """Final tailings of which a portion was fused and its metal weighed: M_T·(metal/fused).

    A signed mass and its doubt are used as they are, below L_C too. The grains of the fused
    portion add √(metal·m_w) to the doubt. Where nothing was seen and 3.0·m_w is more than the
    weighing could have missed, max(0, y) + t·u, the grains rule: see `tailings_not_detected`.

    Args:
        sources: the sources of doubt of the calculation.
        mass_kg: dry mass M_T of all the tailings.
        found_mg: metal of the fused portion, signed, blank off.
        fused_g: dry mass fused.
        critical_mg: L_C of the fused portion, mg.
        grain_mg: m_w of the grains expected in it; 0 leaves them out.
        name: names the source of doubt that the grains are.
    """
    scale = mass_kg * 1000 / fused_g
    limit = critical_level_mg(sources, found_mg, critical_mg)  # of the weighing, without grains
    variance = 0.0
    if grain_mg > 0:
        missed = max(nominal(found_mg), 0.0) + critical_level_mg(sources, found_mg, None)
        if nominal(found_mg) < limit and unseen_mg(grain_mg) > missed:
            return tailings_not_detected(
                sources, mass_kg, fused_g, missed, grain_mg=grain_mg, name=name
            )
        u_grains = u_grains_mg(nominal(found_mg), grain_mg)
        variance = (u_grains * nominal(scale)) ** 2
        found_mg = found_mg + sources.variable(f"grains in the portion of {name}", 0.0, u_grains)
    return Tailings(
        weighed_mg=found_mg * scale,
        critical_mg=limit * nominal(scale),
        grain_variance_mg2=variance,
        mass_kg=nominal(mass_kg),
        bead=True,
    )


def tailings_not_detected(
    sources: Sources,
    mass_kg: Uncertain,
    fused_g: Uncertain,
    detection_mg: float,
    *,
    grain_mg: float = 0.0,
    name: str = "final tailings",
) -> Tailings:
    """Final tailings in which no metal was detected: 0 to M_T·max(L_D, 3.0·m_w)/fused, never zero.

    Args:
        sources: the sources of doubt of the calculation.
        mass_kg: dry mass M_T of all the tailings.
        fused_g: dry mass fused.
        detection_mg: L_D of the fused portion, mg.
        grain_mg: m_w of the grains expected in it; 0 leaves them out.
        name: names the source of doubt.
    """
    unseen = max(detection_mg, unseen_mg(grain_mg) if grain_mg > 0 else 0.0)
    up_to_mg = nominal(mass_kg) * 1000 * unseen / nominal(fused_g)
    return tailings_below(sources, up_to_mg, mass_kg=nominal(mass_kg), name=name)


def tailings_below(
    sources: Sources,
    up_to_mg: float,
    *,
    mass_kg: float | None = None,
    name: str = "final tailings",
) -> Tailings:
    """Final tailings known only to hold less than so much, typed `<x`: 0 to x, rectangular.

    Args:
        sources: the sources of doubt of the calculation.
        up_to_mg: x on all of the tailings, mg: for a grade, x in g/t times their mass in kg.
        mass_kg: dry mass of all the tailings, for a grade.
        name: names the source of doubt.

    Raises:
        ValueError: when the limit is not above zero.
    """
    if not (math.isfinite(up_to_mg) and up_to_mg > 0):
        raise ValueError(f"a limit is above zero, not {up_to_mg!r}")
    middle = sources.variable(f"{name}, not seen", up_to_mg / 2, up_to_mg / math.sqrt(12))
    return Tailings(unseen_mg=middle, up_to_mg=up_to_mg, mass_kg=mass_kg)


def graded_tailings(mass_kg: Uncertain, grade_g_t: Uncertain) -> Tailings:
    """Final tailings with a typed grade and its doubt: mass × grade (g/t is mg/kg)."""
    return Tailings(weighed_mg=mass_kg * grade_g_t, mass_kg=nominal(mass_kg))


def together(parts: Iterable[Tailings]) -> Tailings:
    """Final tailings of several sizes as one.

    Several limits become one, 0 to their sum: wider than their convolution, since nothing is known
    of how the sizes hang together. A mean grain number follows from the variances.
    """
    kept = list(parts)
    masses = [part.mass_kg for part in kept]
    limits = [part.critical_mg for part in kept]
    known = [limit for limit in limits if limit is not None]
    return Tailings(
        weighed_mg=sum(part.weighed_mg for part in kept),
        critical_mg=math.hypot(*known) if known and len(known) == len(limits) else None,
        unseen_mg=sum(part.unseen_mg for part in kept),
        up_to_mg=math.fsum(part.up_to_mg for part in kept),
        grain_variance_mg2=math.fsum(part.grain_variance_mg2 for part in kept),
        mass_kg=None if None in masses else math.fsum(m for m in masses if m is not None),
        bead=any(part.bead for part in kept),
    )


def tailings_of_share(tailings: Tailings, share: Uncertain) -> Tailings:
    """Final tailings of a test in which a share φ of the stage-1 tailings was run again: T/φ."""
    factor = nominal(share)
    return tailings._replace(
        weighed_mg=tailings.weighed_mg / share,
        critical_mg=None if tailings.critical_mg is None else tailings.critical_mg / factor,
        unseen_mg=tailings.unseen_mg / share,
        up_to_mg=tailings.up_to_mg / factor,
        grain_variance_mg2=tailings.grain_variance_mg2 / factor**2,
        mass_kg=None if tailings.mass_kg is None else tailings.mass_kg / factor,
    )


def few_grains(tailings: Tailings, u_mg: float) -> float | None:
    """Number of grains that the doubt of weighed tailings is worth, (T/u)², when below 20.

    None when grains play no part, or there are 20 or more.

    Args:
        tailings: the tailings.
        u_mg: standard uncertainty of their weighed part, grains in it.
    """
    weighed = nominal(tailings.weighed_mg)
    if tailings.grain_variance_mg2 <= 0 or weighed <= 0:
        return None
    alone = expected_grains(weighed, tailings.grain_variance_mg2 / weighed)
    return (weighed / u_mg) ** 2 if alone < ENOUGH_GRAINS else None
