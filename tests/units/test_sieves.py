"""Sieves against the tables of an independent library, the formulas, and the traps of mesh."""

import math
import subprocess
import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from fluids.particle_size_distribution import ASTM_E11_sieves, ISO_3310_1_sieves

from assaybench.units import sieves
from assaybench.units.sieve_table import OLD_OPENINGS, TYLER_FROM_MEMORY, TYLER_PUBLISHED
from assaybench.units.sieves import ASTM_E11, ISO_3310_1, Sieve, by_designation, by_opening

ASTM = sieves.series(ASTM_E11)
ISO = sieves.series(ISO_3310_1)
# fluids 1.3.1 carries the tables of both standards, keyed by the opening in millimetres.
PUBLISHED = {ASTM_E11: ASTM_E11_sieves, ISO_3310_1: ISO_3310_1_sieves}


def name_of(sieve: Sieve) -> str:
    return f"{sieve.series} {sieve.opening_um}"


def refusal(call: Callable[..., object], *arguments: object) -> str:
    with pytest.raises(ValueError, match=r"accepted|nearest|give|Tyler") as caught:
        call(*arguments)
    text = str(caught.value)
    assert "\n" not in text
    return text


def published_um(sieve: Sieve, field: str) -> float:
    """Return a length of the published row in micrometres; the library holds metres."""
    row = PUBLISHED[sieve.series][f"{sieve.opening_um / 1000:g}"]
    return float(getattr(row, field) * 1e6)


@pytest.mark.parametrize("sieve", ASTM + ISO, ids=name_of)
def test_row_is_the_published_row(sieve: Sieve) -> None:
    row = PUBLISHED[sieve.series][f"{sieve.opening_um / 1000:g}"]
    assert row.old_designation == sieve.designation
    for field, ours in (
        ("opening", sieve.opening_um),
        ("Y_variation_avg", sieve.tolerance_mean_um),
        ("X_variation_max", sieve.tolerance_single_um),
    ):
        assert ours == pytest.approx(published_um(sieve, field), rel=1e-12)


@pytest.mark.parametrize("name", [ASTM_E11, ISO_3310_1])
def test_series_is_complete_and_coarse_to_fine(name: str) -> None:
    openings = [sieve.opening_um for sieve in sieves.series(name)]
    published = {round(row.opening * 1e6) for row in PUBLISHED[name].values()}
    assert openings == sorted(published, reverse=True)
    assert {sieve.series for sieve in sieves.series(name)} == {name}


@pytest.mark.parametrize("sieve", ASTM, ids=name_of)
def test_largest_opening_is_the_published_one(sieve: Sieve) -> None:
    """The table also prints w + X, in mm to 1 µm or, from 1 mm up, 10 µm: a second look at X."""
    largest_mm = ASTM_E11_sieves[f"{sieve.opening_um / 1000:g}"].max_opening
    assert largest_mm is not None
    ours_mm = (sieve.opening_um + sieve.tolerance_single_um) / 1000
    assert ours_mm == pytest.approx(largest_mm, abs=0.0051 if sieve.opening_um >= 1000 else 1e-9)


@pytest.mark.parametrize("sieve", ASTM + ISO, ids=name_of)
def test_wire_is_the_published_one_or_left_out(sieve: Sieve) -> None:
    """Below 1 mm the library's ASTM E11 wire is a thousand times too small and rounded."""
    wire_um = published_um(sieve, "d_wire")
    if sieve.series == ASTM_E11 and sieve.opening_um < 1000:
        assert sieve.wire_um is None
        iso_wire_um = by_opening(sieve.opening_um, ISO_3310_1).wire_um
        assert iso_wire_um == pytest.approx(1000 * wire_um, abs=5.001)
    else:
        assert sieve.wire_um == pytest.approx(wire_um, rel=1e-12)


@pytest.mark.parametrize("sieve", ASTM, ids=name_of)
def test_formulas_give_every_astm_row_to_the_printed_figure(sieve: Sieve) -> None:
    """Y within 0.05 µm below 1 mm, 0.5 µm to 31.5 mm, 5 µm above; X to 1 µm or 10 µm printed."""
    opening_um = sieve.opening_um
    mean_step = 0.1 if opening_um < 1000 else 1 if opening_um <= 31_500 else 10
    single_step = 1 if opening_um < 1000 else 10
    assert sieves.mean_tolerance_um(opening_um) == pytest.approx(
        sieve.tolerance_mean_um, abs=mean_step / 2
    )
    assert sieves.single_tolerance_um(opening_um) == pytest.approx(
        sieve.tolerance_single_um, abs=single_step / 2
    )


