"""What was found, and its three outputs: a page, plain lines, one JSON object."""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from assaybench import __version__
from assaybench.messages import say
from assaybench.metrology.figure import Budget, Figure, Flag, Verdict
from assaybench.record.sums import Step
from assaybench.report import page
from assaybench.units import write

FORMAT = 1
BUDGET_NAMES = {
    "dore": "doré",
    "grade_gold": "gold grade",
    "grade_silver": "silver grade",
    "recovery_at_most": "recovery at most",
    "recovery_closed": "closed recovery",
    "recovery_both_stages": "recovery by both stages",
    "recovery_equal_stages": "recovery if alike",
    "recovery_stated_second_stage": "recovery with the stated stage 2",
    "recovery_least_second_stage": "least recovery",
    "recovery_2": "recovery of metal 2",
    "settled": "settled figure",
    "size_passing": "size read off",
}
"""Figures by the words of the page, where a budget names them."""


Records = Mapping[str, list[dict[str, object]]]


class Section(NamedTuple):
    """A titled group of label and value, in the order of the page.

    Attributes:
        title: over the group.
        rows: label and value; a label without value is text.
        table: whether the texts are lines of a table, which are never broken.
    """

    title: str
    rows: tuple[tuple[str, str], ...]
    table: bool = False


def table_section(title: str, lines: Iterable[str]) -> Section:
    """A group of the lines of a table."""
    return Section(title, tuple((line, "") for line in lines), table=True)


@dataclass(frozen=True, slots=True)
class Answer:
    """Everything a command found.

    Attributes:
        command: its name.
        inputs: what was typed, by name.
        verdict: the judgement, shown first; None where there is nothing to judge.
        figures: by name, for JSON; a list of records is an array of objects with `id`.
        rows: label and value of the page, in order.
        budget: by figure, the share of each source.
        sections: further groups of the page.
        flags: what a reader must know.
        assumptions: in words.
        coverage: the k behind each ± of the page; empty where no ± is printed.
        steps: the sum with its numbers.
        records: repeated things, by name, or what makes them: only JSON holds them.
    """

    command: str
    inputs: dict[str, object]
    figures: Mapping[str, Figure]
    rows: tuple[tuple[str, str], ...] = ()
    verdict: Verdict | None = None
    budget: Mapping[str, Budget] = field(default_factory=dict)
    sections: tuple[Section, ...] = ()
    flags: tuple[Flag, ...] = ()
    assumptions: tuple[str, ...] = ()
    coverage: tuple[float, ...] = ()
    steps: tuple[Step, ...] = ()
    records: Records | Callable[[], Records] = field(default_factory=dict)


class Style(NamedTuple):
    """How to print: as JSON, as plain lines, with the sum, with a decimal comma."""

    json: bool = False
    plain: bool = False
    sum: bool = False
    comma: bool = False


def text_of(answer: Answer, style: Style) -> str:
    """The answer as it is printed: one JSON object, plain lines, or a page."""
    if style.json:
        return as_json(answer, with_sum=style.sum)
    lines = (
        plain_lines(answer, with_sum=style.sum) if style.plain else page_lines(answer, style.sum)
    )
    text = "\n".join(lines)
    if style.comma:
        text = page.with_comma(text)
    return page.to_ascii(text) if style.plain else text


def page_lines(answer: Answer, with_sum: bool) -> list[str]:  # noqa: FBT001  one switch of the page
    """The answer as a page: verdict, figures, budget, sum, flags, assumptions."""
    lines: list[str] = [""] if answer.verdict is not None or answer.rows else []
    if answer.verdict is not None:
        if not answer.verdict.reason.lower().startswith(f"{answer.verdict.text}:"):
            lines += page.wrapped(sentence(answer.verdict.text))
        lines += page.wrapped(answer.verdict.reason)
        if answer.rows:
            lines.append("")
    lines += [page.leader(label, value) for label, value in answer.rows]
    for section in _sections(answer, with_sum=with_sum):
        lines += ["", f"  {section.title}"]
        for label, value in section.rows:
            lines += [f"    {label}"] if section.table else _row(label, value)
    for text in (f.text for f in answer.flags if not _told(f, answer)):
        lines += ["", *page.wrapped(text)]
    if answer.assumptions:
        lines += ["", "  Taken as given"]
        lines += [line for a in answer.assumptions for line in page.wrapped(a, indent=4)]
    if answer.coverage:
        lines += ["", f"  {coverage_line(answer.coverage)}"]
    return [*lines, ""]


def _told(flag: Flag, answer: Answer) -> bool:
    return answer.verdict is not None and flag.text == answer.verdict.reason


def _row(label: str, value: str) -> list[str]:
    """A row of a section: a leader, or text, which is broken only where it leaves the page."""
    if value:
        return [page.leader(label, value, indent=4)]
    text = f"    {label}"
    return [text] if len(text) <= page.WIDTH + 3 else page.wrapped(label, indent=4)


