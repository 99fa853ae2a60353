"""The parts of `sampling` that rest on grains: counted, weighed, or of a size."""

from collections.abc import Sequence
from typing import Any

from assaybench.circuit import counts, grain_law, grains, sampling
from assaybench.circuit.grain_law import Result
from assaybench.cli import inputs
from assaybench.cli.options import Faults
from assaybench.cli.sampling_inputs import (
    TYPED_K,
    GrainReader,
    Known,
    counted,
    mass_text,
    said,
)
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import (
    COVERAGE,
    Budget,
    Figure,
    Flag,
    Interval,
    Layer,
    Share,
    Verdict,
    flag,
    measured,
    plain,
)
from assaybench.record import sums
from assaybench.report.answer import Answer, factors_of
from assaybench.units import parse, write

_PER_MG = 1000.0  # 1 mg in 1 g is 1000 g/t


def answer(typed: dict[str, Any], way: str) -> Answer:
    """The answer of `sampling` by grains.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    if way == "classes":
        return _classes(typed)
    reader = GrainReader(typed, way)
    known = reader.known()
    ends = grain_law.interval(known.result)
    figures = _figures(known, ends)
    next_run = _next_run(typed, known)
    few = (flag("grains_few"),) if known.result.few and known.number else ()
    return Answer(
        command="sampling",
        inputs=said(typed),
        figures=figures | _weighed_figures(reader.masses),
        rows=(*_rows(known, figures, reader.masses), *_layers(known, ends)),
        verdict=_verdict(known),
        budget=_budget(known),
        flags=(*few, *next_run, *_small_others(known)),
        assumptions=known.assumptions,
        coverage=factors_of(figures.values()),
        steps=_steps(known),
    )


def _figures(known: Known, ends: Interval) -> dict[str, Figure]:
    result, unit = known.result, known.unit
    found = {"grains": plain(known.number, "1", digits=3, layer="sampling", basis="equal grains")}
    name = "metal" if unit == "mg" else "expected"
    found[name] = with_ends(result, ends, unit, "as in charges like this one")
    if known.grain_mg is not None:
        found["grain"] = plain(known.grain_mg, "mg", digits=3, layer="sampling", basis="by mass")
    if known.number:
        share = 100 * result.u_sampling / result.value
        found["u_sampling"] = plain(share, "%", digits=2, layer="sampling", basis="1/√N")
    if known.sample_g is not None and unit == "mg":
        per = _PER_MG / known.sample_g
        graded = Result(result.value * per, result.u * per, grain=result.grain * per)
        graded_ends = Interval(ends.low * per, ends.high * per, COVERAGE)
        found["grade"] = with_ends(graded, graded_ends, "g/t", "as in charges like this one")
        found["grain_grade"] = plain(graded.grain, "g/t", digits=2, layer="sampling")
    return found | _needed(known)


def _needed(known: Known) -> dict[str, Figure]:
    """By how much the sample must grow for the target, and to which mass."""
    if known.target is None or not known.number:
        return {}
    left = sampling.left_for_sampling(known.target, known.u_mg / known.result.value)
    if left is None:
        return {}
    times = 1 / (known.number * left**2)
    found = {"times": plain(times, "1", digits=3, layer="sampling", basis="of this sample")}
    if known.sample_g is not None:
        found["sample_needed"] = plain(times * known.sample_g, "g", digits=3, layer="sampling")
    return found


def with_ends(result: Result, ends: Interval, unit: str, basis: str) -> Figure:
    """A figure with ± from 20 grains on, else with both ends."""
    layer: Layer = "sampling"
    if not result.few and result.u_widest:
        k = (ends.high - result.value) / result.u_widest
        return measured(result.value, result.u_widest, unit, k=k, layer=layer, basis=basis)
    low, high = both_ends(ends.low, ends.high)
    return Figure(
        value=result.value,
        unit=unit,
        u=result.u_widest or None,
        low=ends.low,
        high=ends.high,
        coverage_probability=COVERAGE,
        layer=layer,
        basis=basis,
        text=write.with_unit(f"{low} to {high}", unit),
    )


def both_ends(low: float, high: float) -> tuple[str, str]:
    """Both ends of an interval to one place, that of two digits of its width."""
    place = write.uncertainty_place(high - low)
    return write.at_place(low, place), write.at_place(high, place)


def _rows(
    known: Known, figures: dict[str, Figure], masses: Sequence[float]
) -> list[tuple[str, str]]:
    rows = []
    if known.metal_mg is not None:
        rows.append(("metal", f"{write.short(known.metal_mg, 4)} mg"))
    if masses:
        rows.append(("grains weighed", f"{len(masses)}"))
        for name, many in zip(grains.CLASSES, grains.by_class(masses), strict=True):
            rows.append((f"of them {name}", f"{many}"))
        rows.append(("share of the heaviest, in 100", write.percent(max(masses) / sum(masses))))
    if "grain" in figures:
        rows.append(("one grain, the mean by mass", figures["grain"].text))
    if "grain_grade" in figures:
        rows.append(("one grain is worth here", figures["grain_grade"].text))
    rows.append(("equal grains behind it", figures["grains"].text))
    if "u_sampling" in figures:
        rows.append(("u from their number alone, 1/√N", figures["u_sampling"].text))
    if "times" in figures:
        rows.append(("sample for the target, times this one", figures["times"].text))
    if "sample_needed" in figures:
        rows.append(("which is", mass_text(figures["sample_needed"].value or 0.0)))
    return rows


def _layers(known: Known, ends: Interval) -> list[tuple[str, str]]:
    """How far the truth may be away, one more source in each line."""
    result, unit = known.result, known.unit
    rows = []
    for label, u in (("by the weighing", known.u_weighing_mg), ("and the assay", known.u_mg)):
        if u and (label != "and the assay" or u > known.u_weighing_mg):
            rows.append((label, write.plus_minus(result.value, TYPED_K * u, unit)))
    figure = with_ends(result, ends, unit, "")
    label = "and the sample" if rows else "what the material holds in samples like this"
    rows.append((label, figure.text))
    if known.sample_g is not None and unit == "mg":
        per = _PER_MG / known.sample_g
        graded = Result(result.value * per, result.u * per, grain=result.grain * per)
        text = with_ends(graded, Interval(ends.low * per, ends.high * per), "g/t", "").text
        rows.append(("as a grade", text))
    return rows


def _verdict(known: Known) -> Verdict | None:
    """What decides, and what to do first."""
    if known.number:
        metal = known.result.value
        other, weighing = known.u_mg / metal, known.u_weighing_mg / metal
        return chance_verdict(known.number, known.target, other, weighing)
    texts = []
    for many in (counts.NONE_FOUND, counts.NONE_FOUND_TWO_SIDED):
        text = f"{write.significant(many, 2)} grains"
        if known.grain_mg is not None:
            text += f" ({write.significant(many * known.grain_mg, 2)} mg)"
        texts.append(text)
    return Verdict("grains_none", "none found", say("grains_none", most=texts[0], both=texts[1]))


def chance_verdict(
    number: float, target: float | None, other: float = 0.0, weighing: float = 0.0
) -> Verdict | None:
    """Which layer decides, held against the target, and what to do first.

    Args:
        number: N, the grains behind the result.
        target: u_rel aimed at; None for the usual one, which then is no aim to be within.
        other: u_rel of weighing and assay together.
        weighing: u_rel of the weighing alone.
    """
    aim = sampling.USUAL_TARGET if target is None else target
    total = (1 / number + other**2) ** 0.5
    shown = {"aim": write.short(100 * TYPED_K * aim, 2), "pct": write.percent(TYPED_K * total)}
    if total <= aim:
        if target is None:
            return None
        return Verdict("within_aim", "within aim", say("within_aim", **shown))
    own = max(other**2 - weighing**2, 0.0) ** 0.5
    if max(own, weighing) > number**-0.5:
        code, word = "grains_rule_assay", "assay decides"
        if weighing > own:
            code, word = "grains_rule_weighing", "weighing decides"
        return Verdict(code, word, say(code))
    left = sampling.left_for_sampling(aim, other)
    if left is None:
        pct = write.percent(TYPED_K * other)
        reason = say("aim_beyond_assay", aim=shown["aim"], pct=pct)
        return Verdict("aim_beyond_assay", "wider than aim", reason)
    times = write.significant_up(1 / (number * left**2), 2)
    reason = say("grains_decide", **shown, N=write.short(number, 2), x=times)
    return Verdict("grains_decide", "chance decides", reason)


def _budget(known: Known) -> dict[str, Budget]:
    """The share of each layer in the variance, where more than one is known."""
    result = known.result
    if not (known.u_mg and known.number):
        return {}
    parts = {
        "weighing": known.u_weighing_mg**2,
        "assay": max(known.u_mg**2 - known.u_weighing_mg**2, 0.0),
        "number of grains": result.u_sampling**2,
    }
    whole = sum(parts.values())
    shares = [Share(name, part / whole) for name, part in parts.items() if part]
    return {"metal": tuple(sorted(shares, key=lambda share: -share.share))}


def _small_others(known: Known) -> tuple[Flag, ...]:
    u = known.result.u_sampling
    small = 0 < known.u_mg * sampling.OTHER_THIRD <= u
    return (flag("other_doubts_small"),) if small else ()


def _next_run(typed: dict[str, Any], known: Known) -> tuple[Flag, ...]:
    """What the grains of a whole product say of the next run's recovery."""
    faults = Faults()
    recovery = inputs.share(faults, "recovery", typed, "a recovery", 0, 100)
    faults.done()
    if recovery is None or not known.number:
        return ()
    _u, ends = sampling.next_recovery(recovery, known.number)
    low, high = both_ends(100 * ends.low, 100 * ends.high)
    shown = write.short(100 * recovery, 4)
    return (flag("next_run_grains", R=shown, lo=low, hi=high),)


