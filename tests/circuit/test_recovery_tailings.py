"""Recovery with final tailings: limits, grains, what contradicts the second stage."""

import math

import pytest
from scipy import stats

from assaybench.circuit.grains import grain_mass_mg, unseen_mg
from assaybench.circuit.products import CircuitTest
from assaybench.circuit.recovery import recover
from assaybench.circuit.tailings import (
    Tailings,
    graded_tailings,
    tailings_below,
    tailings_not_detected,
    weighed_tailings,
)
from assaybench.messages import say
from assaybench.metrology.uncertain import Sources
from tests.circuit.builders import (
    FINE,
    R_09,
    by_size,
    codes,
    ends,
    one_size,
    row,
    value,
    way,
)

TAILINGS_KG = 410.3


@pytest.mark.parametrize(
    ("grade", "low"),
    [
        (0.333, 68.9),  # typed <0.333 g/t
        (0.0134 / 0.030, 64.7),  # L_D of a 0.01 mg balance, 0.0134 mg in 30 g
        (unseen_mg(grain_mass_mg(100)) / 0.030, 49.4),  # three grains of 0.1 mm, 1.0 g/t
    ],
)
def test_scenario_with_tailings_below_a_limit(grade: float, low: float) -> None:
    sources = Sources()
    tailings = tailings_below(sources, grade * TAILINGS_KG, mass_kg=TAILINGS_KG)
    test = CircuitTest(by_size(sources, u=0.01), tailings=tailings)
    found = recover(sources, test)
    closed = way(found.total, "closed")
    assert closed.bracket == pytest.approx((low, 85.5), abs=0.05)
    bottom, top = ends(closed.figure)
    assert low < bottom < value(closed) * 100 < top < 85.5
    assert "no_lower_bound" not in codes(found)
    assert "lies between" in closed.sentence


def test_a_bracket_is_no_narrower_than_what_the_weights_allow() -> None:
    """10 ± 3 and 5 ± 1.5 mg: a limit of 0.1 mg on the tailings makes none of that surer."""
    sources = Sources()
    found = recover(sources, one_size(sources, (10, 1.5), (5, 0.75), tailings_below(sources, 0.1)))
    closed = way(found.total, "closed")
    assert closed.bracket == pytest.approx(ends(closed.figure))
    assert "lies between 56.3 and 75.2 %" in closed.sentence


def test_tailings_of_which_a_part_is_only_bounded_say_so() -> None:
    sources = Sources()
    rows = (
        row(sources, "coarse", (100, 0.1), (5, 0.1), tailings_below(sources, 1.0, name="T coarse")),
        row(sources, "fine", (50, 0.1), (20, 0.1), Tailings(sources.variable("T fine", 30, 3))),
    )
    closed = way(recover(sources, CircuitTest(rows)).total, "closed")
    assert closed.sentence.endswith("In the final tailings may be up to 1 mg more than was seen.")
    assert closed.bracket == pytest.approx(ends(closed.figure))
    low, high = ends(closed.figure)
    assert low < 100 * 150 / 206 < 100 * 150 / 205 < high


def test_scenario_with_tailings_weighed_here() -> None:
    """30 g fused, nothing seen on a 0.01 mg balance (u0 = d/√6): L_D 0.45 g/t; grains rule."""
    for grain, low in ((0.0, 64.6), (grain_mass_mg(100), 49.4)):
        sources = Sources()
        tailings = tailings_not_detected(
            sources, TAILINGS_KG, 30.0, 3.29 * 0.01 / math.sqrt(6), grain_mg=grain
        )
        found = recover(sources, CircuitTest(by_size(sources, u=0.01), tailings=tailings))
        bracket = way(found.total, "closed").bracket
        assert bracket == pytest.approx((low, 85.5), abs=0.05)


def test_tailings_that_disagree_are_said_and_both_kept() -> None:
    """Message 6: < 0.33 g/t, but 0.64 if stages are alike, once the beads are weighed finely."""
    sources = Sources()
    tailings = tailings_below(sources, 0.333 * TAILINGS_KG, mass_kg=TAILINGS_KG)
    found = recover(sources, CircuitTest(by_size(sources, u=0.01), tailings=tailings))
    said = [flag.text for flag in found.flags if flag.code == "tailings_disagree"]
    assert said == [say("tailings_disagree", g1="< 0.33", unit="g/t", g2="0.64")]
    assert way(found.total, "closed").figure.value is not None
    assert way(found.total, "equal stages").figure.value is not None


def test_overlapping_intervals_do_not_contradict() -> None:
    """With 5 % on each fine bead equal stages reach up to 70 %, the tailings down to 69 %."""
    sources = Sources()
    tailings = tailings_below(sources, 0.333 * TAILINGS_KG, mass_kg=TAILINGS_KG)
    rows = by_size(sources, u=0.01, u_rel={FINE: 0.05})
    found = recover(sources, CircuitTest(rows, tailings=tailings))
    assert "tailings_disagree" not in codes(found)


@pytest.mark.parametrize(("t", "said"), [(257.0, True), (259.0, False)])
def test_contradiction_begins_where_the_intervals_part(t: float, *, said: bool) -> None:
    """Alike 58.47 ± 0.07 %; closed 486.4/(569 + T) ± 0.34 % just clears it, or just does not."""
    sources = Sources()
    tailings = Tailings(weighed_mg=sources.variable("tailings", t, 2.4))
    found = recover(sources, CircuitTest(by_size(sources, u=0.01), tailings=tailings))
    closed, alike = way(found.total, "closed").figure, way(found.total, "equal stages").figure
    assert (ends(closed)[0] > ends(alike)[1]) == said
    assert ("tailings_disagree" in codes(found)) == said


