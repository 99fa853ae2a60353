"""Screen metallics: coarse metal assayed whole, the fine part by determinations.

Method version 1, section 4. G = (plus metal + M_minus·ḡ)/(M_plus + M_minus). The blank of each
charge is taken off before, in plus as well.
"""

from collections.abc import Sequence
from typing import NamedTuple

from assaybench.assay.grade import MG_PER_G, Determination, Grade, pooled_grade
from assaybench.assay.net import BEYOND_NOISE, noise
from assaybench.assay.replicates import Spread, average
from assaybench.messages import say
from assaybench.metrology.figure import Figure, Flag, flag, not_determinable, plain
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write

CLOSURE = 0.01
"""Plus and minus may differ from the total by 1 % of it: common practice, no source."""


class Plus(NamedTuple):
    """What stayed on the screen.

    Attributes:
        mass_g: its mass, g.
        charges_mg: metal of each charge made of it, after its blank, mg.
        fused_g: mass fused, g; None when all of it was.
    """

    mass_g: Uncertain
    charges_mg: tuple[Uncertain, ...]
    fused_g: Uncertain | None = None


class Closure(NamedTuple):
    """Whether the parts add up to the whole.

    Attributes:
        gap_g: total - plus - minus, g, with its doubt.
        limit_g: max(1 % of the total, 3u), g.
        closed: whether the gap is within it.
    """

    gap_g: Uncertain
    limit_g: float
    closed: bool

    def figures(self, sources: Sources) -> dict[str, Figure]:
        """The gap with its ±, and how wide it may be, g."""
        basis = "total less plus less minus"
        return {
            "closure": sources.figure(self.gap_g, "g", layer="assay", basis=basis),
            "closure_limit": plain(self.limit_g, "g", digits=2, layer="assay", basis=basis),
        }


class Metallics(NamedTuple):
    """A grade by screen metallics.

    Attributes:
        g_per_t: the grade of the whole, g/t.
        plus_mg: metal in plus, mg.
        minus_mg: metal in minus, M_minus·ḡ, mg.
        plus_g, minus_g: masses of the parts, g.
        plus_g_per_t: grade of plus, g/t.
        minus: the grade of minus from its determinations.
        coarse_share: share of the metal that was coarse, a share of one; None without metal, or
            where noise brought one of the two parts below zero.
        simple_mean: mean of the assays of plus and minus, g/t, which is not a grade.
        closure: against the total; None when no total was weighed.
        flags, assumptions: what a reader must know.
        refusal: what contradicts itself, so that no figure may be shown; None where nothing does.
    """

    g_per_t: Uncertain
    plus_mg: Uncertain
    minus_mg: Uncertain
    plus_g: float
    minus_g: float
    plus_g_per_t: Uncertain
    minus: Grade
    coarse_share: Uncertain | None
    simple_mean: float
    closure: Closure | None
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]
    refusal: Flag | None = None

    def figure(
        self, sources: Sources, value: Uncertain, unit: str, *, basis: str = "as received"
    ) -> Figure:
        """One of its values as a figure; not determinable where masses contradict each other."""
        if self.refusal is not None:
            why = self.refusal.text.split("\n")[0]
            return not_determinable(unit, why, layer="assay", basis=basis)
        return sources.figure(value, unit, layer="assay", basis=basis)

    def coarse_figure(self, sources: Sources, *, basis: str = "as received") -> Figure:
        """The share of coarse metal, per cent; not determinable where there is none."""
        if self.coarse_share is None and self.refusal is None:
            why = next(f.text for f in self.flags if f.code == "coarse_share_none")
            return not_determinable("%", why, layer="assay", basis=basis)
        return self.figure(sources, 100 * (self.coarse_share or 0.0), "%", basis=basis)


