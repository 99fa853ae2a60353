"""Two figures compared, and one held against a cut-off with the widest layer known."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from assaybench.circuit import grain_law
from assaybench.circuit.grain_law import Judged, Result
from assaybench.cli.compare_words import difference_figure, expect, signed
from assaybench.cli.options import Faults
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology import compare
from assaybench.metrology.figure import (
    Figure,
    Flag,
    Layer,
    Share,
    Verdict,
    flag,
    measured,
    plain,
)
from assaybench.metrology.freedom import coverage_factor
from assaybench.record import sums
from assaybench.report.answer import Answer
from assaybench.report.compare_words import chances, difference_verdict, mended, worded
from assaybench.units import parse, write
from assaybench.units.parse import Typed
from assaybench.units.table import ANYTHING, Unit

TYPED_K = 2
"""A typed ± is U with k = 2, the usual one on certificates (GUM 6.3.3; from memory)."""
EXAMPLE = "3.2 ± 0.4 g/t"
CUTOFF_WORDS = {
    "cutoff_above": "above",
    "cutoff_below": "below",
    "cutoff_not_shown": "not shown",
}
LAYERS: tuple[Layer, ...] = ("weighing", "assay", "sampling")
MOST_GRAINS, MOST_DOF = 1_000_000, 1_000_000


def _with_doubt(text: str, wanted: Sequence[Any]) -> Typed:
    typed = parse.figure(text, wanted, example=EXAMPLE)
    if typed.below:
        raise BadInput.of("uncertainty_below", x=quoted(text))
    if typed.u is None and typed.expanded is None:
        raise BadInput.of("uncertainty_missing", x=quoted(text))
    return typed


def _u(typed: Typed, unit: Unit, *, standard: bool) -> float:
    """Standard uncertainty of a typed figure, in `unit`."""
    if typed.u is not None:
        return float(typed.scaled(typed.u, unit))
    assert typed.expanded is not None  # noqa: S101  `_with_doubt` let only figures with a doubt pass
    return float(typed.scaled(typed.expanded, unit)) / (1 if standard else TYPED_K)


def _assumed(typed: Sequence[Typed], *, standard: bool) -> list[str]:
    if all(t.u is not None for t in typed):
        return ["Parentheses are standard uncertainties u, well known."]
    if standard:
        return ["± as typed is a standard uncertainty u, well known."]
    return ["± as typed is U with k = 2."]


def of_two(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    """Two figures: their difference, E_n, and whether it is shown.

    Raises:
        BadInput: every fault of the line.
    """
    expect(figures, 2, f"Two figures are compared: compare '{EXAMPLE}' '4.1 ± 0.5 g/t'.")
    faults = Faults()
    a = faults.take("A", _with_doubt, figures[0], ANYTHING)
    b = faults.take("B", _with_doubt, figures[1], ANYTHING)
    faults.done()
    assert a is not None and b is not None  # noqa: S101, PT018  `done` raised otherwise
    same_kind(a, b)
    unit, standard = a.unit, typed["standard"]
    x, y = float(a.exact(unit)), float(b.exact(unit))
    u_x, u_y = _u(a, unit, standard=standard), _u(b, unit, standard=standard)
    d = compare.difference(x, u_x, y, u_y)
    figure = difference_figure(d, unit.symbol)
    total = u_x**2 + u_y**2
    assert d.en is not None  # noqa: S101  two figures always have E_n
    return Answer(
        command="compare",
        inputs={"a": figures[0], "b": figures[1], "standard": standard},
        figures={
            "difference": figure,
            "en": plain(d.en, "1", digits=3),
            "p": plain(d.p, "1", digits=2),
        },
        rows=(
            ("A", a.text),
            ("B", b.text),
            ("A less B", signed(figure)),
            ("E_n, difference over both U (agree up to 1)", write.significant(d.en, 2)),
            ("chance of this much if both are equal, in 100", write.percent(d.p)),
        ),
        verdict=difference_verdict(d, unit.symbol),
        budget={"difference": _two_shares(u_x**2 / total)},
        assumptions=(*_assumed([a, b], standard=standard), "A and B share no source of their ±."),
        coverage=(d.k,),
        steps=(
            sums.step("A - B", f"{sums.n(x)} - {sums.n(y)}", d.value, unit.symbol),
            sums.step("u", f"√({sums.n(u_x)}^2 + {sums.n(u_y)}^2)", d.u, unit.symbol),
            sums.times("U", d.k, d.u, unit.symbol),
            sums.step(
                "E_n",
                f"({sums.n(x)} - {sums.n(y)}) / √((2 × {sums.n(u_x)})^2 + (2 × {sums.n(u_y)})^2)",
                d.en,
            ),
            sums.step("p", f"2 × (1 - Φ({sums.n(abs(d.value))} / {sums.n(d.u)}))", d.p),
        ),
    )


def _two_shares(first: float) -> tuple[Share, ...]:
    shares = [Share("A", first), Share("B", 1 - first)]
    return tuple(sorted(shares, key=lambda share: -share.share))


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


def against_cutoff(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    """A figure held against a cut-off, with the widest layer of doubt that is known.

    Raises:
        BadInput: every fault of the line.
    """
    expect(figures, 1, f"One figure is held against a cut-off: compare '{EXAMPLE}' --cutoff 3g/t.")
    faults = Faults()
    a = faults.take("A", _with_doubt, figures[0], ANYTHING)
    limit = faults.take("--cutoff", parse.plain_figure, typed["cutoff"], ANYTHING, example="3 g/t")
    grains, dof, layer = _reach(faults, typed)
    faults.done()
    assert a is not None and limit is not None  # noqa: S101, PT018  `done` raised otherwise
    same_kind(a, limit)
    unit, standard = a.unit, typed["standard"]
    y, u, c = float(a.exact(unit)), _u(a, unit, standard=standard), float(limit.exact(unit))
    if grains and min(y, c) <= 0:
        raise BadInput.of("grains_need_positive")
    result = Result(y, u, dof or math.inf, y / grains if grains else 0.0)
    said = (*_assumed([a], standard=standard), "The ± is symmetric (normal).")
    if dof is not None:
        said = (*_assumed([a], standard=standard), say("typed_dof", n=dof))
    k = coverage_factor(dof) if dof is not None else TYPED_K
    figure = measured(y, u, unit.symbol, k=k, dof=dof or math.inf, layer=layer, basis="as typed")
    names = ("cutoff", "grains", "dof", "layer")
    answer = cutoff_answer(result, c, unit, figure, layer)
    return replace(
        answer,
        inputs={"a": figures[0], "standard": standard} | {name: typed[name] for name in names},
        rows=(("A", a.text), ("cut-off", limit.shown), *answer.rows[2:]),
        assumptions=(*said, *answer.assumptions),
    )


def _reach(faults: Faults, typed: dict[str, Any]) -> tuple[int | None, int | None, Layer]:
    """Grains behind the figure, degrees of freedom of its ±, and how far its ± reaches."""
    grains = dof = None
    if typed["grains"] is not None:
        grains = faults.take("--grains", parse.whole, typed["grains"], 1, MOST_GRAINS)
        if typed["layer"] is not None:
            fault = BadInput.of("option_excludes", option="--grains", other="--layer")
            faults.add("", fault)
    if typed["dof"] is not None:
        dof = faults.take("--dof", parse.whole, typed["dof"], 1, MOST_DOF)
    layer = next((layer for layer in LAYERS if layer == typed["layer"]), None)
    if typed["layer"] is not None and layer is None:
        faults.add("--layer", BadInput.of("layer_unknown", x=quoted(typed["layer"])))
    return grains, dof, "sampling" if grains else layer or "assay"


def cutoff_answer(
    result: Result, cutoff: float, unit: Unit, figure: Figure, layer: Layer
) -> Answer:
    """The answer of a result held against a cut-off.

    Args:
        result: with its doubt and, as far as known, its grains.
        cutoff: in the unit of the result.
        unit: of both.
        figure: the result as it is shown.
        layer: how far its doubt reaches, grains in it.
    """
    judged = grain_law.against_cutoff(result, cutoff)
    rows = [
        ("A", figure.text),
        ("cut-off", write.with_unit(write.short(cutoff), unit.symbol)),
        ("widest ± known", _named(layer, result)),
        ("chance that the truth is above it, in 100", chances(judged.low, judged.high)),
        ("said above from, in 100", "95"),
        ("said below up to, in 100", "5"),
    ]
    steps = []
    if not judged.few_grains and math.isinf(result.dof):
        text = f"Φ(({sums.n(result.value)} - {sums.n(cutoff)}) / {sums.n(result.u_widest)})"
        steps.append(sums.step("P", text, judged.low))
    return Answer(
        command="compare",
        inputs={},
        figures={
            "a": figure,
            "cutoff": plain(cutoff, unit.symbol, digits=6),
            "probability_above": _probability(judged),
        },
        rows=tuple(rows),
        verdict=_cutoff_verdict(judged, result, cutoff, unit),
        flags=_layer_flags(unit, layer, judged),
        assumptions=(say("grains_as_counted"),) if result.grain else (),
        coverage=(figure.k,) if figure.k is not None else (),
        steps=tuple(steps),
    )


def _named(layer: Layer, result: Result) -> str:
    grains = result.grains
    return layer if grains is None else f"{layer}, by {write.short(grains, 3)} grains"


def _probability(judged: Judged) -> Figure:
    if not judged.few_grains:
        return plain(judged.low, "1", digits=4)
    return Figure(
        value=None,
        unit="1",
        low=judged.low,
        high=judged.high,
        layer="sampling",
        status="not determinable",
        text=f"{write.short(judged.low, 3)} to {write.short(judged.high, 3)}",
        why=say("grains_few"),
    )


def _cutoff_verdict(judged: Judged, result: Result, cutoff: float, unit: Unit) -> Verdict:
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


def _layer_flags(unit: Unit, layer: Layer, judged: Judged) -> tuple[Flag, ...]:
    """How far the judgement reaches: without sampling it is about this charge."""
    few = (flag("grains_few"),) if judged.few_grains else ()
    if unit.quantity != "mass fraction":
        return few
    reach = {"weighing": "layer_weighing", "assay": "not_sampling", "sampling": "layer_sampling"}
    return (flag(reach[layer]), *few)
