"""The lower half of the page of results: the sample under the pointer, opened like a paragraph.

One question, how far may the truth be away, answered once for each layer; then what the ± of the
assay comes from, in parts of 100, and the sum on one line.
"""

from collections.abc import Sequence

from assaybench.bench.characters import cells
from assaybench.bench.result_parts import Part, hundreds, of_budget, parts_of_grade, sum_line
from assaybench.bench.result_rows import Row, in_unit
from assaybench.bench.set_lines import bold, led
from assaybench.bench.sheet import BLOCK_WIDTH, Line, line
from assaybench.messages import say
from assaybench.metrology.figure import Budget, Figure
from assaybench.record.layers import LayerDoubt, Layers
from assaybench.record.results import Results, SampleResult
from assaybench.report.results_view import LABELS, WHOLE_LABELS
from assaybench.units import write
from assaybench.units.table import GRAM_PER_TONNE, Unit

LINES = 11
"""Lines of a sample opened, at least; a table has what is left."""


def lines(found: Results, row: Row, layers: Layers | None, unit: Unit, room: int) -> list[Line]:
    """A row opened.

    Args:
        found: the results.
        row: the row.
        layers: of its grade, None without one.
        unit: of the grade.
        room: lines there are for it.
    """
    if row.sample is None:
        return _of_whole(row, unit, room)
    sample = row.sample
    if layers is None or row.grade is None:
        return _of_masses(row, sample, room)
    head = _head(row, row.grade, layers, unit)
    parts = parts_of_grade(found, sample)
    shares = _shares(_from(layers, unit, row.grade), parts, room - len(head) - 2)
    return [*head, (), *shares, line(sum_line(found, sample, BLOCK_WIDTH))]


def _head(row: Row, figure: Figure, layers: Layers, unit: Unit) -> list[Line]:
    """The question, and one line for each layer."""
    factor = float(GRAM_PER_TONNE.size / unit.size)
    if figure.status == "below L_D":
        told = in_unit(figure, unit, row.detection).text
        verdict = row.sample.verdicts.get("gold_metal") if row.sample else None
        word = "" if verdict is None else verdict.text
        read = write.short((figure.value or 0) * factor, 2)
        most = write.significant((figure.high or 0) * factor, 2)
        return [
            bold(say("opened_limit", id=row.label, g=told, verdict=word)),
            led(say("reach_read"), write.with_unit(read, unit.symbol)),
            led(say("reach_most"), write.with_unit(most, unit.symbol)),
            led(say("reach_unseen"), told.removeprefix("< ")),
        ]
    widest = layers.widest.expanded or layers.assay.expanded
    value = layers.result.value * factor
    shown = write.value_and_expanded(value, (widest or layers.assay.u) * factor)[0]
    ends = [_reach(doubt, factor) for doubt in (layers.weighing, layers.assay, layers.sampling)]
    texts = _below_each_other(ends)
    grains = layers.grains
    third = say("reach_sample")
    if grains is not None:
        third = say("reach_sampling", N=write.short(grains, 2))
    labels = (say("reach_weighing"), say("reach_assay"), third)
    codes = ("opened_grade", "opened_grade_short", "opened_grade_shortest")
    asked = [say(code, id=row.label, g=shown, unit=unit.symbol) for code in codes]
    fits = next((text for text in asked if cells(text) <= BLOCK_WIDTH), asked[-1])
    return [
        bold(fits),
        *(led(label, text) for label, text in zip(labels, texts, strict=True)),
    ]


def _reach(doubt: LayerDoubt | None, factor: float) -> str:
    """How far a layer reaches: `± 0.31`, both ends where ± would mislead, or not known."""
    if doubt is None:
        return say("reach_not_known")
    if doubt.expanded is not None:
        return f"± {write.significant(doubt.expanded * factor, 2)}"
    low, high = (write.significant(end * factor, 2) for end in doubt.interval[:2])
    return say("reach_ends", low=low, high=high)


def _below_each_other(texts: Sequence[str]) -> list[str]:
    """Texts that end on the right, the decimal points of those with ± below each other."""
    behind = [len(t.partition(".")[2]) + ("." in t) if t.startswith("±") else 0 for t in texts]
    most = max(behind)
    return [
        text + " " * (most - after) if text.startswith("±") else text
        for text, after in zip(texts, behind, strict=True)
    ]


def _from(layers: Layers, unit: Unit, figure: Figure) -> str:
    if figure.status == "below L_D" or layers.assay.expanded is None:
        return say("opened_doubt_from")
    factor = float(GRAM_PER_TONNE.size / unit.size)
    return say("opened_comes_from", U=write.significant(layers.assay.expanded * factor, 2))


def _shares(title: str, parts: tuple[Part, ...], room: int) -> list[Line]:
    """The parts of 100, the largest first; what there is no room for is summed."""
    if not parts or room < 2:
        return []
    numbers = hundreds(parts)
    rows = [(part.label, n) for part, n in zip(parts, numbers, strict=True)]
    if len(rows) > room - 1:
        kept, rest = rows[: room - 2], rows[room - 2 :]
        rows = [*kept, (say("part_rest", n=len(rest)), sum(n for _, n in rest))]
    wide = max(len(str(n)) for _, n in rows)
    return [bold(title), *(led(label, f"{n:>{wide}}") for label, n in rows)]


def _of_masses(row: Row, sample: SampleResult, room: int) -> list[Line]:
    """A sample without a grade: lost, a blank, a proof, or a bead that was not parted."""
    if sample.lost:
        return [bold(say("opened_lost", id=row.label))]
    code = "opened_none"
    if sample.role in ("blank", "proof"):
        code = "opened_role"
    elif "gold_read" not in sample.figures and "bead" in sample.figures:
        code = "opened_dore"
    head = [bold(say(code, id=row.label, role=sample.role))]
    figures = [(LABELS[name], f.text) for name, f in sample.figures.items() if f.value is not None]
    head += [led(label, text) for label, text in figures]
    name = "gold" if sample.budget.get("gold") else "dore"
    budget: Budget = sample.budget.get(name) or ()
    shares = _shares(say("opened_doubt_from"), of_budget(budget), room - len(head) - 1)
    return [*head, (), *shares] if shares else head[:room]


def _of_whole(row: Row, unit: Unit, room: int) -> list[Line]:
    """A sample assayed in parts: its figures, then where the doubt of the first comes from."""
    whole = row.whole
    if whole is None:
        return []
    head = [bold(say("opened_whole", id=row.label, kind=say(f"results_{whole.kind}")))]
    for name, figure in whole.printed.items():
        told = in_unit(figure, unit) if figure.unit == GRAM_PER_TONNE.symbol else figure
        head.append(led(WHOLE_LABELS.get(name, name), told.text))
    budget = next(iter(whole.budget.values()), ())
    shares = _shares(say("opened_doubt_from"), of_budget(budget), room - len(head) - 1)
    return [*head, (), *shares] if shares else head[:room]
