"""The part of `sampling` that is Gy's formula: every factor said, stages, and the mass to take."""

import math
from typing import Any

from assaybench.circuit import grain_law, grains, sampling
from assaybench.circuit.grain_law import Result
from assaybench.cli.sampling_grains import chance_verdict, with_ends
from assaybench.cli.sampling_gy_inputs import Asked, GyReader
from assaybench.cli.sampling_inputs import TYPED_K, mass_text, said
from assaybench.messages import say
from assaybench.metrology.figure import Figure, Flag, Verdict, flag, plain
from assaybench.record import sums
from assaybench.report.answer import Answer, Section, factors_of, table_section
from assaybench.report.tables import aligned
from assaybench.units import write

FACTORS = (
    ("shape_factor", "shape", "f, shape of the grains"),
    ("size_factor", "size_range", "g, range of their sizes"),
    ("liberation_factor", "liberation", "l, liberation"),
    ("composition_factor", "composition", "c, composition"),
)


def answer(typed: dict[str, Any]) -> Answer:
    """The answer of `sampling --gy`.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    asked = GyReader(typed).asked()
    figures = _factor_figures(asked) | _found(asked) | _needed(asked)
    several = asked.protocol is not None and len(asked.protocol.stages) > 1
    return Answer(
        command="sampling",
        inputs=said(typed),
        figures=figures,
        rows=_rows(asked, figures),
        verdict=_verdict(asked),
        sections=_stages_table(asked) if several else (),
        flags=_flags(asked, several=several),
        assumptions=asked.assumptions,
        coverage=factors_of(figures.values()),
        steps=_steps(asked),
        records={"stages": _records(asked)},
    )


def _factor_figures(asked: Asked) -> dict[str, Figure]:
    found = asked.factors
    figures = {
        name: plain(getattr(found, key), unit, digits=4, layer="sampling", basis=label)
        for (name, key, label), unit in zip(FACTORS, ("1", "1", "1", "g/cm3"), strict=True)
    }
    figures["top_size"] = plain(found.top_um / 1000, "mm", digits=4, layer="sampling")
    figures["constant"] = plain(
        found.constant, "g/cm3", digits=4, layer="sampling", basis="f·g·l·c"
    )
    if asked.free and asked.g_per_t is not None:
        grain_mg = found.grams * asked.g_per_t / 1000
        figures["grain"] = plain(grain_mg, "mg", digits=3, layer="sampling", basis="by mass")
    return figures


def _found(asked: Asked) -> dict[str, Figure]:
    """u_rel of the sample, the grains it is worth, and the grade with it."""
    if asked.protocol is None:
        return {}
    u = asked.protocol.u_rel
    figures = {"u_sampling": plain(100 * u, "%", digits=3, layer="sampling", basis="u, relative")}
    if u:
        worth = sampling.grains_worth(u)
        figures["grains"] = plain(worth, "1", digits=3, layer="sampling", basis="equal grains")
    if asked.measured and asked.g_per_t is not None and (u or asked.other):
        value = asked.g_per_t
        result = Result(value, asked.other * value, grain=value * u * u)
        ends = grain_law.interval(result)
        figures["grade"] = with_ends(result, ends, "g/t", "of the lot")
    return figures


def _needed(asked: Asked) -> dict[str, Figure]:
    mass = _mass_needed(asked)
    if mass is None:
        return {}
    return {"sample_needed": plain(mass, "g", digits=3, layer="sampling", basis="for the target")}


def _left(asked: Asked) -> float | None:
    """u_rel that is left for the sampling."""
    if asked.target is None:
        return None
    return sampling.left_for_sampling(asked.target, asked.other)


def _mass_needed(asked: Asked) -> float | None:
    """The mass of sample for the target, g; None without one, or where nothing is left for it."""
    left = _left(asked)
    if left is None:
        return None
    return sampling.sample_needed_g(asked.factors, left, asked.lot_g)


def _rows(asked: Asked, figures: dict[str, Figure]) -> tuple[tuple[str, str], ...]:
    several = asked.protocol is not None and len(asked.protocol.stages) > 1
    last = ", of the last split" if several else ""
    rows = [(label, figures[name].text) for name, _, label in FACTORS]
    rows.append((f"d, top size{last}", figures["top_size"].text))
    rows.append((f"C = f·g·l·c{last}", figures["constant"].text))
    if "grain" in figures:
        rows.append((f"one grain, the mean by mass{last}", figures["grain"].text))
    if asked.protocol is not None:
        u = asked.protocol.u_rel
        rows.append(("u of the sampling, relative", figures["u_sampling"].text))
        if u:
            rows.append(("as ±, k = 2", f"± {write.percent(TYPED_K * u)} %"))
            rows.append(("as good as a count of grains of", figures["grains"].text))
    if "grade" in figures:
        rows.append(("grade of the lot", figures["grade"].text))
    if "sample_needed" in figures:
        aim = f"± {write.short(100 * TYPED_K * (asked.target or 0.0), 3)} %"
        rows.append(
            (f"sample to take for {aim} (k = 2)", mass_text(figures["sample_needed"].value or 0.0))
        )
    return tuple(rows)


def _verdict(asked: Asked) -> Verdict | None:
    protocol = asked.protocol
    if protocol is None or not protocol.u_rel:
        return None
    worth = sampling.grains_worth(protocol.u_rel)
    found = chance_verdict(worth, asked.target, asked.other)
    if found is None or found.code != "grains_decide" or len(protocol.stages) == 1:
        return found
    aim = sampling.USUAL_TARGET if asked.target is None else asked.target
    reason = say(
        "splits_decide",
        pct=write.percent(TYPED_K * math.hypot(protocol.u_rel, asked.other)),
        aim=write.short(100 * TYPED_K * aim, 2),
        n=protocol.widest,
        share=write.short(100 * max(protocol.shares), 2),
    )
    return Verdict("splits_decide", "chance decides", reason)


def _flags(asked: Asked, *, several: bool) -> tuple[Flag, ...]:
    found: list[Flag] = []
    protocol = asked.protocol
    verdict = _verdict(asked)
    told = verdict is not None and verdict.code == "aim_beyond_assay"
    if asked.target is not None and _left(asked) is None and not told:
        aim, other = (write.percent(TYPED_K * u) for u in (asked.target, asked.other))
        found.append(flag("aim_beyond_assay", aim=aim, pct=other))
    if protocol is None:
        return tuple(found)
    if protocol.u_rel == 0:
        return (flag("gy_whole_lot_taken"),)
    if several and (verdict is None or verdict.code != "splits_decide"):
        share = write.short(100 * max(protocol.shares), 2)
        found.append(flag("gy_widest_stage", n=protocol.widest, share=share))
    if sampling.grains_worth(protocol.u_rel) < grains.ENOUGH_GRAINS:
        found.append(flag("grains_few"))
    if 0 < asked.other * sampling.OTHER_THIRD <= protocol.u_rel:
        found.append(flag("other_doubts_small"))
    return tuple(found)


def _stages_table(asked: Asked) -> tuple[Section, ...]:
    assert asked.protocol is not None  # noqa: S101  asked for with two stages or more
    heads = ("split", "from, g", "kept, g", "top size, mm", "u, %", "parts in 100")
    rows = [
        (
            f"{i}",
            write.short(stage.from_g, 4) if math.isfinite(stage.from_g) else "very large",
            write.short(stage.to_g, 4),
            write.short(stage.factors.top_um / 1000, 3),
            write.percent(stage.variance**0.5),
            f"{100 * share:.0f}",
        )
        for i, (stage, share) in enumerate(
            zip(asked.protocol.stages, asked.protocol.shares, strict=True), start=1
        )
    ]
    return (table_section("Splits, and the share of each in the variance", aligned(heads, rows)),)


def _records(asked: Asked) -> list[dict[str, object]]:
    if asked.protocol is None:
        return []
    return [
        {
            "id": f"{i}",
            "kept_g": stage.to_g,
            "top_um": stage.factors.top_um,
            "liberation_factor": stage.factors.liberation,
            "constant": stage.factors.constant,
            "u_rel": stage.variance**0.5,
            "share": share,
        }
        for i, (stage, share) in enumerate(
            zip(asked.protocol.stages, asked.protocol.shares, strict=True), start=1
        )
    ]


def _steps(asked: Asked) -> tuple[sums.Step, ...]:
    found = asked.factors
    product = " × ".join(
        sums.n(x) for x in (found.shape, found.size_range, found.liberation, found.composition)
    )
    steps = [sums.step("C", product, found.constant, "g/cm3")]
    parts = asked.protocol.stages if asked.protocol is not None else ()
    for i, stage in enumerate(parts, start=1):
        less = f" - 1 / {sums.n(stage.from_g)}" if math.isfinite(stage.from_g) else ""
        cubed = f"{sums.n(stage.factors.constant)} × {sums.n(stage.factors.top_um / 10000)}^3"
        name = "u_rel" if len(parts) == 1 else f"u_rel of split {i}"
        expression = f"100 × √((1 / {sums.n(stage.to_g)}{less}) × {cubed})"
        steps.append(sums.step(name, expression, 100 * stage.variance**0.5, "%"))
    if len(parts) > 1 and asked.protocol is not None:
        squares = " + ".join(f"{sums.n(100 * stage.variance**0.5)}^2" for stage in parts)
        steps.append(sums.step("u_rel", f"√({squares})", 100 * asked.protocol.u_rel, "%"))
    left, mass = _left(asked), _mass_needed(asked)
    if left is not None and mass is not None:
        cubed = f"({sums.n(found.constant)} × {sums.n(found.top_um / 10000)}^3)"
        less = f" + 1 / {sums.n(asked.lot_g)}" if math.isfinite(asked.lot_g) else ""
        steps.append(sums.step("M_s", f"1 / ({sums.n(left)}^2 / {cubed}{less})", mass, "g"))
    return tuple(steps)
