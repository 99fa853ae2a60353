"""Recovery: the check values of the method, the staged test of the scenario, and its rules."""

import math

import pytest
from scipy import stats

from assaybench.circuit.products import Cell, CircuitTest, SizeRow
from assaybench.circuit.recovery import concentrate_over_rerun, recover
from assaybench.circuit.tailings import (
    Tailings,
    graded_tailings,
)
from assaybench.messages import say, whole
from assaybench.metrology.uncertain import Sources
from tests.circuit.builders import (
    FINE,
    by_size,
    codes,
    ends,
    figures,
    one_size,
    row,
    value,
    way,
)


def test_method_values_by_size_and_in_total() -> None:
    """Method version 1, test vectors, computed independently."""
    sources = Sources()
    found = recover(sources, CircuitTest(by_size(sources)))
    assert value(way(found.total, "at most")) == pytest.approx(0.854833, abs=5e-7)
    assert value(way(found.total, "equal stages")) == pytest.approx(0.584674, abs=5e-7)
    gone = [loss.gone.value for loss in found.losses]
    assert gone == pytest.approx([0.02393, 4.72050, 258.172, 262.916], abs=5e-4)
    assert [value(way(part, "at most")) for part in found.sizes] == pytest.approx(
        [0.98886, 0.88470, 0.54334], abs=5e-6
    )
    assert [value(way(part, "equal stages")) for part in found.sizes] == pytest.approx(
        [0.98873, 0.86967, 0.15952], abs=5e-6
    )


@pytest.mark.parametrize(("r2", "total"), [(0.9, 0.841264), (0.7, 0.804765), (0.5, 0.746470)])
def test_method_values_of_a_stated_second_stage(r2: float, total: float) -> None:
    sources = Sources()
    test = CircuitTest(by_size(sources))
    found = recover(sources, test, second_stage=r2, second_stage_least=r2)
    stated, least = way(found.total, "stated second stage"), way(found.total, "least second stage")
    assert value(stated) == value(least) == pytest.approx(total, abs=5e-7)
    assert (stated.figure.status, least.figure.status) == ("measured", "at least")
    assert say("assumed_second_least", r2=f"{100 * r2:.0f}") in least.assumptions


def test_method_values_of_a_known_truth() -> None:
    """r1 = .6 and r2 = .3 .6 .9 on 10 mg: 1 - B/A = .80 .60 .40, A/(A + B/r2) = .60 each."""
    sources = Sources()
    catches = {"worse": 0.3, "alike": 0.6, "better": 0.9}
    rows = tuple(row(sources, n, (6.0, 0.001), (4 * r2, 0.001)) for n, r2 in catches.items())
    found = recover(sources, CircuitTest(rows), second_stage=catches)
    alike = [value(way(part, "equal stages")) for part in found.sizes]
    stated = [value(way(part, "stated second stage")) for part in found.sizes]
    assert alike == pytest.approx([0.80, 0.60, 0.40])
    assert stated == pytest.approx([0.60] * 3)
    assert value(way(found.total, "stated second stage")) == pytest.approx(0.60)
    for part, r2 in zip(found.sizes, catches.values(), strict=True):
        assert value(way(part, "at most")) >= 0.6
        assert (value(way(part, "equal stages")) <= 0.6 + 1e-12) == (r2 >= 0.6)


def test_closed_value_with_shared_amounts() -> None:
    """G1 12.00, G2 3.00 (u .05), tails 50.0(5) kg at .040(12): R .882(31), not the naive .023.

    Computed independently.
    """
    sources = Sources()
    tailings = graded_tailings(
        sources.variable("kg", 50.0, 0.5), sources.variable("g/t", 0.040, 0.012)
    )
    found = recover(sources, one_size(sources, (12.0, 0.05), (3.0, 0.05), tailings))
    both = way(found.total, "both stages").figure
    assert both.value == pytest.approx(88.2, abs=0.05)
    assert both.u == pytest.approx(3.1, abs=0.05)
    closed = way(found.total, "closed").figure
    assert closed.value == pytest.approx(70.6, abs=0.05)
    assert closed.u == pytest.approx(2.5, abs=0.05)


