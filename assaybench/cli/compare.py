"""`assaybench compare`: two results, a result and a cut-off, or runs before and after."""

import math
from collections.abc import Sequence
from typing import Any

import click

from assaybench.cli.options import Faults, emit, once, output, style
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology import compare
from assaybench.metrology.compare import Difference
from assaybench.metrology.figure import Figure, Flag, Share, Verdict, flag, measured, plain
from assaybench.record import sums
from assaybench.report.answer import Answer
from assaybench.units import parse, write
from assaybench.units.parse import Typed
from assaybench.units.table import ANYTHING, Unit

TYPED_K = 2
"""A typed ± is U with k = 2, the usual one on certificates (GUM 6.3.3; from memory)."""
EXAMPLE = "3.2 ± 0.4 g/t"
DIFFERENCE_WORDS = {True: "difference shown", False: "difference not shown"}
CUTOFF_WORDS = {
    "cutoff_above": "above",
    "cutoff_below": "below",
    "cutoff_not_shown": "not shown",
}


@click.command(name="compare")
@click.argument("figures", nargs=-1, metavar="A [B]")
@once("--cutoff", metavar="C", help="Compare A with a cut-off.")
@once("--before", metavar="RUNS", help="Runs before a change, blanks between: '81.2 84.0 79.5'.")
@once("--after", metavar="RUNS", help="Runs after it.")
@click.option("--paired", is_flag=True, help="Runs were made in pairs, old and new in turn.")
@click.option("--standard", is_flag=True, help="Typed ± are standard uncertainties u, not U.")
@output
def command(**typed: Any) -> None:
    """Is a difference shown, or is A above a cut-off?

    A and B are figures with their doubt: '3.2 ± 0.4 g/t' (± is U) or '3.20(20) g/t' (u).
    """
    figures = [text.replace("−", "-") for text in typed["figures"]]
    shape = style(
        as_json=typed["as_json"],
        as_plain=typed["as_plain"],
        as_sum=typed["as_sum"],
        typed=[*figures, *(typed[name] or "" for name in ("cutoff", "before", "after"))],
    )
    emit(answer(figures, typed), shape)


