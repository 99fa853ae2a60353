"""Moisture: the dry mass of a sample, and what is said where no moisture is known.

Method version 1, section 4. One variable for the sample, shared by all its charges.
"""

import math
from typing import Literal, NamedTuple

from assaybench.assay.replicates import MOISTURE_ROW
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.uncertain import Sources, Uncertain, product, total
from assaybench.units import write

MOST_WET_BASIS = 0.99
"""A hundredth of rock in the water: beyond it a typed moisture is a slip."""
MOST_DRY_BASIS = 10.0
"""Ten times as much water as dry rock: beyond it a typed moisture is a slip."""


class Moisture(NamedTuple):
    """Water of one sample.

    Attributes:
        sample: names the sample; all its charges share this one variable.
        share: water, a share of one.
        u: its standard uncertainty.
        basis: `wet`: water over wet mass; `dry`: water over dry mass.
        dof: degrees of freedom of u.
    """

    sample: str
    share: float
    u: float
    basis: Literal["wet", "dry"] = "wet"
    dof: float = math.inf


class SampleMass(NamedTuple):
    """Mass of sample behind a grade.

    Attributes:
        g: the mass, g, dry where the moisture is known or the sample was dried.
        basis: `dry` or `as received`.
        assumptions: what a reader must know.
    """

    g: Uncertain
    basis: Literal["dry", "as received"]
    assumptions: tuple[str, ...] = ()


def sample_mass(
    sources: Sources, weighed_g: Uncertain, moisture: Moisture | None = None, *, dried: bool = False
) -> SampleMass:
    """Dry mass: wet·(1 - w), or wet/(1 + w') for a moisture on dry basis.

    Args:
        sources: the sources of doubt of the calculation.
        weighed_g: the charge as weighed, g.
        moisture: of the sample as weighed; None when it is not known.
        dried: whether the charge was weighed dry; then no moisture is applied.

    Raises:
        BadInput: for a moisture outside 0 to 99 % on wet basis, or 0 to 1000 % on dry basis.

    Source: method version 1, section 4; water over wet mass is common practice, no source.
    """
    if dried:
        return SampleMass(weighed_g, "dry")
    if moisture is None:
        return SampleMass(weighed_g, "as received", (say("as_received"),))
    most = MOST_WET_BASIS if moisture.basis == "wet" else MOST_DRY_BASIS
    if not 0 <= moisture.share <= most:
        shown = quoted(f"{write.short(moisture.share * 100, 6)} %")
        what = f"moisture on {moisture.basis} basis"
        raise BadInput.of("percent_range", x=shown, what=what, least=0, most=f"{most * 100:g}")
    water = sources.variable(
        f"moisture of {moisture.sample}",
        moisture.share,
        moisture.u,
        dof=moisture.dof,
        row=MOISTURE_ROW,
    )
    if moisture.basis == "wet":
        return SampleMass(product(weighed_g, total((1, 1.0), (-1, water))), "dry")
    return SampleMass(weighed_g / (1 + water), "dry")
