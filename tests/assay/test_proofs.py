"""Proofs: corrections in both forms, their doubt, which beads they serve, and the silver loss."""

import math
from statistics import stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.assay.blanks import Blank, Use
from assaybench.assay.losses import share_of, silver_loss, unknown_silver_loss
from assaybench.assay.matching import fitted, mismatches
from assaybench.assay.proofs import (
    Conditions,
    Correction,
    Proof,
    corrected,
    correction,
    uncorrected,
)
from assaybench.metrology.uncertain import Sources, nominal

HERE = Conditions("R-1", lead_g=20.0, silver_mg=6.0)
PAIRS = ((2.000, 1.990), (2.010, 1.994), (1.990, 1.984))


def proofs(
    sources: Sources, pairs: tuple[tuple[float, float], ...] = PAIRS, u: float = 0.0
) -> list[Proof]:
    return [
        Proof(
            f"P{i}",
            sources.variable(f"taken {i}", taken, u),
            sources.variable(f"found {i}", found, u),
            HERE,
        )
        for i, (taken, found) in enumerate(pairs)
    ]


def past(*groups: tuple[tuple[float, float], ...]) -> list[list[Proof]]:
    return [[Proof("old", taken, found, HERE) for taken, found in group] for group in groups]


def test_additive_correction_is_the_mean_loss_with_its_scatter() -> None:
    sources = Sources()
    found = correction(sources, proofs(sources), "additive")
    losses = [taken - out for taken, out in PAIRS]
    assert nominal(found.shift_mg) == pytest.approx(sum(losses) / 3)
    assert sources.doubt(found.shift_mg).u == pytest.approx(stdev(losses) / math.sqrt(3))
    assert sources.doubt(found.shift_mg).dof == pytest.approx(2)
    assert found.own == pytest.approx(stdev(losses))
    assert found.factor == 1.0
    assert found.flags == ()


def test_ratio_correction_is_all_taken_over_all_found() -> None:
    sources = Sources()
    found = correction(sources, proofs(sources), "ratio")
    ratios = [taken / out for taken, out in PAIRS]
    assert nominal(found.factor) == pytest.approx((2.0 + 2.01 + 1.99) / (1.99 + 1.994 + 1.984))
    assert sources.doubt(found.factor).u == pytest.approx(stdev(ratios) / math.sqrt(3))
    assert found.shift_mg == 0.0


def test_variance_of_a_corrected_metal_is_one_over_proofs_and_one_over_samples() -> None:
    """Method version 1, section 3: u² = s_p²·(1/n_p + 1/n_s), here one sample."""
    sources = Sources()
    found = correction(sources, proofs(sources), "additive")
    s_p = stdev([taken - out for taken, out in PAIRS])
    gold = corrected(sources, found, 1.9, "A1")
    assert sources.doubt(gold).u ** 2 == pytest.approx(s_p**2 * (1 / 3 + 1))
    assert sources.doubt(gold).dof == pytest.approx(2)
    replicated = corrected(sources, found, 1.9, "A2", replicated=True)
    assert sources.doubt(replicated).u ** 2 == pytest.approx(s_p**2 / 3)


def test_the_correction_is_one_variable_for_the_run() -> None:
    sources = Sources()
    found = correction(sources, proofs(sources), "additive")
    first, second = (corrected(sources, found, m, name) for m, name in ((1.9, "A1"), (2.1, "A2")))
    assert sources.covariance(first, second) == pytest.approx(sources.doubt(found.shift_mg).u ** 2)


def test_scatter_is_not_below_what_the_weighings_let_expect() -> None:
    sources = Sources()
    alike = ((2.0, 1.99), (2.0, 1.99))
    found = correction(sources, proofs(sources, alike, u=0.002), "additive")
    assert sources.doubt(found.shift_mg).u == pytest.approx(0.002)
    assert found.own == 0.0


def test_weighing_inside_the_scatter_is_not_counted_twice() -> None:
    sources = Sources()
    found = correction(sources, proofs(sources, u=0.001), "additive")
    s_p = stdev([taken - out for taken, out in PAIRS])
    assert sources.doubt(found.shift_mg).u ** 2 == pytest.approx(s_p**2 / 3)
    assert found.own**2 == pytest.approx(s_p**2 - 2e-6)


