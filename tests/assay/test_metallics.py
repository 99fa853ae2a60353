"""Screen metallics: the grade, its doubt, closure, and what is said beside it."""

import math

import pytest

from assaybench.assay.blanks import Blank, Use, blank_in
from assaybench.assay.grade import Determination, in_unit
from assaybench.assay.metallics import Metallics, Plus, closure_of, metallics
from assaybench.assay.replicates import Spread
from assaybench.metrology.uncertain import Sources, nominal
from assaybench.units.table import BY_SPELLING

NO_SCATTER = Spread(0.0, 1)


def case(sources: Sources, total_g: float = 1000.0, fused_g: float | None = None) -> Metallics:
    """1000.0 g; plus 24.6 g, all fused, 3.812 mg; minus 975.4 g at 0.063 and 0.069 mg in 30 g."""
    minus = [
        Determination("a", sources.variable("a", 0.063, 0.001), 30.0),
        Determination("b", sources.variable("b", 0.069, 0.001), 30.0),
    ]
    plus = Plus(24.6, (sources.variable("plus", 3.812, 0.004),), fused_g)
    return metallics(sources, "S", plus, 975.4, minus, total_g=total_g)


def test_grade_and_share_of_coarse_gold() -> None:
    """5.96 g/t, 64 % coarse; simple mean 53.1, minus alone 2.2 g/t (arithmetic)."""
    found = case(Sources())
    assert nominal(found.g_per_t) == pytest.approx(5.96, abs=5e-3)
    assert nominal(found.minus_mg) == pytest.approx(2.146, abs=5e-4)
    assert nominal(found.coarse_share) == pytest.approx(0.64, abs=5e-3)
    assert found.simple_mean == pytest.approx(53.1, abs=0.05)
    assert nominal(found.minus.g_per_t) == pytest.approx(2.20)
    assert found.closure is not None
    assert found.closure.closed
    texts = {flag.code: flag.text for flag in found.flags}
    assert texts["simple_mean_no_grade"] == (
        "The simple mean of the 3 assays, 53.1 g/t, is not a grade."
    )
    assert texts["minus_alone"] == "An assay of the minus alone would have said 2.2 g/t."
    assert found.assumptions[0].startswith("All of plus fused")


def test_published_metallics_of_silver() -> None:
    """400 g: 1 g gives 0.842 g, 20 g of 399 g give 0.105 g: 0.7342 %, 239.84 oz per long ton.

    C. and J. J. Beringer, A Text-book of Assaying, 9th ed.; exact: 239.835 before its own rounding.
    """
    sources = Sources()
    found = metallics(sources, "S", Plus(1.0, (842.0,)), 399.0, [Determination("a", 105.0, 20.0)])
    assert nominal(in_unit(found.g_per_t, BY_SPELLING["%"])) == pytest.approx(0.7342, abs=5e-5)
    ounces = nominal(in_unit(found.g_per_t, BY_SPELLING["ozt/long_ton"]))
    assert ounces == pytest.approx(239.84, abs=0.02)
    assert found.closure is None


def test_doubt_of_the_whole_is_that_of_plus_and_of_the_minus_grade() -> None:
    """u² = [u²(plus) + M_minus²·u²(ḡ)]/M², method version 1, section 4."""
    sources = Sources()
    found = case(sources)
    u_minus = sources.doubt(found.minus.g_per_t).u
    expected = math.hypot(0.004, 975.4 / 1000 * u_minus) / 1.0
    assert sources.doubt(found.g_per_t).u == pytest.approx(expected)
    assert u_minus == pytest.approx(0.1)  # s_r/√2 of 2.10 and 2.30 g/t


def test_a_blank_shared_by_plus_and_minus_stays_one_variable() -> None:
    sources = Sources()
    mean = sources.variable("b", 0.006, 0.002)
    blank = Blank("L-1", "gold", "g", 30.0, mean, 4, 0.004, 0.0, 0.002, 3)
    plus_mg = [1.0 - blank_in(sources, [Use(blank, 30.0, f"plus {i}")]) for i in (1, 2)]
    minus_mg = 0.066 - blank_in(sources, [Use(blank, 30.0, "minus")])
    found = metallics(
        sources, "S", Plus(40.0, tuple(plus_mg)), 960.0,
        [Determination("a", minus_mg, 30.0)], spread=NO_SCATTER,
    )  # fmt: skip
    assert nominal(found.plus_mg) == pytest.approx(2 - 0.012)
    assert sources.doubt(found.g_per_t).u == pytest.approx(0.002 * (2 + 960 / 30))


