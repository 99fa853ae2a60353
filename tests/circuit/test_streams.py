"""A feed and its products: formulas of two and three products, middlings, contradictions."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assaybench.circuit.reconcile import MASS, Place, Stream
from assaybench.circuit.streams import FeedTest, figures_of_feed, part_feed
from assaybench.circuit.two_product import part_of
from assaybench.messages import BadInput, say
from assaybench.metrology.uncertain import Sources, nominal
from tests.circuit.builders import ends

Typed = tuple[float | None, ...]
"""Mass, then grades; None where not measured."""
COPPER_ZINC: dict[str, Typed] = {
    "feed": (3000.0, 2.3, 15.0),
    "copper con": (None, 22.0, 4.3),
    "zinc con": (None, 1.0, 51.8),
    "tailings": (None, 0.2, 1.0),
}


def feed_test(
    streams: dict[str, Typed], u_rel: float = 0.02, sources: Sources | None = None
) -> FeedTest:
    """The first stream is the feed; every figure has a relative u."""
    known = sources or Sources()
    made = []
    for name, typed in streams.items():
        figures = [
            None if v is None else known.variable(f"{i} {name}", v, u_rel * abs(v))
            for i, v in enumerate(typed)
        ]
        made.append(Stream(name, figures[0], tuple(figures[1:])))
    units = ("%",) * len(made[0].grades)
    return part_feed(known, made[0], made[1:], mass_unit="t", grade_units=units)


def recoveries(test: FeedTest, metal: int = 1) -> list[float]:
    return [product.recoveries[metal - 1].value or 0.0 for product in test.products]


def test_three_products_of_two_metals() -> None:
    """Worked homework, seen: 259.2, 810, 1930.8 t; copper 82.64 %, zinc 93.24 %."""
    test = feed_test(COPPER_ZINC)
    assert test.agreed is not None
    masses = [nominal(test.agreed.values[Place(n, MASS)]) for n in COPPER_ZINC]
    assert masses == pytest.approx([3000, 259.27, 809.93, 1930.80], abs=0.005)
    assert recoveries(test) == pytest.approx([82.67, 11.738, 5.597], abs=0.005)
    assert recoveries(test, 2) == pytest.approx([2.477, 93.23, 4.291], abs=0.005)
    copper, zinc = test.products[0], test.products[1]
    assert copper.figures["concentration"].value == pytest.approx(11.571, abs=5e-4)
    assert zinc.figures["concentration"].value == pytest.approx(3.704, abs=5e-4)
    assert copper.enrichments[0].value == pytest.approx(9.565, abs=5e-4)
    assert zinc.enrichments[1].value == pytest.approx(3.453, abs=5e-4)
    assert [flag.code for flag in test.flags] == ["streams_none_spare"]
    assert test.verdict is None


def test_intervals_of_three_products_against_monte_carlo() -> None:
    test = feed_test(COPPER_ZINC, 0.02)
    dice = np.random.default_rng(20240614).standard_normal((2, 4, 200_000))
    table = np.array([typed[1:] for typed in COPPER_ZINC.values()], float).T
    f, c, z, t = np.moveaxis(table[:, :, None] * (1 + 0.02 * dice), 1, 0)
    # F = C + Z + T, F·f = C·c + Z·z + T·t for both metals, per part of feed
    left = np.moveaxis(np.array([c - t, z - t]), 2, 0).transpose(0, 2, 1)
    parts = np.linalg.solve(left, (f - t).T[:, :, None])[:, :, 0]
    drawn = {0: 100 * parts[:, 0] * c[0] / f[0], 1: 100 * parts[:, 1] * z[1] / f[1]}
    for i, found in drawn.items():
        figure = test.products[i].recoveries[i]
        low, high = ends(figure)
        assert figure.u == pytest.approx(np.std(found), rel=0.05)
        assert np.mean(found < low) + np.mean(found > high) == pytest.approx(0.05, abs=0.015)


grades = st.floats(0.5, 100)


@given(grades, st.floats(0.05, 0.9), st.floats(0.01, 0.9), st.floats(0.001, 0.1))
def test_three_grades_give_the_two_product_formula_and_its_interval(
    c: float, f: float, t: float, u_rel: float
) -> None:
    sources = Sources()
    streams: dict[str, Typed] = {
        "feed": (None, c * f), "con": (None, c), "tails": (None, c * f * t),
    }  # fmt: skip
    test = feed_test(streams, u_rel, sources)
    feed, rich, poor = (s.grades[0] for s in (test.feed, *test.measured))
    assert feed is not None
    assert rich is not None
    assert poor is not None
    recovery, _ = part_of(sources, rich * (feed - poor), feed * (rich - poor), "assay")
    part, _ = part_of(sources, feed - poor, rich - poor, "assay")
    con = test.products[0]
    for one, other in ((con.recoveries[0], recovery), (con.figures["mass_yield"], part)):
        assert one.value == pytest.approx(other.value, rel=1e-9)
        assert one.u == pytest.approx(other.u, rel=1e-6)
        assert (one.low, one.high) == pytest.approx((other.low, other.high), rel=1e-6, abs=1e-6)
    assert con.figures["concentration"].value == pytest.approx(100 / (part.value or 1), rel=1e-9)
    assert con.enrichments[0].value == pytest.approx(1 / f, rel=1e-9)
    assert test.mass_unit == "1"


@given(
    st.floats(0.02, 0.3), st.floats(0.02, 0.3), st.floats(20, 60), st.floats(5, 15),
    st.floats(0.1, 1), st.floats(-2, 2),
)  # fmt: skip
def test_products_hold_all_of_the_feed(
    con: float, mids: float, c: float, m: float, t: float, off: float
) -> None:
    f = con * c + mids * m + (1 - con - mids) * t
    streams: dict[str, Typed] = {
        "feed": (100.0, f * (1 + 0.02 * off)),
        "con": (100 * con, c),
        "middlings": (100 * mids, m),
        "tailings": (100 * (1 - con - mids), t),
    }
    test = feed_test(streams)
    assume(test.agreed is not None)
    assert sum(recoveries(test)) == pytest.approx(100, abs=1e-6)
    yields = [p.figures["mass_yield"].value or 0 for p in test.products]
    assert sum(yields) == pytest.approx(100, abs=1e-6)
    assert test.verdict is not None
    assert test.verdict.code == "streams_agree"
    assert test.verdict.text == "they agree"


def test_streams_that_do_not_agree_say_so_and_that_their_doubts_do_not_hold() -> None:
    test = feed_test({"feed": (10.0, 2.0), "con": (1.2, 15.0), "tailings": (9.0, 3.0)}, 0.005)
    assert test.verdict is not None
    assert test.verdict.text == "do not agree"
    assert "Measure each again." in test.verdict.reason
    assert "The ± here hold only for streams that agree; these do not." in test.said
    assert test.products  # kept and shown all the same


def test_one_stream_off_is_named() -> None:
    """Two metals and all masses: three constraints; the mass of the concentrate is 30 % high."""
    streams: dict[str, Typed] = {
        "feed": (100.0, 2.3, 15.0),
        "copper con": (1.3 * 100 * 0.0864225, 22.0, 4.3),
        "zinc con": (100 * 0.2699769, 1.0, 51.8),
        "tailings": (100 * 0.6436006, 0.2, 1.0),
    }
    test = feed_test(streams, 0.01)
    assert test.verdict is not None
    assert "Measure again first: the mass of copper con." in test.verdict.reason


@pytest.mark.parametrize(
    ("grades", "code"),
    [((2.0, 1.5, 0.3), "concentrate_below_feed"), ((2.0, 2.0, 0.3), "concentrate_below_feed"),
     ((2.0, 40.0, 2.5), "tailings_above_feed"), ((2.0, 2.0, 2.0), "concentrate_below_feed")],
)  # fmt: skip
def test_grades_that_no_split_gives_are_refused_with_a_sentence(
    grades: tuple[float, float, float], code: str
) -> None:
    f, c, t = grades
    test = feed_test({"feed": (None, f), "con": (None, c), "tails": (None, t)})
    assert [flag.code for flag in test.flags] == [code]
    assert test.products == ()
    (row,) = figures_of_feed(test)
    assert row[2].status == "not determinable"
    assert row[2].why == test.flags[0].text


def test_a_mass_below_zero_is_refused_with_a_sentence() -> None:
    test = feed_test({"feed": (10.0, 2.0), "con": (12.0, 15.0), "tails": (None, None)})
    assert test.flags[0].text.startswith("To add up, the mass of tails would have to be below zero")
    assert test.products == ()


def test_a_metal_below_zero_is_refused_with_a_sentence() -> None:
    test = feed_test({"feed": (10.0, 1.0), "con": (2.0, 15.0), "tails": (None, None)})
    assert test.flags[0].text.startswith(
        "To add up, the grade of tails would have to be below zero"
    )


def test_what_is_missing_is_named() -> None:
    with pytest.raises(BadInput, match="the mass of con cannot be worked out"):
        feed_test({"feed": (None, 2.0), "con": (None, 40.0), "tails": (None, None)})


def test_exact_figures_are_refused() -> None:
    with pytest.raises(BadInput, match="without ± give no recovery"):
        feed_test({"feed": (None, 2.0), "con": (None, 40.0), "tails": (None, 0.3)}, 0.0)


def test_a_yield_that_may_be_nothing_leaves_the_ratio_without_upper_end() -> None:
    test = feed_test({"feed": (None, 2.0), "con": (None, 40.0), "tails": (None, 1.9)}, 0.05)
    ratio = test.products[0].figures["concentration"]
    assert ratio.high is None
    assert "or more" in ratio.text
    assert ratio.value == pytest.approx(381)


def test_every_figure_that_a_seal_keeps_has_its_stream_and_a_name_of_its_own() -> None:
    rows = [(stream, name) for stream, name, _ in figures_of_feed(feed_test(COPPER_ZINC))]
    assert len(rows) == len(set(rows))
    assert {("copper con", "recovery"), ("zinc con", "recovery_2")} <= set(rows)
    assert ("tailings", "agreed mass") in rows


def test_a_limit_that_other_figures_pass_is_said() -> None:
    """Feed 5 g/t, a concentrate of 1 kg in 100 with 300 g/t: tailings of 2 g/t, typed as < 0.5."""
    for most, codes in ((0.5, ["stream_limit_passed"]), (6.0, [])):
        s = Sources()
        limit = s.variable("tailings", most / 2, most / 12**0.5)
        feed = Stream("feed", s.variable("m", 100.0, 0.5), (s.variable("f", 5.0, 0.1),))
        con = Stream("con", s.variable("c", 1.0, 0.005), (s.variable("g", 300.0, 5.0),))
        left = Stream("tailings", s.variable("t", 99.0, 0.5), (limit,))
        test = part_feed(s, feed, [con, left], mass_unit="kg", grade_units=("g/t",), limits=[limit])
        assert [flag.code for flag in test.flags] == codes
        assert say("stream_limit_spare") in test.said
    told = part_feed(
        s, feed._replace(mass=None), [con._replace(mass=None), left._replace(mass=None)],
        mass_unit="kg", grade_units=("g/t",), limits=[limit],
    )  # fmt: skip
    assert say("stream_limit_spare") not in told.said  # nothing to spare: a rectangle it is
