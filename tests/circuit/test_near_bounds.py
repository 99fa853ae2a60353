"""Every interval that a circuit prints near a bound, against draws of what was weighed.

A mass is drawn as its reading and u say, and is not below nothing: a draw that is does not count.
What was not detected is anything from nothing to its limit. Beyond each printed end lie 25 draws
in 1000, of a bound that holds on one side 50. Draws are seeded; 200,000 leave ± 0.001 of chance.
"""

from collections.abc import Callable, Mapping
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from assaybench.circuit import heaps
from assaybench.circuit.heaps import Amount
from assaybench.circuit.products import ALL, Cell, CircuitTest, SizeRow
from assaybench.circuit.reconcile import Stage, Stream
from assaybench.circuit.recovery import recover
from assaybench.circuit.streams import FeedTest, part_feed
from assaybench.circuit.tailings import Tailings, tailings_below
from assaybench.circuit.value import Known, NetGain, break_even
from assaybench.circuit.ways import Way
from assaybench.metrology.figure import Figure
from assaybench.metrology.uncertain import Sources
from tests.circuit.builders import ends

N = 200_000
NOISE = 0.0025
"""Five times the scatter of a share of 0.05 in so many draws."""
EDGE = 1e-6
"""An end this near 0 or 100 % is the bound."""
Draws = NDArray[np.float64]
Read = tuple[float, float]


class Case(NamedTuple):
    """A test of one size as it was weighed, mg with u.

    Attributes:
        caught, rerun: A and B.
        tailings: T; a limit stands in `unseen`. None with no limit: not assayed.
        unseen: the limit of tailings that were not detected.
        mats: metal left in the mats.
        share: φ.
        second: r2 as stated, without doubt.
        off: how far the chance beyond one end may lie from 0.025.
    """

    caught: Read
    rerun: Read
    tailings: Read | None = None
    unseen: float = 0.0
    mats: Read | None = None
    share: float = 1.0
    second: float = 0.8
    off: float = 0.011


CASES = {
    # an interval of value ± U is not as lopsided as its draws: both ends together hold 95 in 100
    "re-run near zero": Case((12, 0.1), (0.05, 0.02)),
    "re-run not seen": Case((12, 0.1), (0.02, 0.02)),
    "re-run below zero": Case((12, 0.1), (-0.02, 0.02), (0.5, 0.1)),
    "re-run below zero, tailings far": Case((0.8, 0.05), (-0.05, 0.11), (1.2, 0.05)),
    "re-run near zero, tailings far": Case((1.34, 0.11), (0.11, 0.13), (0.5, 0.1), off=0.017),
    "caught near zero": Case((0.05, 0.02), (3, 0.1)),
    "caught not seen": Case((0.02, 0.02), (3, 0.1)),
    "tailings near zero": Case((12, 0.1), (3, 0.1), (0.03, 0.02)),
    "tailings not seen": Case((12, 0.1), (3, 0.1), (0.01, 0.02)),
    "tailings below zero": Case((12, 0.1), (3, 0.1), (-0.2, 0.2)),
    "tailings not detected": Case((12, 0.1), (3, 0.1), None, 5.0),
    "a limit as narrow as the weighing": Case((12, 0.1), (3, 0.1), None, 0.1),
    "tailings and re-run near zero": Case((12, 0.1), (0.05, 0.02), (0.05, 0.03)),
    "all near zero": Case((0.06, 0.02), (0.05, 0.02), (0.05, 0.02)),
    "mats near zero": Case((12, 0.1), (0.5, 0.05), (0.3, 0.1), mats=(0.05, 0.05)),
    "mats far, re-run near zero": Case((12, 0.1), (0.05, 0.02), mats=(3, 0.1)),
    "mats far, re-run and tailings near zero": Case(
        (12, 0.1), (0.05, 0.05), (0.0, 0.05), mats=(3, 0.1)
    ),
    "mats, re-run and tailings near zero": Case(
        (12, 0.1), (0.1, 0.05), (0.0, 0.05), mats=(0.05, 0.05)
    ),
    "mats far, re-run near zero, tailings far": Case(
        (12, 0.1), (0.05, 0.05), (2, 0.1), mats=(3, 0.1)
    ),
    "mats far, re-run not seen": Case((12, 0.1), (0.02, 0.04), mats=(0.5, 0.02)),
    "a share run again": Case((12, 0.1), (0.05, 0.02), (0.5, 0.2), share=0.3),
    "a second stage that misses most": Case((12, 0.1), (0.05, 0.02), second=0.1),
}
WAYS: dict[Way, Callable[[Draws, Draws, Draws, Draws, float], Draws]] = {
    "at most": lambda a, b, _t, m, _r: a / (a + b + m),
    "closed": lambda a, b, t, m, _r: a / (a + b + t + m),
    "both stages": lambda a, b, t, m, _r: (a + b) / (a + b + t + m),
    "stated second stage": lambda a, b, _t, m, r: a / (a + b / r + m),
    "least second stage": lambda a, b, _t, m, r: a / (a + b / r + m),
    "equal stages": lambda a, b, _t, m, _r: a / (a * a / (a - b) + m),
}


