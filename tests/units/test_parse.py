"""What people type for a figure: every form accepted, every refusal with its sentence."""

from decimal import Decimal
from fractions import Fraction

import pytest

from assaybench.messages import BadInput
from assaybench.units import parse
from assaybench.units.table import (
    FRACTION,
    GRAM,
    MASS,
    MILLIGRAM,
    REFUSED,
    Quantity,
)
from tests.units.typed_figures import EVERY, refusal

NUMBER: tuple[Quantity, ...] = ("number",)
MASSES = "mg, µg, g, kg, t, grain, dwt, ozt, oz_av, lb, short_ton, long_ton, AT_short, AT_long"
FRACTIONS = (
    "g/t, ppm, ppb, %, ‰, karat, ozt/short_ton, ozt/long_ton, ozt/t, "
    "dwt/short_ton, dwt/long_ton, grain/long_ton"
)
OUNCES = "ozt (troy ounce, 31.10 g) or oz_av (28.35 g)"
EXAMPLE = "Write it like 3.2 ± 0.4 g/t."


@pytest.mark.parametrize(
    ("text", "value", "symbol"),
    [
        ("0.31 mg", "0.31", "mg"),
        ("0,31mg", "0.31", "mg"),
        (" 0.31\tmg ", "0.31", "mg"),
        ("0.31\u00a0mg", "0.31", "mg"),
        ("-0.002 mg", "-0.002", "mg"),
        ("\N{MINUS SIGN}0.002 mg", "-0.002", "mg"),
        ("+5 mg", "5", "mg"),
        (".5 mg", "0.5", "mg"),
        (",5 mg", "0.5", "mg"),
        ("5. mg", "5", "mg"),
        ("0 mg", "0", "mg"),
        ("007 mg", "7", "mg"),
        ("3 µg", "3", "µg"),
        ("3 \N{GREEK SMALL LETTER MU}g", "3", "µg"),
        ("3 ug", "3", "µg"),
        ("1.5 ozt/short_ton", "1.5", "ozt/short_ton"),
        ("2 oz_t", "2", "ozt"),
        ("3 lbs", "3", "lb"),
        ("12 mg/kg", "12", "g/t"),
        ("12 µg/g", "12", "g/t"),
        ("58.3 %", "58.3", "%"),
        ("995 ‰", "995", "‰"),
        ("22 karat", "22", "karat"),
        ("75 microns", "75", "um"),
        ("200 mesh", "200", "mesh"),
        ("81.2", "81.2", "1"),
        ("1000000000000 g", "1000000000000", "g"),
        ("0.000000001 g", "0.000000001", "g"),
    ],
)
def test_a_plain_figure(text: str, value: str, symbol: str) -> None:
    typed = parse.figure(text, EVERY)
    assert (typed.value, typed.unit.symbol) == (Decimal(value), symbol)
    assert (typed.u, typed.expanded, typed.below) == (None, None, False)
    assert parse.plain_figure(text, EVERY) == typed


@pytest.mark.parametrize(
    ("text", "value", "expanded"),
    [
        ("3.2 ± 0.4 g/t", "3.2", "0.4"),
        ("3,2±0,4g/t", "3.2", "0.4"),
        ("3.2 +- 0.4 g/t", "3.2", "0.4"),
        ("3.2 +/- 0.4 g/t", "3.2", "0.4"),
        ("(3.2 ± 0.4) g/t", "3.2", "0.4"),
        ("(3.2±0.4)g/t", "3.2", "0.4"),
        ("3.2 g/t ± 0.4 g/t", "3.2", "0.4"),
        ("3.2 g/t ± 0.4", "3.2", "0.4"),
        ("3.2 g/t ± 0.4 mg/kg", "3.2", "0.4"),
        ("3.2 g/t ± 5 %", "3.2", "0.16"),
        ("3.2 g/t ±5%", "3.2", "0.16"),
        ("-3.2 g/t ± 5 %", "-3.2", "0.16"),
        ("58.3 % ± 0.2 %", "58.3", "0.2"),
        ("58.3 ± 0.2 %", "58.3", "0.2"),
        ("-0.1 ± 0.3 g/t", "-0.1", "0.3"),
    ],
)
def test_behind_plus_minus_stands_the_expanded_uncertainty(
    text: str, value: str, expanded: str
) -> None:
    typed = parse.figure(text, FRACTION)
    assert (typed.value, typed.expanded, typed.u) == (Decimal(value), Decimal(expanded), None)