def answer(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    """The answer of `compare`.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    runs = typed["before"] is not None or typed["after"] is not None
    if runs:
        return _of_runs(figures, typed)
    if typed["paired"]:
        raise BadInput.of("option_needs", option="--paired", other="--before and --after")
    if typed["cutoff"] is not None:
        return _against_cutoff(figures, typed)
    return _of_two(figures, typed)


def _expect(figures: Sequence[str], count: int, accepted: str) -> None:
    if len(figures) < count:
        what = "A figure" if count == 1 or not figures else "The second figure"
        raise BadInput.of("argument_missing", what=what, accepted=accepted)
    if len(figures) > count:
        raise BadInput.of("argument_unexpected", x=quoted(figures[count]), accepted=accepted)


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


def _of_two(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    _expect(figures, 2, f"Two figures are compared: compare '{EXAMPLE}' '4.1 ± 0.5 g/t'.")
    faults = Faults()
    a = faults.take("A", _with_doubt, figures[0], ANYTHING)
    b = faults.take("B", _with_doubt, figures[1], ANYTHING)
    faults.done()
    assert a is not None and b is not None  # noqa: S101, PT018  `done` raised otherwise
    _same_kind(a, b)
    unit, standard = a.unit, typed["standard"]
    x, y = float(a.exact(unit)), float(b.exact(unit))
    u_x, u_y = _u(a, unit, standard=standard), _u(b, unit, standard=standard)
    d = compare.difference(x, u_x, y, u_y)
    figure = _difference_figure(d, unit.symbol)
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
        verdict=_difference_verdict(d, unit.symbol, None),
        budget={"difference": _two_shares(u_x**2 / total)},
        assumptions=(*_assumed([a, b], standard=standard), "A and B share no source of doubt."),
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


def _same_kind(a: Typed, b: Typed) -> None:
    if a.unit.quantity != b.unit.quantity:
        raise BadInput.of(
            "units_differ",
            a=quoted(a.text),
            b=quoted(b.text),
            kind_a=a.unit.quantity,
            kind_b=b.unit.quantity,
        )


def _difference_figure(d: Difference, unit: str) -> Figure:
    return measured(d.value, d.u, unit, k=d.k, dof=d.dof, layer="assay", basis="A - B")


def signed(figure: Figure) -> str:
    """The text of a difference, its sign always shown."""
    return with_sign(figure.text)


def with_sign(text: str) -> str:
    """A number as text with its sign, + or -."""
    return text if text.startswith("-") else f"+{text}"


def _difference_verdict(d: Difference, unit: str, runs: int | None) -> Verdict:
    place = write.uncertainty_place(d.k * d.u)
    fields = {
        "d": with_sign(write.at_place(d.value, place)),
        "lo": with_sign(write.at_place(d.low, place)),
        "hi": with_sign(write.at_place(d.high, place)),
        "unit": "" if unit == "1" else unit,
    }
    code = "difference_shown" if d.shown else "difference_not_shown"
    sentence = code
    if not d.shown and runs is not None:
        sentence = "difference_not_shown_runs"
    elif not d.shown and d.times_too_wide > 10:
        sentence = "difference_not_shown_equal"
    factor = write.significant(d.times_too_wide, 2) if d.value else ""
    text = say(sentence, **fields, x=factor, n=runs)
    return Verdict(
        code,
        DIFFERENCE_WORDS[d.shown],
        text.replace("  ", " ").replace(" ;", ";").replace(" .", "."),
    )


def _against_cutoff(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    _expect(figures, 1, f"One figure is held against a cut-off: compare '{EXAMPLE}' --cutoff 3g/t.")
    faults = Faults()
    a = faults.take("A", _with_doubt, figures[0], ANYTHING)
    limit = faults.take("--cutoff", parse.plain_figure, typed["cutoff"], ANYTHING, example="3 g/t")
    faults.done()
    assert a is not None and limit is not None  # noqa: S101, PT018  `done` raised otherwise
    _same_kind(a, limit)
    unit, standard = a.unit, typed["standard"]
    y, u, c = float(a.exact(unit)), _u(a, unit, standard=standard), float(limit.exact(unit))
    probability = compare.probability_above(y, u, c)
    code = compare.cutoff_code(probability)
    shown, doubt = write.value_and_expanded(y, TYPED_K * u)
    reason = say(
        code,
        y=shown,
        U=doubt,
        c=write.short(c),
        unit="" if unit.symbol == "1" else unit.symbol,
        P=chance(probability),
    )
    return Answer(
        command="compare",
        inputs={"a": figures[0], "cutoff": typed["cutoff"], "standard": standard},
        figures={
            "a": measured(y, u, unit.symbol, k=TYPED_K, layer="assay", basis="as typed"),
            "cutoff": plain(c, unit.symbol, digits=6),
            "probability_above": plain(probability, "1", digits=4),
        },
        rows=(
            ("A", a.text),
            ("cut-off", limit.shown),
            ("chance that the truth is above it, in 100", chance(probability)),
            ("said above from, in 100", "95"),
            ("said below up to, in 100", "5"),
        ),
        verdict=Verdict(code, CUTOFF_WORDS[code], " ".join(reason.split(" "))),
        flags=_charge_flag(unit),
        assumptions=(*_assumed([a], standard=standard), "The doubt is symmetric (normal)."),
        coverage=(TYPED_K,),
        steps=(sums.step("P", f"Φ(({sums.n(y)} - {sums.n(c)}) / {sums.n(u)})", probability),),
    )


def _charge_flag(unit: Unit) -> tuple[Flag, ...]:
    return (flag("not_sampling"),) if unit.quantity == "mass fraction" else ()


def chance(probability: float) -> str:
    """A probability in 100, never 0 or 100: `84`, `99.9 or more`."""
    if probability > 0.999:
        return "99.9 or more"
    if probability < 0.001:
        return "0.1 or less"
    return write.significant(probability * 100, 3 if probability > 0.99 else 2)


def _of_runs(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    for name in ("before", "after"):
        if typed[name] is None:
            other = {"before": "after", "after": "before"}[name]
            raise BadInput.of("option_needs", option=f"--{other}", other=f"--{name}")
    if typed["cutoff"] is not None:
        raise BadInput.of("option_excludes", option="--cutoff", other="--before and --after")
    if figures:
        accepted = "With --before and --after no other figure is taken."
        raise BadInput.of("argument_unexpected", x=quoted(figures[0]), accepted=accepted)
    faults = Faults()
    before, unit = _runs(faults, "--before", typed["before"])
    after, unit_after = _runs(faults, "--after", typed["after"])
    faults.done()
    if unit_after != unit:
        raise BadInput.of(
            "units_differ",
            a="--before",
            b="--after",
            kind_a=_list_in(unit),
            kind_b=_list_in(unit_after),
        )
    paired = typed["paired"]
    try:
        d = compare.paired(before, after) if paired else compare.welch(before, after)
    except ValueError as reason:
        raise BadInput.of("runs_unusable", why=str(reason)) from reason
    spread = compare.spread_of_runs(before, after, in_pairs=paired)
    needed = compare.runs_needed(d.value, spread, in_pairs=paired)
    figure = _difference_figure(d, unit)
    means = [math.fsum(runs) / len(runs) for runs in (before, after)]
    return Answer(
        command="compare",
        inputs={"before": typed["before"], "after": typed["after"], "paired": paired},
        figures={
            "mean_before": plain(means[0], unit, digits=4),
            "mean_after": plain(means[1], unit, digits=4),
            "difference": figure,
            "spread": plain(spread, unit, digits=3),
            "p": plain(d.p, "1", digits=3),
            "degrees_of_freedom": plain(d.dof, "1", digits=3),
        },
        rows=(
            (f"before, mean of {len(before)}", write.with_unit(write.short(means[0], 4), unit)),
            (f"after, mean of {len(after)}", write.with_unit(write.short(means[1], 4), unit)),
            ("after less before", signed(figure)),
            ("spread of one run" if not paired else "spread of one pair", write.short(spread, 3)),
            ("degrees of freedom", write.short(d.dof, 3)),
            ("chance of this much if nothing changed, in 100", write.percent(d.p, 3)),
        ),
        verdict=_difference_verdict(d, "points" if unit == "%" else unit, needed),
        flags=() if paired else (flag("assumed_alternation"),),
        assumptions=(
            "Pairs: each run after belongs to the run before it in the list."
            if paired
            else "The two sets may have different spreads (Welch).",
        ),
        coverage=(d.k,),
        steps=sums.of_runs(before, after, d, unit, in_pairs=paired),
    )


def _list_in(unit: str) -> str:
    return "list without a unit" if unit == "1" else f"list in {unit}"


def _runs(faults: Faults, place: str, text: str) -> tuple[list[float], str]:
    """The runs of one list and their unit; a unit behind the last number counts for all."""
    parts = parse.words(text)
    if not parts:
        faults.add(place, BadInput.of("number_empty", example="81.2"))
        return [], "1"
    if len(parts) > compare.MOST_RUNS:
        faults.add(place, BadInput.of("too_many_runs", n=len(parts), most=compare.MOST_RUNS))
        return [], "1"
    found = [
        faults.take(f"{place} {i}", parse.plain_figure, part, ANYTHING, example="81.2")
        for i, part in enumerate(parts, start=1)
    ]
    known = [typed for typed in found if typed is not None]
    units = {typed.unit.symbol for typed in known if typed.unit.symbol != "1"}
    if len(units) > 1:
        faults.add(place, BadInput.of("units_mixed", units=" and ".join(sorted(units))))
    return [float(typed.value) for typed in known], units.pop() if units else "1"