def test_scenario_with_five_percent_on_each_fine_bead() -> None:
    """58.5 % with an interval of about 24 to 70 %, and the fine size singled out."""
    sources = Sources()
    test = CircuitTest(by_size(sources, u=0.01, u_rel={FINE: 0.05}), dry_feed_kg=412.16)
    found = recover(sources, test)
    alike = way(found.total, "equal stages")
    assert alike.figure.text == "58 % (24 to 70 %)"
    assert alike.figure.k is None
    assert found.look_at == FINE
    assert found.losses[2].share == pytest.approx(307.17 / 345.52, abs=1e-4)
    assert say("look_at_size", size=FINE, lo="49", hi="307") in [f.text for f in found.flags]
    assert say("no_lower_bound") in [flag.text for flag in found.flags]
    bound = way(found.total, "at most")
    assert bound.figure.status == "at most"
    assert bound.sentence.startswith("Recovery of all: at most 85.48 ± 0.75 %")
    assert say("assumed_alike") in alike.assumptions
    assert say("assumed_rerun_fed") in bound.assumptions
    assert alike.sentence.endswith("58 to 85 %. If it is worse: less than 58 %.")


def test_pooled_figure_is_never_formed() -> None:
    """1 - 82.6/486.4 = 83.0 % flatters; only a test without sizes may say it, and warns."""
    sources = Sources()
    found = recover(sources, CircuitTest(by_size(sources)))
    assert all(abs((figure.value or 0) - 83.018) > 0.1 for figure in figures(found))
    pooled = Sources()
    alone = recover(pooled, one_size(pooled, (486.4, 0.01), (82.6, 0.01)))
    alike = way(alone.total, "equal stages")
    assert value(alike) == pytest.approx(0.83018, abs=5e-6)
    assert say("sizes_not_given") in alike.assumptions


def test_one_size_still_mixes_shapes() -> None:
    sources = Sources()
    found = recover(sources, CircuitTest(by_size(sources)))
    assert all(
        say("one_size_mixes") in way(part, "equal stages").assumptions for part in found.sizes
    )
    assert say("one_size_mixes") not in way(found.total, "equal stages").assumptions


def test_concentrate_over_rerun_is_refused() -> None:
    refused = concentrate_over_rerun(486.4, 82.6)
    assert refused.value is None
    assert refused.status == "not determinable"
    assert "5.9" in refused.why
    assert "endless" in concentrate_over_rerun(1.0, 0.0).why


@pytest.mark.parametrize(("a", "b", "u"), [(10.0, 10.5, 0.01), (10.0, 9.0, 0.6)])
def test_stages_too_alike_give_no_figure_for_the_size_nor_the_total(
    a: float, b: float, u: float
) -> None:
    """B >= A, or P(B >= A) > 0.05."""
    sources = Sources()
    rows = (row(sources, "coarse", (100.0, 0.1), (5.0, 0.1)), row(sources, "fine", (a, u), (b, u)))
    found = recover(sources, CircuitTest(rows))
    assert way(found.sizes[0], "equal stages").figure.value is not None
    for part in (found.sizes[1], found.total):
        figure = way(part, "equal stages").figure
        assert (figure.value, figure.status) == (None, "not determinable")
        assert figure.why == say("stages_too_alike", size="fine")
    assert found.losses[1].alike.value is None
    assert found.losses[-1].alike.value is None
    assert found.look_at == "fine"
    assert "look_at_size_found" in codes(found)
    assert way(found.total, "at most").figure.value is not None


def test_chance_of_five_in_a_hundred_is_the_border() -> None:
    """P(B >= A) = Φ(-1.645) at A - B = 1.645·√2·u."""
    for gap, shown in ((1.66, True), (1.63, False)):
        sources = Sources()
        test = one_size(sources, (10.0, 0.5), (10.0 - gap * 0.5 * math.sqrt(2), 0.5))
        figure = way(recover(sources, test).total, "equal stages").figure
        assert (figure.value is not None) == shown


