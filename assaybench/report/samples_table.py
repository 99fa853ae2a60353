"""The table of samples of `results`, and the grades of samples that were assayed more than once.

Figures that are corrected for cupel loss and others that are not never share a column: where a page
has both, each sort is a table under its own heading, all with the same columns (method version 1,
section 3). A page with one sort alone has one table.
"""

from collections.abc import Sequence

from assaybench.assay import sorts
from assaybench.messages import say
from assaybench.metrology.figure import Figure
from assaybench.record.results import Results, SampleResult
from assaybench.record.sample_grades import SampleGrade
from assaybench.report.answer import Section, table_section
from assaybench.report.tables import aligned

HEADS = ("sample", "", "gold, mg", "g/t, assay ±", "weighing says")
LEFT = (0, 1, 4)


def tables(found: Results, shown: Sequence[SampleResult]) -> list[Section]:
    """One line a sample, in the order of the log within its sort; a lost one says so in its place.

    Args:
        found: the results.
        shown: the samples that are asked for.
    """
    if not shown:
        return []
    head, *lines = aligned(HEADS, [_row(sample) for sample in shown], LEFT)
    of_all = len(found.samples)
    present = sorts.present(sample.sort for sample in shown)
    if len(present) < 2:
        title = f"Samples, {len(shown)} of {of_all} shown"
        return [table_section(title, [head, *lines])]
    sections = []
    for sort in (*present, ""):
        own = [line for sample, line in zip(shown, lines, strict=True) if sample.sort == sort]
        if own:
            words = f"Samples {sorts.words(sort)}" if sort else say("sort_none")
            title = f"{words}, {len(own)} of {of_all} shown"
            sections.append(table_section(title, [head, *own]))
    return sections


def _row(sample: SampleResult) -> tuple[str, ...]:
    if sample.lost:
        return (sample.id, _role(sample), "", "", "lost")
    gold, grade = (sample.figures.get(name) for name in ("gold", "grade_gold"))
    return (sample.id, _role(sample), _bare(gold), _number(grade), _word(sample))


def _role(sample: SampleResult) -> str:
    """What a sample is on the tray: nothing, `blank`, `proof`, `known`, `as KV-017`."""
    if sample.part:
        return f"{sample.part} of {sample.of}"
    if sample.of:
        return f"{'proof of' if sample.role == 'proof' else 'as'} {sample.of}"
    return {"sample": "", "reference": "known"}.get(sample.role, sample.role)


def _bare(figure: Figure | None) -> str:
    """The value of a figure without its doubt, to the place its doubt allows."""
    return _number(figure).partition(" ±")[0]


def _number(figure: Figure | None) -> str:
    """A figure as a cell: its number without unit; a dash where there is none."""
    if figure is None or figure.value is None:
        return "-"
    return figure.text.removesuffix(figure.unit).strip()


def _word(sample: SampleResult) -> str:
    """What the weighing says: of the gold, or of the bead where it was not parted."""
    verdict = sample.verdicts.get("gold") or sample.verdicts.get("bead")
    return "" if verdict is None else verdict.text


def repeated(grades: Sequence[SampleGrade], shown: Sequence[SampleResult]) -> list[Section]:
    """The grades of samples assayed more than once, a group for each sort where there are several.

    Args:
        grades: those that are asked for.
        shown: the samples that are.
    """
    of_page = {*(s.sort for s in shown), *(grade.sort for grade in grades)}
    several = len(sorts.present(of_page)) > 1
    sections = []
    for sort in sorts.present(grade.sort for grade in grades):
        rows = [
            (f"{g.id}, {len(g.grade.used)} of {g.of_all} determinations", g.figure.text)
            for g in grades
            if g.sort == sort
        ]
        title = "Grade of samples assayed more than once"
        if several:
            title = f"Assayed more than once, {sorts.words(sort)}"
        sections.append(Section(title, tuple(rows)))
    return sections
