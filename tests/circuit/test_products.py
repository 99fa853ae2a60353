"""Products of a test: whole products, shares, final tailings, head built up."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.circuit.grains import grain_mass_mg
from assaybench.circuit.head import built_up_head, head_gap
from assaybench.circuit.products import Cell, CircuitTest, SizeRow, cell, dry_mass_kg, portion_share
from assaybench.circuit.tailings import (
    Tailings,
    graded_tailings,
    tailings_below,
    tailings_not_detected,
    tailings_of_share,
    together,
    weighed_tailings,
)
from assaybench.metrology.uncertain import Sources, nominal
from tests.circuit.builders import by_size, one_size


def test_metal_of_the_whole_product() -> None:
    """0.420 mg in 20.0 g of 812 g: bead × (product mass / portion cupelled)."""
    sources = Sources()
    bead = sources.variable("bead", 0.420, 0.003)
    portion = sources.variable("portion", 20.0, 0.1)
    product = sources.variable("product", 812.0, 2.0)
    made = cell("-0.25 mm", bead, portion_share(portion, product), critical_mg=0.005)
    assert nominal(made.metal_mg) == pytest.approx(0.420 * 812 / 20)
    assert made.critical_mg == pytest.approx(0.005 * 812 / 20)
    relative = math.sqrt((0.003 / 0.42) ** 2 + (0.1 / 20) ** 2 + (2 / 812) ** 2)
    assert sources.doubt(made.metal_mg).u == pytest.approx(nominal(made.metal_mg) * relative)


def test_a_splitter_with_its_doubt() -> None:
    sources = Sources()
    made = cell("all", 1.0, sources.variable("split", 0.25, 0.005))
    assert nominal(made.metal_mg) == 4.0
    assert sources.doubt(made.metal_mg).u == pytest.approx(4 * 0.02)


def test_noise_below_zero_stays_signed() -> None:
    assert nominal(cell("all", -0.002, 0.5).metal_mg) == -0.004


def test_dry_mass() -> None:
    """448 kg wet at 8.0 % moisture: 412.2 kg dry; u(dry)/dry = u(w)/(1 - w)."""
    sources = Sources()
    dry = dry_mass_kg(448.0, sources.variable("water", 0.08, 0.002))
    assert nominal(dry) == pytest.approx(412.16)
    assert sources.doubt(dry).u / nominal(dry) == pytest.approx(0.002 / 0.92)


@pytest.mark.parametrize(("kg", "head"), [(412.16, 1.38), (448.0, 1.27)])
def test_head_of_the_scenario(kg: float, head: float) -> None:
    """486.4 + 82.6 mg: 1.38 g/t of dry feed, 1.27 if divided by wet kilograms."""
    sources = Sources()
    metal = sum(r.concentrate.metal_mg + r.rerun.metal_mg for r in by_size(sources))
    found = built_up_head(sources, metal, kg, up_to_mg=None)
    assert found.value == pytest.approx(head, abs=0.005)
    assert found.status == "at least"
    assert "not assayed" in found.why


def test_head_with_weighed_tailings_is_measured() -> None:
    sources = Sources()
    found = built_up_head(sources, sources.variable("metal", 600.0, 3.0), 400.0)
    assert (found.value, found.status) == (1.5, "measured")
    assert found.u == pytest.approx(3 / 400)


def test_head_with_unseen_tailings_says_how_much_more() -> None:
    sources = Sources()
    found = built_up_head(sources, sources.variable("metal", 600.0, 3.0), 400.0, up_to_mg=136.6)
    assert found.status == "at least"
    assert "0.34 g/t" in found.why
    assert found.text.startswith("at least 1.5")


def test_gap_to_the_assayed_head_takes_off_what_both_share() -> None:
    sources = Sources()
    scale = sources.variable("calibration", 1.0, 0.02)
    built = sources.variable("built", 1.38, 0.02) * scale
    assayed = sources.variable("assayed", 1.50, 0.02) * scale
    gap = head_gap(sources, built, assayed)
    assert gap.value == pytest.approx(-0.12)
    assert gap.u == pytest.approx(math.sqrt(2 * 0.02**2 + (0.12 * 0.02) ** 2))
    assert gap.shown


def test_weighed_tailings_with_grains() -> None:
    """50 kg, 0.12 mg in 30 g, grains of 0.004 mg: 30 grains, u_rel 1/√30."""
    sources = Sources()
    found = weighed_tailings(
        sources, 50.0, sources.variable("net", 0.12, 0.001), 30.0, grain_mg=0.004
    )
    assert nominal(found.weighed_mg) == pytest.approx(200.0)
    u = sources.doubt(found.weighed_mg).u
    assert u == pytest.approx(200 * math.hypot(1 / math.sqrt(30), 0.001 / 0.12))
    assert math.sqrt(found.grain_variance_mg2) == pytest.approx(200 / math.sqrt(30))


def test_tailings_not_detected_are_never_nothing() -> None:
    sources = Sources()
    found = tailings_not_detected(sources, 410.3, 30.0, 0.0134)
    assert found.up_to_mg == pytest.approx(410.3 * 0.0134 / 0.030)
    assert nominal(found.metal_mg) == pytest.approx(found.up_to_mg / 2)
    assert sources.doubt(found.metal_mg).u == pytest.approx(found.up_to_mg / math.sqrt(12))


def test_larger_doubt_governs_tailings_not_detected() -> None:
    """Grains of 0.1 mm: 3.0 of them are 0.030 mg in 30 g, 1.0 g/t, above an L_D of 0.45 g/t."""
    grain = grain_mass_mg(100)
    found = tailings_not_detected(Sources(), 410.3, 30.0, 0.0134, grain_mg=grain)
    assert found.up_to_mg / 410.3 == pytest.approx(1.0, abs=0.02)
    assert tailings_not_detected(
        Sources(), 410.3, 30.0, 0.0134, grain_mg=grain / 10
    ).up_to_mg == pytest.approx(410.3 * 0.0134 / 0.030)


def test_signed_tailings_give_way_to_grains_only_when_these_could_hide_more() -> None:
    """Net -0.001 ± 0.004 mg could have missed 0.0066 mg; three grains of 0.01 mg are 0.030 mg."""
    coarse, fine = Sources(), Sources()
    hidden = weighed_tailings(
        coarse, 50.0, coarse.variable("net", -0.001, 0.004), 30.0, grain_mg=0.01
    )
    assert hidden.up_to_mg == pytest.approx(50 * 0.03 / 0.03)
    signed = weighed_tailings(
        fine, 50.0, fine.variable("net", -0.001, 0.004), 30.0, grain_mg=0.0001
    )
    assert signed.up_to_mg == 0
    assert nominal(signed.weighed_mg) < 0


def test_graded_tailings() -> None:
    sources = Sources()
    found = graded_tailings(
        sources.variable("kg", 50.0, 0.5), sources.variable("g/t", 0.040, 0.012)
    )
    assert nominal(found.weighed_mg) == pytest.approx(2.0)
    assert sources.doubt(found.weighed_mg).u == pytest.approx(2 * math.hypot(0.01, 0.3))


def test_tailings_of_several_sizes_together() -> None:
    sources = Sources()
    weighed = weighed_tailings(
        sources,
        10.0,
        sources.variable("net", 0.3, 0.002),
        30.0,
        critical_mg=0.004,
        grain_mg=0.01,
        name="coarse",
    )
    unseen = tailings_below(sources, 12.0, mass_kg=40.0, name="fine")
    found = together([weighed, unseen])
    assert nominal(found.weighed_mg) == pytest.approx(100.0)
    assert found.up_to_mg == 12.0
    assert nominal(found.metal_mg) == pytest.approx(106.0)
    assert found.mass_kg == 50.0
    assert found.critical_mg is None
    assert found.bead
    assert together([weighed, weighed]).critical_mg == pytest.approx(
        math.sqrt(2) * 0.004 * 10 / 0.03
    )


def test_tailings_of_a_share() -> None:
    sources = Sources()
    made = Tailings(
        weighed_mg=sources.variable("t", 3.0, 0.2),
        critical_mg=0.5,
        up_to_mg=2.0,
        unseen_mg=1.0,
        grain_variance_mg2=0.01,
        mass_kg=20.0,
    )
    whole = tailings_of_share(made, 0.25)
    assert (nominal(whole.weighed_mg), nominal(whole.unseen_mg)) == (12.0, 4.0)
    assert (whole.critical_mg, whole.up_to_mg, whole.mass_kg) == (2.0, 8.0, 80.0)
    assert whole.grain_variance_mg2 == pytest.approx(0.16)


@given(st.floats(0.01, 1.0), st.floats(0.001, 0.9))
def test_dividing_by_a_share_keeps_the_relative_doubt(share: float, u_rel: float) -> None:
    sources = Sources()
    made = cell("all", sources.variable("bead", 2.0, 2.0 * u_rel), share)
    assert sources.doubt(made.metal_mg).u / nominal(made.metal_mg) == pytest.approx(u_rel)


def _rows(*names: str) -> tuple[SizeRow, ...]:
    return tuple(SizeRow(Cell(name, 1.0), Cell(name, 0.5)) for name in names)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: cell("all", 1.0, 0.0), "above 0 and at most 1"),
        (lambda: cell("all", 1.0, 1.2), "above 0 and at most 1"),
        (lambda: portion_share(30.0, 20.0), "the portion, 30 g, is heavier than the whole, 20 g"),
        (lambda: portion_share(0.0, 20.0), "above 0 and at most 1"),
        (lambda: portion_share(30.0, 0.0), "more than zero"),
        (lambda: dry_mass_kg(10.0, 1.0), "moisture"),
        (lambda: dry_mass_kg(10.0, -0.1), "moisture"),
        (lambda: tailings_below(Sources(), 0.0), "limit"),
        (lambda: built_up_head(Sources(), 1.0, 0.0), "feed"),
        (lambda: CircuitTest(()), "one size at least"),
        (lambda: CircuitTest(_rows("a", "a")), "each size stands once"),
        (lambda: CircuitTest(_rows("a", "all")), "stands for all sizes"),
        (lambda: SizeRow(Cell("a", 1.0), Cell("b", 1.0)), "one row holds one size"),
        (lambda: one_size(Sources(), (1.0, 0.1), (0.5, 0.1), share=1.5), "run again"),
        (
            lambda: CircuitTest(
                (*_rows("a"), SizeRow(Cell("b", 1.0), Cell("b", 1.0), Tailings(1.0)))
            ),
            "every size, or once",
        ),
    ],
)
def test_bad_input_is_named(call: object, named: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=named):
        call()