def test_rerun_not_seen() -> None:
    """B below L_C: at least x % (95 %) of both catches; never called a recovery of the feed."""
    sources = Sources()
    found = recover(sources, one_size(sources, (12.0, 0.004), (0.003, 0.004)))
    bound = way(found.total, "at most").figure
    assert bound.status == "at least"
    assert bound.basis == "of what both stages caught"
    most = stats.truncnorm.ppf(0.95, -0.003 / 0.004, math.inf, loc=0.003, scale=0.004)
    assert bound.value == pytest.approx(100 * 12 / (12 + most), abs=1e-4)
    assert ends(bound) == (bound.value, 100.0)
    assert "not in it" in bound.why
    alike = way(found.total, "equal stages")
    assert alike.figure.status == "at least"
    assert "nothing that can be told from zero" in alike.sentence


def test_given_critical_level_decides_what_is_seen() -> None:
    sources = Sources()
    a, b = sources.variable("a", 12.0, 0.004), sources.variable("b", 0.010, 0.004)
    for limit, status in ((0.012, "at least"), (0.009, "at most"), (None, "at most")):
        test = CircuitTest((SizeRow(Cell("all", a), Cell("all", b, limit)),))
        assert way(recover(sources, test).total, "at most").figure.status == status


def test_neither_seen_is_not_determinable() -> None:
    sources = Sources()
    found = recover(sources, one_size(sources, (0.002, 0.004), (-0.001, 0.004)))
    for recovery in found.total.recoveries:
        assert recovery.figure.status == "not determinable"
        assert recovery.figure.why == say("recovery_none_seen", size="all")


def test_concentrate_not_seen_is_at_most() -> None:
    sources = Sources()
    found = recover(sources, one_size(sources, (0.002, 0.004), (12.0, 0.004)))
    figure = way(found.total, "at most").figure
    assert figure.status == "at most"
    assert ends(figure) == (0.0, figure.value)
    most = stats.truncnorm.ppf(0.95, -0.002 / 0.004, math.inf, loc=0.002, scale=0.004)
    assert figure.value == pytest.approx(100 * most / (12 + most), abs=1e-4)
    assert figure.text == "at most 0.078 %"  # 0.0772 %, rounded so that the bound holds


def test_far_below_zero_is_refused_with_its_reason() -> None:
    sources = Sources()
    found = recover(sources, one_size(sources, (12.0, 0.004), (-0.02, 0.004)))
    assert {figure.status for figure in figures(found)} == {"not determinable"}
    assert "under zero" in way(found.total, "at most").figure.why


def test_share_of_the_tailings_run_again() -> None:
    """B/φ and T/φ: a quarter run again counts four times."""
    whole, part = Sources(), Sources()
    once = recover(
        whole,
        one_size(whole, (12.0, 0.01), (4.0, 0.04), Tailings(whole.variable("t", 2.0, 0.4))),
    )
    again = recover(
        part,
        one_size(
            part, (12.0, 0.01), (1.0, 0.01), Tailings(part.variable("t", 0.5, 0.1)), share=0.25
        ),
    )
    assert [f.value for f in figures(again)] == pytest.approx([f.value for f in figures(once)])
    assert [f.u for f in figures(again)] == pytest.approx([f.u for f in figures(once)])
    assert again.assumptions == (say("assumed_share", pct="25.0"),)


def test_mats_are_feed_but_not_caught() -> None:
    sources = Sources()
    mats = sources.variable("mats", 0.6, 0.02)
    found = recover(
        sources,
        one_size(
            sources, (12.0, 0.01), (2.0, 0.01), Tailings(sources.variable("t", 1.0, 0.1)), mats
        ),
        second_stage=0.5,
    )
    expected = {
        "at most": 12 / 14.6,
        "closed": 12 / 15.6,
        "both stages": 14 / 15.6,
        "equal stages": 12 / (14.4 + 0.6),
        "stated second stage": 12 / 16.6,
    }
    for recovery in found.total.recoveries:
        assert value(recovery) == pytest.approx(expected[recovery.way]), recovery.way
    assert say("assumed_mats") in found.assumptions