def _weighed_figures(masses: Sequence[float]) -> dict[str, Figure]:
    if not masses:
        return {}
    return {
        "weighed": plain(len(masses), "1", layer="sampling", basis="grains"),
        "heaviest_share": plain(100 * max(masses) / sum(masses), "%", layer="sampling"),
    }


def _steps(known: Known) -> tuple[sums.Step, ...]:
    if not known.number:
        return ()
    found = []
    if known.metal_mg is not None and known.grain_mg is not None:
        over = f"{sums.n(known.metal_mg)} / {sums.n(known.grain_mg)}"
        found.append(sums.step("N", over, known.number))
    share = 100 / known.number**0.5
    found.append(sums.step("u_rel", f"100 / √({sums.n(known.number)})", share, "%"))
    return tuple(found)


def _classes(typed: dict[str, Any]) -> Answer:
    """Grains counted by eye and class: a range of masses, which is no weighing."""
    text = typed["classes"]
    try:
        many = [parse.whole(part, 0, grains.MOST_GRAINS) for part in text.split()]
    except BadInput as fault:
        raise fault.named("--classes") from fault
    if len(many) != len(grains.CLASSES):
        raise BadInput.of("classes_unreadable", x=quoted(text)).named("--classes")
    least, most = grains.mass_of_classes(*many)
    told = f"{write.short(least)} mg or more"
    if most is not None:
        told = f"{write.short(least)} to {write.short(most)} mg"
    figure = Figure(
        value=None, unit="mg", low=least, high=most, layer="sampling", text=told,
        status="at least" if most is None else "measured", basis="by eye",
    )  # fmt: skip
    rows = [(f"grains {name}", f"{n}") for name, n in zip(grains.CLASSES, many, strict=True)]
    ends = counts.expected(sum(many))
    low, high = both_ends(ends.low, ends.high)
    told_all = ("all grains, and what may be expected, 95 in 100", f"{sum(many)}: {low} to {high}")
    return Answer(
        command="sampling",
        inputs=said(typed),
        figures={"metal": figure, "count": counted(sum(many))},
        rows=(*rows, ("they weigh", told), told_all),
        assumptions=(say("grains_by_chance"), say("classes_by_eye")),
    )
