"""Bead to gold: the doré verdict, both forms of correction, and what refuses a figure."""

import math

import pytest

from assaybench.assay import sorts
from assaybench.assay.blanks import Blank, Use
from assaybench.assay.dore import NONE_ADDED, UNKNOWN_ADDED, SilverAdded, dore
from assaybench.assay.grade import grade, in_unit
from assaybench.assay.losses import SilverLoss
from assaybench.assay.metal import TreatedAgain, gold, refusals
from assaybench.assay.net import Mass, net_of_blank
from assaybench.assay.proofs import Conditions, Proof, correction, uncorrected
from assaybench.messages import BadInput
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units.table import BY_SPELLING

HERE = Conditions("R-1", lead_g=30.0, silver_mg=8.0)


def mass(sources: Sources, name: str, mg: float, u: float = 0.002) -> Mass:
    return Mass(sources.variable(name, mg, u), (u,))


def blank(sources: Sources, metal: str, mg: float, u: float = 0.001) -> Blank:
    made = sources.variable(f"blank {metal}", mg, u)
    if metal == "gold":
        return Blank("L-1", "gold", "g", 30.0, made, 4, 2 * u, 0.0, u, 3)
    return Blank("L-1", "silver", "g", 30.0, made, 4, 2 * u, 0.0, u, 3)


def use(sources: Sources, metal: str, mg: float) -> Use:
    return Use(blank(sources, metal, mg), 30.0, "A1")


def added(sources: Sources, mg: float = 8.0, u: float = 0.005) -> SilverAdded:
    return SilverAdded("mass", sources.variable("added", mg, u))


def test_gold_of_a_parted_bead_and_its_grade() -> None:
    """Gold 1.204 mg, blank 0.004 mg, 30.00 g: 40.00 g/t, 1.167 ozt/short_ton (arithmetic)."""
    sources = Sources()
    found = gold(
        sources,
        "A1",
        mass(sources, "gold", 1.204),
        uses=[use(sources, "gold", 0.004)],
        bead=mass(sources, "bead", 9.398),
    )
    assert found.status == "measured"
    assert nominal(found.mg) == pytest.approx(1.200)
    in_g_per_t = grade(found.mg, 30.0)
    assert nominal(in_g_per_t) == pytest.approx(40.00)
    in_ounces = in_unit(in_g_per_t, BY_SPELLING["ozt/short_ton"])
    assert nominal(in_ounces) == pytest.approx(1.167, abs=5e-4)
    assert found.sort == sorts.UNCORRECTED
    assert [flag.code for flag in found.flags] == ["no_matching_proof"]
    assert found.net.verdict.code == "above_the_blank"


def test_before_parting_there_is_dore_and_no_gold() -> None:
    sources = Sources()
    found = dore(
        sources,
        "A1",
        mass(sources, "bead", 9.398),
        added=added(sources),
        loss=SilverLoss("R-1", 0.0),
    )
    assert found.flags[0].code == "dore_not_gold"
    assert found.flags[0].text.splitlines() == [
        "This bead is doré: gold and silver together, 9.3980 ± 0.0040 mg.",
        "Gold not determined. To know the gold, part the bead and weigh again.",
    ]
    parted = dore(
        sources,
        "A1",
        mass(sources, "bead", 9.398),
        added=added(sources),
        loss=SilverLoss("R-1", 0.0),
        parted=True,
    )
    assert "dore_not_gold" not in [flag.code for flag in parted.flags]


def test_dore_of_the_sample_is_bead_less_added_silver_less_blanks() -> None:
    sources = Sources()
    loss = SilverLoss("R-1", sources.variable("loss", 0.02, 0.003))
    uses = [use(sources, "gold", 0.004), use(sources, "silver", 0.052)]
    found = dore(
        sources, "A1", mass(sources, "bead", 9.398), added=added(sources), loss=loss, uses=uses
    )
    assert nominal(found.mg) == pytest.approx(9.398 - 8 * 0.98 - 0.056)
    u2 = 0.002**2 + (0.98 * 0.005) ** 2 + (8 * 0.003) ** 2 + 2 * 0.001**2
    assert sources.doubt(found.mg).u ** 2 == pytest.approx(u2)
    assert found.blank_mg == pytest.approx(0.056)
    assert found.levels is not None
    assert found.levels.sigma**2 == pytest.approx(u2)
    assert found.verdict is not None
    assert found.verdict.code == "above_the_blank"


def test_doubt_of_the_silver_loss_can_hide_the_dore() -> None:
    sources = Sources()
    loss = SilverLoss("R-1", sources.variable("loss", 0.02, 0.01))
    uses = [use(sources, "silver", 0.002)]
    found = dore(
        sources, "A1", mass(sources, "bead", 7.87), added=added(sources), loss=loss, uses=uses
    )
    assert found.verdict is not None
    assert found.verdict.code == "like_the_blank"
    bare = dore(sources, "A1", mass(sources, "bead", 7.87), added=added(sources), uses=uses,
                loss=SilverLoss("R-1", 0.02))  # fmt: skip
    assert bare.verdict is not None
    assert bare.verdict.code == "above_the_blank_rough"


def test_dore_is_not_known_where_added_silver_is_not() -> None:
    sources = Sources()
    found = dore(
        sources, "A1", mass(sources, "bead", 9.4), added=UNKNOWN_ADDED, loss=SilverLoss("R-1", 0.0)
    )
    assert (found.mg, found.status, found.verdict) == (None, "not determinable", None)
    assert found.refusal is not None
    assert found.refusal.code == "silver_added_unknown"


def test_none_added_is_an_answer() -> None:
    sources = Sources()
    found = dore(
        sources, "A1", mass(sources, "bead", 9.4), added=NONE_ADDED, loss=SilverLoss("R-1", 0.02)
    )
    assert nominal(found.mg) == pytest.approx(9.4)