def test_unknown_fineness_adds_its_term() -> None:
    """u(R) gains R(1 - R)·√2·u_f, in a size and in the total alike."""
    u_f = 0.03
    plain, doubted = Sources(), Sources()
    rows = by_size(plain, u=0.01)
    sure = recover(plain, CircuitTest(rows))
    unsure = recover(doubted, CircuitTest(by_size(doubted, u=0.01)), u_fineness=u_f)
    for before, after in zip((*sure.sizes, sure.total), (*unsure.sizes, unsure.total), strict=True):
        one, other = way(before, "at most"), way(after, "at most")
        r = value(one)
        gained = 100 * r * (1 - r) * math.sqrt(2) * u_f
        assert other.figure.u == pytest.approx(math.hypot(one.figure.u or 0, gained))
        assert "fineness" in {share.source for share in other.budget}
    assert say("assumed_fineness", pct="3.0") in unsure.assumptions


def test_degrees_of_freedom_widen_an_interval() -> None:
    few, many = Sources(), Sources()
    found = []
    for sources, dof in ((few, 4), (many, math.inf)):
        a = sources.variable("a", 12.0, 0.5, dof=dof, spread="s")
        b = sources.variable("b", 8.0, 0.5, dof=dof, spread="s")
        test = CircuitTest((SizeRow(Cell("all", a, 0.1), Cell("all", b, 0.1)),))
        found.append(ends(way(recover(sources, test).total, "at most").figure))
    (low, high), (near_low, near_high) = found
    assert (high - low) / (near_high - near_low) == pytest.approx(2.776 / 2.0, rel=0.01)


@pytest.mark.parametrize(
    ("kwargs", "named"),
    [
        ({"second_stage": 0.0}, "above 0 and at most 1"),
        ({"second_stage": 1.2}, "above 0 and at most 1"),
        ({"second_stage": {"+1.0 mm": 0.5}}, "missing"),
        ({"second_stage_least": -0.1}, "least catch"),
        ({"u_fineness": -0.1}, "not negative"),
    ],
)
def test_bad_input_is_named(kwargs: dict[str, object], named: str) -> None:
    sources = Sources()
    test = CircuitTest(by_size(sources))
    with pytest.raises(ValueError, match=named):
        recover(sources, test, **kwargs)  # type: ignore[arg-type]


def test_masses_without_doubt_are_refused() -> None:
    with pytest.raises(ValueError, match="without any doubt"):
        recover(Sources(), CircuitTest((SizeRow(Cell("all", 12.0), Cell("all", 3.0)),)))


def test_an_exact_mass_beside_a_doubtful_one() -> None:
    """A taken as exact, B 0.008 ± 0.004 mg; and B exact, A likewise."""
    sources = Sources()
    doubtful = sources.variable("doubtful", 0.008, 0.004)
    cut = stats.truncnorm(-2.0, math.inf, loc=0.008, scale=0.004)
    for a, b in ((12.0, doubtful), (doubtful, 12.0)):
        test = CircuitTest((SizeRow(Cell("all", a), Cell("all", b)),))
        low, high = ends(way(recover(sources, test).total, "at most").figure)
        wide = sorted(100 * x / (12 + x) for x in (cut.ppf(0.025), cut.ppf(0.975)))
        wanted = wide if b == 12.0 else [100 - wide[1], 100 - wide[0]]
        assert [low, high] == pytest.approx(wanted, abs=1e-4)


def test_layer_is_the_callers() -> None:
    sources = Sources()
    found = recover(sources, CircuitTest(by_size(sources)), layer="assay")
    assert {figure.layer for figure in figures(found)} == {"assay"}


def test_sentences_fit_the_page() -> None:
    """At most two lines of at most 76 characters when filled."""
    fields = {
        "size": "-1.0 +0.25 mm",
        "figure": "58 % (24 to 70 %)",
        "lo": "58.5",
        "hi": "85.5",
        "g1": "< 0.33",
        "g2": "0.64",
        "unit": "g/t",
        "T": "137",
        "r2": "70",
        "m": "-0.021",
        "x": "5.9",
        "more": "0.34",
        "pct": "25",
    }
    names = list(whole())
    circuit = names[names.index("recovery_at_most") : names.index("assumed_fineness") + 1]
    assert len(circuit) > 25
    for code in circuit:
        one_sided = {"figure": "99.916 %"} if code == "rerun_not_seen" else {}
        lines = say(code, **{**fields, **one_sided}).split("\n")
        assert len(lines) <= 2, code
        assert max(map(len, lines)) <= 76, code
