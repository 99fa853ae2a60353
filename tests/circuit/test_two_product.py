"""Two products from three grades: textbook values, seeded Monte Carlo, bounds."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.circuit.reconcile import Stream
from assaybench.circuit.streams import FeedTest, Product, part_feed
from assaybench.circuit.two_product import concentration_ratio, part_of
from assaybench.messages import BadInput
from assaybench.metrology.uncertain import Sources, Uncertain
from tests.circuit.builders import ends


def grades(
    sources: Sources, f: float, c: float, t: float, u_rel: float = 1e-6
) -> tuple[Uncertain, Uncertain, Uncertain]:
    """Three grades with a relative u each."""
    return (
        sources.variable("f", f, u_rel * f),
        sources.variable("c", c, u_rel * c),
        sources.variable("t", t, u_rel * t),
    )


def split(sources: Sources, *made: Uncertain) -> FeedTest:
    """A feed and two products, known by three grades."""
    feed, con, tails = (
        Stream(name, None, (grade,))
        for name, grade in zip(("feed", "con", "tails"), made, strict=True)
    )
    return part_feed(sources, feed, [con, tails], mass_unit="kg", grade_units=("%",))


def concentrate(sources: Sources, *made: Uncertain) -> Product:
    """What the concentrate holds."""
    return split(sources, *made).products[0]


@pytest.mark.parametrize(
    ("f", "c", "t", "recovery", "yields"),
    [
        (10, 30, 1, 93.1034, 31.0345),  # solved examination problem
        (0.8, 25, 0.15, 81.740, 2.6157),  # Wills, chapter 3 (from memory): 81.7, K 38.2
        (2.0, 40, 0.3, 85.642, 4.2821),  # Wills, chapter 3 (from memory)
    ],
)
def test_textbook_values(f: float, c: float, t: float, recovery: float, yields: float) -> None:
    sources = Sources()
    made = grades(sources, f, c, t)
    con = concentrate(sources, *made)
    assert con.recoveries[0].value == pytest.approx(recovery, abs=5e-4)
    assert con.figures["mass_yield"].value == pytest.approx(yields, abs=5e-4)


def test_textbook_standard_deviation() -> None:
    """f 2.0, c 40, t 0.3, 5 % each: 1.0465 points, of it f .571, t .523, c .001 squared."""
    sources = Sources()
    con = concentrate(sources, *grades(sources, 2.0, 40, 0.3, 0.05))
    figure, budget = con.recoveries[0], con.budgets[0]
    assert figure.u == pytest.approx(1.0465, abs=5e-4)
    shares = {share.source: share.share for share in budget}
    assert shares["f"] == pytest.approx(0.571 / 1.0465**2, abs=0.002)
    assert shares["t"] == pytest.approx(0.523 / 1.0465**2, abs=0.002)


def test_interval_against_monte_carlo() -> None:
    sources = Sources()
    low, high = ends(concentrate(sources, *grades(sources, 2.0, 40, 0.3, 0.05)).recoveries[0])
    z = np.random.default_rng(20240305).standard_normal((3, 1_000_000))
    f, c, t = (m * (1 + 0.05 * z[i]) for i, m in enumerate((2.0, 40.0, 0.3)))
    shares = 100 * c * (f - t) / (f * (c - t))
    assert np.mean(shares <= low) == pytest.approx(0.025, abs=0.004)
    assert np.mean(shares > high) == pytest.approx(0.025, abs=0.004)


@given(st.floats(0.01, 10), st.floats(0.05, 0.9), st.floats(0.01, 0.9), st.floats(0.001, 0.5))
def test_stays_inside(c: float, f: float, t: float, u_rel: float) -> None:
    sources = Sources()
    made = grades(sources, c * f, c, c * f * t, u_rel)
    con = concentrate(sources, *made)
    for figure in (con.recoveries[0], con.figures["mass_yield"]):
        low, high = ends(figure)
        assert 0 <= low <= (figure.value or 0) + 1e-9
        assert (figure.value or 0) - 1e-9 <= high <= 100


@pytest.mark.parametrize(
    ("f", "c", "t", "code"),
    [(5, 3, 1, "concentrate_below_feed"), (1, 3, 2, "tailings_above_feed")],
)
def test_grades_that_no_split_gives(f: float, c: float, t: float, code: str) -> None:
    sources = Sources()
    test = split(sources, *grades(sources, f, c, t))
    assert test.products == ()
    assert [flag.code for flag in test.flags] == [code]


def test_grades_without_doubt_are_refused() -> None:
    with pytest.raises(BadInput, match="without ± give no recovery"):
        split(Sources(), 2.0, 40.0, 0.3)


def test_a_yield_of_nothing_has_no_ratio() -> None:
    sources = Sources()
    nothing = sources.variable("feed", 2.0, 0.1) - sources.variable("tails", 2.0, 0.1)
    part, _ = part_of(sources, nothing, 38.0, "assay")
    found = concentration_ratio(part)
    assert (found.value, found.status) == (None, "not determinable")
    assert found.why == "The product weighs nothing as measured: no ratio follows from it."
