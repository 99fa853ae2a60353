"""Rounding for people: GUM 7.2.6, ties in decimal, one rounding, never an exponent."""

import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assaybench.units import write
from tests.strategies import magnitudes

signed = st.builds(lambda sign, size: sign * size, st.sampled_from([-1.0, 1.0]), magnitudes(-12, 9))


def decimals(text: str) -> int:
    return len(text.partition(".")[2])


def place_of(text: str) -> int:
    """Exponent of the last significant place of an uncertainty as printed."""
    exponent = Decimal(text).as_tuple().exponent
    assert isinstance(exponent, int)
    return exponent if "." in text else len(text) - len(text.rstrip("0"))


@pytest.mark.parametrize(
    ("value", "u", "unit", "text"),
    [
        # GUM 7.2.6: y = 10.057 62 Ω with u_c = 27 mΩ is rounded to 10.058 Ω.
        (10.05762, 0.027, "Ω", "10.058(27) Ω"),
        # NIST Technical Note 1297, 7.2 (GUM 7.2.2): the 100 g standard, u_c = 0.35 mg.
        (100.02147, 0.00035, "g", "100.02147(35) g"),
        (3.2, 0.2, "g/t", "3.20(20) g/t"),
        (10.04, 1.23, "g/t", "10.0(1.2) g/t"),
        (4562.0, 123.0, "g/t", "4560(120) g/t"),
        (5.0, 0.0996, "1", "5.00(10)"),
        (-0.0021, 0.001, "mg", "-0.0021(10) mg"),
        (0.5, 27, "g", "0(27) g"),
    ],
)
def test_value_with_standard_uncertainty(value: float, u: float, unit: str, text: str) -> None:
    assert write.parentheses(value, u, unit) == text


@pytest.mark.parametrize(
    ("value", "expanded", "text"),
    [
        # NIST Technical Note 1297, 7.2 (GUM 7.2.4): (100.021 47 ± 0.000 70) g.
        (100.02147, 0.0007, "100.02147 ± 0.00070 g"),
        (100.02147, 0.00079, "100.02147 ± 0.00079 g"),
        # GUM 7.2.6: 28.05 may be rounded down to 28.
        (1000.0, 28.05, "1000 ± 28 g"),
        (54.331, 0.0521, "54.331 ± 0.052 g"),
        (3.2, 0.0996, "3.20 ± 0.10 g"),
        (3.2, 0.0994, "3.200 ± 0.099 g"),
        (3.2, 99.6, "0 ± 100 g"),
        (-0.004, 1.0, "0.0 ± 1.0 g"),
    ],
)
def test_value_with_expanded_uncertainty(value: float, expanded: float, text: str) -> None:
    assert write.plus_minus(value, expanded, "g") == text


@pytest.mark.parametrize(
    ("number", "exponent", "text"),
    [
        # ISO 80000-1:2009, B.3, rule A: ties to even (from memory).
        (12.25, -1, "12.2"),
        (12.35, -1, "12.4"),
        (-12.25, -1, "-12.2"),
        (0.35, -1, "0.4"),
        (0.45, -1, "0.4"),
        (2.5, 0, "2"),
        (3.5, 0, "4"),
        (1250, 2, "1200"),
        (0.3142, -2, "0.31"),
        (0.1 + 0.2, -3, "0.300"),
        (Fraction(1, 3), -4, "0.3333"),
        (Decimal("1.005"), -2, "1.00"),
        (-0.0004, -3, "0.000"),
        (-0.4, 0, "0"),
        (0, -2, "0.00"),
        (7, -2, "7.00"),
    ],
)
def test_a_value_at_a_place(number: float | Fraction | Decimal, exponent: int, text: str) -> None:
    assert write.at_place(number, exponent) == text


@pytest.mark.parametrize(
    ("u", "exponent", "text"),
    [
        (0.35, -1, "0.4"),
        (0.25, -1, "0.3"),
        (0.45, -1, "0.5"),
        (0.349, -1, "0.3"),
        (0.0995, -3, "0.100"),
    ],
)
def test_a_tie_of_an_uncertainty_goes_up(u: float, exponent: int, text: str) -> None:
    assert write.rounded_uncertainty(u, exponent) == text


@pytest.mark.parametrize(
    ("u", "finest", "exponent"),
    [
        (0.027, None, -3),
        (0.0996, None, -2),
        (0.0994, None, -3),
        (27.0, None, 0),
        (123.0, None, 1),
        # readings to 0.01 mg: no third decimal of U, but one digit at least
        (0.0234, -2, -2),
        (0.234, -2, -2),
        (0.234, -1, -1),
        (2.34, -2, -1),
        (0.00234, -2, -3),
        (0.0096, -2, -3),
        (0.00996, -2, -2),
        (0.996, 0, 0),
    ],
)
def test_place_of_an_uncertainty(u: float, finest: int | None, exponent: int) -> None:
    assert write.uncertainty_place(u, finest=finest) == exponent


