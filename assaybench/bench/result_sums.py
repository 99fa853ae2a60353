"""The whole sum of one sample as lines: readings with their entry numbers, then step by step.

What blanks and proofs brought stands with their own readings, so every number of the sum can be
found in the log.
"""

import math
from collections.abc import Iterable, Iterator

from assaybench.bench.characters import cells
from assaybench.bench.result_parts import grade_of, hundreds, of_budget
from assaybench.bench.result_rows import Row
from assaybench.bench.set_lines import bold, hanging, led, led_lines
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Span, line
from assaybench.messages import say
from assaybench.metrology.figure import Budget, Figure
from assaybench.metrology.uncertain import nominal
from assaybench.record.entries import Effective
from assaybench.record.lot_blanks import together_of
from assaybench.record.replay import State
from assaybench.record.results import Results, SampleResult
from assaybench.record.sample_sums import sample_sum
from assaybench.record.sums import Step, times
from assaybench.report.results_view import JUDGED, LABELS, WHOLE_LABELS
from assaybench.units import write

Block = list[Line]
_HAND = 30
"""Column where it is said on which balance, by whom and when."""
_TYPED = (
    "silver", "lead", "copper", "lots", "gold_known", "silver_known", "value", "of", "from", "part",
)  # fmt: skip
"""Keys of a sample that a sum may rest on."""


def blocks(found: Results, row: Row) -> list[Block]:
    """The blocks of lines: a heading and what belongs to it.

    Args:
        found: the results.
        row: whose sum.
    """
    whole, state = row.whole, found.run.state
    if whole is not None:
        members = [s for s in found.samples if s.of == row.id]
        made = [_entries(found, s) for s in members]
        figures = {WHOLE_LABELS.get(name, name): f for name, f in whole.printed.items()}
        every = [*made, _steps(whole.steps), _figures(figures), _factors(figures)]
        return [block for block in (*every, *_budgets(whole.budget.items())) if block]
    sample = row.sample
    if sample is None:
        return []
    steps = [*sample_sum(found, sample), *_doubts(found, sample)]
    figures = {LABELS[name]: f for name, f in sample.figures.items()}
    every = [
        _entries(found, sample),
        *(_entries(found, other) for other in _behind(found, sample)),
        _steps(steps),
        _figures(figures),
        _factors(figures),
        _verdicts(sample),
        *_budgets((LABELS[name], budget) for name, budget in sample.budget.items()),
        _notes(state, sample.id),
    ]
    return [block for block in every if block]


# --- what was read -------------------------------------------------------------------------------


def _behind(found: Results, sample: SampleResult) -> list[SampleResult]:
    """The blanks and proofs that a gold figure rests on."""
    gold = sample.parts.gold if sample.parts is not None else None
    if gold is None or sample.role in ("blank", "proof"):
        return []
    run = found.run
    lots = run.blanks.names_of(run.state.samples[sample.id])
    names = {
        name
        for name, entry in run.state.samples.items()
        if entry.text("role") == "blank" and together_of(entry) in lots
    }
    made = gold.correction
    for group in run.gold_proofs if made.form != "none" else []:
        taken = sum(nominal(proof.taken_mg) for proof in group) / len(group)
        same = (len(group), group[0].conditions) == (made.n, made.conditions)
        if same and math.isclose(taken, made.metal_mg):
            names |= {proof.name for proof in group}
    return [s for s in found.samples if s.id in names and not s.lost and not s.left_out]


def _entries(found: Results, sample: SampleResult) -> Block:
    """Every entry behind the weighings of a sample, by number; a struck reading keeps its place."""
    state = found.run.state
    by_n = {record.entry.n: record.entry for record in state.readings}
    entry = state.samples[sample.id]
    role = "" if sample.role == "sample" else f", {sample.role}"
    rows = [bold(say("sum_read", id=sample.id, role=role))]
    typed = [f"{key} {_shown(entry.values[key])}" for key in _TYPED if entry.values.get(key)]
    rows += hanging(say("sum_entry", n=entry.n, what="; ".join(typed) or entry.text("role")))
    raw = found.run.raw
    for (name, _), weighing in raw.items():
        if name == sample.id:
            rows += [_reading(by_n[n]) for n in weighing.entries if n in by_n]
    return rows


def _shown(value: object) -> str:
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _reading(entry: Effective) -> Line:
    """A reading: entry, what, as displayed, balance, by whom and when."""
    made = entry.entry
    before = made.values.get("text")
    parts: list[str | Span] = [f"  {made.n:>5}  {entry.text('what'):<7} "]
    if before != entry.text("text"):
        parts += [say("sum_struck"), " ", Span(str(before), "struck"), "  "]
    parts.append(f"{entry.text('text')} {entry.text('unit')}")
    hand = f"{entry.text('balance')}, {made.by} {made.at:%H:%M}"
    used = sum(cells(p if isinstance(p, str) else p.text) for p in parts)
    gap = max(_HAND - used, 2)
    if used + gap + cells(hand) <= BLOCK_WIDTH:
        parts.append(" " * gap + hand)
    return line(*parts)


# --- the sum -------------------------------------------------------------------------------------


def _doubts(found: Results, sample: SampleResult) -> list[Step]:
    """U = k·u of the grade."""
    value, figure = grade_of(sample), sample.figures.get("grade_gold")
    if value is None or figure is None or figure.value is None:
        return []
    doubt = found.sources.doubt(value)
    return [times(say("sum_expanded", id=sample.id), doubt.k, doubt.u, "g/t")]


def _steps(steps: Iterable[Step]) -> Block:
    rows = [bold(say("sum_steps"))]
    for step in steps:
        rows += hanging(step.line)
    return rows if len(rows) > 1 else []


def _figures(figures: dict[str, Figure]) -> Block:
    rows = [bold(say("sum_figures"))]
    for label, figure in figures.items():
        rows += led_lines(label, figure.text)
    return rows if len(rows) > 1 else []


def _factors(figures: dict[str, Figure]) -> Block:
    """k and the degrees of freedom of every figure that is value ± U."""
    rows = [bold(say("sum_factors"))]
    for label, figure in figures.items():
        if figure.k is not None:
            dof = say("sum_many") if math.isinf(figure.dof) else write.short(figure.dof, 3)
            rows += led_lines(label, f"{write.short(figure.k, 3)}, {dof}")
    return rows if len(rows) > 1 else []


def _verdicts(sample: SampleResult) -> Block:
    rows = [bold(say("sum_says"))]
    for name, verdict in sample.verdicts.items():
        rows.append(led(JUDGED[name], verdict.text))
    return rows if len(rows) > 1 else []


def _budgets(budgets: Iterable[tuple[str, Budget]]) -> Iterator[Block]:
    """Where each ± comes from, source by source."""
    for label, budget in budgets:
        parts = of_budget(budget)
        rows = [led(part.label, f"{n:>3}") for part, n in zip(parts, hundreds(parts), strict=True)]
        if rows:
            yield [bold(say("sum_from", what=WHOLE_LABELS.get(label, label))), *rows]


def _notes(state: State, sample: str) -> Block:
    rows = [bold(say("sum_notes"))]
    for note in state.of("note"):
        if note.text("sample") == sample:
            made = note.entry
            hand = f"{note.text('text')} ({made.by} {made.at:%H:%M})"
            rows += hanging(say("sum_entry", n=made.n, what=hand))
    return rows if len(rows) > 1 else []
