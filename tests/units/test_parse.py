"""What people type: every form accepted, every refusal with its sentence, nothing else."""

import time
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from functools import partial
from typing import TypeVar

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from assaybench.messages import BadInput
from assaybench.units import parse, write
from assaybench.units.parse import Typed
from assaybench.units.table import (
    ANYTHING,
    FRACTION,
    GRAM,
    MASS,
    MILLIGRAM,
    REFUSED,
    UNITS,
    Quantity,
    Unit,
)
from tests.strategies import any_text, magnitudes, near_figures

Result = TypeVar("Result")

EVERY: tuple[Quantity, ...] = (*ANYTHING, "mesh")
NUMBER: tuple[Quantity, ...] = ("number",)
MASSES = "mg, µg, g, kg, t, grain, dwt, ozt, oz_av, lb, short_ton, long_ton, AT_short, AT_long"
FRACTIONS = (
    "g/t, ppm, ppb, %, ‰, karat, ozt/short_ton, ozt/long_ton, ozt/t, "
    "dwt/short_ton, dwt/long_ton, grain/long_ton"
)
OUNCES = "ozt (troy ounce, 31.10 g) or oz_av (28.35 g)"
EXAMPLE = "Write it like 3.2 ± 0.4 g/t."


def outcome(reader: Callable[[], Result]) -> Result | BadInput:
    """What a reader makes of a text, or its refusal; any other exception is a fault."""
    try:
        return reader()
    except BadInput as fault:
        return fault


def refusal(fault: BadInput) -> str:
    assert len(fault.lines) == 1
    return fault.lines[0]


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


@given(any_text | near_figures, st.sampled_from([EVERY, MASS, FRACTION, ("number",)]))
@example("0.31\rmg", MASS)
@example("5 \u2028mg", MASS)
def test_any_text_is_a_figure_or_one_printable_line(
    text: str, wanted: tuple[Quantity, ...]
) -> None:
    typed = outcome(lambda: parse.figure(text, wanted))
    if isinstance(typed, Typed):
        assert typed.unit.quantity in wanted
        assert typed.value.is_finite()
        assert all(doubt is None or doubt > 0 for doubt in (typed.u, typed.expanded))
        assert typed.text.isprintable()
    else:
        assert refusal(typed).isprintable()
        assert refusal(typed)


@given(any_text | near_figures)
def test_any_text_is_a_share_a_whole_number_a_list_or_one_printable_line(text: str) -> None:
    for reader in (
        lambda: parse.share(text, "an aim", 0.001, 20),
        lambda: parse.whole(text, 2, 20),
        lambda: parse.number(text),
        lambda: parse.unit(text, MASS),
        lambda: parse.plain_figure(text, EVERY),
    ):
        found = outcome(reader)
        if isinstance(found, BadInput):
            assert refusal(found).isprintable()
    assert all(part.strip() for part in parse.words(text))


@given(any_text | near_figures)
def test_point_and_comma_are_equal(text: str) -> None:
    pointed, comma = (
        outcome(partial(parse.figure, marked, EVERY))
        for marked in (text.replace(",", "."), text.replace(".", ","))
    )
    if isinstance(pointed, Typed) and isinstance(comma, Typed):
        assert pointed[1:] == comma[1:]
    else:
        assert isinstance(pointed, BadInput)
        assert isinstance(comma, BadInput)


units = st.sampled_from([u for u in UNITS if u.symbol != "1"])


@given(st.floats(-1e6, 1e6), magnitudes(-4, 4), units)
def test_written_with_u_and_read_again_it_is_the_same(value: float, u: float, unit: Unit) -> None:
    text = write.parentheses(value, u, unit.symbol)
    typed = parse.figure(text, EVERY)
    assert typed.u is not None
    place = write.uncertainty_place(u)
    assert typed.value == Decimal(write.at_place(value, place))
    assert typed.u == Decimal(write.rounded_uncertainty(u, place))
    assert typed.unit is unit
    assert write.parentheses(typed.value, typed.u, unit.symbol) == text


@given(st.floats(-1e6, 1e6), magnitudes(-4, 4), units)
def test_written_with_plus_minus_and_read_again_it_is_the_same(
    value: float, expanded: float, unit: Unit
) -> None:
    text = write.plus_minus(value, expanded, unit.symbol)
    typed = parse.figure(text, EVERY)
    assert typed.expanded is not None
    shown, doubt = write.value_and_expanded(value, expanded)
    assert (typed.value, typed.expanded) == (Decimal(shown), Decimal(doubt))
    assert typed.unit is unit
    assert write.plus_minus(typed.value, typed.expanded, unit.symbol) == text


@given(st.decimals(-(10**6), 10**6, places=4), units)
def test_a_plain_figure_shown_and_read_again_is_the_same(value: Decimal, unit: Unit) -> None:
    typed = parse.figure(f"{value:f} {unit.symbol}", EVERY)
    assert parse.figure(typed.shown, EVERY)[1:] == typed[1:]
    assert typed.exact(unit) == Fraction(value)


@pytest.mark.parametrize(
    "text",
    [
        "9" * 100_000,
        "5" + "." * 100_000,
        "<" * 100_000,
        " " * 100_000,
        "5 " * 50_000,
        "5 ± " * 25_000,
        "5 " + "± " * 50_000,
        "(5) " * 25_000,
        "5 mg " * 20_000,
        "e\u0301" * 50_000,
        "1/" * 50_000,
    ],
    ids=lambda text: repr(text[:6]),
)
def test_a_huge_text_is_answered_at_once(text: str) -> None:
    started = time.process_time()
    for reader in (
        lambda: parse.figure(text, EVERY),
        lambda: parse.number(text),
        lambda: parse.share(text, "an aim", 0.001, 20),
        lambda: parse.whole(text, 2, 20),
    ):
        with pytest.raises(BadInput):
            reader()
    parse.words(text)
    parse.uses_comma([text])
    assert time.process_time() - started < 2
