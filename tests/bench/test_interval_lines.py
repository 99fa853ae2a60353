"""Recoveries as lines on a rule of 0 to 100: a point, a stretch, a supposed place, and in words."""

import math
import re
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from assaybench.bench.characters import plain
from assaybench.bench.interval_lines import (
    COLUMNS,
    LABEL,
    Interval,
    Scale,
    axis,
    drawn,
    in_words,
    scale_over,
)

PER_CENT = st.floats(0, 100)


def rule(interval: Interval) -> str:
    return drawn(interval)[LABEL:]


def test_each_number_of_the_rule_ends_over_its_own_column() -> None:
    for number in ("0", "25", "50", "75", "100"):
        at = axis().index(f"{number} " if number == "0" else number) + len(number) - 1
        assert at - LABEL == int(number) * (COLUMNS - 1) // 100


def test_what_is_sure_is_a_point_and_what_is_not_has_length() -> None:
    assert rule(Interval("+1.0", 98.9, 98.9)) == ". " * 20 + "┼"
    assert rule(Interval("-0.25", 16.0, 54.3)) == ". . . ├───────────────┤ . . . . . . . . ."
    assert rule(Interval("all", 97.4, 99.9)).endswith("├┤")


def test_nothing_known_leaves_the_dots_alone() -> None:
    assert rule(Interval("all")) == (". " * 21)[:COLUMNS]
    assert in_words(Interval("all")) == "all: nothing known."


def test_what_is_supposed_stands_on_the_line() -> None:
    assert rule(Interval("all", 0, 100, 50))[20] == "+"
    assert rule(Interval("all", supposed=100))[-1] == "+"


def test_the_words_have_the_numbers_of_the_line() -> None:
    assert in_words(Interval("-0.25 mm", 16.0, 54.33)) == "-0.25 mm: from 16.0 to 54.3 %."
    assert in_words(Interval("+1.0 mm", 98.87, 98.89)) == "+1.0 mm: 98.9 %."
    assert in_words(Interval("all", 58.5, 85.5, 80.5)).endswith("As supposed 80.5 %.")


@given(PER_CENT, PER_CENT, st.none() | PER_CENT)
def test_a_line_never_leaves_its_columns_and_reads_alike_in_plain_signs(
    low: float, high: float, supposed: float | None
) -> None:
    line = drawn(Interval("-1.0 +0.25 mm, and longer", low, high, supposed))
    assert len(line) == len(plain(line)) == LABEL + COLUMNS
    assert plain(line).isascii()
    first, last = sorted((low, high))
    marks = [i * 100 / (COLUMNS - 1) for i, sign in enumerate(line[LABEL:]) if sign in "├┤┼"]
    for mark, end in zip(sorted(marks), (first, last), strict=False):
        assert abs(mark - end) <= 2.5 or supposed is not None


@given(st.lists(st.floats(-1e6, 1e6).filter(lambda x: abs(x) > 1e-3), min_size=1, max_size=4))
def test_a_rule_of_round_numbers_has_zero_and_all_that_is_drawn_on_it(numbers: list[float]) -> None:
    scale = scale_over(numbers)
    first, last = scale.marks[0], scale.marks[-1]
    assert all(first <= number <= last for number in (0.0, *numbers))
    assert any(mark == 0 for mark in scale.marks)
    steps = [(last - first) / (len(scale.marks) - 1)] * (len(scale.marks) - 1)
    found = [b - a for a, b in pairwise(scale.marks)]
    assert all(math.isclose(a, b, rel_tol=1e-9) for a, b in zip(steps, found, strict=True))
    digits = f"{steps[0]:.6e}".partition("e")[0].rstrip("0").rstrip(".")
    assert digits in ("1", "2", "5"), "round steps"
    apart = {b - a for a, b in pairwise(scale.column(mark) for mark in scale.marks)}
    assert apart == {(COLUMNS - 1) // len(steps)}, "marks stand evenly, each on its own column"
    reach = max(*numbers, 0.0) - min(*numbers, 0.0)
    assert last - first <= 6 * reach, "what is drawn can be seen"


def test_each_number_of_another_rule_ends_over_its_own_column_and_its_unit_leads() -> None:
    scale = scale_over([-1.2, 8.2, 2.8], "points")
    assert [*scale.marks] == [-5, 0, 5, 10, 15]
    row = axis(scale)
    assert row.split() == ["points", "-5", "0", "5", "10", "15"]
    assert [LABEL + scale.column(mark) for mark in scale.marks] == [
        match.end() - 1 for match in re.finditer(r"-?[0-9]+", row)
    ]


def test_what_breaks_even_and_what_has_no_end_stand_on_their_rule() -> None:
    scale = Scale((0, 10, 20, 30, 40), "USD/t")
    line = drawn(Interval("let go", 10, 40, 20, open=True), scale=scale)[LABEL:]
    assert (line.index("├"), line.index("+"), line.index(">")) == (10, 20, 40)
    assert drawn(Interval("gain", -9, 9), scale=Scale((-10, 10)))[LABEL:].index("├") == 2
