"""Scatter of replicates: pooled spreads, shared parts, and the ν that the sum must have."""

import math
from fractions import Fraction
from statistics import fmean, median, stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.assay.replicates import (
    SHARED_ROWS,
    Spread,
    average,
    excess,
    middle,
    over_runs,
    own_variance,
    pooled,
    spread_of_duplicates,
    variance,
    with_scatter,
)
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.metrology.weighing import Balance, Reading, weigh

numbers = st.lists(st.floats(-100, 100), min_size=1, max_size=9)


@given(numbers)
def test_average_and_middle_are_mean_and_median(values: list[float]) -> None:
    assert average(values) == pytest.approx(fmean(values))
    assert middle(values) == median(values)


def test_duplicates_give_the_root_of_squares_over_twice_their_number() -> None:
    pairs = [(4.1, 3.8), (4.4, 3.9), (2.0, 2.2)]
    found = spread_of_duplicates(pairs)
    assert found is not None
    assert found.value == pytest.approx(math.sqrt((0.09 + 0.25 + 0.04) / 6))
    assert found.dof == 3


def test_pooling_one_group_is_its_standard_deviation() -> None:
    found = pooled([[1.0, 2.0, 4.0, 4.5], [7.0]])
    assert found is not None
    assert found.value == pytest.approx(stdev([1.0, 2.0, 4.0, 4.5]))
    assert found.dof == 3


def test_groups_of_one_have_no_spread_within_but_one_over_runs() -> None:
    groups = [[1.0], [3.0], [2.0]]
    assert pooled(groups) is None
    found = over_runs(groups)
    assert found == Spread(1.0, 2, within_runs=False)


def replicates(sources: Sources, own: float, shared: float, values: list[float]) -> list[Uncertain]:
    common = sources.variable("shared", 0.0, shared)
    return [sources.variable(f"own {i}", v, own) + common for i, v in enumerate(values)]


def test_own_variance_leaves_out_what_replicates_share() -> None:
    sources = Sources()
    assert own_variance(sources, replicates(sources, 0.2, 0.5, [1.0, 1.1, 1.4])) == pytest.approx(
        0.04
    )


def test_shared_rows_carry_the_names_that_a_weighing_gives_its_rows() -> None:
    sources = Sources()
    balance = Balance(
        "B", 0.001, 0.002, linearity_mg=0.004, zero_residue_mg=0.003, calibration=0.001
    )
    net = weigh(sources, balance, [Reading("load", Fraction("1.2"), "1.200")]).net
    rows = {share.source for share in sources.doubt(net).budget}
    assert {"calibration", "linearity", "residue of the zero"} <= rows
    own = own_variance(sources, [net])
    assert own == pytest.approx(0.002**2)


def test_scatter_beyond_the_model_replaces_it_and_leaves_shared_terms_undivided() -> None:
    sources = Sources()
    values = replicates(sources, 0.01, 0.5, [1.0, 1.6, 2.2, 1.4])
    found = with_scatter(sources, "S", sum(values) / 4, values)
    s_r = stdev([1.0, 1.6, 2.2, 1.4])
    assert found.scatter_rules
    assert variance(sources, found.result) == pytest.approx(s_r**2 / 4 + 0.25)


def test_scatter_below_the_model_adds_nothing() -> None:
    sources = Sources()
    values = replicates(sources, 0.3, 0.5, [1.0, 1.01, 1.02])
    found = with_scatter(sources, "S", sum(values) / 3, values)
    assert not found.scatter_rules
    assert variance(sources, found.result) == pytest.approx(0.09 / 3 + 0.25)


def test_one_replicate_takes_the_spread_of_the_log() -> None:
    sources = Sources()
    weighed = sources.variable("weighing", 2.0, 0.1)
    common = sources.variable("scale", 1.0, 0.05, row="calibration")
    value = weighed * common
    found = with_scatter(sources, "S", value, [value], Spread(0.4, 10))
    assert variance(sources, found.result) == pytest.approx(0.16 + 0.1**2)
    assert nominal(found.result) == 2.0


def test_one_replicate_without_history_is_left_as_it_is() -> None:
    sources = Sources()
    value = sources.variable("weighing", 2.0, 0.1)
    found = with_scatter(sources, "S", value, [value])
    assert found.spread is None
    assert found.result is value


@given(st.floats(0.01, 1.0), st.floats(1.001, 50), st.integers(2, 9))
def test_where_scatter_rules_the_sum_has_its_degrees_of_freedom(
    own: float, ratio: float, n: int
) -> None:
    sources = Sources()
    model = own**2 / n
    u, dof = excess(Spread(own * math.sqrt(ratio), n - 1), n, model)
    total = sources.variable("model", 0.0, math.sqrt(model)) + sources.variable(
        "excess", 0.0, u, dof=dof
    )
    doubt = sources.doubt(total)
    assert doubt.u**2 == pytest.approx(own**2 * ratio / n)
    assert doubt.dof == pytest.approx(n - 1)


def test_shared_rows_are_plain_names() -> None:
    assert all(row == row.strip() and row for row in SHARED_ROWS)
