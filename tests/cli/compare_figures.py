"""The figures that a comparison answers with, by name."""

from typing import Any


def figures(run: Any, *line: str) -> Any:
    outcome = run(*line, "--json")
    assert outcome.status == 0, outcome.err
    return outcome.json["figures"]


LABORATORIES = ("compare", "--laboratory", "4.1 4.3 4.0 g/t", "--laboratory", "4.6 4.5 4.8 g/t")