def test_scatter_is_pooled_over_runs() -> None:
    sources = Sources()
    history = past(((2.0, 1.99), (2.0, 1.97)), ((2.0, 1.98), (2.0, 1.99), (2.0, 1.985)))
    found = correction(sources, proofs(sources), "additive", history=history)
    groups = [[t - f for t, f in PAIRS], [0.01, 0.03], [0.02, 0.01, 0.015]]
    s2 = sum(stdev(g) ** 2 * (len(g) - 1) for g in groups) / 5
    assert found.own**2 == pytest.approx(s2)
    assert found.dof == pytest.approx(5)
    assert sources.doubt(found.shift_mg).u ** 2 == pytest.approx(s2 / 3)


def test_one_proof_with_a_history_has_a_known_scatter() -> None:
    sources = Sources()
    history = past(((2.0, 1.99), (2.0, 1.97)))
    found = correction(sources, proofs(sources, PAIRS[:1]), "additive", history=history)
    assert found.flags == ()
    assert found.own == pytest.approx(stdev([0.01, 0.03]))


def test_single_proofs_of_many_runs_are_taken_from_fire_to_fire() -> None:
    sources = Sources()
    history = past(((2.0, 1.99),), ((2.0, 1.97),))
    found = correction(sources, proofs(sources, ((2.0, 1.98),)), "additive", history=history)
    assert found.own == pytest.approx(stdev([0.02, 0.01, 0.03]))
    assert found.assumptions[-1].startswith("No fire held two proofs")


def test_one_proof_alone_says_that_its_scatter_is_unknown() -> None:
    sources = Sources()
    found = correction(sources, proofs(sources, PAIRS[:1], u=0.003), "additive")
    assert [flag.code for flag in found.flags] == ["loss_scatter_unknown"]
    assert sources.doubt(found.shift_mg).u == pytest.approx(0.003 * math.sqrt(2))
    assert found.own == 0.0


def test_the_blank_of_a_proof_is_taken_off_and_shared_with_the_sample() -> None:
    sources = Sources()
    mean = sources.variable("b", 0.006, 0.002)
    blank = Blank("L-1", "gold", "g", 30.0, mean, 4, 0.004, 0.0, 0.002, 3)
    proof = Proof("P", 2.0, 1.99, HERE, (Use(blank, 30.0, "P"),))
    found = correction(sources, [proof], "additive")
    assert nominal(found.shift_mg) == pytest.approx(0.016)
    sample = corrected(sources, found, 1.5 - mean, "A1")
    assert nominal(sample) == pytest.approx(1.51)
    assert sources.doubt(sample).u == pytest.approx(0.0, abs=1e-12)


def test_proofs_must_be_of_one_run() -> None:
    with pytest.raises(ValueError, match="all of one furnace run"):
        correction(Sources(), [], "additive")
    there = Proof("Q", 2.0, 1.99, Conditions("R-2", 20.0))
    with pytest.raises(ValueError, match="all of one furnace run"):
        correction(Sources(), [Proof("P", 2.0, 1.99, HERE), there], "additive")
    with pytest.raises(ValueError, match="takes a mass above zero"):
        correction(Sources(), [Proof("P", 0.0, 0.01, HERE)], "additive")
    with pytest.raises(ValueError, match="metal found in each"):
        correction(Sources(), [Proof("P", 2.0, 0.0, HERE)], "ratio")


def test_without_a_proof_the_metal_stays_as_it_is() -> None:
    found = uncorrected("R-1")
    assert corrected(Sources(), found, 1.5, "A1") == 1.5
    assert found.flags[0].text == "Not corrected for cupel loss: no proof in this fire."


def one(pairs: tuple[tuple[float, float], ...] = ((2.0, 1.98),)) -> Correction:
    return correction(Sources(), proofs(Sources(), pairs), "additive")


@pytest.mark.parametrize("metal", [1.0, 2.0, 4.0])
def test_a_proof_serves_half_to_twice_its_metal(metal: float) -> None:
    assert mismatches(one(), metal, HERE) == ()
    assert fitted(one(), metal, HERE).form == "additive"


@pytest.mark.parametrize(
    ("metal", "conditions", "code"),
    [
        (0.99, HERE, "proof_other_metal"),
        (4.01, HERE, "proof_other_metal"),
        (2.0, HERE._replace(run="R-2"), "proof_other_run"),
        (2.0, HERE._replace(lead_g=30.0), "proof_other_lead"),
        (2.0, HERE._replace(silver_mg=0.0), "proof_other_silver"),
        (2.0, HERE._replace(copper_mg=1.0), "proof_other_copper"),
    ],
)
def test_a_proof_that_does_not_match_corrects_nothing(
    metal: float, conditions: Conditions, code: str
) -> None:
    assert mismatches(one(), metal, conditions) == (code,)
    found = fitted(one(), metal, conditions, scale=code != "proof_other_metal")
    assert found.form == "none"
    assert found.flags[0].code == "no_matching_proof"
    assert found.flags[0].text.startswith("Not corrected for cupel loss: the proof")


