"""SAFETY.md shows the lines that the bench shows."""

from pathlib import Path

from assaybench.bench.pages.safety import LINES
from assaybench.messages import say

SAFETY = Path(__file__).parents[2] / "SAFETY.md"


def test_every_line_of_a_step_stands_in_the_safety_text() -> None:
    lines = {line.strip() for line in SAFETY.read_text("utf-8").splitlines()}
    for step, code in LINES.items():
        first, second = say(code).split("\n")
        assert f"{step:<9}  {first}" in lines
        assert second in lines
