"""Streams made to agree, at the limits: what was not measured, and what contradicts itself."""

import math

import pytest
from scipy import stats

from assaybench.circuit.reconcile import MASS, Place, Stage, Stream, agree
from assaybench.messages import BadInput
from assaybench.metrology.uncertain import Sources, nominal
from tests.circuit.streams import DOVI, ONE_SPLIT, masses_of, split_of, streams_of

# --- unmeasured streams --------------------------------------------------------------------------


def test_unmeasured_streams_are_worked_out() -> None:
    """Without streams 3 and 6 of the six, one constraint is left: 1 = 4, and 3, 6 follow."""
    masses, variances, stages = DOVI
    sources = Sources()
    known: dict[str, float | None] = {**masses, "3": None, "6": None}
    given_ = streams_of(sources, known, {n: math.sqrt(v) for n, v in variances.items()})
    agreed = agree(sources, given_, stages)
    assert agreed.dof == 1
    found = masses_of(agreed)
    both = (11.0 / 0.032 + 11.1 / 0.033) / (1 / 0.032 + 1 / 0.033)
    expected = {"1": both, "2": 9.9, "3": both + 9.9, "4": both, "5": 7.0, "6": both - 7.0}
    assert found == pytest.approx(expected, rel=1e-12)
    assert set(agreed.scores) == {Place("1", MASS), Place("4", MASS)}
    u_both = 1 / math.sqrt(1 / 0.032 + 1 / 0.033)
    assert sources.doubt(agreed.values[Place("6", MASS)]).u == pytest.approx(
        math.hypot(u_both, math.sqrt(0.052)), rel=1e-9
    )


def test_three_grades_alone_give_the_two_product_formula() -> None:
    sources = Sources()
    given_ = [
        Stream(n, m, (sources.variable(n, g, 0.05 * g),))
        for n, m, g in (("feed", 1.0, 2.0), ("con", None, 40.0), ("tails", None, 0.3))
    ]
    agreed = agree(sources, given_, ONE_SPLIT)
    assert (agreed.dof, agreed.p) == (0, 1.0)
    recovery = agreed.metal("con") / agreed.metal("feed")
    assert 100 * nominal(recovery) == pytest.approx(85.64231738035265, rel=1e-12)
    assert 100 * sources.doubt(recovery).u == pytest.approx(1.0465, abs=5e-5)
    assert agreed.scores == {}


def test_a_grade_that_was_not_assayed_follows() -> None:
    sources = Sources()
    feed, con, tails = split_of(sources)
    agreed = agree(sources, [feed, con, tails._replace(grades=(None,))], ONE_SPLIT)
    expected = (nominal(agreed.metal("feed")) - nominal(agreed.metal("con"))) / masses_of(agreed)[
        "tails"
    ]
    assert nominal(agreed.values[Place("tails", 1)]) == pytest.approx(expected, rel=1e-9)
    assert agreed.dof == 1


@pytest.mark.parametrize(
    ("masses", "line"),
    [
        ({"feed": 100.0, "con": None, "tails": None}, "the mass of con cannot be worked out"),
        ({"feed": None, "con": None, "tails": 5.0}, "the mass of feed cannot be worked out"),
    ],
)
def test_what_cannot_be_worked_out_is_named(masses: dict[str, float | None], line: str) -> None:
    sources = Sources()
    with pytest.raises(BadInput, match=line):
        agree(sources, streams_of(sources, masses, dict.fromkeys(masses, 1.0)), ONE_SPLIT)


def test_alike_grades_tell_no_masses() -> None:
    sources = Sources()
    given_ = [
        Stream(n, m, (sources.variable(n, 5.0, 0.1),))
        for n, m in (("feed", 1.0), ("con", None), ("tails", None))
    ]
    with pytest.raises(BadInput, match="the mass of con cannot be worked out"):
        agree(sources, given_, ONE_SPLIT)


# --- contradictions ------------------------------------------------------------------------------