def circuit_of(sources: Sources, case: Case) -> CircuitTest:
    """The circuit test of a case."""
    a, b = (sources.variable(n, *read) for n, read in (("A", case.caught), ("B", case.rerun)))
    tailings = None
    if case.tailings is not None:
        tailings = Tailings(weighed_mg=sources.variable("T", *case.tailings))
    elif case.unseen:
        tailings = tailings_below(sources, case.unseen)
    return CircuitTest(
        (SizeRow(Cell(ALL, a), Cell(ALL, b)),),
        tailings=tailings,
        mats_mg=0.0 if case.mats is None else sources.variable("mats", *case.mats),
        rerun_share=case.share,
    )


def drawn(case: Case, of: Way) -> Draws:
    """Shares by a way, of draws in which nothing is below zero."""
    random = np.random.default_rng(20240617)

    def read(value: Read | None) -> Draws:
        if value is None:
            return np.zeros(N)
        return value[0] + value[1] * random.standard_normal(N)

    a, b, t, m = map(read, (case.caught, case.rerun, case.tailings, case.mats))
    t = t + random.uniform(0, case.unseen, N) if case.unseen else t
    kept = (a >= 0) & (b >= 0) & (t >= 0) & (m >= 0)
    a, b, t, m = a[kept], b[kept] / case.share, t[kept] / case.share, m[kept]
    return 100 * WAYS[of](a, b, t, m, case.second)


def beyond(figure: Figure, draws: Draws) -> tuple[float, float]:
    """Shares of the draws below and above the printed ends."""
    low, high = ends(figure)
    return float(np.mean(draws < low)), float(np.mean(draws > high))


@pytest.mark.parametrize("name", CASES)
def test_recoveries_of_two_stages(name: str) -> None:
    case, sources = CASES[name], Sources()
    result = recover(
        sources, circuit_of(sources, case), second_stage=case.second, second_stage_least=case.second
    )
    formed = [found for found in result.total.recoveries if found.figure.value is not None]
    assert len(formed) >= 3
    for found in formed:
        low, high = ends(found.figure)
        below, above = beyond(found.figure, drawn(case, found.way))
        assert 0 <= low <= high <= 100
        if {0.0, 100.0} & {low, high}:  # one bound: all of the 5 in 100 lie beyond it
            assert max(below, above) == pytest.approx(0.05, abs=0.004)
        else:
            assert below + above <= 0.0545
            assert [below, above] == pytest.approx([0.025, 0.025], abs=case.off)


def test_no_end_jumps_where_a_re_run_counts_as_far_from_zero() -> None:
    """At 4u; tailings near zero were cut alone beyond it, and their sum with the re-run below."""

    def closed(rerun: float) -> tuple[float, float]:
        sources = Sources()
        case = Case((10, 0.05), (rerun, 0.03), (0.0, 0.03), mats=(1.5, 0.04))
        found = recover(sources, circuit_of(sources, case)).total.recoveries
        return ends(next(one.figure for one in found if one.way == "closed"))

    assert closed(0.11999) == pytest.approx(closed(0.12001), abs=0.003)


@pytest.mark.parametrize("mats", [None, (1.5, 0.04)])
def test_no_figure_jumps_where_a_re_run_crosses_zero(mats: Read | None) -> None:
    """Below zero the value is the median of what is possible; just above it was the nominal one."""

    def values(rerun: float) -> list[tuple[str, float | None]]:
        sources = Sources()
        case = Case((10, 0.05), (rerun, 0.03), (0.5, 0.03), mats=mats)
        found = recover(sources, circuit_of(sources, case), second_stage=0.8).total.recoveries
        return [(one.way, one.figure.value) for one in found]

    below, above = values(-1e-6), values(1e-6)
    assert [way for way, _ in below] == [way for way, _ in above]
    for (_, one), (_, other) in zip(below, above, strict=True):
        assert one == pytest.approx(other, abs=1e-3)


