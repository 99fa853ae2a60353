"""Silver by difference and by twin: vectors, both ends, what is not determinable."""

import math
from fractions import Fraction

import pytest

from assaybench.assay.blanks import Blank, Use
from assaybench.assay.dore import NONE_ADDED, UNKNOWN_ADDED, SilverAdded
from assaybench.assay.losses import SilverLoss, silver_loss, unknown_silver_loss
from assaybench.assay.metal import gold
from assaybench.assay.net import Mass
from assaybench.assay.proofs import Conditions, Proof
from assaybench.assay.silver import Silver, Twin, native_fineness, silver, silver_by_twin
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.metrology.weighing import Balance, Reading, weigh


def mass(sources: Sources, name: str, mg: float, u: float = 0.002) -> Mass:
    return Mass(sources.variable(name, mg, u), (u,))


def scenario(sources: Sources, loss: SilverLoss, u: float = 0.002) -> Silver:
    """Bead 9.398, gold 1.204, added 8.000, silver blank 0.052 mg."""
    blank = Blank("L-1", "silver", "g", 30.0, 0.052, 4, 0.002, 0.0, 0.001, 3)
    return silver(
        sources,
        "A1",
        mass(sources, "bead", 9.398, u),
        mass(sources, "gold", 1.204, u),
        added=SilverAdded("mass", sources.variable("added", 8.0, 0.005)),
        loss=loss,
        uses=[Use(blank, 30.0, "A1")],
    )


@pytest.mark.parametrize(
    ("loss", "silver_mg"), [(0.0, 0.1420), (0.01, 0.2242), (0.02, 0.3082), (0.03, 0.3938)]
)
def test_silver_by_difference_at_a_stated_loss(loss: float, silver_mg: float) -> None:
    """Method version 1, test vectors."""
    found = scenario(Sources(), SilverLoss("R-1", loss))
    assert nominal(found.mg) == pytest.approx(silver_mg, abs=5e-5)
    assert found.in_bead_mg == pytest.approx(8.142)


def test_without_a_proof_both_ends_are_said_and_silver_is_not_determinable() -> None:
    """0.142 mg (4.7 g/t) if none was lost, 0.308 mg (10.3 g/t) if 2 % was (arithmetic)."""
    sources = Sources()
    found = scenario(sources, unknown_silver_loss(sources, "R-1"))
    assert found.status == "not determinable"
    assert found.at_no_loss_mg == pytest.approx(0.142)
    assert found.at_other_loss_mg == pytest.approx(0.308, abs=5e-4)
    assert found.at_no_loss_mg is not None
    assert found.at_other_loss_mg is not None
    assert found.at_no_loss_mg * 1000 / 30 == pytest.approx(4.7, abs=0.05)
    assert found.at_other_loss_mg * 1000 / 30 == pytest.approx(10.3, abs=0.05)
    assert found.why is not None
    assert found.why.text.splitlines() == [
        "Silver cannot be found this way: 0.142 mg, but loss may be 0.17 mg.",
        "Next: a proof in the same fire, or a second charge with no silver added.",
    ]
    assert found.assumptions == (
        "Silver loss not known: 0 to 4 % is taken, from memory. Run a proof.",
    )
    ends = "Silver is 0.142 mg if none was lost, 0.308 mg if 2 % was."
    assert found.ends_said() == (ends,)
    as_grade = "As a grade: 4.7 g/t if none was lost, 10.3 g/t if 2 % was."
    assert found.ends_said(30.0) == (ends, as_grade)


def test_rich_native_silver_stands_without_a_proof() -> None:
    sources = Sources()
    found = silver(
        sources, "A1", mass(sources, "bead", 48.0), mass(sources, "gold", 1.0),
        added=NONE_ADDED, loss=unknown_silver_loss(sources, "R-1"),
    )  # fmt: skip
    assert found.status == "measured"
    assert nominal(found.mg) == pytest.approx(47 / 0.98)


def test_a_well_known_loss_makes_silver_determinable_from_1_645_u_on() -> None:
    for u_loss, status in ((0.03, "not determinable"), (0.02, "measured")):
        sources = Sources()
        loss = SilverLoss("R-1", sources.variable("loss", 0.02, u_loss))
        found = scenario(sources, loss)
        ratio = nominal(found.mg) / sources.doubt(found.mg).u
        assert (ratio >= 1.645) == (status == "measured")
        assert found.status == status
        if status == "not determinable":
            assert found.why is not None
            assert found.why.code == "silver_not_shown"
            assert found.mg is not None