def _sections(answer: Answer, *, with_sum: bool) -> list[Section]:
    sections = [*answer.sections]
    for name, budget in answer.budget.items():
        title = f"Where the ± of the {BUDGET_NAMES.get(name, name)} comes from, parts in 100"
        sections.append(Section(title, budget_rows(budget)))
    if with_sum and answer.steps:
        sections.append(Section("The sum", tuple((step.line, "") for step in answer.steps)))
    return sections


def budget_rows(budget: Budget, least: float = 0.005) -> tuple[tuple[str, str], ...]:
    """Rows of a budget in parts of 100, largest first; what rounds to nothing is summed up."""
    shown = [share for share in budget if abs(share.share) >= least]
    rest = sum(share.share for share in budget if abs(share.share) < least)
    rows = [(share.source, f"{share.share * 100:.0f}") for share in shown]
    if len(shown) < len(budget):
        rows.append(("all others", f"{rest * 100:.1f}"))
    return tuple(rows)


def coverage_line(factors: tuple[float, ...]) -> str:
    """The footer of a page with ±: `U: k = 2, about 95 in 100`, or the range of its k."""
    least, most = write.short(min(factors), 3), write.short(max(factors), 3)
    return say("coverage", k=least if least == most else f"{least} to {most}")


def factors_of(figures: Iterable[Figure]) -> tuple[float, ...]:
    """The coverage factors of the figures that have a symmetric interval."""
    return tuple(figure.k for figure in figures if figure.k is not None)


def sentence(text: str) -> str:
    """Text as a sentence: first letter large, a full stop."""
    return f"{text[:1].upper()}{text[1:]}."


def plain_lines(answer: Answer, *, with_sum: bool) -> list[str]:
    """The answer as `label: value` lines, for scripts and screen readers."""
    lines: list[str] = []
    if answer.verdict is not None:
        lines.append(f"verdict: {answer.verdict.text}")
        lines += [f"reason: {line}" for line in answer.verdict.reason.split("\n")]
    lines += [f"{label}: {value}" for label, value in answer.rows]
    for section in _sections(answer, with_sum=with_sum):
        title = "sum" if section.title == "The sum" else section.title
        lines += [
            f"{title}: {label}{': ' if value else ''}{value}" for label, value in section.rows
        ]
    for f in answer.flags:
        if not _told(f, answer):
            lines += [f"note: {line}" for line in f.text.split("\n")]
    said = [line for a in answer.assumptions for line in a.split("\n")]
    lines += [f"taken as given: {line}" for line in said]
    if answer.coverage:
        lines.append(coverage_line(answer.coverage))
    return lines


def as_json(answer: Answer, *, with_sum: bool) -> str:
    """The answer as one JSON object."""
    return json_text(as_tree(answer, with_sum=with_sum))


def json_text(tree: dict[str, object]) -> str:
    """A tree as JSON text; a number that is none is a fault of the program, never written."""
    import json

    return json.dumps(tree, ensure_ascii=False, indent=2, allow_nan=False)


def as_tree(answer: Answer, *, with_sum: bool) -> dict[str, object]:
    """The answer as JSON will show it; an infinite number of degrees of freedom is null."""
    records = answer.records() if callable(answer.records) else answer.records
    tree: dict[str, object] = {
        "format": FORMAT,
        "command": answer.command,
        "inputs": answer.inputs,
        "figures": {name: figure_tree(figure) for name, figure in answer.figures.items()},
        **records,
        "verdict": verdict_tree(answer.verdict),
        "budget": {
            name: [{"source": s.source, "share": s.share} for s in budget]
            for name, budget in answer.budget.items()
        },
        "flags": [{"code": f.code, "text": f.text} for f in answer.flags],
        "assumptions": list(answer.assumptions),
        "version": __version__,
    }
    if with_sum:
        tree["sum"] = [step.line for step in answer.steps]
    return tree


def verdict_tree(verdict: Verdict | None) -> dict[str, str] | None:
    """A verdict as JSON."""
    if verdict is None:
        return None
    return {"code": verdict.code, "text": verdict.text, "reason": verdict.reason}


def figure_tree(figure: Figure) -> dict[str, object]:
    """A figure as JSON: all keys present, nothing that is no number."""
    return {
        "value": figure.value,
        "unit": figure.unit,
        "u": figure.u,
        "low": figure.low,
        "high": figure.high,
        "coverage_probability": figure.coverage_probability,
        "k": figure.k,
        "dof": figure.dof if math.isfinite(figure.dof) else None,
        "layer": figure.layer,
        "status": figure.status,
        "basis": figure.basis,
        "text": figure.text,
        "why": figure.why,
    }