# --- streams -------------------------------------------------------------------------------------

GRADES: dict[str, tuple[Read, Read, Read]] = {
    "hardly any concentrate": ((2.0, 0.05), (40, 2), (1.9, 0.05)),
    "perhaps none": ((2.0, 0.05), (40, 2), (1.97, 0.05)),
    "hardly any tailings": ((20, 0.5), (25, 0.6), (2.0, 0.3)),
    "tailings near nothing": ((2.0, 0.05), (40, 1), (0.02, 0.02)),
    "all of it caught, perhaps": ((20, 0.5), (20.5, 0.5), (2.0, 0.2)),
}


def of_grades(sources: Sources, grades: Mapping[str, Read], *stages: Stage) -> FeedTest:
    feed, *products = (
        Stream(name, None, (sources.variable(name, *read),)) for name, read in grades.items()
    )
    return part_feed(sources, feed, products, mass_unit="1", grade_units=("g/t",), stages=stages)


@pytest.mark.parametrize("name", GRADES)
def test_recovery_and_yield_of_three_grades(name: str) -> None:
    test = of_grades(Sources(), dict(zip(("feed", "con", "tailings"), GRADES[name], strict=True)))
    z = np.random.default_rng(20240618).standard_normal((3, N))
    f, c, t = (value + u * z[i] for i, (value, u) in enumerate(GRADES[name]))
    con = test.products[0]
    part = 100 * (f - t) / (c - t)
    possible = (part > 0) & (part < 100)
    _of_the_possible(con.figures["mass_yield"], part)
    _of_the_possible(con.recoveries[0], part * c / f)
    turned = con.figures["concentration"]
    assert turned.low is not None
    assert np.mean(100 / part[possible] < turned.low) <= 0.04
    if turned.high is not None:
        assert np.mean(100 / part[possible] > turned.high) <= 0.04


def _of_the_possible(figure: Figure, draws: Draws) -> None:
    """95 in 100 of the shares that can be lie inside, and no end that is no bound is too wide."""
    low, high = ends(figure)
    assert 0 <= low <= high <= 100
    below, above = beyond(figure, draws)
    assert low < EDGE or below == pytest.approx(0.025, abs=0.0135)
    assert high > 100 - EDGE or above == pytest.approx(0.025, abs=0.0135)
    assert sum(beyond(figure, draws[(draws > 0) & (draws < 100)])) <= 0.056


@pytest.mark.parametrize("limit", [0.05, 0.3, 1.0])
def test_a_limit_of_the_tailings_in_streams_holds_95_in_100_at_least(limit: float) -> None:
    """A limit enters as x/2 ± x/√12: normal, so wider than the rectangle that is drawn."""
    grades = {"feed": (2.0, 0.05), "con": (40, 1), "tailings": (limit / 2, limit / 12**0.5)}
    con = of_grades(Sources(), grades).products[0]
    random = np.random.default_rng(20240619)
    f, c = (v + u * random.standard_normal(N) for v, u in (grades["feed"], grades["con"]))
    t = random.uniform(0, limit, N)
    below, above = beyond(con.recoveries[0], 100 * c * (f - t) / (f * (c - t)))
    assert below + above <= 0.052


def test_the_catch_of_a_second_stage_that_gets_nearly_all() -> None:
    """Five grades and no mass: each stage by the formula of two products."""
    grades = {
        "feed": (2.0, 0.03),
        "con": (40.0, 1.0),
        "rest": (0.8, 0.02),
        "again": (20.0, 0.6),
        "tailings": (0.02, 0.015),
    }
    stages = Stage(("feed",), ("con", "rest")), Stage(("rest",), ("again", "tailings"))
    first, second = of_grades(Sources(), grades, *stages).catches
    z = np.random.default_rng(20240620).standard_normal((5, N))
    f, c, r, a, t = (value + u * z[i] for i, (value, u) in enumerate(grades.values()))
    for catch, draws in (
        (first, c * (f - r) / (f * (c - r))),
        (second, a * (r - t) / (r * (a - t))),
    ):
        _of_the_possible(catch.caught[0], 100 * draws)


# --- value and heaps -----------------------------------------------------------------------------