def test_missing_mass_is_flagged_and_not_spread() -> None:
    found = case(Sources(), total_g=1012.0)
    assert found.closure is not None
    assert not found.closure.closed
    assert found.flags[0].text.splitlines()[0] == (
        "Masses do not close: 12 g between total and parts; up to 10 g is usual."
    )
    assert nominal(found.g_per_t) == nominal(case(Sources()).g_per_t)


@pytest.mark.parametrize(
    ("gap", "u", "closed"), [(10.0, 0.0, True), (10.1, 0.0, False), (11.9, 4.0, True)]
)
def test_closure_takes_the_wider_of_one_per_cent_and_three_u(
    *, gap: float, u: float, closed: bool
) -> None:
    sources = Sources()
    total = sources.variable("total", 1000.0, u)
    assert closure_of(sources, total, 20.0, 980.0 - gap).closed == closed
    assert closure_of(sources, total, 20.0 + gap, 980.0).closed == closed


def test_a_part_of_plus_is_scaled_and_said() -> None:
    found = case(Sources(), fused_g=12.3)
    assert nominal(found.plus_mg) == pytest.approx(2 * 3.812)
    assert found.assumptions[0].startswith("Only 12.3 of 24.6 g of plus fused")


def test_without_metal_there_is_no_share_of_it() -> None:
    sources = Sources()
    found = metallics(
        sources, "S", Plus(20.0, (-0.002,)), 980.0, [Determination("a", -0.0001, 30.0)]
    )
    assert found.coarse_share is None
    assert nominal(found.g_per_t) < 0
    figure = found.coarse_figure(sources)
    assert (figure.value, figure.status) == (None, "not determinable")
    assert figure.why == "No share of coarse metal: -0.002 mg on the screen, -0.00327 mg passed."


def test_noise_below_zero_in_minus_gives_no_share_above_all() -> None:
    """3.812 mg of plus over 3.812 - 0.033 mg would be 100.9 %."""
    sources = Sources()
    metal = sources.variable("a", -0.001, 0.001)
    plus = Plus(24.6, (sources.variable("plus", 3.812, 0.004),))
    found = metallics(sources, "S", plus, 975.4, [Determination("a", metal, 30.0)])
    assert found.refusal is None
    assert found.coarse_share is None
    assert "coarse_share_none" in {flag.code for flag in found.flags}
    assert found.figure(sources, found.g_per_t, "g/t").value is not None


def test_portions_that_outweigh_what_they_were_taken_from_give_no_figure() -> None:
    sources = Sources()
    minus = [Determination(name, sources.variable(name, 0.06, 0.001), 30.0) for name in "ab"]
    plus = Plus(24.6, (sources.variable("plus", 3.812, 0.004),))
    minus_g = sources.variable("minus", 50.4, 0.1)
    found = metallics(sources, "S", plus, minus_g, minus)
    assert found.refusal is not None
    assert found.refusal in found.flags
    assert found.refusal.text.startswith("Minus: portions of 60 g together outweigh all of it")
    assert found.figure(sources, found.g_per_t, "g/t").status == "not determinable"
    assert found.coarse_figure(sources).status == "not determinable"
    close = metallics(sources, "S", plus, sources.variable("m", 59.9, 0.1), minus)
    assert close.refusal is None  # within the doubt of the masses


def test_metal_that_outweighs_its_sample_gives_no_figure() -> None:
    sources = Sources()
    minus = [Determination("a", sources.variable("a", 0.06, 0.001), 30.0)]
    plus = Plus(24.6, (sources.variable("plus", 24_700.0, 4.0),))
    found = metallics(sources, "S", plus, 975.4, minus)
    assert found.refusal is not None
    assert found.refusal.code == "metal_above_part"


def test_plus_without_a_charge_is_refused() -> None:
    with pytest.raises(ValueError, match="plus needs one charge"):
        metallics(Sources(), "S", Plus(20.0, ()), 980.0, [Determination("a", 0.06, 30.0)])


def test_a_portion_far_below_zero_gives_no_figure() -> None:
    sources = Sources()
    metal = sources.variable("a", -0.5, 0.001)
    plus = Plus(24.6, (sources.variable("plus", 3.812, 0.004),))
    found = metallics(sources, "S", plus, 975.4, [Determination("a", metal, 30.0)])
    assert found.refusal is not None
    assert found.refusal.code == "part_below_zero"
    assert found.figure(sources, found.g_per_t, "g/t").value is None
