"""Readings of one object: repeats that disagree, digits a step cannot show, coverage."""

import math
from fractions import Fraction

import numpy as np
import pytest

from assaybench.metrology.uncertain import Sources
from assaybench.metrology.weighing import (
    Balance,
    Reading,
    disagreement,
    range_mg,
    usual_range_mg,
    weigh,
)
from assaybench.units.table import GRAM
from tests.metrology.readings_of import UNKNOWN, WELL_KNOWN, D, reading, readings

# --- repeats that disagree -----------------------------------------------------------------------


@pytest.mark.parametrize(
    # Method version 1, section 1: q(0.95; n, ν) of the studentized range.
    ("dof", "q"),
    [
        (math.inf, (2.77, 3.31, 3.63, 3.86, 4.03)),
        (9, (3.20, 3.95, 4.41, 4.76, 5.02)),
    ],
)
def test_usual_range_of_repeats(dof: float, q: tuple[float, ...]) -> None:
    balance = Balance("b", D, 10 * D, spread_dof=dof)
    found = [usual_range_mg(balance, n) for n in range(2, 7)]
    of_one_load = 10 * D / math.sqrt(2)
    assert found == pytest.approx([x * of_one_load for x in q], abs=0.0051 * of_one_load)


@pytest.mark.parametrize(
    # 0.41·q(0.95; n, ∞)/√2 is below one division for two and three readings.
    ("n", "divisions"),
    [(2, 1), (3, 1), (4, 1.053), (5, 1.118), (6, 1.168)],
)
def test_one_division_apart_is_always_usual(n: int, divisions: float) -> None:
    balance = Balance("b", D, 0.0)
    assert usual_range_mg(balance, n) == pytest.approx(divisions * D, rel=1e-3)
    repeats = readings("load", *["5.00"] * (n - 1), "5.01")
    assert weigh(Sources(), UNKNOWN, repeats).agrees


@pytest.mark.parametrize(
    ("texts", "agrees"),
    [
        (("5.00",), True),
        (("5.00", "5.03"), True),
        (("5.00", "5.04"), False),
        (("5.00", "5.02", "5.04"), True),
        (("5.00", "5.02", "5.05"), False),
    ],
)
def test_repeats_agree_or_not(texts: tuple[str, ...], *, agrees: bool) -> None:
    """s = 0.02 mg: 2.77·s/√2 = 0.0392 mg for two, 3.31·s/√2 = 0.0469 mg for three."""
    weighing = weigh(Sources(), WELL_KNOWN, readings("load", *texts))
    assert weighing.agrees is agrees


def test_the_sentence_on_repeats_that_disagree() -> None:
    balance = Balance("b", 0.001, 0.003)
    weighing = weigh(Sources(), balance, readings("load", "0.310", "0.322", "0.311"))
    assert not weighing.agrees
    assert range_mg(weighing.loads) == pytest.approx(0.012)
    found = disagreement(weighing, balance)
    assert found.code == "readings_disagree"
    assert found.text.startswith(
        "Readings disagree: 3 readings lie 0.012 mg apart; up to 0.0070 is usual."
    )
    in_grams = disagreement(weighing, balance, GRAM)
    assert "lie 0.000012 g apart; up to 0.0000070 is usual" in in_grams.text


@pytest.mark.parametrize("count", [0, 21])
def test_one_to_twenty_readings_of_an_object(count: int) -> None:
    loads = [Reading(f"load {i}", Fraction(5), "5 mg") for i in range(count)]
    with pytest.raises(ValueError, match="1 to 20 readings"):
        weigh(Sources(), WELL_KNOWN, loads)


def test_one_name_cannot_be_two_readings() -> None:
    sources = Sources()
    weigh(sources, WELL_KNOWN, [reading("bead 1", "5.00")])
    with pytest.raises(ValueError, match="bead 1 is known with another value"):
        weigh(sources, WELL_KNOWN, [reading("bead 1", "5.01")])


