"""Check weights by class: the table, what follows from it, and what is refused."""

import math
from fractions import Fraction
from itertools import pairwise

import pytest

from assaybench.metrology.weights import CLASSES, Weight, weight, weights
from assaybench.units import write


@pytest.mark.parametrize(
    ("weight_class", "nominal_mg", "mpe"),
    [
        ("E2", 1, "0.006"),
        ("F1", 10, "0.025"),
        ("F2", 200, "0.20"),
        ("M1", 500_000, "25"),
        ("E1", 500, "0.008"),
        ("M1", 5, "0.20"),
    ],
)
def test_look_up(weight_class: str, nominal_mg: int, mpe: str) -> None:
    """OIML R 111-1:2004, Table 1."""
    found = weight(weight_class, nominal_mg)
    assert found == Weight(weight_class, Fraction(nominal_mg), Fraction(mpe))
    assert isinstance(found.mpe_mg, Fraction)


def test_every_class_has_eighteen_weights_from_one_milligram_to_half_a_kilogram() -> None:
    for weight_class in CLASSES:
        found = weights(weight_class)
        masses = [w.nominal_mg for w in found]
        assert len(found) == 18
        assert masses == [n * Fraction(10) ** e for e in range(6) for n in (1, 2, 5)]
        assert {w.weight_class for w in found} == {weight_class}


def test_a_heavier_weight_is_never_allowed_a_smaller_error() -> None:
    for weight_class in CLASSES:
        errors = [w.mpe_mg for w in weights(weight_class)]
        assert errors == sorted(errors)
        assert errors[0] < errors[-1]


def test_from_100_g_on_the_error_is_in_proportion_within_the_rounding_of_the_table() -> None:
    for weight_class in CLASSES:
        shares = [w.mpe_mg / w.nominal_mg for w in weights(weight_class)][-3:]
        assert max(shares) <= min(shares) * Fraction(107, 100)


def test_each_class_allows_about_three_times_the_error_of_the_one_before() -> None:
    """The classes step by √10; from 100 mg down E1 and E2 step by less, to 2."""
    for finer, coarser in pairwise(CLASSES):
        for a, b in zip(weights(finer), weights(coarser), strict=True):
            assert 2 <= b.mpe_mg / a.mpe_mg <= Fraction(10, 3)


def digits_of(printed: str) -> int:
    return len(printed.replace(".", "").lstrip("0"))


@pytest.mark.parametrize(
    ("weight_class", "nominal_mg", "per_cent"),
    [
        ("E2", 1, "0.35"),
        ("F1", 1, "1.15"),
        ("F2", 1, "3.5"),
        ("M1", 1, "11.5"),
        ("E2", 10, "0.046"),
    ],
)
def test_a_small_weight_is_a_poor_check(weight_class: str, nominal_mg: int, per_cent: str) -> None:
    """u_ref = MPE/√3 as a share of the mass; the shares of these weights to the printed digits."""
    found = weight(weight_class, nominal_mg)
    assert found.u_ref_mg == pytest.approx(float(found.mpe_mg) / math.sqrt(3), rel=1e-15)
    assert write.significant(found.u_ref_mg / nominal_mg * 100, digits_of(per_cent)) == per_cent


@pytest.mark.parametrize("nominal", [20, 20.0, Fraction(20)])
def test_the_mass_may_be_any_kind_of_number(nominal: float | Fraction) -> None:
    assert weight(" f1 ", nominal) == Weight("F1", Fraction(20), Fraction("0.03"))


def test_labels() -> None:
    assert weight("E2", 10).label == "10 mg E2"
    assert weight("F1", 2000).label == "2 g F1"


@pytest.mark.parametrize("weight_class", ["E3", "M2", "", "1"])
def test_an_unknown_class_is_refused_with_the_choices(weight_class: str) -> None:
    with pytest.raises(
        ValueError, match=rf'^"{weight_class}" is no class .*accepted is E1, E2, F1, F2 or M1'
    ):
        weight(weight_class, 10)
    with pytest.raises(ValueError, match="is no class"):
        weights(weight_class)


@pytest.mark.parametrize(
    ("nominal_mg", "sentence"),
    [
        (3, "3 mg is no nominal mass of a check weight: accepted is 2 mg or 5 mg"),
        (10.1, "10.1 mg is no nominal mass of a check weight: accepted is 10 mg or 20 mg"),
        (700, "700 mg is no nominal mass of a check weight: accepted is 500 mg or 1 g"),
        (0.5, "0.5 mg is no nominal mass of a check weight: accepted is 1 mg to 500 g"),
        (-1, "-1 mg is no nominal mass of a check weight: accepted is 1 mg to 500 g"),
        (1e6, "1000 g is no nominal mass of a check weight: accepted is 1 mg to 500 g"),
        (math.nan, "nan mg is no nominal mass of a check weight: accepted is 1 mg to 500 g"),
        (math.inf, "inf mg is no nominal mass of a check weight: accepted is 1 mg to 500 g"),
    ],
)
def test_another_mass_is_refused_with_the_nearest(nominal_mg: float, sentence: str) -> None:
    with pytest.raises(ValueError, match=f"^{sentence}") as caught:
        weight("E2", nominal_mg)
    assert "\n" not in str(caught.value)