@pytest.mark.parametrize("sieve", ISO, ids=name_of)
def test_iso_rows_are_nine_tenths_of_the_formulas(sieve: Sieve) -> None:
    """Found by comparing all 99 rows; Y is printed to 10, 1 or 0.1 µm, X to 10 or 1 µm."""
    coarse = sieve.opening_um >= 1000
    mean_step = 10 if coarse else 1 if sieve.opening_um > 250 else 0.1
    assert 0.9 * sieves.mean_tolerance_um(sieve.opening_um) == pytest.approx(
        sieve.tolerance_mean_um, abs=mean_step / 2
    )
    assert 0.9 * sieves.single_tolerance_um(sieve.opening_um) == pytest.approx(
        sieve.tolerance_single_um, abs=(10 if coarse else 1) / 2
    )


# ASTM E11 as a metallurgist's table prints it: number, opening, Y, X.
@pytest.mark.parametrize(
    ("number", "opening_um", "mean_um", "single_um"),
    [
        ("4", 4750, 150, 410),
        ("20", 850, 29.1, 127),
        ("30", 600, 21.2, 101),
        ("100", 150, 6.6, 43),
        ("140", 106, 5.2, 35),
        ("200", 75, 4.1, 29),
        ("635", 20, 2.3, 15),
    ],
)
def test_common_sieves(number: str, opening_um: int, mean_um: float, single_um: int) -> None:
    sieve = by_designation(number)
    assert sieve == by_opening(opening_um)
    assert (sieve.tolerance_mean_um, sieve.tolerance_single_um) == (mean_um, single_um)


@pytest.mark.parametrize(("opening_um", "part"), [(75, 0.055), (20, 0.115)])
def test_relative_tolerance(opening_um: int, part: float) -> None:
    relative = sieves.relative_mean_tolerance(by_opening(opening_um))
    assert relative == pytest.approx(part, abs=0.0005)


@pytest.mark.parametrize("formula", [sieves.mean_tolerance_um, sieves.single_tolerance_um])
@pytest.mark.parametrize("opening_um", [19.9, 125_000.5, 0, -75, math.nan, math.inf])
def test_formulas_refuse_what_the_standards_do_not_cover(
    formula: Callable[..., float], opening_um: float
) -> None:
    assert "µm: accepted is " in refusal(formula, opening_um)


def test_series_by_name() -> None:
    assert sieves.series(" astm e11") is ASTM
    assert refusal(sieves.series, "Tyler") == (
        'unknown sieve series "Tyler": accepted are ASTM E11 or ISO 3310-1'
    )


@pytest.mark.parametrize("same", [106, 106.0, Fraction(106)])
def test_by_opening_takes_any_exact_number(same: float | Fraction) -> None:
    assert by_opening(same).designation == "No. 140"
    assert by_opening(same, ISO_3310_1).designation is None


def test_every_opening_and_designation_leads_back_to_its_sieve() -> None:
    for sieve in ASTM:
        assert by_opening(sieve.opening_um) is sieve
        assert by_designation(str(sieve.designation)) is sieve
    for sieve in ISO:
        assert by_opening(sieve.opening_um, ISO_3310_1) is sieve


@pytest.mark.parametrize(
    ("typed", "opening_um"),
    [
        ("200", 75),
        ("No. 200", 75),
        ("no.200", 75),
        ("US 200", 75),
        ("#200", 75),
        (" 200 Mesh ", 75),
        ("3 1/2", 5600),
        ("3,5", 5600),
        ("3 1/2 in.", 90_000),
        ('3 1/2"', 90_000),
        ("1/2 in.", 12_500),
        ("0.5 inch", 12_500),
        ("5", 4000),
        ("0.265 in.", 6700),
    ],
)
def test_by_designation_reads_what_people_write(typed: str, opening_um: int) -> None:
    assert by_designation(typed).opening_um == opening_um


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("190", '"190": nearest are No. 200 (75 µm) or No. 170 (90 µm)'),
        ("0.6 in.", '"0.6 in.": nearest are 5/8 in. (16000 µm) or 0.530 in. (13200 µm)'),
    ],
)
def test_unknown_designation_names_the_nearest(typed: str, sentence: str) -> None:
    assert refusal(by_designation, typed) == f"no ASTM E11 sieve is called {sentence}"


@pytest.mark.parametrize(
    ("typed", "hint"),
    [
        ("75", "; an opening of 75 µm is No. 200"),
        ("1/2", "; inches are written 1/2 in."),
        ("150", "; Tyler 150 has the opening of No. 140 (106 µm); an opening of 150 µm is No. 100"),
    ],
)
def test_unknown_designation_says_what_else_was_meant(typed: str, hint: str) -> None:
    assert refusal(by_designation, typed).endswith(f" µm){hint}")