@pytest.mark.parametrize(
    ("text", "value", "u"),
    [
        # GUM 7.2.2, forms 2 and 3, and 7.2.6.
        ("100.02147(35) g", "100.02147", "0.00035"),
        ("100.02147(0.00035) g", "100.02147", "0.00035"),
        ("10.058(27) g", "10.058", "0.027"),
        ("3.20(20) g", "3.20", "0.20"),
        ("3,20(20) g", "3.20", "0.20"),
        ("320(20) g", "320", "20"),
        ("10.0(1.2) g", "10.0", "1.2"),
        ("10,0(1,2)g", "10.0", "1.2"),
        ("-0.002(1) g", "-0.002", "0.001"),
    ],
)
def test_in_parentheses_stands_the_standard_uncertainty(text: str, value: str, u: str) -> None:
    typed = parse.figure(text, MASS)
    assert (typed.value, typed.u, typed.expanded) == (Decimal(value), Decimal(u), None)


@pytest.mark.parametrize("text", ["<0.33 g/t", "< 0.33 g/t", "<0,33g/t", " <0.33 g/t"])
def test_a_limit(text: str) -> None:
    typed = parse.figure(text, FRACTION)
    assert typed.below
    assert typed.value == Decimal("0.33")


def test_typed_digits_are_kept_and_counted() -> None:
    typed = parse.figure("0,3100 mg", MASS)
    assert typed.decimals == 4
    assert typed.shown == "0.3100 mg"
    assert typed.last_place(MILLIGRAM) == Fraction(1, 10_000)
    assert typed.last_place(GRAM) == Fraction(1, 10_000_000)
    assert typed.exact(GRAM) == Fraction(31, 100_000)
    assert typed.scaled(Decimal("0.02"), GRAM) == Fraction(2, 100_000)
    assert parse.figure("81.20", NUMBER).shown == "81.20"


UNIT_FAULTS: list[tuple[str, tuple[Quantity, ...], str]] = [
    ("5 oz", MASS, f'"oz" is not clear. Write {OUNCES}.'),
    ("5 OZ", MASS, f'"OZ" is not clear. Write {OUNCES}.'),
    ("5 ounces", MASS, f'"ounces" is not clear. Write {OUNCES}.'),
    ("3 gr", MASS, '"gr" is not clear. Write g (gram) or grain (0.0648 g).'),
    ("3 Mg", MASS, '"Mg" is not clear. Write mg (milligram) or t (tonne).'),
    ("3 gpt", FRACTION, '"gpt" is not clear. Write g/t (grams per tonne).'),
    ("3 wombats", MASS, f'"wombats" is not a unit here. Write {MASSES}.'),
    ("3 mG", MASS, '"mG" is not a unit here. Write mg.'),
    ("3 tonn", MASS, '"tonn" is not a unit here. Write tonne or tonnes.'),
    ("3 g/t g", FRACTION, '"g/t g" is not a unit here. Write g/t.'),
    ("3 m\x1bg", FRACTION, f'"m·g" is not a unit here. Write {FRACTIONS}.'),
    ("5 mg", FRACTION, f'"mg" is a mass; a mass fraction is asked for here: {FRACTIONS}.'),
    ("5 %", MASS, f'"%" is a mass fraction; a mass is asked for here: {MASSES}.'),
    (
        "5 mg",
        ("length", "mesh"),
        '"mg" is a mass; a length or a mesh is asked for here: um, mm, mesh.',
    ),
    ("5", MASS, f'"5" has no unit. Write it behind the number: {MASSES}.'),
    ("5 ± 1", MASS, f'"5 ± 1" has no unit. Write it behind the number: {MASSES}.'),
    ("5 mg", ("number",), '"5 mg": a bare number is asked for here, without a unit.'),
]


