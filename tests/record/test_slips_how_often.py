"""How often honest trays are asked about, and planted slips found."""

import random
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.record import slips
from assaybench.record.replay import replay
from tests.record.asked_rows import asked, only, pair
from tests.record.trays import FINE, PULP, Honest, entries_of, reading, sample


def honest_alarms(trays: int, seed: int, scatter: float) -> tuple[int, int, list[str]]:
    dice, readings, lines = random.Random(seed), 0, []
    with_one = 0
    for _ in range(trays):
        state = replay(entries_of(Honest(dice, scatter).rows()))
        found = slips.questions_of(state)
        readings += len(state.readings)
        with_one += bool(found)
        lines += [question.seen for _, question in found]
    return with_one, readings, lines


@pytest.mark.parametrize("scatter", [0.02, 0.05, 0.10])
def test_honest_trays_are_seldom_asked(scatter: float) -> None:
    """Of 60 trays of some 80 readings each, at most 6 have a question."""
    with_one, readings, lines = honest_alarms(60, 7, scatter)
    assert with_one <= 6, lines
    assert len(lines) / readings < 0.002


@pytest.mark.long
@pytest.mark.parametrize("scatter", [0.02, 0.05, 0.10])
def test_honest_trays_are_seldom_asked_in_the_long_run(scatter: float) -> None:
    with_one, readings, lines = honest_alarms(1500, 11, scatter)
    assert with_one / 1500 < 0.08
    assert len(lines) / readings < 0.001


def tenfold(text: str) -> str:
    whole, _, rest = text.partition(".")
    return f"{whole.lstrip('0')}{rest[0]}.{rest[1:]}".lstrip("0") or "0"


def swapped(text: str) -> str:
    digits = list(text)
    places = [i for i, (a, b) in enumerate(pairwise(text))
              if "." not in (a, b) and a != b]  # fmt: skip
    if not places:
        return text
    i = places[-1]
    digits[i], digits[i + 1] = digits[i + 1], digits[i]
    return "".join(digits)


@given(
    grade=st.floats(2, 200),
    charge=st.sampled_from((15.0, 29.17, 30.0)),
    slip=st.sampled_from(
        (tenfold, lambda t: tenfold(tenfold(t)), lambda t: f"{float(t) / 10:.3f}")
    ),
)
def test_every_planted_decimal_of_a_duplicate_is_asked(
    grade: float, charge: float, slip: Callable[[str], str]
) -> None:
    rows = [FINE, PULP, sample("A"), sample("B", "duplicate", of="A")]
    rows += [reading("charge", f"{charge:.2f}", name) for name in "AB"]
    text = f"{grade * charge / 1000:.3f}"
    rows.append(reading("gold", text, "A"))
    assert asked(rows, reading("gold", text, "B")) == []
    codes = {question.code for question in asked(rows, reading("gold", slip(text), "B"))}
    assert codes & {"times_10", "times_100", "part_10"}


@given(thousandths=st.integers(100, 9999))
def test_every_planted_swap_in_a_repeat_is_asked_where_the_balance_can_tell(
    thousandths: int,
) -> None:
    text = f"{thousandths / 1000:.3f}"
    rows = [FINE, sample("A"), reading("gold", text, "A")]
    questions = asked(rows, reading("gold", swapped(text), "A"))
    apart = abs(float(swapped(text)) - float(text))
    # twice the usual range of two readings, 2 × 3.20 × 0.002/√2 mg (q(0.95; 2, 9) = 3.20)
    codes = [q.code for q in questions]
    assert codes in (["digits_changed_over"], ["part_10"]) if apart > 0.0091 else codes == []


def test_no_question_is_longer_than_two_lines_of_the_page_with_short_names() -> None:
    found = [only(pair("0.314"), reading("gold", text, "KV-017"))
             for text in ("3.14", "3.27", "314", "0.341")]  # fmt: skip
    for question in found:
        assert all(len(line) <= 76 for line in question.lines), question.lines