def test_equal_stages_near_one_hundred_percent_are_cut_there() -> None:
    """B 0.008 ± 0.004 mg: quantiles of B cut at zero, by scipy."""
    sources = Sources()
    found = recover(sources, one_size(sources, (12.0, 0.0001), (0.008, 0.004)))
    cut = stats.truncnorm(-2.0, math.inf, loc=0.008, scale=0.004)
    low, high = ends(way(found.total, "equal stages").figure)
    assert low == pytest.approx(100 * (1 - cut.ppf(0.975) / 12), abs=1e-5)
    assert high == pytest.approx(100 * (1 - cut.ppf(0.025) / 12), abs=1e-5)


def test_richer_tailings_point_to_metal_that_is_harder_to_catch() -> None:
    sources = Sources()
    tailings = Tailings(weighed_mg=sources.variable("tailings", 900.0, 20.0))
    found = recover(sources, CircuitTest(by_size(sources, u=0.01), tailings=tailings))
    assert codes(found) == ["look_at_size", "tailings_richer"]
    text = next(flag.text for flag in found.flags if flag.code == "tailings_richer")
    assert "900 mg" in text
    assert "260" in text


def test_contradiction_of_one_unsieved_size_is_said_once() -> None:
    sources = Sources()
    tailings = Tailings(weighed_mg=sources.variable("tailings", 900.0, 20.0))
    found = recover(sources, one_size(sources, (486.4, 0.1), (82.6, 0.1), tailings))
    assert codes(found) == ["tailings_richer"]


def test_tailings_by_size_close_each_size_and_rule_the_losses() -> None:
    sources = Sources()
    rows = tuple(
        row(sources, n, (a, 0.01), (b, 0.01), Tailings(sources.variable(f"T {n}", t, 0.1)))
        for (n, (a, b)), t in zip(R_09.items(), (1.0, 60.0, 40.0), strict=True)
    )
    found = recover(sources, CircuitTest(rows))
    closed = [value(way(part, "closed")) for part in found.sizes]
    assert closed == pytest.approx([186.4 / 189.5, 241.7 / 333.2, 58.3 / 147.3])
    assert value(way(found.total, "closed")) == pytest.approx(486.4 / 670.0)
    assert found.look_at == "-1.0+0.25 mm"
    assert found.losses[1].by == "found"
    assert found.losses[1].share == pytest.approx(91.5 / 183.6)


def test_tailings_of_a_size_that_disagree_are_said_of_that_size() -> None:
    sources = Sources()
    rows = tuple(
        row(sources, n, (a, 0.01), (b, 0.01), Tailings(sources.variable(f"T {n}", t, 0.1)))
        for (n, (a, b)), t in zip(R_09.items(), (0.024, 60.0, 40.0), strict=True)
    )
    said = [flag.text.split("\n")[0] for flag in recover(sources, CircuitTest(rows)).flags]
    assert said[1:] == [
        "-1.0+0.25 mm: tailings assay 60 mg, over the 4.7 if stages are alike.",
        "-0.25 mm: tailings assay 40 mg, but 260 if stages are alike.",
        "These disagree: tailings assay 100 mg, but 260 if stages are alike.",
    ]


def test_typed_gold_grade_of_the_tailings_has_no_fineness_of_beads() -> None:
    sources = Sources()
    test = one_size(sources, (12.0, 0.01), (2.0, 0.01), graded_tailings(50.0, 0.04))
    recover(sources, test, u_fineness=0.03)
    with pytest.raises(KeyError):
        sources.correlate("fineness of the tailings beads", "fineness of the re-run beads", 0.1)


def test_few_grains_in_the_tailings_follow_the_grain_law() -> None:
    """One grain: the ends are those of the limits of a count, 0.0253 and 5.572 of 1."""
    sources = Sources()
    tailings = weighed_tailings(
        sources, 50.0, sources.variable("net", 0.04, 1e-6), 30.0, grain_mg=0.04
    )
    found = recover(sources, one_size(sources, (100.0, 0.001), (20.0, 0.001), tailings))
    low, high = ends(way(found.total, "closed").figure)
    scale = 0.04 * 50 / 0.030  # mg in all of the tailings for one grain in 30 g
    assert low == pytest.approx(100 * 100 / (120 + 5.5716 * scale), abs=0.01)
    assert high == pytest.approx(100 * 100 / (120 + 0.025318 * scale), abs=0.01)


def test_tailings_read_below_zero_are_cut_there() -> None:
    sources = Sources()
    tailings = Tailings(weighed_mg=sources.variable("t", -0.4, 0.5))
    found = recover(sources, one_size(sources, (12.0, 0.05), (3.0, 0.05), tailings))
    bound, closed = way(found.total, "at most").figure, way(found.total, "closed").figure
    low, high = ends(closed)
    assert low < (closed.value or 0) < high <= ends(bound)[1]
    assert (closed.value or 0) < (bound.value or 0)
    both = way(found.total, "both stages").figure
    assert both.status == "at least"
