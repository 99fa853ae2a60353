"""What contradicts itself: both sides are kept, and it is said.

Sizes of a product that do not add up to it. Final tailings and equal stages, only when their two
95 % intervals do not overlap: tailings poorer than alike stages would leave point to missed grains
or a better second stage, richer ones to metal that is harder to catch. Method version 1, section 5.
"""

from collections.abc import Sequence

from assaybench.assay.metallics import closure_of
from assaybench.circuit.amounts import Amounts
from assaybench.circuit.losses import left_in_tailings
from assaybench.circuit.products import ALL
from assaybench.messages import BadInput
from assaybench.metrology.figure import Figure, Flag, flag
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write


def contradiction(
    amounts: Amounts, rows: Sequence[Amounts], closed: Figure, alike: Figure
) -> tuple[Flag, ...]:
    """The flag that names two results whose intervals do not overlap; none when they do.

    Args:
        amounts: of the size, or of all, with its tailings.
        rows: the sizes it is made of.
        closed, alike: its recovery with the tailings, and with equal stages, in per cent.
    """
    ends = (closed.low, closed.high, alike.low, alike.high)
    if amounts.tailings is None or None in ends:
        return ()
    low, high, alike_low, alike_high = (end or 0.0 for end in ends)
    if low <= alike_high and alike_low <= high:
        return ()
    code = "tailings_disagree" if low > alike_high else "tailings_richer"
    if amounts.name != ALL:
        code += "_size"
    mass = amounts.tailings.mass_kg
    unit, scale = ("mg", 1.0) if mass is None else ("g/t", 1 / mass)
    found = nominal(amounts.tailings.weighed_mg) * scale
    up_to = amounts.tailings.up_to_mg * scale
    shown = (
        write.significant(found, 2) if up_to == 0 else f"< {write.significant(found + up_to, 2)}"
    )
    left = nominal(left_in_tailings(rows)) * scale
    return (flag(code, size=amounts.name, g1=shown, g2=write.significant(left, 2), unit=unit),)


def metal_within(name: str, metal_mg: Uncertain, held_mg: float) -> None:
    """Nothing holds more metal than it weighs.

    Args:
        name: of the product, or of the portion of it that was cupelled.
        metal_mg: its metal, mg.
        held_mg: what it weighs, mg.

    Raises:
        BadInput: when the metal is heavier.
    """
    if nominal(metal_mg) > held_mg:
        shown = {"m": write.short(nominal(metal_mg)), "M": write.short(held_mg)}
        raise BadInput.of("metal_above_product", name=name, **shown)


def fractions_of(
    sources: Sources, name: str, whole_g: Uncertain, fractions_g: Sequence[Uncertain]
) -> tuple[Flag, ...]:
    """The flag of sizes that do not add up to their product within max(1 %, 3u); else none.

    Args:
        sources: the sources of doubt.
        name: of the product.
        whole_g: its mass, g.
        fractions_g: masses of its sizes, g.
    """
    together = sum(fractions_g)
    closure = closure_of(sources, whole_g, together, 0.0)
    if closure.closed:
        return ()
    shown = {"sum": write.short(nominal(together)), "whole": write.short(nominal(whole_g))}
    crit = write.significant(closure.limit_g, 2)
    return (flag("fractions_do_not_close", name=name.capitalize(), crit=crit, **shown),)
