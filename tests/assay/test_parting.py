"""Silver enough to part, and what stays in the gold."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.assay.parting import (
    least_ratio,
    retained_silver_mg,
    retained_silver_said,
    silver_to_gold,
)


@pytest.mark.parametrize(
    ("gold_mg", "ratio"), [(0.01, 10), (0.2, 10), (1.0, 6), (10.0, 4), (250.0, 2), (800.0, 2)]
)
def test_ratios_of_the_textbooks(gold_mg: float, ratio: float) -> None:
    """10, 6, 4 at 0.2, 1, 10 mg: attributed to T. K. Rose, The Metallurgy of Gold (from memory)."""
    assert least_ratio(gold_mg) == pytest.approx(ratio)


def test_between_the_points_the_ratio_is_linear_in_the_logarithm_of_the_gold() -> None:
    assert least_ratio(10**0.5) == pytest.approx(5.0)
    assert least_ratio(50.0) == pytest.approx(3.0)


@given(st.floats(0.001, 1000), st.floats(1.0, 10))
def test_more_gold_never_needs_a_larger_ratio(gold_mg: float, times: float) -> None:
    assert least_ratio(gold_mg * times) <= least_ratio(gold_mg) + 1e-12


def test_too_little_silver_asks_for_the_missing_silver() -> None:
    found = silver_to_gold(bead_mg=3.0, gold_mg=1.0)
    assert found.silver_to_gold == pytest.approx(2.0)
    assert found.enough is False
    assert found.to_add_mg == pytest.approx(4.0)
    assert found.flags[0].text.splitlines() == [
        "Too little silver to part: 2.0 to 1 of gold; 6.0 to 1 is the least.",
        "Inquart and part again.",
    ]


@given(st.floats(0.01, 400), st.floats(0.0, 12.0))
def test_the_silver_asked_for_is_just_enough(gold_mg: float, ratio: float) -> None:
    found = silver_to_gold(gold_mg * (1 + ratio), gold_mg)
    again = silver_to_gold(gold_mg * (1 + ratio) + found.to_add_mg + 1e-9, gold_mg)
    assert again.enough
    assert found.enough == (found.to_add_mg == 0.0)


def test_without_gold_there_is_no_ratio_to_judge() -> None:
    for gold_mg in (0.0, -0.001):
        found = silver_to_gold(2.0, gold_mg)
        assert (found.silver_to_gold, found.enough, found.flags) == (None, None, ())


def test_retained_silver_is_said_where_it_can_be_seen_beside_the_doubt() -> None:
    assert retained_silver_mg(2.0) == pytest.approx((0.002, 0.004))
    assert retained_silver_mg(-0.1) == (0.0, 0.0)
    (sentence,) = retained_silver_said(2.0, 0.039)  # 0.004 mg is more than a tenth of it
    assert retained_silver_said(2.0, 0.041) == ()
    assert retained_silver_said(-0.1, 0.01) == ()
    assert "0.1 to 0.2 %" in sentence
