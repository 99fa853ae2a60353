"""Lists of duplicates: spread, relative spread, the line of Thompson and Howarth, outliers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.assay.duplicates import (
    LIMIT_99,
    MEDIAN_TO_SD,
    beyond,
    bias,
    relative_spread,
    thompson_howarth,
)
from assaybench.assay.replicates import spread_of_duplicates

PAIRS = [(10.0, 12.0), (5.0, 4.0), (1.0, 1.5)]


def test_the_root_mean_square_of_single_coefficients() -> None:
    """12.856, 15.713 and 28.284 %: 20.10 % together, worked by hand."""
    single = [100 * relative_spread([pair]) for pair in PAIRS]
    assert single == pytest.approx([12.856, 15.713, 28.284], abs=5e-4)
    assert 100 * relative_spread(PAIRS) == pytest.approx(20.10, abs=5e-3)


def test_the_factors_are_the_published_ones() -> None:
    """1.04836 (Stanley and Lawie); control lines of |d| at 3.643 s for 99 in 100."""
    assert pytest.approx(1.04836, abs=5e-6) == MEDIAN_TO_SD
    assert pytest.approx(3.643, abs=5e-4) == LIMIT_99


def test_bias_is_the_mean_of_second_less_first() -> None:
    assert bias(PAIRS) == pytest.approx(0.5)


@pytest.mark.parametrize("pairs", [[], [(1.0, -1.0)], [(2.0, 3.0), (0.0, 0.0)]])
def test_no_share_of_pairs_that_add_up_to_nothing(pairs: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="above zero"):
        relative_spread(pairs)


@given(
    st.lists(st.tuples(st.floats(0.1, 100), st.floats(0.1, 100)), min_size=1, max_size=20),
    st.floats(0.01, 1000),
)
def test_a_relative_spread_has_no_unit(pairs: list[tuple[float, float]], factor: float) -> None:
    scaled = [(a * factor, b * factor) for a, b in pairs]
    assert relative_spread(scaled) == pytest.approx(relative_spread(pairs), rel=1e-9, abs=1e-12)


def drawn(s0: float, k: float, n: int) -> list[tuple[float, float]]:
    rng = np.random.default_rng(3)
    grades = np.exp(rng.uniform(0, 4, n))
    a, b = (rng.normal(grades, s0 + k * grades) for _ in range(2))
    return list(zip(a.tolist(), b.tolist(), strict=True))


def test_the_line_finds_the_spread_that_made_the_pairs() -> None:
    line = thompson_howarth(drawn(0.5, 0.05, 4400))
    assert line is not None
    assert line.groups == 400
    assert line.s0 == pytest.approx(0.5, abs=0.15)
    assert line.k == pytest.approx(0.05, abs=0.01)


def test_few_pairs_have_no_line_and_every_pair_of_many_counts() -> None:
    assert thompson_howarth(drawn(0.5, 0.05, 49)) is None
    line = thompson_howarth(drawn(0.5, 0.05, 54))
    assert line is not None
    assert line.groups == 4


def test_pairs_of_one_grade_have_a_flat_line() -> None:
    line = thompson_howarth([(9.0, 11.0)] * 60)
    assert line is not None
    assert line.k == 0.0
    assert line.s0 == pytest.approx(2 * MEDIAN_TO_SD)


def test_one_in_a_hundred_pairs_lies_beyond_the_99_limit() -> None:
    pairs = drawn(1.0, 0.0, 20_000)
    spread = spread_of_duplicates(pairs)
    assert spread is not None
    assert spread.value == pytest.approx(1.0, abs=0.02)
    assert len(beyond(pairs, 1.0, LIMIT_99)) / len(pairs) == pytest.approx(0.01, abs=0.003)
    assert beyond([(1.0, 1.1), (1.0, 9.0)], 0.5, LIMIT_99) == [1]
