"""The beam: notches and rider where their masses are, words under their stretches."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.bench import beam
from assaybench.bench.beam import Beam

DRAWN = Beam(0.001, (0.0033, 0.020, 0.40), 0.184, 0.004, "mg")


def test_the_beam_is_the_one_that_was_drawn() -> None:
    assert beam.lines(DRAWN, 54) == [
        "                                ▼",
        "├──────┼──────────┼──────────────────┼──────────────┤",
        "     0.003      0.020              0.40          5 mg",
        "",
        "not      detected,   wider              within",
        "detected rough       than aim           aim",
    ]


def test_the_hook_widens_when_the_doubt_is_wider_than_a_column() -> None:
    rider = beam.lines(DRAWN._replace(mass=0.010, expanded=0.004), 54)[0]
    assert rider.strip() == "<  ▼ >"
    assert rider.index("<") < rider.index("▼") < rider.index(">")
    assert beam.lines(DRAWN._replace(mass=0.184, expanded=0.015), 54)[0].strip() == "<▼>"


def test_below_one_division_the_rider_hangs_at_the_end() -> None:
    for mass in (0.0, -0.5, 0.001):
        rider = beam.lines(DRAWN._replace(mass=mass, expanded=0.0), 54)[0]
        assert rider == "▼"


def test_without_an_object_there_is_no_rider() -> None:
    assert beam.lines(DRAWN._replace(mass=None), 54)[0] == ""


def test_the_scale_reaches_beyond_what_is_heavy() -> None:
    heavy = beam.lines(DRAWN._replace(mass=180.0, expanded=0.1), 54)
    assert heavy[2].endswith("500 mg")
    assert heavy[0].index("▼") < 52


def test_where_no_mass_is_within_the_aim_no_stretch_says_so() -> None:
    shown = beam.lines(DRAWN._replace(notches=(0.0033, 0.020)), 54, none_within=True)
    assert "within" not in shown[4]
    assert "wider" in shown[4]


def test_a_generous_aim_has_no_stretch_for_wider() -> None:
    shown = beam.lines(DRAWN._replace(notches=(0.0033, 0.020)), 54)
    assert "wider" not in shown[4]
    assert "within" in shown[4]


@given(
    step=st.sampled_from([0.0001, 0.001, 0.002, 0.01, 0.1, 1.0]),
    spread=st.floats(0.41, 50),
    aim=st.floats(0.001, 0.2),
    mass=st.floats(-10, 1e7),
    wide=st.floats(0, 10),
)
def test_any_beam_fits_its_width_and_keeps_its_notches_apart(
    step: float, spread: float, aim: float, mass: float, wide: float
) -> None:
    sigma = spread * step
    notches = [1.645 * sigma, 10 * sigma]
    if 2 * sigma / aim > notches[1]:
        notches.append(2 * sigma / aim)
    drawn = Beam(step, tuple(notches), mass * step, wide * step, "mg")
    shown = beam.lines(drawn, 54)
    assert len(shown) == beam.LINES
    assert max(map(len, shown)) <= 54
    assert shown[1].count("┼") == len(notches)
    assert shown[0].count("▼") == 1
    top = beam.top_of(drawn)
    assert top >= max(*notches, mass * step)
    assert math.isclose(top / 10 ** math.floor(math.log10(top) + 1e-9) % 1, 0, abs_tol=1e-6)


@pytest.mark.parametrize("steps", [1, 5, 20])
def test_the_rider_stands_between_the_notches_of_its_verdict(steps: int) -> None:
    for mass, stretch in ((0.002, 0), (0.010, 1), (0.2, 2), (2.0, 3)):
        shown = beam.lines(DRAWN._replace(mass=mass, expanded=0.0), 54 + steps)
        notches = [i for i, sign in enumerate(shown[1]) if sign == "┼"]
        at = shown[0].index("▼")
        assert sum(at > notch for notch in notches) == stretch
