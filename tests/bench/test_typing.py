"""Typing on line 23: figures take one mark and no letters, texts take what can be printed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.bench.typing import Accepts, Typing
from tests.strategies import any_text


def typed(text: str, accepts: Accepts) -> str:
    typing = Typing("Type:", accepts=accepts)
    for sign in text:
        typing = typing.with_key(sign, sign)
    return typing.text


@pytest.mark.parametrize(
    ("keys", "text"),
    [
        ("0.314", "0.314"),
        ("0,314", "0,314"),
        ("0.3.1", "0.31"),
        ("0.3,1", "0.31"),
        ("-0.002", "-0.002"),
        ("1-2", "12"),
        ("1.2mg", "1.2"),
        (" 5", "5"),
        ("²", ""),
    ],
)
def test_a_reading_takes_digits_one_mark_and_a_minus_in_front(keys: str, text: str) -> None:
    assert typed(keys, "reading") == text


def test_a_share_takes_its_sign_at_the_end_only() -> None:
    assert typed("1.5 %", "share") == "1.5 %"
    assert typed("%1.5%2", "share") == "1.5%"


def test_a_text_takes_what_can_be_printed_and_an_id_no_blank() -> None:
    assert typed("  cracked, n° 3", "text") == "cracked, n° 3"
    assert typed("KV 025", "id") == "KV025"
    assert typed("a\x1b[31mb\n", "text") == "a[31mb"


@pytest.mark.parametrize("accepts", ["reading", "share", "id", "text", "pick"])
def test_backspace_takes_the_last_sign_back(accepts: Accepts) -> None:
    typing = Typing("Type:", "12", accepts)
    assert typing.with_key("backspace").text == "1"
    assert Typing("Type:", "", accepts).with_key("backspace").text == ""


@given(any_text, st.sampled_from(["reading", "share", "id", "text", "pick"]))
def test_nothing_typed_is_ever_unprintable_or_too_long(text: str, accepts: Accepts) -> None:
    found = typed(text * 3, accepts)
    assert found.isprintable()
    assert len(found) <= (24 if accepts in ("reading", "share") else 200)


def test_letters_are_actions_only_while_a_figure_is_typed() -> None:
    assert not Typing("Type:", accepts="reading").takes_letters
    assert Typing("Why:", accepts="text").takes_letters
