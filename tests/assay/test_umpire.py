"""What two parties settle at by the rule of their contract."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.assay.umpire import RULES, Rule, award


@pytest.mark.parametrize(
    ("rule", "umpire", "settled"),
    [
        ("umpire", 912.50, 912.50),
        ("umpire", 913.00, 913.00),
        ("middle", 912.50, 912.50),
        ("middle", 913.00, 912.68),
        ("middle", 911.00, 912.10),
        ("nearer", 912.50, 912.59),
        ("nearer", 911.00, 911.55),
        ("mean", 912.52, 912.4333333),
    ],
)
def test_each_rule_settles_as_it_says(rule: Rule, umpire: float, settled: float) -> None:
    assert award(912.68, 912.10, umpire, rule).settled == pytest.approx(settled, abs=1e-6)


def test_whose_figure_lies_nearer_is_told() -> None:
    assert award(912.68, 912.10, 912.50, "umpire").nearer == "first"
    assert award(912.68, 912.10, 912.20, "umpire").nearer == "second"
    assert award(912.68, 912.10, 912.39, "nearer") == (912.39, "both", ("umpire",))


def test_whose_figures_count_is_told() -> None:
    parts = {rule: award(912.68, 912.10, 912.50, rule).of for rule in RULES}
    assert parts["umpire"] == parts["middle"] == ("umpire",)
    assert parts["nearer"] == ("first", "umpire")
    assert parts["mean"] == ("first", "second", "umpire")
    assert award(912.68, 912.10, 913.0, "middle").of == ("first",)


FINENESS = st.floats(0.01, 999.9)


@given(FINENESS, FINENESS, FINENESS, st.sampled_from(RULES))
def test_no_rule_settles_outside_the_three_figures(
    first: float, second: float, umpire: float, rule: Rule
) -> None:
    found = award(first, second, umpire, rule)
    three = (first, second, umpire)
    assert min(three) - 1e-9 <= found.settled <= max(three) + 1e-9
    swapped = award(second, first, umpire, rule)
    assert swapped.settled == pytest.approx(found.settled)