def test_a_bead_without_metal_matches_no_proof() -> None:
    found = fitted(one(), -0.001, HERE, scale=True)
    assert found.form == "none"
    assert "holds no metal" in found.flags[0].text


def test_a_correction_of_nothing_matches_nothing() -> None:
    assert fitted(uncorrected("R-1"), 2.0, HERE).flags == uncorrected("R-1").flags


@given(st.floats(0.01, 0.49))
def test_on_request_the_loss_goes_with_the_surface_of_the_bead(times: float) -> None:
    additive = fitted(one(), 2.0 * times, HERE, scale=True)
    assert nominal(additive.shift_mg) == pytest.approx(0.02 * times ** (2 / 3))
    assert any("declared" in line for line in additive.assumptions)
    pair = proofs(Sources(), ((2.0, 1.98),))
    ratio = fitted(correction(Sources(), pair, "ratio"), 2.0 * times, HERE, scale=True)
    lost_share = (nominal(ratio.factor) - 1) / (2.0 / 1.98 - 1)
    assert lost_share == pytest.approx(times ** (-1 / 3))


def test_a_scaled_correction_scales_its_doubt() -> None:
    sources = Sources()
    found = correction(sources, proofs(sources), "additive")
    small = fitted(found, 0.25, HERE, scale=True)
    assert small.own == pytest.approx(found.own / 4)
    assert sources.doubt(small.shift_mg).u == pytest.approx(sources.doubt(found.shift_mg).u / 4)


def test_loss_of_silver_by_surface_agrees_with_a_printed_illustration() -> None:
    """0.5 g loses 1 %, 0.1 g loses 2 % (C. and J. J. Beringer, 9th ed., an illustration).

    The surface law gives 1.71 % for 0.1 g: 500 mg · 0.01 · (1/5)^(2/3) = 1.71 mg of 100 mg.
    """
    pair = [Proof("P", 500.0, 495.0, HERE)]
    found = fitted(correction(Sources(), pair, "additive"), 100.0, HERE, scale=True)
    assert nominal(found.shift_mg) == pytest.approx(1.71, abs=5e-3)


def test_silver_loss_from_proofs() -> None:
    sources = Sources()
    pairs = ((8.0, 7.86), (8.0, 7.80), (8.1, 7.93))
    found = silver_loss(sources, proofs(sources, pairs))
    shares = [1 - out / taken for taken, out in pairs]
    assert nominal(found.share) == pytest.approx(1 - (7.86 + 7.80 + 7.93) / 24.1)
    assert sources.doubt(found.share).u == pytest.approx(stdev(shares) / math.sqrt(3))
    assert found.own == pytest.approx(stdev(shares))
    assert (found.known, found.scatter_known, found.run) == (True, True, "R-1")
    own = share_of(sources, found, "A1")
    assert sources.doubt(own).u ** 2 == pytest.approx(stdev(shares) ** 2 * (1 / 3 + 1))
    other = share_of(sources, found, "A2")
    assert sources.covariance(own, other) == pytest.approx(stdev(shares) ** 2 / 3)


def test_silver_loss_of_one_proof_has_an_unknown_scatter() -> None:
    sources = Sources()
    found = silver_loss(sources, proofs(sources, ((8.0, 7.86),), u=0.004))
    assert [flag.code for flag in found.flags] == ["loss_scatter_unknown"]
    assert not found.scatter_known
    assert sources.doubt(found.share).u == pytest.approx(0.004 / 8 * math.sqrt(1 + (7.86 / 8) ** 2))


def test_unknown_silver_loss_is_rectangular_to_four_per_cent() -> None:
    sources = Sources()
    found = unknown_silver_loss(sources, "R-1")
    assert nominal(found.share) == 0.02
    assert sources.doubt(found.share).u == pytest.approx(0.04 / math.sqrt(12))
    assert not found.known
    assert "0 to 4 %" in found.assumptions[0]
    assert unknown_silver_loss(sources, "R-1").share is found.share
