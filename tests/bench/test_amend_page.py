"""Amending where the value is seen: the old one stays struck, the new one carries who and when."""

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.sheet import text_of
from tests.bench.conftest import Clock
from tests.bench.hands import FINE, PULP, Hands, read_rows, safety_rows, sample_rows
from tests.bench.patience import until


@pytest.fixture
def hands(desk: Desk) -> Hands:
    """The gold of one sample, typed with two digits changed over."""
    run = new_run(desk)
    run.append_all([FINE, PULP, *sample_rows(("KV-1", "A1"), ("KV-2", "A2")), *safety_rows()])
    run.append_all(read_rows("pulp", "charge", [("KV-1", "20.00"), ("KV-2", "20.00")], "g"))
    run.append_all(read_rows("fine", "gold", [("KV-1", "1.372")], "mg"))
    hands = Hands(run)
    hands.press("5", "left", "enter")
    return hands


def marked(hands: Hands) -> str:
    """The line under the pointer."""
    return next(text for text in map(text_of, hands.sheet.block) if text.startswith(">"))


def test_it_is_amended_from_the_balance_and_the_old_one_stays_struck(
    hands: Hands, clock: Clock
) -> None:
    hands.press("a")
    assert hands.page.name == "amend"
    assert hands.promise == "Enter asks for the new value, then for the reason."
    clock.go_on(3)
    hands.press("enter")
    hands.enter("1.327")
    assert hands.promise == "Why:"
    hands.enter("")
    assert hands.margin[0] == "A reason is needed; it is kept and printed."
    hands.enter("digits swapped, re-read, check weight good")
    values = hands.last().values
    assert values["text"] == "1.327"
    assert values["reason"] == "digits swapped, re-read, check weight good"
    shown = [text_of(one) for one in hands.sheet.block]
    assert "  text  struck 1.372  1.327 KB 14:34" in shown
    struck = [span for one in hands.sheet.block for span in one if span.style == "struck"]
    assert [span.text for span in struck] == ["1.372"]
    assert "  text  1.372" not in shown, "it does not count any more"
    hands.press("escape")
    assert "struck 1.372  1.327 KB 14:34" in hands.text()
    assert "1.327 ± 0.004 mg" in hands.text()


def test_with_nothing_weighed_yet_the_reading_before_is_amended(hands: Hands) -> None:
    hands.press("right", "a")
    assert "KV-1, gold" in hands.text()


def test_a_second_amendment_strikes_the_first(hands: Hands) -> None:
    hands.press("a")
    for new in ("1.327", "1.326"):
        hands.press("enter")
        hands.enter(new, "read again")
    text = hands.text()
    assert "struck 1.372  1.327 KB" in text
    assert "struck 1.327  1.326 KB" in text


@pytest.mark.parametrize("typed", ["-", ".", ""])
def test_a_new_value_that_is_no_reading_is_refused(hands: Hands, typed: str) -> None:
    n = len(hands.run.entries)
    hands.press("a", "enter")
    hands.enter(typed)
    assert hands.promise.startswith("New text:")
    assert hands.margin[0]
    assert len(hands.run.entries) == n


def test_leaving_out_needs_a_reason_and_stays_visible(hands: Hands) -> None:
    hands.press("a", "down", "down")
    row = next(i for i, one in enumerate(hands.sheet.block) if "leave the" in text_of(one))
    until(
        lambda: text_of(hands.sheet.block[row]).startswith(">"),
        lambda: hands.press("down"),
        hands.text,
    )
    hands.press("enter")
    hands.enter("", "flakes lost in the glass")
    assert hands.last().values == {"sample": "KV-1", "reason": "flakes lost in the glass"}
    assert hands.run.state.left_out == {"KV-1": "flakes lost in the glass"}
    assert hands.margin[0] == "KV-1 is left out of the mean. It stays, with your reason."
    assert "leave the" not in hands.text()
    assert "  left out of the mean: flakes lost in the glass KB" in hands.text()


def test_what_was_left_out_is_taken_back_with_a_reason(hands: Hands) -> None:
    hands.press("a", "down", "down", "down", "enter")
    hands.enter("flakes lost in the glass")
    left = hands.last("left_out").n
    until(lambda: "take the" in marked(hands), lambda: hands.press("down"), hands.text)
    assert hands.promise == "Enter asks why it is taken back."
    hands.press("enter")
    hands.enter("", "the flakes were found and weighed")
    assert hands.last().kind == "withdrawn"
    assert hands.last().values == {"entry": left, "reason": "the flakes were found and weighed"}
    assert hands.run.state.left_out == {}
    assert "leave the determination" in hands.text()


def test_a_second_person_reviews_without_the_first_going_away(hands: Hands) -> None:
    hands.press("a", "w")
    hands.enter("KB")
    assert hands.margin[0] == "KB works here now. A review is another person's."
    hands.press("backspace", "backspace")
    hands.enter("IM", "read 1.327 as well")
    entry = hands.last()
    assert entry.values == {"initials": "IM", "text": "read 1.327 as well", "sample": "KV-1"}
    assert entry.by == "KB"
    assert "  looked at by IM: read 1.327 as well 14:31" in hands.text()


def test_an_entry_made_by_mistake_is_withdrawn_and_stays_visible(hands: Hands) -> None:
    hands.press("a")
    until(lambda: "withdraw" in marked(hands), lambda: hands.press("down"), hands.text)
    hands.press("enter")
    hands.enter("wrong cup on the pan")
    assert hands.last().kind == "withdrawn"
    assert not [r for r in hands.run.state.readings if r.what == "gold"]
    assert "withdrawn KB" in hands.text()


def test_the_id_of_a_sample_is_never_amended(hands: Hands) -> None:
    hands.press("escape", "1", "g")
    hands.enter("KV-2")
    hands.press("2", "a")
    assert hands.page.name == "amend"
    assert not any("give id anew" in text_of(one) for one in hands.sheet.block)


def test_every_choice_of_a_long_list_comes_into_sight(hands: Hands) -> None:
    hands.press("escape", "2", "a")
    seen = set()
    for _ in range(24):
        pointed = [text_of(one) for one in hands.sheet.block if text_of(one).startswith(">")]
        assert len(pointed) == 1
        assert len(hands.sheet.block) <= 19
        seen.update(pointed)
        hands.press("down")
    assert "> give silver anew" in seen
    assert "> a second person looked at it" in seen


def test_left_and_right_go_through_the_readings_of_one_thing(hands: Hands) -> None:
    hands.run.append_all(read_rows("fine", "gold", [("KV-1", "1.330"), ("KV-1", "1.329")], "mg"))
    hands.press("a")
    assert "text  1.329" in hands.text()
    hands.press("left", "left")
    assert "text  1.372" in hands.text()
    assert hands.press("left").bell
    hands.press("down", "down", "enter")
    hands.enter("flake beside the pan")
    assert hands.last().kind == "withdrawn"
    texts = [r.entry.text("text") for r in hands.run.state.readings if r.what == "gold"]
    assert texts == ["1.330", "1.329"]
