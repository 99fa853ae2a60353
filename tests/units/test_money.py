"""Money as people type it: amounts, rates, one currency, and what is refused."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from hypothesis import given

from assaybench.messages import BadInput
from assaybench.units import money
from assaybench.units.money import Money, Rate
from assaybench.units.table import BY_SPELLING
from tests.strategies import any_text, near_figures

GRAM, TONNE = BY_SPELLING["g"], BY_SPELLING["t"]


@pytest.mark.parametrize(
    ("text", "amount", "currency"),
    [
        ("1800", "1800", ""),
        ("1800 USD", "1800", "USD"),
        ("1800USD", "1800", "USD"),
        ("USD 1800", "1800", "USD"),
        ("$1800", "1800", "$"),
        ("€ 0,50", "0.50", "€"),
        ("12.50 kr", "12.50", "kr"),
    ],
)
def test_an_amount_has_its_currency_on_either_side(text: str, amount: str, currency: str) -> None:
    assert money.money(text) == (Decimal(amount), currency)


@pytest.mark.parametrize("text", ["80 USD/g", "80USD/g", "80 USD per g", "$80/g", "80 /g", "80/g"])
def test_a_rate_is_money_for_a_mass(text: str) -> None:
    found = money.rate(text)
    assert (found.amount, found.per) == (Decimal(80), GRAM)
    assert found.for_each(GRAM) == 80


def test_a_rate_for_another_mass_is_exact() -> None:
    assert money.rate("2000 USD/ozt").for_each(GRAM) == pytest.approx(2000 / 31.1034768, rel=1e-15)
    assert money.rate("120 USD/t").for_each(TONNE) == 120
    assert money.rate("80 USD/g").shown == "80 USD/g"
    assert money.rate("80/g").shown == "80/g"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "not an amount"),
        ("USD", "not an amount"),
        ("80 g", "not an amount"),
        ("80 oz", "not an amount"),
        ("$80 USD", "not an amount"),
        ("80 dollars", "not an amount"),
        ("-80 USD", "below zero"),
        ("1,800.50 USD", "point and a comma"),
        ("8e3 USD", "not an amount"),
        ("80 USD/g", "not an amount"),
        ("9" * 70, "too long"),
    ],
)
def test_what_is_no_amount_is_refused_with_what_is_accepted(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        money.money(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("80 USD", "not an amount"),
        ("80 USD/", "not an amount"),
        ("/g", '"/g" is not an amount'),
        ("80 USD/oz", "ozt"),
        ("80 USD/ton", "short_ton"),
        ("80 USD/um", "mass"),
        ("80 USD/g/t", "mass is asked for"),
        ("9" * 70 + "/g", "too long"),
    ],
)
def test_what_is_no_rate_is_refused_with_what_is_accepted(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        money.rate(text)


def test_a_line_has_one_currency() -> None:
    rate, amount = money.rate("80 USD/g"), money.money("1800 USD")
    assert money.currency_of([rate, None, amount]) == "USD"
    assert money.currency_of([money.rate("80/g"), money.money("1800")]) == ""
    assert money.currency_of([rate, money.money("0")]) == "USD"
    with pytest.raises(BadInput, match="USD and none"):
        money.currency_of([rate, money.money("1800")])
    with pytest.raises(BadInput, match="USD and EUR"):
        money.currency_of([rate, money.money("3 EUR")])


def read(reader: Callable[[str], Money | Rate], text: str) -> tuple[Money | Rate | None, list[str]]:
    try:
        return reader(text), []
    except BadInput as fault:
        return None, [*fault.lines]


@given(any_text | near_figures)
def test_anything_typed_is_read_or_refused_in_one_line(text: str) -> None:
    for reader in (money.money, money.rate):
        found, lines = read(reader, text)
        assert found is None or found.amount >= 0
        assert all(line and "\n" not in line for line in lines)
