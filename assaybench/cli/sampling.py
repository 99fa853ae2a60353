"""`assaybench sampling`: what the number of grains, or Gy's formula, does to a result."""

import math
from typing import Any

import click

from assaybench.circuit import counts, grains
from assaybench.circuit.counts import TwoCounts
from assaybench.cli import (
    inputs,
    sampling_grains,
    sampling_gy,
    sampling_increments,
    sampling_inputs,
)
from assaybench.cli.options import Faults, emit, once, output, shape_of
from assaybench.messages import BadInput, say
from assaybench.metrology.figure import COVERAGE, Figure, Flag, Verdict, flag
from assaybench.record import sums
from assaybench.report.answer import Answer
from assaybench.report.compare_words import by_chance, p_figure
from assaybench.units import parse, write

WAYS = ("count", "metal", "grains", "classes", "gy", "increments")
ONLY_WITH: dict[str, tuple[str, ...]] = {
    "count_other": ("count",),
    "sample_other": ("count_other",),
    "sieve": ("metal", "count"),
    "largest": ("metal", "count"),
    "recovery": ("metal", "count", "grains"),
    "assay": ("metal", "grains", "gy", "increments"),
    "sample": ("count", "metal", "grains", "gy", "increments"),
    "target": ("count", "metal", "grains", "gy", "increments"),
    "standard": ("target", "assay"),
    "shape": ("sieve", "largest", "gy"),
    "density": ("sieve", "largest", "gy"),
    "top": ("gy",),
    "liberated": ("gy",),
    "grade": ("gy",),
    "expected_grade": ("gy",),
    "lot": ("gy",),
    "rock_density": ("gy",),
    "factor_f": ("gy",),
    "factor_g": ("gy",),
    "factor_l": ("gy",),
    "factor_c": ("gy",),
    "stage": ("gy",),
}
"""Options that make sense with some ways only."""


@click.command(name="sampling")
@once("--count", metavar="N", help="Grains counted.")
@once("--count-other", metavar="N", help="Grains counted in a second sample, to compare.")
@once("--metal", metavar="METAL", help="Metal found, made of grains of --sieve or --largest.")
@once("--grains", metavar="MASS…", help="Grains weighed one by one: '5 3 0.4 mg'.")
@once("--classes", metavar="N…", help="Grains by eye: over 4 mg, 1 to 4 mg, under 1 mg.")
@click.option("--gy", is_flag=True, help="Gy's formula: --top and a grade, or all factors.")
@once("--sieve", metavar="FINE[:COARSE]", help="Sizes of the grains: 106um:250um, or one size.")
@once("--largest", metavar="SIZE", help="Width of the largest grain, where no sieve was used.")
@once("--shape", metavar="sphere|flake", help="Shape of the grains; a flake is d/10 thick.")
@once("--density", metavar="RHO", help="Density of the metal or mineral, g/cm3 (19.3).")
@once("--sample", metavar="MASS", help="Mass of the sample, or of what was searched.")
@once("--sample-other", metavar="MASS", help="Mass searched for --count-other.")
@once("--recovery", metavar="SHARE", help="Recovery found with these grains: the next run's ±.")
@once("--assay", metavar="SHARE", help="± of weighing and assay together, relative.")
@once("--target", metavar="SHARE", help="The ± you want, relative (U, k = 2), such as 30%.")
@click.option("--standard", is_flag=True, help="--target and --assay are u, not U.")
@once("--top", metavar="SIZE", help="Gy: d, top size of the free metal, or of the rock.")
@once("--liberated", metavar="SIZE", help="Gy: size at which a locked mineral is free.")
@once("--grade", metavar="GRADE", help="Gy: grade, of the mineral where it is locked.")
@once("--expected-grade", metavar="GRADE", help="Gy: the grade you expect, where none is known.")
@once("--lot", metavar="MASS", help="Gy: mass of the lot that the sample is taken from.")
@once("--rock-density", metavar="RHO", help="Gy: density of the rock, g/cm3 (2.65).")
@once("--factor-f", metavar="F", help="Gy: shape factor (0.5).")
@once("--factor-g", metavar="G", help="Gy: size factor (0.25).")
@once("--factor-l", metavar="L", help="Gy: liberation factor.")
@once("--factor-c", metavar="C", help="Gy: composition factor, g/cm3.")
@click.option(
    "--stage", multiple=True, metavar="MASS:SIZE", help="Gy: one split: kept, and top size there."
)
@click.option(
    "--increments",
    multiple=True,
    metavar="MASS:SPREAD:N",
    help="Increments of one mass, the SD among them, how many; two masses.",
)
@output
def command(**typed: Any) -> None:
    """What chance does to a sample with few grains, and how much to take.

    By a count, by metal and size, by weighed grains, by Gy's formula (--gy), or by increments of
    two masses: then --sample is the mass of one increment.
    """
    texts = [
        *typed["stage"],
        *typed["increments"],
        *(v for v in typed.values() if isinstance(v, str)),
    ]
    shape = shape_of(typed, texts)
    emit(answer(typed), shape)