def test_doubt_of_silver_by_difference() -> None:
    sources = Sources()
    loss = SilverLoss("R-1", sources.variable("loss", 0.02, 0.003), own=0.004, dof=5)
    found = scenario(sources, loss)
    u2 = (
        2 * (0.002 / 0.98) ** 2
        + (8.142 / 0.98**2) ** 2 * (0.003**2 + 0.004**2)
        + 0.005**2
    )  # fmt: skip
    assert sources.doubt(found.mg).u ** 2 == pytest.approx(u2)


def test_unknown_added_silver_leaves_silver_and_fineness_undetermined() -> None:
    sources = Sources()
    bead, parted = mass(sources, "bead", 9.398), mass(sources, "gold", 1.204)
    found = silver(sources, "A1", bead, parted, added=UNKNOWN_ADDED, loss=SilverLoss("R-1", 0.01))
    assert (found.mg, found.status, found.at_no_loss_mg) == (None, "not determinable", None)
    assert found.why is not None
    assert found.why.code == "silver_added_unknown"
    stands = gold(sources, "A1", parted, bead=bead)
    assert stands.status == "measured"
    assert native_fineness(stands, found) is None


def test_native_fineness_is_gold_in_gold_and_silver() -> None:
    sources = Sources()
    bead, parted = mass(sources, "bead", 5.0), mass(sources, "gold", 4.0)
    found = silver(sources, "A1", bead, parted, added=NONE_ADDED, loss=SilverLoss("R-1", 0.0))
    fineness = native_fineness(gold(sources, "A1", parted, bead=bead), found)
    assert nominal(fineness) == pytest.approx(800.0)


def test_gold_above_its_bead_refuses_silver() -> None:
    sources = Sources()
    found = silver(
        sources, "A1", mass(sources, "bead", 1.2), mass(sources, "gold", 1.4),
        added=NONE_ADDED, loss=SilverLoss("R-1", 0.0),
    )  # fmt: skip
    assert (found.mg, found.status) == (None, "refused")
    assert found.why is not None
    assert found.why.code == "gold_above_bead"


@pytest.mark.parametrize(("bead", "status"), [(9.197, "not determinable"), (9.1, "refused")])
def test_less_silver_than_was_added(bead: float, status: str) -> None:
    sources = Sources()
    found = silver(
        sources, "A1", mass(sources, "bead", bead), mass(sources, "gold", 1.2),
        added=SilverAdded("mass", 8.0), loss=SilverLoss("R-1", 0.0),
    )  # fmt: skip
    assert found.status == status
    if status == "refused":
        assert found.why is not None
        assert found.why.code == "silver_missing"
    else:
        assert nominal(found.mg) == pytest.approx(-0.003)


def twin_case(
    sources: Sources, loss: SilverLoss, added: Uncertain, twin_added: Uncertain
) -> Silver:
    return silver_by_twin(
        sources, "A1", mass(sources, "bead", 9.398), mass(sources, "gold", 1.204),
        added_mg=added,
        twins=[Twin("T1", sources.variable("twin", 7.872, 0.002), twin_added)],
        loss=loss,
    )  # fmt: skip


def test_a_twin_proof_cancels_added_silver() -> None:
    """[(9.398 - 1.204) - 7.872]/(1 - 0.02) = 0.3286 (arithmetic)."""
    sources = Sources()
    added = sources.variable("added from one stock", 8.0, 0.5)
    found = twin_case(sources, SilverLoss("R-1", 0.02), added, added)
    assert nominal(found.mg) == pytest.approx(0.322 / 0.98)
    assert sources.doubt(found.mg).u == pytest.approx(math.sqrt(3) * 0.002 / 0.98)
    assert found.status == "measured"
    assert found.form == "twin"


def test_twin_and_sample_with_unlike_silver_keep_the_difference() -> None:
    sources = Sources()
    added = sources.variable("added", 8.01, 0.005)
    other = sources.variable("added to the twin", 8.0, 0.005)
    found = twin_case(sources, SilverLoss("R-1", 0.02), added, other)
    assert nominal(found.mg) == pytest.approx(0.322 / 0.98 - 0.01)
    assert found.at_no_loss_mg == pytest.approx(0.312)