@pytest.mark.parametrize("u", [0.0, -0.1, Fraction(0), Decimal(-1)])
def test_an_uncertainty_of_nothing_cannot_be_written(u: float | Fraction | Decimal) -> None:
    with pytest.raises(ValueError, match="an uncertainty must be above zero to be written"):
        write.uncertainty_place(u)


@pytest.mark.parametrize(
    "number", [math.inf, -math.inf, math.nan, Decimal("Infinity"), Decimal("NaN")]
)
def test_only_a_finite_number_is_written(number: float | Decimal) -> None:
    with pytest.raises(ValueError, match="only a finite number can be written"):
        write.decimal_of(number)


@pytest.mark.parametrize(
    ("number", "digits", "padded", "short"),
    [
        (0.05, 2, "0.050", "0.05"),
        (0.0996, 2, "0.10", "0.1"),
        (9.96, 2, "10", "10"),
        (99.6, 2, "100", "100"),
        (1234.5678, 6, "1234.57", "1234.57"),
        (1200, 6, "1200.00", "1200"),
        (1234567, 3, "1230000", "1230000"),
        (-0.0031, 2, "-0.0031", "-0.0031"),
        (0, 3, "0", "0"),
        (1e-12, 2, "0.0000000000010", "0.000000000001"),
        (Fraction(240, 7), 5, "34.286", "34.286"),
    ],
)
def test_significant_digits(number: float | Fraction, digits: int, padded: str, short: str) -> None:
    assert write.significant(number, digits) == padded
    assert write.short(number, digits) == short


@pytest.mark.parametrize(
    ("share", "text"), [(0.0217, "2.2"), (0.01, "1.0"), (1, "100"), (0.000123, "0.012"), (0, "0")]
)
def test_a_share_in_per_cent(share: float, text: str) -> None:
    assert write.percent(share) == text


def test_the_unit_one_is_not_written() -> None:
    assert write.with_unit("3", "1") == "3"
    assert write.with_unit("3", "g/t") == "3 g/t"


@given(signed, magnitudes(-9, 9), st.none() | st.integers(-6, 3))
def test_value_and_uncertainty_end_at_the_same_place(
    value: float, expanded: float, finest: int | None
) -> None:
    assume(expanded > abs(value) * 1e-9)  # a binary number is cut off at twelve digits
    shown, doubt = write.value_and_expanded(value, expanded, finest=finest)
    assert decimals(shown) == decimals(doubt)
    place = write.uncertainty_place(expanded, finest=finest)
    assert place <= place_of(doubt)
    assert 1 <= len(str(int(Decimal(doubt).scaleb(-place)))) <= 2
    assert abs(Decimal(shown) - Decimal(repr(value))) <= Decimal("0.5000001").scaleb(place)
    assert abs(Decimal(doubt) - Decimal(repr(expanded))) <= Decimal("0.5000001").scaleb(place)


@given(signed, magnitudes(-9, 9), st.none() | st.integers(-6, 3))
def test_writing_what_was_written_changes_nothing(
    value: float, expanded: float, finest: int | None
) -> None:
    once = write.value_and_expanded(value, expanded, finest=finest)
    shown, doubt = (Decimal(text) for text in once)
    assert write.value_and_expanded(shown, doubt, finest=finest) == once


@given(magnitudes(-9, 9), st.integers(-6, 3))
def test_the_finest_place_is_kept_unless_no_digit_would_be_left(u: float, finest: int) -> None:
    free, bound = write.uncertainty_place(u), write.uncertainty_place(u, finest=finest)
    assert bound == (free if finest <= free else min(finest, free + 1))
    assert Decimal(write.rounded_uncertainty(u, bound)) > 0


@given(signed | st.integers(-(10**15), 10**15) | st.fractions(), st.integers(1, 12))
def test_never_an_exponent_and_never_a_negative_zero(number: float | Fraction, digits: int) -> None:
    for text in (
        write.significant(number, digits),
        write.short(number, digits),
        write.at_place(number, -digits),
        write.percent(number, digits),
    ):
        assert set(text) <= set("-.0123456789")
        assert not (text.startswith("-") and Decimal(text) == 0)


@given(signed, st.integers(1, 12))
def test_short_is_within_half_a_digit_and_loses_only_zeros(number: float, digits: int) -> None:
    text = write.short(number, digits)
    assert Decimal(text) == Decimal(write.significant(number, digits))
    assert float(text) == pytest.approx(number, rel=0.50001 * 10.0 ** (1 - digits))
    assert not ("." in text and text.endswith(("0", ".")))


def test_exact_numbers_keep_every_digit_their_uncertainty_reaches() -> None:
    """A typed or converted number is exact: only binary fractions carry noise to be cut off."""
    value, u = Decimal("1.23456789012345"), Decimal("0.00000000000010")
    assert write.parentheses(value, u, "g") == "1.23456789012345(10) g"
    assert write.parentheses(Fraction(value) * 1000, u * 1000, "mg") == "1234.56789012345(10) mg"