def answer(typed: dict[str, Any]) -> Answer:
    """The answer of `sampling`.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    way = _way(typed)
    if way == "gy":
        return sampling_gy.answer(typed)
    if way == "increments":
        return sampling_increments.answer(typed)
    if way == "count" and typed["count_other"] is not None:
        return _two(typed)
    return sampling_grains.answer(typed, way)


def _way(typed: dict[str, Any]) -> str:
    """The one way that was asked for.

    Raises:
        BadInput: for none, two, or an option of another way.
    """
    asked = [way for way in WAYS if typed[way] not in {None, False, ()}]
    if not asked:
        raise BadInput.of("argument_missing", what="What is known", accepted=say("form_sampling"))
    if len(asked) > 1:
        one, other = (inputs.option_of(way) for way in asked[:2])
        raise BadInput.of("option_excludes", option=one, other=other)
    way = asked[0]
    faults = Faults()
    more = ("count_other", "sieve", "largest", "target", "assay")
    given = {way, *(name for name in more if typed[name] is not None)}
    for name, ways in ONLY_WITH.items():
        if typed[name] and not given.intersection(ways):
            option, other = inputs.option_of(name), " or ".join(map(inputs.option_of, ways))
            faults.add("", BadInput.of("option_needs", option=option, other=other))
    faults.done()
    return way


def _two(typed: dict[str, Any]) -> Answer:
    """Two counts held against each other."""
    faults = Faults()
    first = faults.take("--count", parse.whole, typed["count"], 0, grains.MOST_GRAINS)
    second = faults.take("--count-other", parse.whole, typed["count_other"], 0, grains.MOST_GRAINS)
    sizes = [inputs.positive_mass(faults, n, typed, "a sample") for n in ("sample", "sample_other")]
    for name, other in (("sample", "sample_other"), ("sample_other", "sample")):
        if typed[name] is not None and typed[other] is None:
            pair = {"option": inputs.option_of(name), "other": inputs.option_of(other)}
            faults.add("", BadInput.of("option_needs", **pair))
    for name in ("sieve", "largest", "recovery", "target"):
        if typed[name] is not None:
            pair = {"option": inputs.option_of(name), "other": "--count-other"}
            faults.add("", BadInput.of("option_excludes", **pair))
    faults.done()
    assert first is not None and second is not None  # noqa: S101, PT018  `done` raised otherwise
    grams = [1.0 if mass is None else sampling_inputs.grams(mass) for mass in sizes]
    found = counts.two_counts(first, second, *grams)
    e_test = counts.e_test(first, second, *grams)
    figures = {
        "count": sampling_inputs.counted(first),
        "count_other": sampling_inputs.counted(second),
        "ratio": _ratio(found),
        "p": p_figure(found.p),
    }
    rows = [
        ("first count, and what may be expected, 95 in 100", _expected(first)),
        ("second count, and what may be expected, 95 in 100", _expected(second)),
        ("first over second, for as much searched", figures["ratio"].text),
        ("chance of this much if both are alike, in 100", by_chance(found.p)),
    ]
    if e_test is not None:
        figures["e_test_p"] = p_figure(e_test[1])
        rows.append(("the same by the E-test, in 100", by_chance(e_test[1])))
    return Answer(
        command="sampling",
        inputs=sampling_inputs.said(typed),
        figures=figures,
        rows=tuple(rows),
        verdict=_difference(first + second, found),
        flags=_sharper(found, e_test),
        assumptions=(say("grains_by_chance"),),
        steps=_two_steps(first, second, grams, found),
    )


def _ratio(found: TwoCounts) -> Figure:
    """The ratio of two counts with its exact limits; there is none over a count of none."""
    low, high = _ends(found, 3)
    closed = found.ratio is not None
    return Figure(
        value=found.ratio,
        unit="1",
        low=found.low,
        high=found.high if closed else None,
        coverage_probability=COVERAGE,
        layer="sampling",
        status="measured" if closed else "at least",
        text=f"{low} to {high}" if closed else f"{low} or more",
        basis="for as much searched",
    )


def _expected(count: int) -> str:
    ends = counts.expected(count)
    low, high = sampling_grains.both_ends(ends.low, ends.high)
    return f"{count}: {low} to {high}"


def _ends(found: TwoCounts, digits: int) -> tuple[str, str]:
    """Both ends of a ratio; the upper one is open over a count of none."""
    if math.isinf(found.high):
        return write.short(found.low, digits), "any number of"
    return sampling_grains.both_ends(found.low, found.high)


def _difference(both: int, found: TwoCounts) -> Verdict:
    if both == 0:
        return Verdict("difference_not_shown", "difference not shown", say("counts_none"))
    low, high = _ends(found, 2)
    if found.shown:
        reason = say("counts_shown", lo=low, hi=high, p=by_chance(found.p))
        return Verdict("difference_shown", "difference shown", reason)
    if found.times is None:
        reason = say("counts_not_shown_equal", lo=low, hi=high)
    else:
        reason = say("counts_not_shown", lo=low, hi=high, x=found.times)
    return Verdict("difference_not_shown", "difference not shown", reason)


def _sharper(found: TwoCounts, e_test: tuple[float, float] | None) -> tuple[Flag, ...]:
    """The check value, where it alone finds a difference."""
    if e_test is None or found.shown or e_test[1] >= counts.ALIKE:
        return ()
    return (flag("counts_sharper", p=write.percent(e_test[1])),)


def _two_steps(
    first: int, second: int, grams: list[float], found: TwoCounts
) -> tuple[sums.Step, ...]:
    if found.ratio is None:
        return ()
    over = f"({first} / {sums.n(grams[0])}) / ({second} / {sums.n(grams[1])})"
    return (sums.step("ratio", over, found.ratio),)