# --- digits a step cannot show -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("step", "text", "flagged"),
    [
        (0.002, "0.314", False),
        (0.002, "0.313", True),
        (0.005, "0.315", False),
        (0.005, "0.312", True),
        (0.01, "0.31", False),
        (0.01, "0.315", True),
        (0.1, "0.3", False),
        (0.01, "0.3", False),
        (0.002, "-0.002", False),
        (0.002, "-0.001", True),
    ],
)
def test_a_digit_that_the_step_cannot_show(step: float, text: str, *, flagged: bool) -> None:
    weighing = weigh(Sources(), Balance("b", step), readings("load", text))
    sentence = f"{text} mg cannot be shown by a balance with steps of {step:g} mg."
    assert [f.text for f in weighing.flags] == ([sentence] if flagged else [])


def test_zeros_are_looked_at_too() -> None:
    weighing = weigh(Sources(), Balance("b", 0.002), readings("l", "0.314"), readings("z", "0.001"))
    assert [f.code for f in weighing.flags] == ["digit_not_shown"]


@pytest.mark.parametrize("unit_mg", [Fraction("31103.4768"), Fraction(175000, 6)])
def test_a_reading_in_steps_of_its_unit_can_always_be_shown(unit_mg: Fraction) -> None:
    """A step of 0.001 assay ton is 29.1666… mg: no reading in that unit is a slip."""
    step = unit_mg / 1000
    found = Reading("load 1", 314 * step, "0.314", step)
    assert weigh(Sources(), Balance("b", float(step)), [found]).flags == ()


# --- does the interval cover? --------------------------------------------------------------------

TIMES = 2000


def covered(spread_in_d: float, measured_dof: int | None, loads: int = 1) -> float:
    """Share of simulated weighings, rounded to d, whose interval covers the true net mass.

    The scatter of one reading is σ/√2 with σ² = s² - d²/6, so that s is the standard deviation of
    a net weighing as displayed. With `measured_dof`, s is estimated from that many and one such.
    """
    rng = np.random.default_rng(20260609)
    d = Fraction(1, 100)
    sigma = math.sqrt(spread_in_d**2 - 1 / 6) / math.sqrt(2)

    def displayed(true: float, count: int) -> list[int]:
        return [int(x) for x in np.rint(true + rng.normal(0, sigma, count))]

    hits = 0
    for _ in range(TIMES):
        offset, net = rng.uniform(-0.5, 0.5), rng.uniform(200, 300)
        spread = spread_in_d
        if measured_dof is not None:
            n = measured_dof + 1
            start, weight = rng.uniform(-0.5, 0.5), rng.uniform(50, 60)
            pairs = zip(displayed(start + weight, n), displayed(start, n), strict=True)
            spread = float(np.std([a - b for a, b in pairs], ddof=1))
        dof = math.inf if measured_dof is None else measured_dof
        balance = Balance("b", float(d), spread * float(d), spread_dof=dof)
        weighing = weigh(
            sources := Sources(),
            balance,
            [Reading(f"l{i}", x * d, "") for i, x in enumerate(displayed(offset + net, loads))],
            [Reading(f"z{i}", x * d, "") for i, x in enumerate(displayed(offset, loads))],
        )
        doubt = sources.doubt(weighing.net)
        hits += abs(weighing.net_mg - net * float(d)) <= doubt.k * doubt.u
    return hits / TIMES


@pytest.mark.parametrize("spread_in_d", [1.0, 2.0])
@pytest.mark.parametrize("measured_dof", [None, 9])
def test_95_in_100_weighings_cover_the_truth(spread_in_d: float, measured_dof: int | None) -> None:
    assert covered(spread_in_d, measured_dof) == pytest.approx(0.95, abs=0.02)


def test_95_in_100_means_of_four_cover_the_truth() -> None:
    assert covered(2.0, None, loads=4) == pytest.approx(0.95, abs=0.02)
