"""Saved tailings: what is left by each way of knowing, sums with shared doubts, which one first."""

import math
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.circuit import heaps
from assaybench.circuit.heaps import UNKNOWN, Amount, Heap, Left
from assaybench.circuit.tailings import Tailings, tailings_below
from assaybench.metrology.figure import Figure
from assaybench.metrology.uncertain import Sources


def heap(name: str, left: Left, tonnes: float = 1.0, rerun_in: str = "") -> Heap:
    return Heap(name, name, "2026-03-02", tonnes, left, rerun_in)


def known(low: float, high: float | None) -> Left:
    return Left("not seen", Amount(None, low, high))


def ends(amount: Amount | None) -> list[float]:
    assert amount is not None
    return [x for x in (amount.value, amount.low, amount.high) if x is not None]


# --- what is left --------------------------------------------------------------------------------


def test_weighed_tailings_are_what_is_left() -> None:
    sources = Sources()
    left = heaps.assayed(sources, Tailings(weighed_mg=sources.variable("T", 260.0, 30.0)))
    assert left.way == "assayed"
    assert left.metal_g is not None
    assert ends(left.metal_g) == pytest.approx([0.26, 0.2, 0.32])
    figure = left.metal_g.figure(sources, "g")
    assert [figure.u, figure.k] == pytest.approx([0.03, 2.0])


def test_what_was_not_seen_lies_between_nothing_and_the_limit() -> None:
    sources = Sources()
    left = heaps.assayed(sources, tailings_below(sources, 137.0))
    assert left.way == "not seen"
    assert left.metal_g is not None
    assert ends(left.metal_g) == pytest.approx([0.0, 0.137])
    figure = left.metal_g.figure(sources, "g")
    assert (figure.value, figure.status) == (None, "at most")


def test_a_reading_below_zero_stays_signed_while_its_ends_do_not() -> None:
    sources = Sources()
    amount = heaps.even(sources, sources.variable("T", -0.01, 0.02))
    figure = amount.figure(sources, "g")
    assert figure.value == -0.01
    # P(T > x | T > 0) = 0.05: x = -0.01 + 0.02·z, with Φ(-z) = 0.05·Φ(-0.5)
    z = NormalDist().inv_cdf(1 - 0.05 * NormalDist().cdf(-0.5))
    assert (figure.low, figure.high) == pytest.approx((0.0, -0.01 + 0.02 * z))
    assert figure.k is None


def test_alike_stages_take_the_ends_of_their_distribution_on_the_share_run_again() -> None:
    sources = Sources()
    gone = sources.variable("gone", 258.0, 90.0)
    lopsided = Figure(258.0, "mg", u=90.0, low=120.0, high=700.0)
    left = heaps.alike(sources, lopsided, gone, 0.5)
    assert ends(left.metal_g) == pytest.approx([0.129, 0.06, 0.35])
    endless = heaps.alike(sources, lopsided._replace(high=None), gone, 1.0).metal_g
    assert endless is not None
    assert endless.high is None
    assert "or more" in endless.figure(sources, "g").text
    even = heaps.alike(sources, lopsided._replace(k=2.0), gone, 1.0).metal_g
    assert even is not None
    assert even.number is not None
    assert heaps.alike(sources, Figure(None, "mg"), gone, 1.0) is UNKNOWN


def test_a_least_second_stage_leaves_anything_up_to_its_bound() -> None:
    sources = Sources()
    left = heaps.least_stage(sources, sources.variable("left", 80.0, 5.0))
    assert ends(left.metal_g) == pytest.approx([0.0, 0.09])


# --- sums ----------------------------------------------------------------------------------------


def test_a_next_stage_is_one_doubt_for_all_heaps() -> None:
    """u² of r2·(a + b): r2 does not average out, the heaps do."""
    sources = Sources()
    a, b = (heaps.even(sources, sources.variable(n, 10.0, 1.0)) for n in "ab")
    catch = sources.variable("r2", 0.6, 0.05)
    whole = heaps.total(sources, [heaps.caught(sources, one, catch) for one in (a, b)])
    assert whole.value == pytest.approx(12)
    expected = math.hypot(0.6 * math.sqrt(2), 20 * 0.05)
    assert sources.doubt(whole.number).u == pytest.approx(expected)


