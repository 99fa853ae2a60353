"""Gold grains: masses by sieve, expected numbers, and sizes as people type them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from assaybench.circuit.grains import (
    CLASSES,
    GOLD_DENSITY,
    SHAPE_FACTORS,
    Shape,
    Span,
    by_class,
    expected_grains,
    grain_mass_mg,
    largest_grain_mg,
    mass_of_classes,
    read_span,
    read_um,
    sieved_grain_mg,
    u_grains_mg,
    unseen_mg,
    weighed_grain_mg,
)
from assaybench.messages import BadInput

SHAPES: tuple[Shape, ...] = ("sphere", "flake")


def test_method_value_of_a_size_fraction() -> None:
    """Method version 1, test vectors: 106-250 µm, sphere, even in ln d."""
    assert sieved_grain_mg(106, 250) == pytest.approx(0.056666, abs=5e-7)


def test_printed_shape_factors_are_the_exact_ones_rounded() -> None:
    assert SHAPE_FACTORS["sphere"] == pytest.approx(0.52, abs=0.005)
    assert SHAPE_FACTORS["flake"] == pytest.approx(0.08, abs=0.005)


@pytest.mark.parametrize(
    ("um", "sphere_ug", "disc_ug"),
    [
        # π/6·d³·ρ and π/4·d²·(d/10)·ρ at 19.3 g/cm³, computed independently, three digits
        (38, 0.555, 0.083),
        (75, 4.26, 0.640),
        (106, 12.0, 1.81),
        (212, 96.3, 14.4),
        (425, 776, 116),
        (850, 6210, 931),
        (1700, 49700, 7450),
    ],
)
def test_grain_mass_by_sieve(um: float, sphere_ug: float, disc_ug: float) -> None:
    assert grain_mass_mg(um) * 1000 == pytest.approx(sphere_ug, rel=0.005)
    assert grain_mass_mg(um, "flake") * 1000 == pytest.approx(disc_ug, rel=0.005)


@given(st.floats(5, 2000), st.floats(1.01, 10), st.sampled_from(SHAPES))
def test_size_fraction_is_the_mean_over_ln_d(fine: float, ratio: float, kind: Shape) -> None:
    low, high = math.log(fine), math.log(fine * ratio)
    whole, _ = integrate.quad(lambda x: grain_mass_mg(math.exp(x), kind), low, high)
    assert sieved_grain_mg(fine, fine * ratio, kind) == pytest.approx(whole / (high - low))


def test_colours_of_an_ounce_lie_in_their_sieve_class() -> None:
    """12 000 fine colours to the troy ounce, 0.38-0.76 mm: a state placer circular."""
    mean_mg = 31103.4768 / 12000
    diameter_um = 1000 * (mean_mg / (SHAPE_FACTORS["sphere"] * GOLD_DENSITY)) ** (1 / 3)
    assert diameter_um == pytest.approx(635, abs=1)
    assert 380 < diameter_um < 760


def test_weighed_grains_one_nugget_rules() -> None:
    """5, 5, 5, 10, 50 mg: √Σm²/Σm is 68.96 %, computed independently."""
    masses = [5.0, 5.0, 5.0, 10.0, 50.0]
    grain = weighed_grain_mg(masses)
    assert math.sqrt(grain / sum(masses)) == pytest.approx(0.6896, abs=5e-5)
    assert u_grains_mg(75.0, grain) / 75.0 == pytest.approx(0.6896, abs=5e-5)


def test_none_found_is_never_nothing() -> None:
    assert unseen_mg(0.012) == pytest.approx(-math.log(0.05) * 0.012, rel=0.002)


@given(st.floats(1e-6, 1e3), st.floats(1e-4, 1e2))
def test_doubt_of_the_metal_is_one_over_the_root_of_its_grains(metal: float, grain: float) -> None:
    assert u_grains_mg(metal, grain) == pytest.approx(
        metal / math.sqrt(expected_grains(metal, grain))
    )


def test_the_largest_grain_alone_is_taken_as_a_wide_range_of_sizes() -> None:
    """g = 0.25 stands for d95/d5 above 4: metal even in ln d from d/4 to d has 0.237."""
    assert largest_grain_mg(1000) == pytest.approx(0.25 * grain_mass_mg(1000))
    assert sieved_grain_mg(250, 1000) / grain_mass_mg(1000) == pytest.approx(0.2367, abs=5e-5)


def test_grains_by_class_and_what_they_may_weigh() -> None:
    assert len(CLASSES) == len(by_class([5.0, 4.0, 1.0, 0.9, 0.1])) == 3
    assert by_class([5.0, 4.0, 1.0, 0.9, 0.1]) == (1, 2, 2)
    assert mass_of_classes(0, 2, 15) == (2.0, 23.0)
    assert mass_of_classes(3, 1, 0) == (13.0, None)


@given(st.lists(st.floats(0.001, 60), min_size=1, max_size=40))
def test_classes_hold_the_mass_of_weighed_grains(masses: list[float]) -> None:
    least, most = mass_of_classes(*by_class(masses))
    assert least <= math.fsum(masses) + 1e-9
    assert most is None or math.fsum(masses) <= most + 1e-9


@pytest.mark.parametrize(
    ("text", "span"),
    [
        ("106um:250um", Span(106.0, 250.0)),
        ("0.106 mm : 0,25 mm", Span(106.0, 250.0)),
        ("100 mesh", Span(None, 150.0)),
        ("200 mesh:60 mesh", Span(75.0, 250.0)),
        ("0.5mm", Span(None, 500.0)),
    ],
)
def test_sizes_are_read(text: str, span: Span) -> None:
    assert read_span(text) == span
    want = sieved_grain_mg(span.fine_um, span.coarse_um) if span.fine_um else None
    assert span.grain_mg() == (want or grain_mass_mg(span.coarse_um))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("250um:106um", "the fine size comes first"),
        ("1um:2um:3um", "is not a size"),
        ("0um", "is not above zero"),
        ("190 mesh", "no ASTM E11 sieve is called"),
        ("", "nothing was typed"),
        (":", "nothing was typed"),
        ("5 mg", "is a mass"),
        ("5", "has no unit"),
    ],
)
def test_sizes_that_cannot_be_read_are_named(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        read_span(text)


def test_one_size_is_not_two() -> None:
    with pytest.raises(BadInput):
        read_um("106um:250um")


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: sieved_grain_mg(250, 106), "coarse opening"),
        (lambda: sieved_grain_mg(0, 106), "fine opening"),
        (lambda: grain_mass_mg(100, density_g_cm3=-1), "density"),
        (lambda: grain_mass_mg(math.nan), "diameter"),
        (lambda: weighed_grain_mg([]), "one grain"),
        (lambda: weighed_grain_mg([1.0, 0.0]), "mass of a grain"),
        (lambda: expected_grains(1.0, 0.0), "mass of a grain"),
        (lambda: mass_of_classes(1, -1, 0), "a count"),
    ],
)
def test_bad_input_is_named(call: object, named: str) -> None:
    assert callable(call)
    with pytest.raises(ValueError, match=named):
        call()
