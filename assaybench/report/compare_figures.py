"""Figures typed with their doubt: compared, or held against a cut-off; for command and page.

What is read of them, what was taken for granted, and the words of a cut-off.
"""

import math
from collections.abc import Collection, Sequence

from assaybench.circuit import grain_law
from assaybench.circuit.grain_law import Judged, Result
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Flag, Layer, Verdict, flag
from assaybench.metrology.freedom import coverage_factor
from assaybench.report.compare_words import chances, mended, worded
from assaybench.units import parse, write
from assaybench.units.parse import Typed
from assaybench.units.table import ANYTHING, Quantity, Unit

TYPED_K = 2
"""A typed ± is U with k = 2, the usual one on certificates (GUM 6.3.3; from memory)."""
EXAMPLE = "3.2 ± 0.4 g/t"
CUTOFF_WORDS = {
    "cutoff_above": "above",
    "cutoff_below": "below",
    "cutoff_not_shown": "not shown",
}


def with_doubt(text: str, wanted: Collection[Quantity] = ANYTHING) -> Typed:
    """A figure as typed with its doubt: `3.2 ± 0.4 g/t`, `3.20(20) g/t`.

    Raises:
        BadInput: for a figure without doubt, or one that is only below something.
    """
    typed = parse.figure(text, wanted, example=EXAMPLE)
    if typed.below:
        raise BadInput.of("uncertainty_below", x=quoted(text))
    if typed.u is None and typed.expanded is None:
        raise BadInput.of("uncertainty_missing", x=quoted(text))
    return typed


def u_of(typed: Typed, unit: Unit, *, standard: bool) -> float:
    """Standard uncertainty of a figure typed with its doubt, in `unit`."""
    if typed.u is not None:
        return float(typed.scaled(typed.u, unit))
    assert typed.expanded is not None  # noqa: S101  `with_doubt` let only figures with a doubt pass
    return float(typed.scaled(typed.expanded, unit)) / (1 if standard else TYPED_K)


def assumed(typed: Sequence[Typed], *, standard: bool) -> list[str]:
    """What was taken the doubt of figures to be that were typed with it."""
    if all(t.u is not None for t in typed):
        return [say("typed_parentheses")]
    if standard:
        return [say("typed_standard")]
    return [say("typed_expanded")]


def same_kind(a: Typed, b: Typed) -> None:
    """Two figures of one quantity.

    Raises:
        BadInput: for two quantities.
    """
    if a.unit.quantity != b.unit.quantity:
        raise BadInput.of(
            "units_differ",
            a=quoted(a.text),
            b=quoted(b.text),
            kind_a=a.unit.quantity,
            kind_b=b.unit.quantity,
        )


def layer_named(layer: Layer, result: Result) -> str:
    """The widest layer known, by its grains where those are counted."""
    grains = result.grains
    return layer if grains is None else f"{layer}, by {write.short(grains, 3)} grains"


def cutoff_verdict(judged: Judged, result: Result, cutoff: float, unit: Unit) -> Verdict:
    """Above, below or not shown, with both ends where few grains leave no ±."""
    fields = {
        "c": write.short(cutoff),
        "unit": worded(unit.symbol),
        "P": chances(judged.low, judged.high),
    }
    if judged.few_grains:
        low, high, _ = grain_law.interval(result)
        least, most = write.short(low, 2), write.short(high, 2)
        reason = say(f"{judged.code}_few", lo=least, hi=most, **fields)
    else:
        k = TYPED_K if math.isinf(result.dof_widest) else coverage_factor(result.dof_widest)
        shown, doubt = write.value_and_expanded(result.value, k * result.u_widest)
        reason = say(judged.code, y=shown, U=doubt, **fields)
    return Verdict(judged.code, CUTOFF_WORDS[judged.code], mended(reason))


def layer_flags(unit: Unit, layer: Layer, judged: Judged) -> tuple[Flag, ...]:
    """How far the judgement reaches: without sampling it is about this charge."""
    few = (flag("grains_few"),) if judged.few_grains else ()
    if unit.quantity != "mass fraction":
        return few
    reach = {"weighing": "layer_weighing", "assay": "not_sampling", "sampling": "layer_sampling"}
    return (flag(reach[layer]), *few)