@pytest.mark.parametrize(
    "typed",
    [
        *("", "mesh", "x", "0", "0 in.", "1/0 in.", "-200", "+200 mesh", "No. 1/2 in.", "1e2"),
        *("75 µm", "9999999", "٢٠٠", "200 mesh mesh"),
    ],
)
def test_what_is_no_name_is_refused(typed: str) -> None:
    assert refusal(by_designation, typed) == (
        f'"{typed}" is no name of a sieve: accepted are 200, No. 200, 200 mesh, 1/2 in.'
    )


def test_iso_sieves_have_no_mesh() -> None:
    assert refusal(by_designation, "200", ISO_3310_1) == (
        'ISO 3310-1 names no sieve "200": accepted is the opening in µm, '
        "such as 75 for No. 200 of ASTM E11"
    )
    assert "accepted is the opening in µm" in refusal(by_designation, "190", ISO_3310_1)


@pytest.mark.parametrize(("number", "tyler"), [("30", "28"), ("140", "150"), ("230", "250")])
def test_a_us_number_is_not_the_tyler_mesh(number: str, tyler: str) -> None:
    sieve = by_designation(number)
    assert sieve.tyler == tyler
    sentence = refusal(by_designation, tyler)
    assert f"Tyler {tyler} has the opening of {sieves.label(sieve)}" in sentence


@pytest.mark.parametrize("typed", ["Tyler 28", "28 Tyler", "28 tyler"])
def test_tyler_mesh_is_refused_with_its_opening(typed: str) -> None:
    assert refusal(by_designation, typed) == (
        f'"{typed}" is no ASTM E11 number: Tyler 28 has the opening of No. 30 (600 µm)'
    )
    assert refusal(by_designation, typed.replace("28", "29")).endswith(
        "accepted is the opening in µm or the ASTM E11 number"
    )


def test_tyler_meshes_stand_at_openings_of_the_series_and_say_their_source() -> None:
    """Published openings of the Tyler chart, mm: 3.35 1.40 1.00 .853 .699 .599 .500 .422."""
    chart_um = [3350, 1400, 1000, 853, 699, 599, 500, 422]
    assert list(TYLER_PUBLISHED) == [sieves.nearest(um)[0].opening_um for um in chart_um]
    assert not TYLER_PUBLISHED.keys() & TYLER_FROM_MEMORY.keys()
    with_tyler = [sieve for sieve in ASTM if sieve.tyler is not None]
    assert len(with_tyler) == len(TYLER_PUBLISHED) + len(TYLER_FROM_MEMORY)
    meshes = [Fraction(str(sieve.tyler)) for sieve in with_tyler]
    assert meshes == sorted(set(meshes))
    assert sieves.tyler_is_published(by_designation("30"))
    assert not sieves.tyler_is_published(by_designation("140"))
    assert by_designation("100").tyler == "100"


@pytest.mark.parametrize(
    ("old_um", "number", "new_um"),
    [(74, "200", 75), (149, "100", 150), (177, "80", 180), (841, "20", 850)],
)
def test_opening_of_an_older_chart(old_um: int, number: str, new_um: int) -> None:
    assert refusal(by_opening, old_um) == (
        f"{old_um} µm is no ASTM E11 opening: "
        f"older charts print it for No. {number} ({new_um} µm); give {new_um}"
    )
    assert refusal(by_opening, old_um, ISO_3310_1).endswith(
        f"older charts print it for {new_um} µm; give {new_um}"
    )


def test_older_openings_are_near_those_that_replaced_them_and_are_none_themselves() -> None:
    openings = {sieve.opening_um for sieve in ASTM + ISO}
    for old_um, new_um in OLD_OPENINGS.items():
        assert old_um not in openings
        assert sieves.nearest(old_um)[0].opening_um == new_um


@pytest.mark.parametrize(
    ("um", "series", "hint"),
    [
        (0.075, ASTM_E11, "if millimetres were meant, give 75 for No. 200 (75 µm)"),
        (4.75, ASTM_E11, "if millimetres were meant, give 4750 for No. 4 (4750 µm)"),
        (
            80,
            ASTM_E11,
            "nearest are No. 200 (75 µm) or No. 170 (90 µm); ISO 3310-1 has it",
        ),
        (106.4, ISO_3310_1, "nearest are 106 µm or 112 µm"),
    ],
)
def test_unknown_opening_is_refused_with_a_hint(um: float, series: str, hint: str) -> None:
    assert refusal(by_opening, um, series) == f"{um:g} µm is no {series} opening: {hint}"


@pytest.mark.parametrize("um", [0, -75, math.nan, math.inf, -math.inf, 1_000_000, 10**400])
def test_what_is_no_opening_is_refused(um: float) -> None:
    accepted = f"opening {um} µm: accepted is a number of micrometres above 0 and below 1000000"
    for call in (by_opening, sieves.nearest, sieves.within_tolerance):
        assert refusal(call, um) == accepted


