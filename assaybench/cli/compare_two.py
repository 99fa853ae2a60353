"""Two figures compared, and one held against a cut-off with the widest layer known."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from assaybench.circuit import grain_law
from assaybench.circuit.grain_law import Judged, Result
from assaybench.circuit.grains import MOST_GRAINS
from assaybench.cli.compare_words import difference_figure, expect, signed
from assaybench.cli.options import Faults
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology import compare
from assaybench.metrology.compare import Difference
from assaybench.metrology.figure import (
    Figure,
    Layer,
    Share,
    measured,
    plain,
)
from assaybench.metrology.freedom import coverage_factor
from assaybench.record import sums
from assaybench.record.sums import Step
from assaybench.report.answer import Answer
from assaybench.report.compare_figures import (
    EXAMPLE,
    TYPED_K,
    assumed,
    cutoff_verdict,
    layer_flags,
    layer_named,
    same_kind,
    u_of,
    with_doubt,
)
from assaybench.report.compare_words import (
    HARDLY_ANY,
    by_chance,
    chances,
    difference_verdict,
    p_figure,
)
from assaybench.units import parse, write
from assaybench.units.table import ANYTHING, Unit

LAYERS: tuple[Layer, ...] = ("weighing", "assay", "sampling")
MOST_DOF = 1_000_000


def of_two(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    """Two figures: their difference, E_n, and whether it is shown.

    Raises:
        BadInput: every fault of the line.
    """
    expect(figures, 2, say("form_compare", x=EXAMPLE))
    faults = Faults()
    a = faults.take("A", with_doubt, figures[0], ANYTHING)
    b = faults.take("B", with_doubt, figures[1], ANYTHING)
    faults.done()
    assert a is not None and b is not None  # noqa: S101, PT018  `done` raised otherwise
    same_kind(a, b)
    unit, standard = a.unit, typed["standard"]
    x, y = float(a.exact(unit)), float(b.exact(unit))
    u_x, u_y = u_of(a, unit, standard=standard), u_of(b, unit, standard=standard)
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
            "p": p_figure(d.p, 2),
        },
        rows=(
            ("A", a.text),
            ("B", b.text),
            ("A less B", signed(figure)),
            ("E_n, difference over both U (agree up to 1)", write.significant(d.en, 2)),
            ("chance of this much if both are equal, in 100", by_chance(d.p)),
        ),
        verdict=difference_verdict(d, unit.symbol),
        budget={"difference": _two_shares(u_x**2 / total)},
        assumptions=(*assumed([a, b], standard=standard), say("two_no_shared_source")),
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
            *_p_step(d),
        ),
    )


def _two_shares(first: float) -> tuple[Share, ...]:
    shares = [Share("A", first), Share("B", 1 - first)]
    return tuple(sorted(shares, key=lambda share: -share.share))


def against_cutoff(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    """A figure held against a cut-off, with the widest layer of doubt that is known.

    Raises:
        BadInput: every fault of the line.
    """
    expect(figures, 1, say("form_cutoff", x=EXAMPLE))
    faults = Faults()
    a = faults.take("A", with_doubt, figures[0], ANYTHING)
    limit = faults.take("--cutoff", parse.plain_figure, typed["cutoff"], ANYTHING, example="3 g/t")
    grains, dof, layer = _reach(faults, typed)
    faults.done()
    assert a is not None and limit is not None  # noqa: S101, PT018  `done` raised otherwise
    same_kind(a, limit)
    unit, standard = a.unit, typed["standard"]
    y, u, c = float(a.exact(unit)), u_of(a, unit, standard=standard), float(limit.exact(unit))
    if grains and min(y, c) <= 0:
        raise BadInput.of("grains_need_positive")
    result = Result(y, u, dof or math.inf, y / grains if grains else 0.0)
    said = (*assumed([a], standard=standard), say("two_symmetric"))
    if dof is not None:
        said = (*assumed([a], standard=standard), say("typed_dof", n=dof))
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
        ("widest ± known", layer_named(layer, result)),
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
        verdict=cutoff_verdict(judged, result, cutoff, unit),
        flags=layer_flags(unit, layer, judged),
        assumptions=(say("grains_as_counted"),) if result.grain else (),
        coverage=(figure.k,) if figure.k is not None else (),
        steps=tuple(steps),
    )


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


def _p_step(d: Difference) -> tuple[Step, ...]:
    """How p follows; none for a chance that hardly is one, whose digits mean nothing."""
    if d.p <= HARDLY_ANY:
        return ()
    return (sums.step("p", f"2 × (1 - Φ({sums.n(abs(d.value))} / {sums.n(d.u)}))", d.p),)