def test_logs_of_one_bench_share_the_calibration_of_its_balances() -> None:
    shared = Sources()
    moved = []
    for name, bench in (("1", "MAIN"), ("2", "MAIN"), ("3", "SHED")):
        own = Sources()
        metal = own.variable("reading", 10.0, 0.3) * own.variable(
            "calibration of fine", 1.0, 0.04, row=heaps.CALIBRATION
        )
        left = heaps.moved(own, shared, Left("assayed", heaps.even(own, metal)), name, bench)
        assert left.metal_g is not None
        assert shared.doubt(left.metal_g.number).u == pytest.approx(0.5)
        moved.append(left.metal_g)
    assert shared.covariance(moved[0].number, moved[1].number) == pytest.approx(0.16)
    assert shared.covariance(moved[0].number, moved[2].number) == 0
    whole = heaps.total(shared, moved)
    assert shared.doubt(whole.number).u == pytest.approx(math.sqrt(3 * 0.25 + 2 * 0.16))


def test_limits_are_added_end_by_end() -> None:
    sources = Sources()
    firm = heaps.even(sources, sources.variable("a", 10.0, 1.0))
    whole = heaps.total(sources, [firm, Amount(None, 0.0, 3.0), Amount(5.0, 4.0, 9.0)])
    assert ends(whole) == pytest.approx([12.0, 24.0])
    assert heaps.total(sources, [firm, Amount(None, 0.0, None)]).high is None
    assert heaps.total(sources, []) == Amount(0.0, 0.0, 0.0)


def test_the_interval_of_a_sum_with_a_limit_holds_what_is_drawn() -> None:
    sources = Sources()
    firm = heaps.even(sources, sources.variable("a", 10.0, 1.0))
    catch = sources.variable("r2", 0.6, 0.05)
    parts = [heaps.caught(sources, one, catch) for one in (firm, Amount(None, 0.0, 4.0))]
    whole = heaps.total(sources, parts)
    assert whole.high is not None
    rng = np.random.default_rng(2)
    n = 100_000
    drawn = rng.normal(0.6, 0.05, n) * (rng.normal(10, 1, n) + rng.uniform(0, 4, n))
    assert np.mean((drawn >= whole.low) & (drawn <= whole.high)) >= 0.95


@given(st.floats(0, 10), st.floats(0, 10), st.floats(0.1, 1), st.floats(0, 0.3))
def test_no_stage_gets_more_than_there_is(low: float, wide: float, r2: float, u: float) -> None:
    sources = Sources()
    catch = sources.variable("r2", r2, u)
    found = heaps.caught(sources, Amount(None, low, low + wide), catch)
    assert found.high is not None
    assert 0 <= found.low <= low
    assert found.high <= low + wide
    assert found.low <= found.high


# --- which one first -----------------------------------------------------------------------------


def test_the_heap_with_most_in_a_tonne_at_least_comes_first() -> None:
    rich = heap("rich", known(2.0, 3.0), tonnes=1.0)
    large = heap("large", known(4.0, 6.0), tonnes=10.0)
    choice = heaps.first([large, rich])
    assert choice is not None
    assert (choice.heap, choice.certain, choice.rivals) == (rich, True, ())


def test_a_heap_whose_interval_overlaps_is_named() -> None:
    firm, open_ = heap("firm", known(2.0, 3.0)), heap("open", known(0.0, None))
    choice = heaps.first([open_, firm])
    assert choice is not None
    assert choice.heap is firm
    assert choice.rivals == (open_,)


def test_where_nothing_is_sure_the_widest_one_is_to_be_assayed() -> None:
    choice = heaps.first([heap("a", known(0.0, 1.0)), heap("b", known(0.0, 5.0))])
    assert choice is not None
    assert (choice.heap.name, choice.certain) == ("b", False)


def test_heaps_that_are_gone_or_unknown_are_not_chosen() -> None:
    gone = heap("gone", known(9.0, 9.5), rerun_in="MAIN-000004")
    assert heaps.first([gone, heap("x", UNKNOWN)]) is None
    weightless = heap("y", known(1.0, 2.0))._replace(dry_t=None)
    assert heaps.first([weightless]) is None
    assert weightless.per_tonne is None
    assert ends(heap("z", known(1.0, 2.0), 4.0).per_tonne) == [0.25, 0.5]


def test_tailings_of_which_only_some_sizes_were_seen_say_so() -> None:
    sources = Sources()
    weighed = sources.variable("T", 130.0, 7.0)
    left = heaps.assayed(sources, Tailings(weighed_mg=weighed, up_to_mg=1.2))
    assert left.way == "partly seen"
    assert ends(left.metal_g) == pytest.approx([0.130 - 0.014, 0.130 + 0.014 + 0.0012], abs=3e-4)