def test_the_doubt_of_an_unknown_loss_nearly_cancels_in_a_twin_but_cupels_still_differ() -> None:
    sources = Sources()
    found = twin_case(sources, unknown_silver_loss(sources, "R-1"), 8.0, 8.0)
    assert found.status == "measured"
    assert [flag.code for flag in found.flags] == ["loss_scatter_unknown"]
    other = Sources()
    known = SilverLoss("R-1", 0.02, own=0.004, dof=5)
    scattered = twin_case(other, known, 8.0, 8.0)
    parts = (8.194 / 0.98**2 * 0.004) ** 2 + (7.872 / 0.98**2 * 0.004) ** 2
    assert other.doubt(scattered.mg).u ** 2 == pytest.approx(parts + 3 * (0.002 / 0.98) ** 2)


def test_the_mean_blank_cancels_in_a_twin_and_the_blank_of_each_charge_does_not() -> None:
    """Arithmetic: 0.322/0.98 as without a blank; u² gains s_p²·(1 + 1/2)/0.98² with two twins."""
    sources = Sources()
    mean = sources.variable("mean blank", 0.05, 0.02)
    blank = Blank("L", "silver", "g", 30.0, mean, 4, spread_mg=0.006, own_mg=0.006, own_dof=3)
    twins = [
        Twin(
            f"T{i}", sources.variable(f"twin {i}", 7.872, 0.002), 8.0, (Use(blank, 30.0, f"T{i}"),)
        )
        for i in (1, 2)
    ]
    found = silver_by_twin(
        sources, "A1", mass(sources, "bead", 9.398), mass(sources, "gold", 1.204),
        added_mg=8.0, twins=twins, loss=SilverLoss("R-1", 0.02), uses=[Use(blank, 30.0, "A1")],
    )  # fmt: skip
    assert nominal(found.mg) == pytest.approx(0.322 / 0.98)
    own = 0.006**2 * 1.5 + 0.002**2 * 2.5
    assert sources.doubt(found.mg).u == pytest.approx(math.sqrt(own) / 0.98)
    assert found.in_bead_mg - found.twin_mg == pytest.approx(0.322)


def test_a_twin_form_without_a_twin_is_refused() -> None:
    sources = Sources()
    with pytest.raises(ValueError, match="needs a twin"):
        silver_by_twin(
            sources, "A1", mass(sources, "bead", 9.4), mass(sources, "gold", 1.2),
            added_mg=8.0, twins=[], loss=SilverLoss("R-1", 0.0),
        )  # fmt: skip


def test_silver_takes_no_blank_of_gold() -> None:
    sources = Sources()
    blank = Blank("L-1", "gold", "g", 30.0, 0.004, 4, 0.002, 0.0, 0.001, 3)
    with pytest.raises(ValueError, match="blanks of silver only"):
        silver(
            sources, "A1", mass(sources, "bead", 9.4), mass(sources, "gold", 1.2),
            added=NONE_ADDED, loss=SilverLoss("R-1", 0.0), uses=[Use(blank, 30.0, "A1")],
        )  # fmt: skip


def test_the_scale_of_one_balance_cancels_in_silver_share_and_loss() -> None:
    sources = Sources()
    balance = Balance("B", 0.001, calibration=0.01)

    def weighed(name: str, mg: float) -> Mass:
        found = weigh(sources, balance, [Reading(name, Fraction(f"{mg}"), f"{mg}")])
        return Mass(found.net, (found.u0_mg,))

    taken, out = weighed("taken", 8.0), weighed("found", 7.84)
    proof = Proof("P", taken.mg, out.mg, Conditions("R-1", 20.0))
    loss = silver_loss(sources, [proof])
    assert "calibration" not in rows(sources, loss.share)
    bead, parted = weighed("bead", 5.0), weighed("gold", 4.0)
    found = silver(sources, "A1", bead, parted, added=NONE_ADDED, loss=loss)
    assert "calibration" in rows(sources, found.mg)
    share = found.mg / (found.mg + parted.mg)
    assert "calibration" not in rows(sources, share)


def rows(sources: Sources, result: Uncertain) -> set[str]:
    return {row.source for row in sources.doubt(result).budget if row.share > 1e-12}