@pytest.mark.parametrize("gain", [0.005, 0.02, 0.05])
def test_tonnes_that_pay_back_a_gain_that_may_be_none(gain: float) -> None:
    found = break_even(NetGain(Known(1.0, 0.2), Known(gain, 0.02), 60.0, 0.1), 5000)
    random = np.random.default_rng(20240621)
    grade = 1.0 + 0.2 * random.standard_normal(N)
    n = grade * (gain + 0.02 * random.standard_normal(N)) * 60 - 0.1
    assert found.never == pytest.approx(np.mean(n <= 0), abs=NOISE)
    tonnes = np.where(n > 0, 5000 / np.where(n > 0, n, 1), np.inf)
    for end, p in ((found.low, 0.025), (found.middle, 0.5), (found.high, 0.975)):
        if end is not None:
            assert np.mean(tonnes <= end) == pytest.approx(p, abs=NOISE)


@pytest.mark.parametrize("reading", [-0.055, -0.02, 0.0, 0.03])
def test_a_heap_near_nothing_is_not_nothing(reading: float) -> None:
    """Metal is not below zero: of the draws that can be, 95 in 100 at least lie inside."""
    sources = Sources()
    left = heaps.assayed(sources, Tailings(weighed_mg=sources.variable("T", reading, 0.02)))
    drawn_mg = reading + 0.02 * np.random.default_rng(20240622).standard_normal(40 * N)
    assert _held(left.metal_g, drawn_mg[drawn_mg >= 0] / 1000) >= 0.945


def test_all_heaps_of_every_kind_and_what_a_next_stage_gets() -> None:
    sources, random = Sources(), np.random.default_rng(20240623)
    a, b = (sources.variable(name, *read) for name, read in (("A", (12, 0.4)), ("B", (6, 0.4))))
    result = recover(sources, CircuitTest((SizeRow(Cell(ALL, a), Cell(ALL, b)),)))
    gone = b * b / (a - b)
    kinds = [
        heaps.assayed(sources, Tailings(weighed_mg=sources.variable("T", 0.3, 0.2))),
        heaps.assayed(sources, tailings_below(sources, 2.0)),
        heaps.alike(sources, result.losses[-1].gone, gone, 1.0),
    ]
    catch = sources.variable("r2", 0.6, 0.05)
    z = random.standard_normal((4, N))
    caught, again, weighed = 12 + 0.4 * z[0], 6 + 0.4 * z[1], 0.3 + 0.2 * z[2]
    parts = [weighed, random.uniform(0, 2, N), again**2 / (caught - again)]
    kept = weighed >= 0
    for left, part in zip(kinds, parts, strict=True):
        assert _held(left.metal_g, part[kept] / 1000) >= 0.945
    amounts = [left.metal_g for left in kinds if left.metal_g is not None]
    whole = sum(parts)[kept] / 1000
    assert _held(heaps.total(sources, amounts), whole) >= 0.95
    got = heaps.total(sources, [heaps.caught(sources, amount, catch) for amount in amounts])
    assert _held(got, whole * (0.6 + 0.05 * z[3])[kept]) >= 0.95


def _held(amount: Amount | None, draws: Draws) -> float:
    assert amount is not None
    high = np.inf if amount.high is None else amount.high
    return float(np.mean((draws >= amount.low) & (draws <= high)))


@pytest.mark.parametrize("limit", [0.05, 0.3, 0.9])
def test_a_grade_typed_as_a_limit_is_anything_from_nothing_to_it(limit: float) -> None:
    """Feed 2.0 ± 0.1, concentrate 40 ± 2 (u), tailings <x: the feed's doubt beside a rectangle."""
    sources = Sources()
    tails = sources.variable("tails", limit / 2, limit / np.sqrt(12))
    feed, con = sources.variable("feed", 2.0, 0.02), sources.variable("con", 40, 2.0)
    streams = [Stream(name, None, (grade,)) for name, grade in
               (("feed", feed), ("con", con), ("tailings", tails))]  # fmt: skip
    test = part_feed(
        sources, streams[0], streams[1:], mass_unit="1", grade_units=("g/t",), limits=[tails]
    )
    random = np.random.default_rng(20240619)
    f, c = (m + u * random.standard_normal(N) for m, u in ((2.0, 0.02), (40, 2.0)))
    t = random.uniform(0, limit, N)
    shares = 100 * c * (f - t) / (f * (c - t))
    for product, drawn in zip(test.products, (shares, 100 - shares), strict=True):
        low, high = ends(product.recoveries[0])
        assert np.mean(drawn < low) == pytest.approx(0.025, abs=0.004)
        assert np.mean(drawn > high) == pytest.approx(0.025, abs=0.004)
