"""Every interval that a circuit prints near a bound, against draws of what was weighed.

A mass is drawn as its reading and u say, and is not below nothing: a draw that is does not count.
What was not detected is anything from nothing to its limit. Beyond each printed end lie 25 draws
in 1000, of a bound that holds on one side 50. Draws are seeded; 200,000 leave ± 0.001 of chance.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from assaybench.circuit import heaps
from assaybench.circuit.heaps import Left
from assaybench.circuit.products import ALL, Cell, CircuitTest, SizeRow
from assaybench.circuit.reconcile import Stage, Stream
from assaybench.circuit.recovery import recover
from assaybench.circuit.streams import FeedTest, part_feed
from assaybench.circuit.tailings import Tailings, tailings_below
from assaybench.circuit.ways import Way
from assaybench.metrology.figure import Figure
from assaybench.metrology.uncertain import Sources
from tests.circuit.builders import ends, way

N = 200_000
NOISE = 0.0025
"""Five times the scatter of a share of 0.05 in so many draws."""
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
        second: r2 as stated.
    """

    caught: Read
    rerun: Read
    tailings: Read | None = None
    unseen: float = 0.0
    mats: Read | None = None
    share: Read = (1.0, 0.0)
    second: Read = (0.8, 0.05)


CASES = {
    "re-run near zero": Case((12, 0.1), (0.05, 0.02)),
    "re-run not seen": Case((12, 0.1), (0.02, 0.02)),
    "re-run below zero": Case((12, 0.1), (-0.02, 0.02), (0.5, 0.1)),
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
    "a share run again": Case((12, 0.1), (0.05, 0.02), (0.5, 0.2), share=(0.3, 0.02)),
    "a doubtful second stage": Case((12, 0.1), (3, 0.3), second=(0.2, 0.02)),
}
WAYS: dict[Way, Callable[[Draws, Draws, Draws, Draws, Draws], Draws]] = {
    "at most": lambda a, b, _t, m, _r: a / (a + b + m),
    "closed": lambda a, b, t, m, _r: a / (a + b + t + m),
    "both stages": lambda a, b, t, m, _r: (a + b) / (a + b + t + m),
    "stated second stage": lambda a, b, _t, m, r: a / (a + b / r + m),
    "least second stage": lambda a, b, _t, m, r: a / (a + b / r + m),
    "equal stages": lambda a, b, _t, _m, _r: 1 - b / a,
}


def test_of(sources: Sources, case: Case) -> CircuitTest:
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
        rerun_share=sources.variable("share", *case.share),
    )


def drawn(case: Case, of: Way) -> Draws:
    """Shares by a way, of draws in which nothing is below zero."""
    random = np.random.default_rng(20240617)

    def read(value: Read | None) -> Draws:
        if value is None:
            return np.zeros(N)
        return value[0] + value[1] * random.standard_normal(N)

    a, b, t, m, share, second = map(
        read, (case.caught, case.rerun, case.tailings, case.mats, case.share, case.second)
    )
    t = t + random.uniform(0, case.unseen, N) if case.unseen else t
    kept = (a >= 0) & (b >= 0) & (t >= 0) & (m >= 0) & (share > 0)
    a, b, t, m, share, second = (part[kept] for part in (a, b, t, m, share, second))
    return 100 * WAYS[of](a, b / share, t / share, m, second)


def beyond(figure: Figure, draws: Draws) -> tuple[float, float]:
    """Shares of the draws below and above the printed ends."""
    low, high = ends(figure)
    return float(np.mean(draws < low)), float(np.mean(draws > high))


@pytest.mark.parametrize("name", CASES)
def test_recoveries(name: str) -> None:
    case, sources = CASES[name], Sources()
    second = sources.variable("r2", *case.second)
    result = recover(
        sources, test_of(sources, case), second_stage=second, second_stage_least=second
    )
    for found in result.total.recoveries:
        print(name, found.way, found.figure.status, found.figure.text, found.figure.value and beyond(found.figure, drawn(case, found.way)))