def proof_pair(sources: Sources) -> list[Proof]:
    return [
        Proof(f"P{i}", sources.variable(f"taken {i}", 1.2, 0.002), out, HERE)
        for i, out in enumerate(
            (sources.variable("found 0", 1.19, 0.002), sources.variable("found 1", 1.18, 0.002))
        )
    ]


def test_additive_and_ratio_forms() -> None:
    sources = Sources()
    uses = [use(sources, "gold", 0.004)]
    parted = mass(sources, "gold", 1.004)
    pair = proof_pair(sources)
    by_sum = gold(
        sources, "A1", parted, correction=correction(sources, pair, "additive"), uses=uses,
        conditions=HERE,
    )  # fmt: skip
    by_ratio = gold(
        sources, "A1", parted, correction=correction(sources, pair, "ratio"), uses=uses,
        conditions=HERE,
    )  # fmt: skip
    assert nominal(by_sum.mg) == pytest.approx(1.0 + 0.015)
    assert nominal(by_ratio.mg) == pytest.approx(1.0 * 2.4 / 2.37)
    assert by_sum.sort == by_ratio.sort == sorts.CORRECTED
    assert by_sum.assumptions[0] != by_ratio.assumptions[0]


def test_a_proof_of_another_size_leaves_gold_uncorrected_or_scaled_on_request() -> None:
    sources = Sources()
    found = correction(sources, proof_pair(sources), "additive")
    parted = mass(sources, "gold", 0.15)
    plain = gold(sources, "A1", parted, correction=found, conditions=HERE)
    assert nominal(plain.mg) == pytest.approx(0.15)
    assert plain.sort == sorts.UNCORRECTED
    scaled = gold(sources, "A1", parted, correction=found, conditions=HERE, scale=True)
    assert nominal(scaled.mg) == pytest.approx(0.15 + 0.015 / 4)


def test_gold_heavier_than_its_bead_is_refused_beyond_three_u() -> None:
    sources = Sources()
    found = gold(sources, "A1", mass(sources, "gold", 1.372), bead=mass(sources, "bead", 1.204))
    assert (found.mg, found.status) == (None, "refused")
    assert found.refusal is not None
    assert found.refusal.text.splitlines()[0] == (
        "Gold 1.372 mg is heavier than its bead 1.204 mg. Both are stored as read."
    )
    within = 3 * math.hypot(0.002, 0.002) - 1e-6
    kept = gold(
        sources, "A2", mass(sources, "gold 2", 1.2 + within), bead=mass(sources, "bead 2", 1.2)
    )
    assert kept.status == "measured"


def test_a_bead_heavier_than_its_sample_is_refused() -> None:
    sources = Sources()
    sample: Uncertain = sources.variable("sample", 20.0, 0.1)
    found = refusals(sources, mass(sources, "bead", 21.0), sample_mg=sample)
    assert [flag.code for flag in found] == ["bead_above_sample"]
    assert refusals(sources, mass(sources, "bead 2", 20.2), sample_mg=sample) == ()
    assert refusals(sources, None, sample_mg=sample) == ()
    bare = dore(
        sources,
        "A1",
        mass(sources, "bead", 21.0),
        added=NONE_ADDED,
        loss=SilverLoss("R-1", 0.0),
        sample_mg=sample,
    )
    assert (bare.mg, bare.status) == (None, "refused")


def test_negative_noise_stays_signed_and_beyond_three_u_is_refused() -> None:
    sources = Sources()
    uses = [use(sources, "gold", 0.004)]
    noise = gold(sources, "A1", mass(sources, "gold 1", 0.001), uses=uses)
    assert noise.status == "measured"
    assert nominal(noise.mg) == pytest.approx(-0.003)
    wrong = gold(sources, "A2", mass(sources, "gold 2", -0.02), uses=uses)
    assert (wrong.mg, wrong.status) == (None, "refused")
    assert wrong.refusal is not None
    assert wrong.refusal.code == "far_below_blank"


def test_slag_treated_again_is_a_named_line_with_its_own_blank() -> None:
    sources = Sources()
    slag = net_of_blank(
        sources, "slag", mass(sources, "slag", 0.024), [use(sources, "gold", 0.004)]
    )
    again = [TreatedAgain("slag", slag)]
    found = gold(sources, "A1", mass(sources, "gold", 1.2), again=again)
    assert nominal(found.mg) == pytest.approx(1.22)
    assert nominal(found.net.mg) == pytest.approx(1.2)
    assert found.sort == sorts.UNCORRECTED_WITH_SLAG
    assert found.assumptions[-1].startswith("Slag treated again: 0.0200 mg")


def test_cupel_treated_again_and_a_proof_exclude_each_other() -> None:
    sources = Sources()
    cupel = net_of_blank(sources, "cupel", mass(sources, "cupel", 0.02), [])
    proofs = correction(sources, proof_pair(sources), "additive")
    with pytest.raises(BadInput, match="Choose one"):
        gold(
            sources, "A1", mass(sources, "gold", 1.2), correction=proofs,
            again=[TreatedAgain("cupel", cupel)],
        )  # fmt: skip
    alone = gold(
        sources, "A1", mass(sources, "gold", 1.2), correction=uncorrected("R-1"),
        again=[TreatedAgain("cupel", cupel)],
    )  # fmt: skip
    assert nominal(alone.mg) == pytest.approx(1.22)


def test_gold_takes_no_blank_of_silver() -> None:
    sources = Sources()
    with pytest.raises(ValueError, match="blanks of gold only"):
        gold(sources, "A1", mass(sources, "gold", 1.2), uses=[use(sources, "silver", 0.05)])
