"""Large figures: as drawn, every sign apart from every other, and small where they do not fit."""

import string

import pytest

from assaybench.bench.figures import ROWS, large

SIGNS = string.digits + string.ascii_uppercase + ".,-"


def test_the_drawn_figures_are_set_as_drawn() -> None:
    assert [row.rstrip() for row in large("0.184", 36)] == [
        " ███         █     ███   █  █",
        "█   █       ██    █   █  █  █",
        "█   █        █     ███   █████",
        "█   █        █    █   █     █",
        " ███   █    ███    ███      █",
    ]


def test_no_two_signs_look_the_same() -> None:
    shapes = {large(sign, 7): sign for sign in SIGNS if sign != "O"}
    assert len(shapes) == len(SIGNS) - 1


def test_only_the_letter_o_and_the_digit_0_are_alike() -> None:
    assert large("O", 5) == large("0", 5)


@pytest.mark.parametrize(
    "text", ["0.184", "9,398", "-0.002", "B6", "C12", "AA9", "10.184", "", "π"]
)
@pytest.mark.parametrize("width", [5, 18, 36, 54])
def test_figures_are_five_rows_exactly_as_wide_as_asked_for(text: str, width: int) -> None:
    rows = large(text, width)
    assert len(rows) == ROWS
    assert {len(row) for row in rows} == {width} or len(text) > width


def test_every_reading_of_a_balance_stays_large() -> None:
    for text in ("1234.567", "-0.0025", "10.18425"):
        assert "█" in "".join(large(text, 54))


def test_what_does_not_fit_stands_small_and_whole() -> None:
    rows = large("123456789", 20)
    assert rows[2].rstrip() == "123456789"
    assert not "".join(rows[:2] + rows[3:]).strip()
    assert large("α7", 20)[2].rstrip() == "α7"
