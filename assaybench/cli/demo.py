"""`assaybench demo`: the results and verdicts of an invented operation's hand sheets."""

import sys
from typing import Any

import click

from assaybench import __version__
from assaybench.cli import results
from assaybench.cli.options import emit, output, style
from assaybench.logbook.importing import DEMO_SHEETS, demo_folder
from assaybench.report.answer import FORMAT, Answer, as_tree, json_text


@click.command(name="demo")
@click.option("--print", "as_print", is_flag=True, help="Print, also on a terminal.")
@output
def command(**typed: Any) -> None:
    """The demo: hand sheets of an invented operation, worked out and printed."""
    shape = style(
        as_json=typed["as_json"], as_plain=typed["as_plain"], as_sum=typed["as_sum"], typed=[]
    )
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
        sys.stdout.write(json_text(tree) + "\n")
        return
    for answer in answers.values():
        emit(answer, shape)


def demo(*, with_sum: bool = False) -> dict[str, Answer]:
    """The answer of every demo sheet, by its file name."""
    folder = demo_folder()
    return {
        name: results.answer(name, folder.joinpath(name).read_bytes(), with_sum=with_sum)
        for name in DEMO_SHEETS
    }
