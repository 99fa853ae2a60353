"""A figure and what travels with it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.messages import TABLE
from assaybench.metrology.figure import (
    COVERAGE,
    Figure,
    Interval,
    Verdict,
    flag,
    measured,
    not_determinable,
    plain,
)
from tests.strategies import magnitudes


def test_a_measured_figure_has_its_interval_and_its_text() -> None:
    figure = measured(3.2, 0.2, "g/t", k=2.0, layer="assay", basis="dry", why="as an example")
    assert figure == Figure(
        3.2,
        "g/t",
        u=0.2,
        low=2.8000000000000003,
        high=3.6,
        coverage_probability=0.95,
        k=2.0,
        dof=math.inf,
        layer="assay",
        status="measured",
        basis="dry",
        text="3.20 ± 0.40 g/t",
        why="as an example",
    )
    assert figure.expanded == pytest.approx(0.4)


def test_the_last_place_of_the_readings_bounds_the_text_not_the_figure() -> None:
    figure = measured(0.3142, 0.0117, "mg", k=2.0, finest=-2)
    assert figure.text == "0.31 ± 0.02 mg"
    assert (figure.value, figure.u) == (0.3142, 0.0117)


@given(st.floats(-1e6, 1e6), magnitudes(-6, 6), st.floats(1.0, 13.0))
def test_the_interval_is_value_less_and_more_the_expanded_uncertainty(
    value: float, u: float, k: float
) -> None:
    figure = measured(value, u, "mg", k=k)
    assert figure.low is not None
    assert figure.high is not None
    assert figure.expanded == k * u
    assert figure.low < figure.high
    assert (figure.low + figure.high) / 2 == pytest.approx(value, abs=1e-9 * (abs(value) + k * u))
    assert figure.coverage_probability == COVERAGE == 0.95


def test_a_measured_figure_without_doubt_is_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        measured(3.2, 0.0, "g/t", k=2.0)


def test_a_limit_or_a_count_has_no_interval() -> None:
    figure = plain(0.0071, "mg", digits=2, pad=True, why="limit")
    assert figure.text == "0.0071 mg"
    assert figure.expanded is None
    assert (figure.u, figure.low, figure.high, figure.k) == (None, None, None, None)
    assert figure.coverage_probability is None
    assert plain(0.2, "g/t", digits=2, pad=True).text == "0.20 g/t"
    assert plain(0.2, "g/t", digits=2).text == "0.2 g/t"
    assert plain(184.0, "1").text == "184"


def test_what_is_not_determinable_says_why_and_has_no_value() -> None:
    figure = not_determinable("g/t", "doré: not parted", basis="fine gold")
    assert (figure.value, figure.u, figure.status) == (None, None, "not determinable")
    assert (figure.text, figure.why) == ("not determinable", "doré: not parted")
    assert figure.layer == "assay"


def test_a_flag_is_a_code_and_its_sentence() -> None:
    found = flag("digit_not_shown", text="0.313 mg", d="0.002 mg")
    assert found.code in TABLE
    assert found.text == "0.313 mg cannot be shown by a balance with steps of 0.002 mg."
    with pytest.raises(KeyError):
        flag("no_such_code")


def test_a_verdict_is_printed_with_its_prefix() -> None:
    assert Verdict("a", "wider than aim", "because").text == "wider than aim"
    assert Verdict("a", "wider than aim", "because").reason == "because"
    assert Verdict("a", "wider than aim", lambda: "because").reason == "because"
    assert Verdict("a", "not detected", "because", "at best:").text == "at best: not detected"


def test_an_interval_covers_95_in_100_unless_said_otherwise() -> None:
    assert Interval(0.1, 0.2).coverage_probability == 0.95