def metallics(
    sources: Sources,
    name: str,
    plus: Plus,
    minus_g: Uncertain,
    minus: Sequence[Determination],
    *,
    total_g: Uncertain | None = None,
    spread: Spread | None = None,
) -> Metallics:
    """Grade by screen metallics, g/t, with the share of coarse metal.

    What plus and minus share (balance, blank of the lot) stays one variable, so the method's
    u² = [u²(plus) + M_minus²·u²(ḡ)]/M² gains their covariance and the doubt of the masses.

    Args:
        sources: the sources of doubt of the calculation.
        name: names the sample.
        plus: what stayed on the screen.
        minus_g: mass of what passed, g.
        minus: determinations of it.
        total_g: mass before screening, g; None when it was not weighed.
        spread: see `grade.pooled_grade`.

    Raises:
        ValueError: when plus has no charge.

    Source: method version 1, section 4; C. and J. J. Beringer, A Text-book of Assaying, 9th ed.
    """
    if not plus.charges_mg:
        raise ValueError("plus needs one charge at least")
    fine = pooled_grade(sources, f"minus of {name}", minus, spread=spread)
    plus_mg: Uncertain = sum(plus.charges_mg)
    if plus.fused_g is not None:
        plus_mg = plus_mg * plus.mass_g / plus.fused_g
    minus_mg = minus_g * fine.g_per_t / MG_PER_G
    metal = plus_mg + minus_mg
    shared = min(nominal(plus_mg), nominal(minus_mg)) >= 0 and nominal(metal) > 0
    plus_grade = MG_PER_G * plus_mg / plus.mass_g
    simple = average([nominal(plus_grade), *(nominal(one.g_per_t) for one in fine.used)])
    closure = None if total_g is None else closure_of(sources, total_g, plus.mass_g, minus_g)
    refusal = _refusal(sources, plus, minus_g, fine)
    told = (*_warnings(fine, simple), *fine.flags) if refusal is None else (refusal,)
    if refusal is None and not shared:
        parts = {"plus": plus_mg, "minus": minus_mg}
        shown = {name: write.short(nominal(mg), 3) for name, mg in parts.items()}
        told = (flag("coarse_share_none", **shown), *told)
    return Metallics(
        g_per_t=MG_PER_G * metal / (plus.mass_g + minus_g),
        plus_mg=plus_mg,
        minus_mg=minus_mg,
        plus_g=nominal(plus.mass_g),
        minus_g=nominal(minus_g),
        plus_g_per_t=plus_grade,
        minus=fine,
        coarse_share=plus_mg / metal if shared else None,
        simple_mean=simple,
        closure=closure,
        flags=(*_closure_said(closure), *told),
        assumptions=(_fused_said(plus), *fine.assumptions),
        refusal=refusal,
    )


def _refusal(sources: Sources, plus: Plus, minus_g: Uncertain, minus: Grade) -> Flag | None:
    """Portions that outweigh what they were taken from, or metal its sample, beyond noise."""
    taken = sum(one.sample_g for one in minus.every)
    pairs = [("portions_above_whole", "Minus", taken, minus_g)]
    if plus.fused_g is not None:
        pairs.append(("portions_above_whole", "Plus", plus.fused_g, plus.mass_g))
    held = plus.mass_g if plus.fused_g is None else plus.fused_g
    pairs.append(("metal_above_part", "Plus", sum(plus.charges_mg) / MG_PER_G, held))
    pairs += [
        ("metal_above_part", one.name.capitalize(), one.metal_mg / MG_PER_G, one.sample_g)
        for one in minus.every
    ]
    found = [("Plus", sum(plus.charges_mg)), *((one.name, one.metal_mg) for one in minus.every)]
    for name, metal in found:
        if 0 < noise(sources.doubt(metal)) < -nominal(metal):
            m = write.short(nominal(metal), 3)
            return flag("part_below_zero", name=name.capitalize(), m=m)
    for code, name, part, whole in pairs:
        if nominal(part) > nominal(whole) and _beyond(sources, part - whole):
            shown = {"p": write.short(nominal(part), 7), "w": write.short(nominal(whole), 7)}
            return flag(code, name=name, **shown)
    return None


def _beyond(sources: Sources, difference: Uncertain) -> bool:
    return nominal(difference) > noise(sources.doubt(difference))


def closure_of(
    sources: Sources, total_g: Uncertain, plus_g: Uncertain, minus_g: Uncertain
) -> Closure:
    """Whether total - plus - minus stays within max(1 % of the total, 3u)."""
    gap = total_g - plus_g - minus_g
    limit = max(CLOSURE * nominal(total_g), BEYOND_NOISE * sources.doubt(gap).u)
    return Closure(gap, limit, abs(nominal(gap)) <= limit * (1 + 1e-9))


def _closure_said(closure: Closure | None) -> tuple[Flag, ...]:
    if closure is None or closure.closed:
        return ()
    shown = write.short(nominal(closure.gap_g), 3)
    return (flag("closure_fails", d=shown, crit=write.significant(closure.limit_g, 2)),)


def _warnings(fine: Grade, simple: float) -> tuple[Flag, ...]:
    n = len(fine.used) + 1
    alone = write.short(nominal(fine.g_per_t), 3)
    return (
        flag("simple_mean_no_grade", n=n, mean=write.short(simple, 3), unit="g/t"),
        flag("minus_alone", g=alone, unit="g/t"),
    )


def _fused_said(plus: Plus) -> str:
    if plus.fused_g is None:
        return say("plus_all_fused")
    part, whole = (write.short(nominal(mass), 4) for mass in (plus.fused_g, plus.mass_g))
    return say("plus_part_fused", part=part, plus=whole)
