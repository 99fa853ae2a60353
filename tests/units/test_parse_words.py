"""Shares, whole numbers, and the words of a line that make one figure or a list of them."""

from fractions import Fraction

import pytest

from assaybench.messages import BadInput
from assaybench.units import parse
from tests.units.typed_figures import refusal


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1%", Fraction(1, 100)),
        ("0,5 %", Fraction(1, 200)),
        ("5 ‰", Fraction(1, 200)),
        ("0.001%", Fraction(1, 100_000)),
        ("20%", Fraction(1, 5)),
    ],
)
def test_a_share_is_exact_and_the_ends_of_its_range_belong_to_it(
    text: str, value: Fraction
) -> None:
    assert parse.share(text, "an aim", 0.001, 20) == value


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("", '"" is not a share. Write it like 1% or 0.5 %.'),
        ("0.01", '"0.01" is not a share. Write it like 1% or 0.5 %.'),
        ("1 mg", '"1 mg" is not a share. Write it like 1% or 0.5 %.'),
        ("1e0%", '"1e0%" is not a share. Write it like 1% or 0.5 %.'),
        ("21 %", '"21 %" is out of range: an aim is from 0.001 % to 20 %.'),
        ("-1%", '"-1%" is out of range: an aim is from 0.001 % to 20 %.'),
        ("0%", '"0%" is out of range: an aim is from 0.001 % to 20 %.'),
        (
            "0.0000000001%",
            '"0.0000000001" is out of range: from 0.000000001 to 1000000000000 is accepted.',
        ),
        ("1" * 61, f'"{"1" * 40}…" is too long for a figure: at most 60 characters.'),
    ],
)
def test_what_is_no_share(text: str, line: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse.share(text, "an aim", 0.001, 20)
    assert refusal(caught.value) == line


def test_the_range_of_a_share_is_printed_without_an_exponent() -> None:
    with pytest.raises(BadInput) as caught:
        parse.share("11%", "a calibration", 0.000001, 10)
    assert (
        refusal(caught.value) == '"11%" is out of range: a calibration is from 0.000001 % to 10 %.'
    )


def test_whole_numbers() -> None:
    assert [parse.whole(text, 2, 1000) for text in ("2", " 10 ", "1000", "007")] == [2, 10, 1000, 7]


@pytest.mark.parametrize(
    "text", ["", "1", "1001", "-3", "+3", "3.0", "1e1", "٣", "three", "9" * 50]
)
def test_what_is_no_whole_number(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse.whole(text, 2, 1000)
    shown = f"{text[:40]}…" if len(text) > 40 else text
    assert refusal(caught.value) == f'"{shown}" is not a whole number from 2 to 1000.'


@pytest.mark.parametrize(
    ("tokens", "parts"),
    [
        (["0.31", "mg", "0.32", "mg"], ["0.31 mg", "0.32 mg"]),
        (["5", "lb", "kg"], ["5 lb", "kg"]),
        (["1.5", "ozt/short_ton", "g/t"], ["1.5 ozt/short_ton", "g/t"]),
        (["2", "oz/ton"], ["2 oz/ton"]),
        (["2", "mg/AT_short", "g/t"], ["2 mg/AT_short", "g/t"]),
        (["81.2", "84.0", "79.5"], ["81.2", "84.0", "79.5"]),
        (["81.2", "%", "84.0", "%"], ["81.2 %", "84.0 %"]),
        (["3.2", "±", "0.4", "g/t", "4.1", "±", "0.5", "g/t"], ["3.2 ± 0.4 g/t", "4.1 ± 0.5 g/t"]),
        (["3.2", "+-", "0.4", "g/t"], ["3.2 ± 0.4 g/t"]),
        (["3.2", "+/-", "0.4", "g/t"], ["3.2 ± 0.4 g/t"]),
        (["3.20(20)", "g/t", "ppm"], ["3.20(20) g/t", "ppm"]),
        (["<0.33", "g/t"], ["<0.33 g/t"]),
        (["3.2", "g/t", "±", "0.4", "g/t"], ["3.2 g/t ± 0.4 g/t"]),
        (["3.2", "g/t", "±", "5", "%"], ["3.2 g/t ± 5 %"]),
        (["±", "3"], ["±", "3"]),
        (["mg", "mg"], ["mg", "mg"]),
        (["No.", "80"], ["No.", "80"]),
        ([], []),
    ],
)
def test_tokens_of_one_figure_are_joined(tokens: list[str], parts: list[str]) -> None:
    assert parse.joined(tokens) == parts
    assert parse.joined(parts) == parts


@pytest.mark.parametrize(
    ("parts", "found"),
    [
        (["0.31", "0.32 mg"], ["0.31 mg", "0.32 mg"]),
        (["-0,01", "0,32mg"], ["-0,01 mg", "0,32mg"]),
        (["0.32 mg"], ["0.32 mg"]),
        (["0.31", "0.32"], ["0.31", "0.32"]),
        (["0.31 mg", "0.32"], ["0.31 mg", "0.32"]),
        (["0.31", "0.32 g", "0.33 mg"], ["0.31", "0.32 g", "0.33 mg"]),
        (["x", "0.32 mg"], ["x", "0.32 mg"]),
        ([], []),
    ],
)
def test_one_unit_behind_the_last_of_bare_numbers_is_that_of_all(
    parts: list[str], found: list[str]
) -> None:
    assert parse.one_unit(parts) == found


def test_words_of_one_argument() -> None:
    assert parse.words("81.2 84.0  79.5") == ["81.2", "84.0", "79.5"]
    assert parse.words("0,31 mg\t0,32 mg") == ["0,31 mg", "0,32 mg"]
    assert parse.words("3.2 +- 0.4 g/t 4 g/t") == ["3.2 ± 0.4 g/t", "4 g/t"]
    assert parse.words(" \t\n") == []


@pytest.mark.parametrize(
    ("token", "is_reading"),
    [
        ("-0.002mg", True),
        ("-.5", True),
        ("-,5", True),
        ("--zero", False),
        ("-h", False),
        ("-", False),
    ],
)
def test_a_reading_below_zero_is_no_option(token: str, *, is_reading: bool) -> None:
    assert parse.is_negative_figure(token) is is_reading


@pytest.mark.parametrize(
    ("texts", "comma"),
    [
        (["0,31 mg"], True),
        (["0.31 mg"], False),
        (["0,31", "0.32"], False),
        (["5"], False),
        ([], False),
    ],
)
def test_answers_use_the_decimal_mark_that_was_typed(texts: list[str], *, comma: bool) -> None:
    assert parse.uses_comma(texts) is comma
