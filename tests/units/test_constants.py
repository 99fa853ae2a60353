"""Constants and the closed list of units: exact, sourced, and the same in pint's registry."""

import re
from collections import Counter
from fractions import Fraction

import pytest

from assaybench.units import constants, registry, table
from assaybench.units.constants import Constant
from assaybench.units.table import BY_SPELLING, REFUSED, UNITS, Unit

CONSTANTS = [found for found in vars(constants).values() if isinstance(found, Constant)]
KNOWN = {constant.symbol: constant for constant in CONSTANTS}


def symbol_of(record: Constant | Unit) -> str:
    return record.symbol


@pytest.mark.parametrize("record", [*CONSTANTS, *UNITS], ids=symbol_of)
def test_says_what_it_is_and_where_it_comes_from(record: Constant | Unit) -> None:
    assert record.symbol.strip()
    assert record.name.strip()
    assert len(record.source.strip()) >= 8


@pytest.mark.parametrize("constant", CONSTANTS, ids=symbol_of)
def test_a_constant_is_exact(constant: Constant) -> None:
    assert type(constant.value) is Fraction
    assert constant.value > 0
    assert constant.unit == "g"


@pytest.mark.parametrize(
    ("symbol", "grams"),
    [
        # 1 lb = 0.453 592 37 kg: international yard and pound agreement, 1959.
        ("lb", "453.59237"),
        # NIST Handbook 44, Appendix C (from memory), all exact.
        ("grain", "0.06479891"),
        ("oz_av", "28.349523125"),
        ("ozt", "31.1034768"),
        ("dwt", "1.55517384"),
        ("short_ton", "907184.74"),
        ("long_ton", "1016046.9088"),
    ],
)
def test_masses_as_published(symbol: str, grams: str) -> None:
    assert KNOWN[symbol].value == Fraction(grams)
    assert BY_SPELLING[symbol].size == Fraction(grams)


@pytest.mark.parametrize(
    ("symbol", "grams", "printed"),
    [
        # T. K. Rose, The Metallurgy of Gold: 29.1666 g and 32.6667 g (printed values from memory).
        ("AT_short", Fraction(175, 6), 29.1666),
        ("AT_long", Fraction(98, 3), 32.6667),
    ],
)
def test_assay_tons(symbol: str, grams: Fraction, printed: float) -> None:
    assert KNOWN[symbol].value == grams
    assert BY_SPELLING[symbol].size == grams
    assert float(grams) == pytest.approx(printed, abs=1e-4)


@pytest.mark.parametrize(
    ("symbol", "grams_per_tonne"),
    [
        ("ozt/short_ton", Fraction(240, 7)),
        ("ozt/long_ton", Fraction(1500, 49)),
        ("ozt/t", Fraction("31.1034768")),
        ("dwt/short_ton", Fraction(12, 7)),
        ("dwt/long_ton", Fraction(75, 49)),
        ("grain/long_ton", Fraction(25, 392)),
        ("ppm", Fraction(1)),
        ("ppb", Fraction(1, 1000)),
        ("%", Fraction(10_000)),
        ("‰", Fraction(1000)),
        ("karat", Fraction(1_000_000, 24)),
    ],
)
def test_grades_in_grams_per_tonne(symbol: str, grams_per_tonne: Fraction) -> None:
    """240/7 is 480 grains in 2000 pounds of 7000 grains, 34.2857 g/t; the others likewise."""
    assert BY_SPELLING[symbol].size == grams_per_tonne


def test_a_milligram_in_an_assay_ton_is_an_ounce_per_ton() -> None:
    milligram = BY_SPELLING["mg"].size
    for kind in ("short", "long"):
        per_million = milligram / BY_SPELLING[f"AT_{kind}"].size * 10**6
        assert per_million == BY_SPELLING[f"ozt/{kind}_ton"].size


def test_no_spelling_stands_for_two_units() -> None:
    spellings = Counter(s for unit in UNITS for s in {unit.symbol, *unit.spellings})
    assert [s for s, count in spellings.items() if count > 1] == []
    assert len(BY_SPELLING) == len(spellings)


@pytest.mark.parametrize(
    "spelling",
    # `kt` is a kilotonne of ore in every mine plan, and a karat on a ring.
    ["oz", "ounce", "ton", "tons", "gr", "AT", "opt", "oz/ton", "oz/t", "ct", "cwt", "ppt", "kt"],
)
def test_a_spelling_with_two_meanings_is_refused(spelling: str) -> None:
    assert spelling not in BY_SPELLING
    assert spelling in REFUSED


def test_nothing_refused_is_accepted_too() -> None:
    assert set(REFUSED) & set(BY_SPELLING) == set()


_ADVICE = re.compile(r"(\S+) \((?:[a-z ]+, )?([0-9.]+) ([a-z/]+)[,)]")


def test_figures_in_the_advice_on_a_refused_unit_are_right() -> None:
    checked = 0
    for advice in set(REFUSED.values()):
        for unit, number, in_unit in _ADVICE.findall(advice):
            exact = BY_SPELLING[unit].size / BY_SPELLING[in_unit].size
            places = len(number.partition(".")[2])
            assert abs(exact - Fraction(number)) <= Fraction(1, 2 * 10**places), (unit, number)
            checked += 1
    assert checked >= 12


@pytest.mark.parametrize("constant", CONSTANTS, ids=symbol_of)
def test_pint_holds_each_constant_exactly(constant: Constant) -> None:
    grams = registry.registry().Quantity(Fraction(1), constant.symbol).to("gram").magnitude
    assert type(grams) is Fraction
    assert grams == constant.value


@pytest.mark.parametrize(
    "unit", [u for u in UNITS if u.quantity not in {"mesh", "number"}], ids=symbol_of
)
def test_pint_agrees_exactly_with_every_unit_of_the_list(unit: Unit) -> None:
    for other in UNITS:
        if other.quantity == unit.quantity:
            found = registry.converted(Fraction(7, 3), unit, other)
            assert type(found) is Fraction
            assert found == Fraction(7, 3) * unit.size / other.size


def test_shortcuts_are_the_units_of_the_list() -> None:
    shortcuts = (table.MILLIGRAM, table.GRAM, table.GRAM_PER_TONNE, table.MICROMETRE)
    assert [u.symbol for u in shortcuts] == ["mg", "g", "g/t", "um"]
    assert table.PER_CENT.symbol == "%"
    assert table.ONE.quantity == "number"
