"""Bullion: fineness from pieces and proofs, scale that cancels, fine mass, splitting limit."""

import math
from fractions import Fraction
from statistics import stdev

import pytest

from assaybench.assay.bullion import Fineness, Piece, fine_mass, fineness, settle
from assaybench.assay.proofs import Conditions, Proof
from assaybench.assay.replicates import Spread
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.metrology.weighing import Balance, Reading, weigh

HERE = Conditions("R-1", lead_g=6.0, silver_mg=600.0)


def weighed(sources: Sources, balance: Balance, name: str, mg: str) -> Uncertain:
    return weigh(sources, balance, [Reading(name, Fraction(mg), mg)]).net


def bar(sources: Sources, *, ratio: bool = False, calibration: float = 0.0) -> Fineness:
    balance = Balance("B", 0.01, 0.01, calibration=calibration)
    pieces = [
        Piece(
            name,
            weighed(sources, balance, f"{name} taken", taken),
            weighed(sources, balance, f"{name} found", found),
        )
        for name, taken, found in (("1", "250.02", "228.31"), ("2", "249.98", "228.27"))
    ]
    proof = Proof(
        "P",
        weighed(sources, balance, "P taken", "227.50"),
        weighed(sources, balance, "P found", "227.62"),
        HERE,
    )
    return fineness(sources, "D-4", pieces, [proof], ratio=ratio)


def test_bar_with_a_proof() -> None:
    """Raw 913.17 913.15, corrected 912.69 912.67, mean 912.68; 1240.6 g hold 1132.27 g fine.

    Uncorrected it would be 0.60 g more (arithmetic).
    """
    found = bar(Sources())
    assert [round(nominal(p.raw), 2) for p in found.pieces] == [913.17, 913.15]
    assert [round(nominal(p.corrected), 2) for p in found.pieces] == [912.69, 912.67]
    assert nominal(found.corrected) == pytest.approx(912.68, abs=5e-3)
    fine = fine_mass(1240.6, found.corrected)
    assert nominal(fine) == pytest.approx(1132.27, abs=5e-3)
    assert nominal(fine_mass(1240.6, found.raw) - fine) == pytest.approx(0.60, abs=5e-3)
    assert found.surcharge is not None
    assert nominal(found.surcharge.mg) == pytest.approx(0.12)
    assert nominal(found.surcharge.permille) == pytest.approx(0.53, abs=5e-3)
    assert [flag.code for flag in found.flags] == ["surcharge_scatter_unknown"]
    assert found.flags[0].text.startswith("Surcharge scatter unknown: one proof")
    assert found.agrees


def test_ratio_form_agrees_where_proof_and_piece_are_alike() -> None:
    found = bar(Sources(), ratio=True)
    expected = [1000 * (f / t) * (227.50 / 227.62) for t, f in ((250.02, 228.31), (249.98, 228.27))]
    assert nominal(found.corrected) == pytest.approx(sum(expected) / 2)
    assert nominal(found.corrected) == pytest.approx(912.68, abs=0.01)


@pytest.mark.parametrize("ratio", [False, True])
def test_the_scale_of_one_balance_cancels(*, ratio: bool) -> None:
    with_scale, without = Sources(), Sources()
    u = with_scale.doubt(bar(with_scale, ratio=ratio, calibration=0.01).corrected).u
    assert u == pytest.approx(without.doubt(bar(without, ratio=ratio).corrected).u, rel=1e-3)


def test_doubt_of_one_proof_and_two_pieces() -> None:
    sources = Sources()
    found = bar(sources)
    # each corrected piece: cornet and piece, each 0.01 mg; the proof's two weighings are shared
    own = (1000 / 250) ** 2 * (0.01**2 + (0.9127 * 0.01) ** 2) / 2
    shared = (1000 / 250) ** 2 * 2 * 0.01**2
    assert sources.doubt(found.corrected).u == pytest.approx(math.sqrt(own + shared), rel=1e-3)


def test_scatter_of_pieces_and_of_proofs_enters() -> None:
    sources = Sources()
    pieces = [Piece(str(i), 250.0, m) for i, m in enumerate((228.0, 228.2, 228.1))]
    proofs = [Proof(f"P{i}", 228.0, m, HERE) for i, m in enumerate((228.1, 228.2))]
    found = fineness(sources, "D-4", pieces, proofs)
    s_pieces = stdev([228.0, 228.2, 228.1]) * 4
    s_proofs = stdev([0.1, 0.2]) * 4
    # 1/n_s of the proofs is left out: the scatter of the pieces holds it (method version 1)
    expected = s_pieces**2 / 3 + s_proofs**2 / 2
    assert sources.doubt(found.corrected).u ** 2 == pytest.approx(expected)
    assert found.agrees  # 0.8 ‰ apart; three pieces with the loss of the proofs may be 0.94
    assert found.flags == ()


def test_one_piece_carries_the_scatter_of_its_own_loss() -> None:
    sources = Sources()
    proofs = [Proof(f"P{i}", 228.0, m, HERE) for i, m in enumerate((228.1, 228.2))]
    found = fineness(sources, "D-4", [Piece("1", 250.0, 228.0)], proofs)
    s_proofs = stdev([0.1, 0.2]) * 4
    assert sources.doubt(found.corrected).u ** 2 == pytest.approx(s_proofs**2 * (1 / 2 + 1))


def test_the_spread_of_the_log_serves_one_piece() -> None:
    sources = Sources()
    pieces = [Piece("1", 250.0, 228.0)]
    found = fineness(sources, "D-4", pieces, [], spread=Spread(0.1, 20))
    assert [flag.code for flag in found.flags] == ["one_piece", "no_matching_proof"]
    assert sources.doubt(found.corrected).u == pytest.approx(0.1)
    assert found.surcharge is None
    assert nominal(found.corrected) == nominal(found.raw) == pytest.approx(912.0)


def test_a_bar_without_a_piece_is_refused() -> None:
    with pytest.raises(ValueError, match="one piece at least"):
        fineness(Sources(), "D-4", [], [])


def test_pieces_far_apart_are_flagged() -> None:
    sources = Sources()
    balance = Balance("B", 0.01, 0.01)
    pieces = [
        Piece(
            x,
            weighed(sources, balance, f"{x} taken", "250.00"),
            weighed(sources, balance, f"{x} found", x),
        )
        for x in ("228.10", "228.90")
    ]
    found = fineness(sources, "D-4", pieces, [])
    assert not found.agrees
    assert found.flags[0].text.startswith("They disagree: 912.4 and 915.6 ‰ lie 3.2 apart")


def test_within_the_splitting_limit_the_mean_settles() -> None:
    """912.68 and 912.4 differ by 0.28, inside 0.5 (arithmetic)."""
    found = settle(912.68, 912.4, 0.5)
    assert found.difference == pytest.approx(0.28)
    assert found.verdict.code == "within_splitting_limit"
    assert found.mean == pytest.approx(912.54)
    assert found.verdict.reason.splitlines() == [
        "Within the splitting limit: 0.28 ‰ apart, the limit is 0.5.",
        "Settled at the mean, 912.54 ‰.",
    ]


def test_beyond_the_splitting_limit_it_goes_to_the_umpire() -> None:
    found = settle(912.4, 912.95, 0.5)
    assert (found.verdict.code, found.mean) == ("beyond_splitting_limit", None)
    assert "To the umpire" in found.verdict.reason


def test_a_difference_equal_to_the_limit_is_within() -> None:
    assert settle(912.3, 911.8, 0.5).mean == pytest.approx(912.05)
    with pytest.raises(ValueError, match="zero or more"):
        settle(912.3, 911.8, -0.1)