def test_a_gross_fault_is_found_and_named() -> None:
    """Stream 5 reads 9.0 instead of 7.0."""
    masses, variances, stages = DOVI
    sources = Sources()
    given_ = streams_of(
        sources, {**masses, "5": 9.0}, {n: math.sqrt(v) for n, v in variances.items()}
    )
    agreed = agree(sources, given_, stages)
    assert not agreed.agrees
    assert Place("5", MASS) in agreed.measure_again


def test_a_negative_agreed_mass_is_named() -> None:
    sources = Sources()
    given_ = streams_of(
        sources, {"feed": 5.0, "con": 12.0, "tails": None}, {"feed": 0.1, "con": 0.1}
    )
    agreed = agree(sources, given_, ONE_SPLIT)
    assert agreed.below_zero == (Place("tails", MASS),)


def test_exact_streams_that_do_not_add_up_are_refused() -> None:
    streams = [Stream("feed", 10.0), Stream("con", 4.0), Stream("tails", 5.0)]
    with pytest.raises(BadInput, match="without ± do not add up"):
        agree(Sources(), streams, ONE_SPLIT)


def test_one_stream_between_two_exact_ones_that_differ_is_refused() -> None:
    measured = Sources().variable("a", 5.0, 0.1)
    streams = [Stream("a", measured), Stream("b", 5.0), Stream("c", 6.0)]
    with pytest.raises(BadInput, match="without ± do not add up"):
        agree(Sources(), streams, [Stage(("a",), ("b",)), Stage(("a",), ("c",))])


def test_wild_contradictions_settle_and_do_not_agree() -> None:
    """The masses want 99 % of concentrate, the grades 1 %."""
    sources = Sources()
    streams = split_of(sources, (100.0, 99.0, 1.0), (2.0, 101.0, 1.0), (1e-3,) * 3, (1e-3,) * 3)
    agreed = agree(sources, streams, ONE_SPLIT)
    assert not agreed.agrees
    assert agreed.below_zero == (Place("tails", 1),)
    assert nominal(agreed.metal("feed")) == pytest.approx(
        nominal(agreed.metal("con")) + nominal(agreed.metal("tails")), rel=1e-9
    )


def test_steps_are_bounded_and_their_end_is_said() -> None:
    sources = Sources()
    with pytest.raises(BadInput, match="no agreement in 2 steps"):
        agree(sources, split_of(sources), ONE_SPLIT, most_steps=2)


def test_exact_streams_that_add_up_are_kept() -> None:
    streams = [Stream("feed", 10.0), Stream("con", 4.0), Stream("tails", 6.0)]
    agreed = agree(Sources(), streams, ONE_SPLIT)
    assert masses_of(agreed) == pytest.approx({"feed": 10.0, "con": 4.0, "tails": 6.0}, rel=1e-12)
    assert agreed.dof == 0


def test_few_degrees_of_freedom_widen_what_agrees() -> None:
    """A gap of 2.2 u: 3 in 100 with a well-known u, 9 in 100 with 5 degrees of freedom."""

    def p(dof: float) -> float:
        sources = Sources()
        gap = sources.variable("feed", 10.0 + 2.2, 1.0, dof=dof)
        return agree(sources, [Stream("a", gap), Stream("b", 10.0)], [Stage(("a",), ("b",))]).p

    assert p(math.inf) == pytest.approx(2 * stats.norm.sf(2.2), rel=1e-9)
    assert p(5) == pytest.approx(2 * stats.t.sf(2.2, 5), rel=1e-9)


def test_unknown_streams_and_unlike_grades_are_faults_of_the_caller() -> None:
    with pytest.raises(ValueError, match="only known streams"):
        agree(Sources(), [Stream("feed", 1.0)], ONE_SPLIT)
    with pytest.raises(ValueError, match="one number of grades"):
        agree(Sources(), [Stream("feed", 1.0, (1.0,)), Stream("con", 1.0)], [])
