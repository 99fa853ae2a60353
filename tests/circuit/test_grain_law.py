"""The law of a result of few grains: Monte Carlo near its bound, and the judgement of a cut-off."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.circuit import counts
from assaybench.circuit.grain_law import FewGrains, Result, against_cutoff, interval
from assaybench.metrology.compare import probability_above
from assaybench.metrology.freedom import coverage_factor

DRAWN = 200_000


def drawn_ends(result: Result, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """The lower and the upper law by chance: doubt of the assay, then a gamma law."""
    dice = np.random.default_rng(seed)
    t = dice.standard_normal(DRAWN)
    if math.isfinite(result.dof):
        t = dice.standard_t(result.dof, DRAWN)
    count = np.maximum(result.value + result.u * t, 0) / result.grain
    least = np.where(count > 1e-9, dice.gamma(np.maximum(count, 1e-9)), 0.0)
    return least * result.grain, dice.gamma(count + 1) * result.grain


NEAR_THE_BOUND = (
    Result(3.0, 0.3, math.inf, 1.0),
    Result(3.0, 0.3, 3, 1.0),
    Result(0.5, 0.5, math.inf, 0.2),
    Result(10.0, 1.0, 30, 1.0),
    Result(10.0, 1.0, 31, 1.0),
    Result(10.0, 1.0, 2900, 1.0),
    Result(10.0, 1.0, 3100, 1.0),
    Result(1.0, 1.5, 1, 1.0),
    Result(0.2, 0.01, 9, 0.3),
    Result(5.0, 100.0, math.inf, 1.0),
)


@pytest.mark.parametrize("result", NEAR_THE_BOUND, ids=str)
def test_monte_carlo_of_both_ends(result: Result) -> None:
    least, most = drawn_ends(result, 5)
    found = interval(result)
    for drawn, end, p in ((least, found.low, 0.025), (most, found.high, 0.975)):
        if end == 0.0:
            assert np.mean(drawn < 1e-9) >= p - 0.002
            continue
        assert np.mean(drawn <= end) == pytest.approx(p, abs=0.002)


@pytest.mark.parametrize("result", NEAR_THE_BOUND, ids=str)
def test_monte_carlo_of_the_chance_above(result: Result) -> None:
    least, most = drawn_ends(result, 6)
    for level in (0.3 * result.value + 0.1, result.value, 2 * result.value):
        found = FewGrains(result).chance_above(level)
        assert found.low == pytest.approx(np.mean(least > level), abs=0.005)
        assert found.high == pytest.approx(np.mean(most > level), abs=0.005)
        assert found.low <= found.high


@pytest.mark.parametrize(("expected", "u"), [(1.0, 0.2), (4.0, 0.5), (9.0, 2.0), (15.0, 1.0)])
def test_the_interval_holds_what_the_material_holds(expected: float, u: float) -> None:
    """Grains fall in by chance, the assay adds its doubt: 95 times in 100 the mean is held."""
    dice = np.random.default_rng(8)
    found = dice.poisson(expected, 1000) + u * dice.standard_normal(1000)
    laws = [FewGrains(Result(float(y), u, math.inf, 1.0)) for y in found]
    held = np.mean([holds(law, expected) for law in laws])
    assert held >= 0.95 - 3 * math.sqrt(0.05 * 0.95 / 1000)


def holds(law: FewGrains, expected: float) -> bool:
    """Whether the interval holds it, by the two laws at this one place: quicker than both ends."""
    chance = law.chance_above(expected)
    if law.result.value <= 0:
        return 1 - chance.high <= 0.95
    return 1 - chance.low >= 0.025 and 1 - chance.high <= 0.975


@pytest.mark.parametrize("y", [-0.3, 0.4, 2.0, 8.0])
def test_the_interval_ends_where_its_law_says(y: float) -> None:
    law = FewGrains(Result(y, 0.5, math.inf, 1.0))
    ends = law.interval()
    assert holds(law, ends.high * (1 - 1e-6))
    assert not holds(law, ends.high * (1 + 1e-6))
    if ends.low > 0:
        assert holds(law, ends.low * (1 + 1e-6))
        assert not holds(law, ends.low * (1 - 1e-6))


@pytest.mark.parametrize("count", [1, 2, 5, 19])
def test_without_doubt_of_the_assay_it_is_the_count_alone(count: int) -> None:
    found, known = interval(Result(count * 0.2, 0.0, math.inf, 0.2)), counts.limits(count)
    assert found.low == pytest.approx(0.2 * known.low, rel=1e-8)
    assert found.high == pytest.approx(0.2 * known.high, rel=1e-8)


@pytest.mark.parametrize("value", [0.0, -0.4])
def test_none_found_is_up_to_three_grains(value: float) -> None:
    found = interval(Result(value, 0.0, math.inf, 0.3))
    assert found.low == 0.0
    assert found.high == pytest.approx(-math.log(0.05) * 0.3, rel=1e-8)


@given(st.floats(21, 1e4), st.floats(0.01, 10), st.floats(1, 100))
def test_from_twenty_grains_on_both_doubts_add(count: float, u: float, dof: float) -> None:
    result = Result(count * 0.1, u, dof, 0.1)
    found = interval(result)
    assert result.u_widest == pytest.approx(math.sqrt(u * u + count * 0.1 * 0.1))
    reach = coverage_factor(result.dof_widest) * result.u_widest
    assert (found.low, found.high) == (result.value - reach, result.value + reach)
    assert result.dof_widest >= dof * (1 - 1e-12)


@given(st.floats(0.5, 19), st.floats(0.001, 3), st.floats(1, 100))
def test_the_interval_is_wider_with_grains_than_without(count: float, u: float, dof: float) -> None:
    found = interval(Result(count, u, dof, 1.0))
    assert 0.0 <= found.low <= count <= found.high
    assert found.high >= counts.limits(count).high * (1 - 1e-6)


def test_scatter_of_replicates_and_grains_are_not_added() -> None:
    """u 2.0 of which the scatter is 3.0 in squares; 30 grains of 1 bring 30, so 27 are added."""
    wide = Result(30.0, 2.0, grain=1.0, replicated=3.0)
    assert wide.u_widest == pytest.approx(math.sqrt(4.0 + 27.0))
    scattered = Result(30.0, 7.0, grain=1.0, replicated=40.0)
    assert scattered.u_widest == 7.0
    few = Result(9.0, 2.0, grain=1.0, replicated=3.0)
    assert interval(few) == interval(Result(9.0, 1.0, grain=1.0))


# --- a cut-off -----------------------------------------------------------------------------------


def test_without_sampling_the_assay_judges_and_says_so() -> None:
    found = against_cutoff(Result(1.2, 0.2), 1.0)
    assert found.layer == "assay"
    assert found.low == found.high == probability_above(1.2, 0.2, 1.0)
    assert found.code == "cutoff_not_shown"
    assert against_cutoff(Result(2.0, 0.2), 1.0).code == "cutoff_above"
    assert against_cutoff(Result(0.5, 0.2), 1.0).code == "cutoff_below"


def test_few_degrees_of_freedom_take_t() -> None:
    well, barely = against_cutoff(Result(1.4, 0.2), 1.0), against_cutoff(Result(1.4, 0.2, 2), 1.0)
    assert well.code == "cutoff_above"
    assert barely.code == "cutoff_not_shown"
    assert barely.low == probability_above(1.4, 0.2, 1.0, 2)


def test_the_sample_can_undo_what_the_assay_showed() -> None:
    """40 g/t ± 0.3 by the assay is above 35; with 30 grains behind it, it is not shown."""
    assert against_cutoff(Result(40.0, 0.15), 35.0).code == "cutoff_above"
    found = against_cutoff(Result(40.0, 0.15, grain=40 / 30), 35.0)
    assert (found.code, found.layer, found.few_grains) == ("cutoff_not_shown", "sampling", False)


def test_below_twenty_grains_the_law_of_grains_judges() -> None:
    """Nine grains against 14: by a normal law below (0.048), by the count not shown (0.109)."""
    found = against_cutoff(Result(9.0, 0.0, grain=1.0), 14.0)
    assert probability_above(9.0, 3.0, 14.0) <= 0.05
    assert (found.code, found.few_grains) == ("cutoff_not_shown", True)
    assert found.high == pytest.approx(0.1094, abs=5e-5)
    assert against_cutoff(Result(9.0, 0.0, grain=1.0), 17.0).code == "cutoff_below"
    assert against_cutoff(Result(9.0, 0.0, grain=1.0), 4.0).code == "cutoff_above"


def test_a_result_without_any_doubt_cannot_be_judged() -> None:
    with pytest.raises(ValueError, match="without doubt"):
        against_cutoff(Result(1.0, 0.0), 1.0)
