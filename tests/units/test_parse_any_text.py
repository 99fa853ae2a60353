"""Any text is read or refused in one line at once; what was written is read back the same."""

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
    FRACTION,
    MASS,
    UNITS,
    Quantity,
    Unit,
)
from tests.strategies import any_text, magnitudes, near_figures
from tests.units.typed_figures import EVERY, refusal

Result = TypeVar("Result")


def outcome(reader: Callable[[], Result]) -> Result | BadInput:
    """What a reader makes of a text, or its refusal; any other exception is a fault."""
    try:
        return reader()
    except BadInput as fault:
        return fault


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
