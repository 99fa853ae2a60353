"""Keys of an answer, amounts that are typed without their unit, and the minute of a page."""

from datetime import UTC, datetime, timedelta

import pytest

from assaybench.bench.amounts import Feed, above_zero, in_percent, season_feed, with_unit
from assaybench.bench.asking import Asking, typed_into
from assaybench.bench.minutes import Minute
from assaybench.bench.page import Bell, Stay
from assaybench.messages import BadInput


def test_keys_go_to_the_question_that_stands() -> None:
    asking = Asking("Type:", lambda _: Stay())
    assert typed_into(asking, "a", "a") == Stay()
    assert asking.text == "a"
    assert typed_into(asking, "backspace", "") == Stay()
    assert asking.text == ""


def test_without_a_question_a_sign_rings_and_other_keys_do_nothing() -> None:
    assert typed_into(None, "a", "a") == Bell()
    assert typed_into(None, "f5", "") == Stay()


def test_a_bare_figure_is_in_the_usual_unit() -> None:
    assert [with_unit(text, "t") for text in ("900", "900 kg")] == ["900 t", "900 kg"]
    assert [in_percent(text) for text in ("", "60", "60%")] == ["", "60 %", "60%"]


def test_the_feed_of_a_season_is_in_tonnes() -> None:
    assert season_feed("", "this") == Feed("", 0.0)
    assert season_feed("900", "this") == Feed("900 t", 900.0)
    assert season_feed("2500 kg", "this") == Feed("2500 kg", 2.5)


@pytest.mark.parametrize("text", ["0", "-3", "9 g/t", "much"])
def test_a_feed_that_is_no_mass_above_zero_is_refused(text: str) -> None:
    with pytest.raises(BadInput):
        season_feed(text, "this")


def test_what_is_not_above_zero_is_named() -> None:
    above_zero(0.1, "0.1", "a price")
    with pytest.raises(BadInput, match="a price"):
        above_zero(0, "0 USD/g", "a price")


def test_a_minute_passes_once() -> None:
    minute, now = Minute(), datetime(2026, 6, 9, 14, 31, 5, tzinfo=UTC)
    times = (now, now + timedelta(seconds=50), now + timedelta(seconds=60))
    assert [minute.passed(time) for time in times] == [True, False, True]