@pytest.mark.parametrize(("text", "wanted", "line"), UNIT_FAULTS)
def test_refused_for_its_unit(text: str, wanted: tuple[Quantity, ...], line: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse.figure(text, wanted)
    assert refusal(caught.value) == line


@pytest.mark.parametrize("spelling", sorted(REFUSED))
def test_every_unclear_unit_is_refused_with_its_choices(spelling: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse.figure(f"3 {spelling}", EVERY)
    assert refusal(caught.value) == f'"{spelling}" is not clear. Write {REFUSED[spelling]}.'


NUMBER_FAULTS = [
    ("", "nothing was typed; a figure such as 3.2 g/t is asked for."),
    (" \t ", "nothing was typed; a figure such as 3.2 g/t is asked for."),
    ("abc", '"abc" is not a figure. Write it like 3.2 g/t.'),
    ("g/t", '"g/t" is not a figure. Write it like 3.2 g/t.'),
    ("± 3 g/t", '"± 3 g/t" is not a figure. Write it like 3.2 g/t.'),
    ("1 234 g/t", '"1 234 g/t" is not a figure. Write it like 3.2 g/t.'),
    ("5 3g/t", '"5 3g/t" is not a figure. Write it like 3.2 g/t.'),
    ("--5 g/t", '"--5 g/t" is not a figure. Write it like 3.2 g/t.'),
    ("5 - 3 ± g/t", '"5 - 3 ± g/t" is not a figure. Write it like 3.2 g/t.'),
    ("3.2 ± g/t", '"3.2 ± g/t" is not a figure. Write it like 3.2 g/t.'),
    ("3.2(0 g/t", '"3.2(0 g/t" is not a figure. Write it like 3.2 g/t.'),
    (">3.2 g/t", '">3.2 g/t" is not a figure. Write it like 3.2 g/t.'),
    ("nan g/t", '"nan g/t" is not a figure. Write it like 3.2 g/t.'),
    ("\N{ARABIC-INDIC DIGIT THREE} g/t", '"٣ g/t" is not a figure. Write it like 3.2 g/t.'),
    ("\ud800", '"·" is not a figure. Write it like 3.2 g/t.'),
    (
        "1,234.5 g/t",
        '"1,234.5 g/t" has a point and a comma. Use one decimal mark, no thousands mark.',
    ),
    ("1.2.3 g/t", '"1.2.3 g/t" has two decimal marks. Use one, and no thousands mark.'),
    ("1,2,3 g/t", '"1,2,3 g/t" has two decimal marks. Use one, and no thousands mark.'),
    ("1e5 g/t", '"1e5 g/t" is written with an exponent. Write it out, like 0.0031.'),
    ("3.1E-3 g/t", '"3.1E-3 g/t" is written with an exponent. Write it out, like 0.0031.'),
    (
        "1000000000001 g/t",
        '"1000000000001" is out of range: from 0.000000001 to 1000000000000 is accepted.',
    ),
    (
        "0.0000000001 g/t",
        '"0.0000000001" is out of range: from 0.000000001 to 1000000000000 is accepted.',
    ),
    ("3 ± 0 g/t", '"3 ± 0 g/t": its ±, or u in parentheses, must be above zero.'),
    ("3 ± -1 g/t", '"3 ± -1 g/t": its ±, or u in parentheses, must be above zero.'),
    ("3.20(00) g/t", '"3.20(00) g/t": its ±, or u in parentheses, must be above zero.'),
    ("0 g/t ± 5 %", '"0 g/t ± 5 %": its ±, or u in parentheses, must be above zero.'),
    ("3(1) ± 1 g/t", f'"3(1) ± 1 g/t" is not a figure. {EXAMPLE}'),
    ("<3 ± 1 g/t", f'"<3 ± 1 g/t" is not a figure. {EXAMPLE}'),
    ("<3(1) g/t", f'"<3(1) g/t" is not a figure. {EXAMPLE}'),
    ("3 ± 1 g/t ± 2", f'"3 ± 1 g/t ± 2" is not a figure. {EXAMPLE}'),
    ("3 g/t ± 1 ppm", f'"3 g/t ± 1 ppm" is not a figure. {EXAMPLE}'),
    ("3 g/t ± 1 ‰", f'"3 g/t ± 1 ‰" is not a figure. {EXAMPLE}'),
    (
        "9" * 61,
        f'"{"9" * 40}…" is too long for a figure: at most 60 characters.',
    ),
]


@pytest.mark.parametrize(("text", "line"), NUMBER_FAULTS)
def test_refused_for_its_number(text: str, line: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse.figure(text, FRACTION, example="3.2 g/t")
    assert refusal(caught.value) == line


@pytest.mark.parametrize("text", ["<-0.3 g/t", "<0 g/t", "< -1 %"])
def test_a_limit_that_leaves_no_room_for_metal_is_refused(text: str) -> None:
    """Nothing can be below zero grams of metal: `<-0.3` is a slip of the hand."""
    with pytest.raises(BadInput) as caught:
        parse.figure(text, FRACTION)
    assert refusal(caught.value) == f'"{text}" is not above zero; a limit must be.'


@pytest.mark.parametrize("text", ["3 ± 1 g/t", "3(1) g/t", "<3 g/t", "3 g/t ± 5 %"])
def test_a_plain_figure_carries_nothing(text: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse.plain_figure(text, FRACTION)
    line = f'"{text}": write the figure alone, without ±, parentheses or <.'
    assert refusal(caught.value) == line
