"""The grade of a sample of a log held against a cut-off, with the widest layer the log knows.

A sample with several determinations is judged by the grade of all of them.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from assaybench.cli import log_results
from assaybench.cli.compare_two import cutoff_answer
from assaybench.cli.compare_words import expect
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Figure, measured
from assaybench.metrology.freedom import coverage_factor
from assaybench.record import layers
from assaybench.record.layers import Layers
from assaybench.record.replay import replay
from assaybench.record.results import Results, SampleResult, results
from assaybench.record.sample_grades import SampleGrade
from assaybench.report.answer import Answer
from assaybench.units import parse, write
from assaybench.units.table import FRACTION, GRAM_PER_TONNE


def against_cutoff(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    """The answer for `--log NUMBER --sample ID --cutoff C`.

    Raises:
        BadInput: when there is no such log or sample, or the sample has no gold grade.
        NotDone: when the log cannot be read.
    """
    expect(figures, 0, say("form_no_figure", option="--log and --sample"))
    for name in ("grains", "dof", "layer"):
        if typed[name] is not None:
            raise BadInput.of("option_excludes", option=f"--{name}", other="--log")
    try:
        limit = parse.plain_figure(typed["cutoff"], FRACTION, example="3 g/t")
    except BadInput as fault:
        raise fault.named("--cutoff") from fault
    _desk, log = log_results.log_of(typed["log"], typed)
    found = results(replay(log.entries))
    sample = next((one for one in found.samples if one.id == typed["sample"]), None)
    if sample is None:
        choices = ", ".join(one.id for one in found.samples) or "none yet"
        unknown = say("sample_not_in_log", x=quoted(typed["sample"]), choices=choices)
        damaged = [f.text for f in log.flags if f.code == "log_damaged"]
        raise BadInput([*damaged, f"--sample: {unknown}"])
    # of two sorts of determinations the corrected ones come first; they are never pooled
    pooled = next((one for one in found.grades if one.id == sample.id), None)
    known = layers.layers_of_grade(found, pooled) if pooled else layers.layers_of(found, sample)
    if known is None:
        raise BadInput.of("no_gold_grade", name=quoted(sample.id))
    unit = GRAM_PER_TONNE
    judged = cutoff_answer(known.result, float(limit.exact(unit)), unit, _figure(known),
                           known.widest.layer)  # fmt: skip
    names = ("log", "sample", "cutoff")
    return replace(
        judged,
        inputs={name: typed[name] for name in names},
        rows=(("log", log.name.spelled), ("sample", sample.id), *judged.rows),
        flags=(*judged.flags, *((known.missing,) if known.missing else ()), *log.flags),
        assumptions=tuple(
            dict.fromkeys((*judged.assumptions, *known.assumptions, *_taken(found, sample, pooled)))
        ),
    )


def _taken(found: Results, sample: SampleResult, pooled: SampleGrade | None) -> list[str]:
    """What the grade takes as given of its proofs, and of which determinations it is the mean."""
    names = {sample.id} if pooled is None else {one.name for one in pooled.grade.used}
    golds = [s.parts.gold for s in found.samples if s.id in names and s.parts and s.parts.gold]
    said = [text for gold in golds for text in gold.correction.assumptions]
    if pooled is not None and pooled.mixed:
        said.append(say("mean_of_sort", n=len(names), N=pooled.of_all, sort=pooled.words))
    return said


def _figure(known: Layers) -> Figure:
    """The grade with the doubt of the widest layer known: ± U, or both ends of few grains."""
    value, wide = known.result.value, known.widest
    if wide.expanded is not None:
        k = coverage_factor(known.result.dof_widest)
        return measured(value, known.result.u_widest, "g/t", k=k, layer=wide.layer, basis="gold")
    low, high = (write.short(end, 3) for end in wide.interval[:2])
    return Figure(
        value=value,
        unit="g/t",
        u=wide.u,
        low=wide.interval.low,
        high=wide.interval.high,
        coverage_probability=wide.interval.coverage_probability,
        layer=wide.layer,
        basis="gold",
        text=f"{write.short(value, 3)} g/t ({low} to {high} g/t)",
    )
