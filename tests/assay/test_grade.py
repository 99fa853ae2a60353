"""Grade: moisture, units, several determinations, and what is said of them."""

import math
from fractions import Fraction
from statistics import stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.assay.grade import (
    Determination,
    disagreement,
    grade,
    in_unit,
    pooled_grade,
)
from assaybench.assay.moisture import Moisture, sample_mass
from assaybench.assay.replicates import Spread
from assaybench.messages import BadInput
from assaybench.metrology.ranges import studentized_range_95
from assaybench.metrology.uncertain import Sources, nominal
from assaybench.units.table import BY_SPELLING, GRAM_PER_TONNE, UNITS, Unit


def test_one_and_a_half_milligram_from_either_assay_ton() -> None:
    """51.4 and 45.9 g/t; T. K. Rose, The Metallurgy of Gold, p. 496: 1.5 oz to its own ton."""
    short, long = 1.5 / (175 / 6) * 1000, 1.5 / (98 / 3) * 1000
    assert nominal(grade(1.5, 29.167)) == pytest.approx(51.4, abs=0.05)
    assert nominal(grade(1.5, 32.667)) == pytest.approx(45.9, abs=0.05)
    assert in_unit(short, BY_SPELLING["ozt/short_ton"]) == pytest.approx(1.5)
    assert in_unit(long, BY_SPELLING["ozt/long_ton"]) == pytest.approx(1.5)


@pytest.mark.parametrize("unit", [u for u in UNITS if u.quantity == "mass fraction"], ids=str)
def test_every_unit_of_mass_fraction_converts(unit: Unit) -> None:
    back = in_unit(in_unit(40.0, unit), GRAM_PER_TONNE) * float(unit.size)
    assert back == pytest.approx(40.0)
    assert in_unit(40.0, unit) == pytest.approx(float(Fraction(40) / unit.size))


def test_a_grade_does_not_become_a_mass() -> None:
    with pytest.raises(BadInput, match="g/t cannot become mg"):
        in_unit(40.0, BY_SPELLING["mg"])


def test_moisture_on_wet_and_on_dry_basis_is_one_water() -> None:
    """8 % of 448 kg wet leaves 412.2 kg dry (arithmetic)."""
    sources = Sources()
    wet = sample_mass(sources, 448.0, Moisture("S", 0.08, 0.002))
    dry = sample_mass(sources, 448.0, Moisture("T", 0.08 / 0.92, 0.002, "dry"))
    assert nominal(wet.g) == pytest.approx(412.2, abs=0.05)
    assert nominal(dry.g) == pytest.approx(nominal(wet.g))
    assert wet.basis == dry.basis == "dry"
    assert sources.doubt(wet.g).u / nominal(wet.g) == pytest.approx(0.002 / 0.92)


def test_moisture_is_one_variable_for_the_sample() -> None:
    sources = Sources()
    one, two = (sample_mass(sources, m, Moisture("S", 0.08, 0.002)).g for m in (30.0, 60.0))
    assert sources.covariance(one, two) == pytest.approx(30 * 60 * 0.002**2)


def test_without_moisture_it_is_as_received_and_a_dried_sample_is_dry() -> None:
    sources = Sources()
    plain = sample_mass(sources, 30.0)
    assert (plain.g, plain.basis) == (30.0, "as received")
    assert "no moisture is given" in plain.assumptions[0]
    dried = sample_mass(sources, 30.0, Moisture("S", 0.08, 0.002), dried=True)
    assert (dried.g, dried.basis, dried.assumptions) == (30.0, "dry", ())


@pytest.mark.parametrize(
    ("share", "basis"), [(0.9999, "wet"), (-0.01, "wet"), (-0.01, "dry"), (10.1, "dry")]
)
def test_impossible_moisture_is_refused(share: float, basis: str) -> None:
    moisture = Moisture("S", share, 0.002, "wet" if basis == "wet" else "dry")
    with pytest.raises(BadInput, match=f"moisture on {basis} basis is from 0 % to"):
        sample_mass(Sources(), 30.0, moisture)


def determinations(
    sources: Sources, grades: list[float], u_mg: float = 0.001, mass_g: float = 30.0
) -> list[Determination]:
    scale = sources.variable("scale", 1.0, 0.001, row="calibration")
    return [
        Determination(
            f"d{i}", scale * sources.variable(f"metal {i}", g * mass_g / 1000, u_mg), mass_g
        )
        for i, g in enumerate(grades)
    ]


FIVE = [4.1, 3.8, 19.6, 4.4, 3.9]


def test_determinations_are_pooled_as_all_metal_over_all_sample() -> None:
    sources = Sources()
    both = [Determination("a", 0.06, 20.0), Determination("b", 0.18, 40.0)]
    found = pooled_grade(sources, "S", both)
    assert nominal(found.g_per_t) == pytest.approx(4.0)
    assert found.mean_of_all == pytest.approx((3.0 + 4.5) / 2)
    assert (found.metal_mg, found.sample_g) == pytest.approx((0.24, 60.0))


def test_u_of_a_pooled_grade_is_scatter_over_n_and_shared_terms_undivided() -> None:
    sources = Sources()
    grades = [4.1, 3.8, 4.9, 4.4]
    found = pooled_grade(sources, "S", determinations(sources, grades))
    mean = sum(grades) / 4
    expected = stdev(grades) ** 2 / 4 + (mean * 0.001) ** 2
    doubt = sources.doubt(found.g_per_t)
    assert doubt.u**2 == pytest.approx(expected, rel=1e-6)
    assert found.scatter_rules
    assert 3 <= doubt.dof < 3.1
    assert not found.agrees


