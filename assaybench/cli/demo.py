"""`assaybench demo`: the results and verdicts of an invented operation's hand sheets."""

import shlex
from dataclasses import replace
from importlib.resources.abc import Traversable
from typing import Any

import click

from assaybench import __version__
from assaybench.cli import results
from assaybench.cli.options import emit, emit_text, output, shape_of
from assaybench.logbook.importing import (
    DEMO_CIRCUIT,
    DEMO_HEAPS,
    DEMO_RUNS,
    DEMO_SHEETS,
    demo_folder,
)
from assaybench.report.answer import FORMAT, Answer, as_tree, json_text

HEAPS = "circuit/heap-*.toml"
NEXT_STAGE = "60 ± 10 %"
"""What the next stage is taken to catch of the heaps of the demo."""
POWER = "80%"
BRIEF = ("Gold by size", "What each product holds", "Where mass", "What that says", "Do they agree")
"""Sections of a circuit test that the printed demo shows."""


@click.command(name="demo")
@click.option("--print", "as_print", is_flag=True, help="Print, also on a terminal.")
@output
def command(**typed: Any) -> None:
    """The demo: hand sheets of an invented operation, worked out and printed.

    Furnace run, gravity test, metallics and bar in full; then, in brief, circuit tests that close
    and that contradict themselves, a heap book, and runs before and after a new mat.
    """
    shape = shape_of(typed)
    answers = demo(with_sum=typed["as_sum"])
    if typed["as_json"]:
        tree = {
            "format": FORMAT,
            "command": "demo",
            "sheets": [
                {"id": name, **as_tree(answer, with_sum=typed["as_sum"])}
                for name, answer in answers.items()
            ],
            "version": __version__,
        }
        emit_text(json_text(tree))
        return
    for name, answer in answers.items():
        emit(answer if name in DEMO_SHEETS else _brief(name, answer), shape)


def demo(*, with_sum: bool = False) -> dict[str, Answer]:
    """The answer of every demo sheet, by its file name; the heaps are one answer."""
    folder = demo_folder()
    found = {
        name: results.answer(name, folder.joinpath(name).read_bytes(), with_sum=with_sum)
        for name in (*DEMO_SHEETS, *DEMO_CIRCUIT)
    }
    return found | {HEAPS: _heaps(folder), DEMO_RUNS: _runs(folder)}


def _heaps(folder: Traversable) -> Answer:
    """The heap book of the demo."""
    from assaybench.cli import heaps

    sheets = [str(folder.joinpath(name)) for name in DEMO_HEAPS]
    typed = heaps.command.make_context("heaps", [*sheets, "--second-stage", NEXT_STAGE]).params
    found = heaps.answer(typed)
    return replace(found, inputs={**found.inputs, "sheets": [*DEMO_HEAPS]})


def _runs(folder: Traversable) -> Answer:
    """The line that compares runs before and after a change, as the file has it."""
    from assaybench.cli import compare

    line = folder.joinpath(DEMO_RUNS).read_text("utf-8").splitlines()[-1]
    words = shlex.split(line)[2:]
    typed = compare.command.make_context("compare", [*words, "--power", POWER]).params
    return compare.answer(typed["figures"], typed)


def _brief(name: str, answer: Answer) -> Answer:
    """An answer led by the name of its file, without what stands behind it."""
    kept = answer.sections
    if name in DEMO_CIRCUIT:
        kept = tuple(section for section in kept if section.title.startswith(BRIEF))
    rows = answer.rows if name in DEMO_CIRCUIT else ((f"demo/{name}", "invented"), *answer.rows)
    return replace(answer, rows=rows, sections=kept, budget={})
