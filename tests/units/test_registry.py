"""The unit registry: exact, closed, and without the two traps of pint's own."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.messages import BadInput
from assaybench.units.registry import converted, registry, resolve
from assaybench.units.table import BY_SPELLING, REFUSED, UNITS, Unit
from tests.strategies import any_text, near_figures

MASSES = [u for u in UNITS if u.quantity == "mass"]
TWO_MASSES = (
    "is not a unit here. Write two masses such as "
    "mg, µg, g, kg, t, grain, dwt, ozt, oz_av, lb, short_ton, long_ton, AT_short, AT_long."
)
OUNCES = "ozt (troy ounce, 31.10 g) or oz_av (28.35 g)"


def refusal(text: str) -> str:
    with pytest.raises(BadInput) as caught:
        resolve(text)
    assert len(caught.value.lines) == 1
    return caught.value.lines[0]


def test_pint_as_it_comes_takes_a_bare_ounce_per_ton_for_another_grade() -> None:
    """The reason for a registry of our own: 31.25 g/t where the trade means 34.29 g/t."""
    theirs: pint.UnitRegistry[float] = pint.UnitRegistry()
    assert theirs.Quantity(1.0, "oz/ton").to("g/t").magnitude == pytest.approx(31.25, rel=1e-12)
    assert float(BY_SPELLING["ozt/short_ton"].size) == pytest.approx(34.2857142857, rel=1e-11)
    assert theirs.Quantity(1.0, "ton").to("kg").magnitude == pytest.approx(907.18474, rel=1e-12)


@pytest.mark.parametrize("name", ["oz", "ounce", "ton", "gr", "AT", "carat", "mesh", "metre"])
def test_ours_does_not_know_such_a_name_at_all(name: str) -> None:
    with pytest.raises(pint.UndefinedUnitError):
        registry().Quantity(Fraction(1), name)


def test_made_once() -> None:
    assert registry() is registry()


@pytest.mark.parametrize("spelling", sorted(set(BY_SPELLING) - {"1"}))
def test_every_spelling_of_the_list_is_its_unit(spelling: str) -> None:
    assert resolve(spelling) is BY_SPELLING[spelling]


@pytest.mark.parametrize(
    ("text", "grams_per_tonne"),
    [
        ("mg/AT_short", Fraction(240, 7)),
        ("mg/AT_long", Fraction(1500, 49)),
        ("oz_av/short_ton", Fraction("31.25")),
        ("g/kg", Fraction(1000)),
        ("μg/g", Fraction(1)),
        ("mg/mg", Fraction(10**6)),
        ("lbs/tonne", Fraction("453.59237")),
    ],
)
def test_one_mass_over_another(text: str, grams_per_tonne: Fraction) -> None:
    unit = resolve(text)
    assert unit.size == grams_per_tonne
    assert type(unit.size) is Fraction
    assert unit.quantity == "mass fraction"
    assert unit.source.strip()
    assert converted(Fraction(3), unit, BY_SPELLING["g/t"]) == 3 * grams_per_tonne


@given(st.sampled_from(MASSES), st.sampled_from(MASSES), st.fractions(-(10**6), 10**6))
def test_there_and_back_is_exactly_the_same(above: Unit, below: Unit, value: Fraction) -> None:
    unit = resolve(f"{above.symbol}/{below.symbol}")
    grade = BY_SPELLING["g/t"]
    assert converted(converted(value, unit, grade), grade, unit) == value


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("oz", f'"oz" is not clear. Write {OUNCES}.'),
        ("OZ", f'"OZ" is not clear. Write {OUNCES}.'),
        ("mg/oz", f'"oz" is not clear. Write {OUNCES}.'),
        (
            "lb/ton",
            '"ton" is not clear. Write t (1000 kg), short_ton (2000 lb) or long_ton (2240 lb).',
        ),
        ("mg/wombat", f'"mg/wombat" {TWO_MASSES}'),
        ("mm/um", f'"mm/um" {TWO_MASSES}'),
        ("a/b/c", f'"a/b/c" {TWO_MASSES}'),
    ],
)
def test_refusals(text: str, line: str) -> None:
    assert refusal(text) == line


@pytest.mark.parametrize("text", ["1", "", "wombat", "mg g", "mg*g", "__import__", "mg**2", "2"])
def test_what_is_no_unit_is_named_and_the_list_shown(text: str) -> None:
    line = refusal(text)
    assert line.startswith(f'"{text}" is not a unit here. Write mg, ')


@pytest.mark.parametrize("text", sorted(REFUSED))
def test_every_unclear_unit_is_refused_with_its_choices(text: str) -> None:
    assert refusal(text) == f'"{text}" is not clear. Write {REFUSED[text]}.'


@given(any_text | near_figures)
def test_any_text_is_a_unit_or_one_printable_line(text: str) -> None:
    try:
        lines: tuple[str, ...] = (resolve(text).symbol,)
    except BadInput as fault:
        lines = fault.lines
    assert len(lines) == 1
    assert lines[0].isprintable()


def test_another_quantity_cannot_be_reached() -> None:
    with pytest.raises(BadInput) as caught:
        converted(Fraction(1), BY_SPELLING["mg"], BY_SPELLING["g/t"])
    line = '"mg" cannot become g/t: one is a mass, the other a mass fraction.'
    assert caught.value.lines == (line,)