def test_like_determinations_keep_the_doubt_of_their_weighings() -> None:
    sources = Sources()
    found = pooled_grade(sources, "S", determinations(sources, [4.10, 4.12], u_mg=0.003))
    expected = (0.003 / 30 * 1000) ** 2 / 2 + (4.11 * 0.001) ** 2
    assert sources.doubt(found.g_per_t).u ** 2 == pytest.approx(expected)
    assert found.agrees
    assert not found.scatter_rules
    assert found.assumptions == ("Spread of these 2 determinations: 0.014 g/t.",)


def test_the_spread_of_the_log_serves_instead_of_their_own() -> None:
    sources = Sources()
    found = pooled_grade(sources, "S", determinations(sources, [4.1, 4.3]), spread=Spread(0.5, 12))
    assert sources.doubt(found.g_per_t).u ** 2 == pytest.approx(
        0.25 / 2 + (4.2 * 0.001) ** 2, rel=1e-6
    )
    assert sources.doubt(found.g_per_t).dof == pytest.approx(12, abs=0.01)
    assert found.agrees
    assert found.assumptions == (
        "Spread of one determination from the log: 0.50 g/t, ν = 12.",
        "All its duplicates are behind that spread: right for samples alike in grade.",
    )


def test_one_determination_says_what_is_not_in_its_doubt() -> None:
    sources = Sources()
    found = pooled_grade(sources, "S", determinations(sources, [4.1]))
    assert found.spread is None
    assert found.assumptions[0].startswith("One determination")


def test_left_out_determinations_stay_visible_with_their_reason() -> None:
    sources = Sources()
    why = {f"d{i}": "asked for by the client, KB" for i in (0, 1, 3, 4)}
    found = pooled_grade(sources, "T-31", determinations(sources, FIVE), left_out=why)
    assert nominal(found.g_per_t) == pytest.approx(19.6)
    assert found.mean_of_all == pytest.approx(7.16)
    assert found.median_of_all == pytest.approx(4.1)
    (said,) = found.flags
    assert said.text.splitlines() == [
        "1 of 5 determinations shown. Mean of all 5: 7.16 g/t.",
        "Left out: 4 (d0, d1, d3, d4). Reason: asked for by the client, KB.",
    ]
    assert len(found.every) == 5


@pytest.mark.parametrize(
    ("left_out", "text"),
    [
        ({"d0": "  "}, "left out without a reason"),
        ({"x9": "spilt"}, "not one of the determinations: d0, d1"),
        ({"d0": "spilt", "d1": "spilt"}, "one at least must stay"),
    ],
)
def test_leaving_out_is_refused_without_sense(left_out: dict[str, str], text: str) -> None:
    sources = Sources()
    with pytest.raises(BadInput, match=text):
        pooled_grade(sources, "S", determinations(sources, [4.1, 4.2]), left_out=left_out)


def test_nothing_is_weighted_or_dropped_because_it_disagrees() -> None:
    sources = Sources()
    found = pooled_grade(sources, "T-31", determinations(sources, FIVE))
    assert nominal(found.g_per_t) == pytest.approx(7.16)
    assert len(found.used) == 5
    assert found.flags[0].code == "determinations_disagree"


@pytest.mark.parametrize(("apart", "flagged"), [(1.959, False), (1.961, True)])
def test_duplicates_are_held_to_1_96_u_of_their_difference(*, apart: float, flagged: bool) -> None:
    sources = Sources()
    shared = sources.variable("shared", 0.0, 5.0)
    u = 0.1 * math.sqrt(2)
    pair = [
        sources.variable("a", 4.0, 0.1) + shared,
        sources.variable("b", 4.0 + apart * u, 0.1) + shared,
    ]
    assert bool(disagreement(sources, pair)) == flagged


@pytest.mark.parametrize(("factor", "flagged"), [(0.999, False), (1.001, True)])
def test_more_than_two_are_held_to_their_range(*, factor: float, flagged: bool) -> None:
    sources = Sources()
    apart = studentized_range_95(3, math.inf) * 0.1 * factor
    three = [sources.variable(f"v{i}", v, 0.1) for i, v in enumerate((4.0, 4.1, 4.0 + apart))]
    found = disagreement(sources, three)
    assert bool(found) == flagged
    for flag in found:
        assert flag.text.startswith("They disagree: 4 and 4.33")


def test_more_determinations_than_the_table_holds_are_still_judged() -> None:
    sources = Sources()
    many = [sources.variable(f"v{i}", 4.0 + 0.01 * i, 0.1) for i in range(30)]
    assert disagreement(sources, many) == ()
    assert disagreement(sources, many[:1]) == ()


@given(st.lists(st.floats(-2, 2), min_size=1, max_size=6))
def test_signed_grades_stay_signed_through_the_sum(metals: list[float]) -> None:
    sources = Sources()
    each = [Determination(f"d{i}", m, 30.0) for i, m in enumerate(metals)]
    found = pooled_grade(sources, "S", each, spread=Spread(0.1, 5))
    assert nominal(found.g_per_t) == pytest.approx(
        1000 * sum(metals) / (30 * len(metals)), abs=1e-9
    )