def test_nearest() -> None:
    assert [s.opening_um for s in sieves.nearest(80)] == [75, 90]
    assert [s.opening_um for s in sieves.nearest(75, n=3)] == [75, 63, 90]
    assert [s.opening_um for s in sieves.nearest(1, ISO_3310_1, n=1)] == [20]
    assert len(sieves.nearest(75, n=500)) == len(ASTM)
    # Nearness is a ratio: 43 is farther from 38 (1.13 times) than from 45 (1.05 times).
    assert [s.opening_um for s in sieves.nearest(43)] == [45, 38]
    assert refusal(sieves.nearest, 75, ASTM_E11, 0) == "0 nearest sieves: accepted is 1 or more"


def test_a_sieve_is_shown_with_its_opening() -> None:
    assert sieves.label(by_opening(75)) == "No. 200 (75 µm)"
    assert sieves.label(by_opening(75, ISO_3310_1)) == "75 µm"
    assert "ISO 3310-1 has it" in refusal(by_opening, 80)


@pytest.mark.parametrize(
    ("um", "series", "opening_um"),
    [
        (75, ASTM_E11, 75),
        (79.1, ASTM_E11, 75),
        (79.11, ASTM_E11, None),
        (70.9, ASTM_E11, 75),
        (70.89, ASTM_E11, None),
        (78.7, ISO_3310_1, 80),
        (37.1, ISO_3310_1, 38),
        (36.9, ISO_3310_1, 36),
    ],
)
def test_size_within_the_tolerance_of_a_sieve(
    um: float, series: str, opening_um: int | None
) -> None:
    """Limits by hand: No. 200 may average 75 - 4.1 to 75 + 4.1 µm."""
    found = sieves.within_tolerance(um, series)
    assert (None if found is None else found.opening_um) == opening_um


def test_tolerances_of_a_narrow_and_a_wide_fraction() -> None:
    """By hand: (4.1 + 5.2)/(106 - 75) = 9.3/31 = 0.30; (5.2 + 29.1)/(850 - 106) = 0.046."""
    fraction = sieves.size_fraction(by_opening(75), by_opening(106))
    assert fraction.width_um == 31
    assert fraction.width_tolerance_um == pytest.approx(9.3)
    assert fraction.tolerance_share == pytest.approx(0.30)
    assert fraction.largest_opening_um == 141
    assert sieves.tolerances_matter(fraction)
    assert sieves.tolerances_matter(fraction, limit=fraction.tolerance_share)
    assert not sieves.tolerances_matter(fraction, limit=0.31)
    fraction = sieves.size_fraction(by_opening(106), by_opening(850))
    assert fraction.tolerance_share == pytest.approx(0.0461, abs=0.0001)
    assert not sieves.tolerances_matter(fraction)


@pytest.mark.parametrize(
    ("lower_um", "upper_um", "series", "told_apart"),
    [
        (36, 38, ISO_3310_1, False),
        (6300, 6700, ASTM_E11, False),
        (20, 25, ASTM_E11, True),
    ],
)
def test_neighbours_may_be_too_close_to_tell_apart(
    lower_um: int, upper_um: int, series: str, *, told_apart: bool
) -> None:
    """Two sieves overlap when the finer may average as much as the coarser."""
    lower, upper = by_opening(lower_um, series), by_opening(upper_um, series)
    gap = (upper_um - upper.tolerance_mean_um) - (lower_um + lower.tolerance_mean_um)
    assert (gap > 0) is told_apart
    assert (sieves.size_fraction(lower, upper).tolerance_share < 1) is told_apart


@pytest.mark.parametrize(("lower_um", "upper_um"), [(106, 75), (75, 75)])
def test_size_fraction_refuses_the_wrong_order(lower_um: int, upper_um: int) -> None:
    assert refusal(sieves.size_fraction, by_opening(lower_um), by_opening(upper_um)) == (
        f"size fraction {lower_um} to {upper_um} µm: "
        "accepted is the finer sieve first, then the coarser"
    )


def test_importing_sieves_brings_nothing_heavy() -> None:
    code = """
import collections.abc, dataclasses, fractions, sys
before = set(sys.modules)
import assaybench.units.sieves
print(*sorted(set(sys.modules) - before))
"""
    root = Path(sieves.__file__).parents[2]
    printed = subprocess.check_output([sys.executable, "-c", code], text=True, cwd=root)
    brought = printed.split()
    assert "assaybench.units.sieves" in brought
    assert [name for name in brought if not name.startswith("assaybench")] == []
