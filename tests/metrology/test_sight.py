"""The verdict on what was weighed: its order and sentences, and the last place to print."""

import math
import re
from fractions import Fraction

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from assaybench.messages import TABLE
from assaybench.metrology.figure import Verdict
from assaybench.metrology.sight import (
    WORDS,
    Least,
    Limits,
    code_of,
    finest_place,
    verdict,
)
from assaybench.metrology.uncertain import Sources
from assaybench.metrology.weighing import Balance, Reading, weigh
from assaybench.units.table import BY_SPELLING, GRAM, MILLIGRAM
from tests.metrology.seen_weighings import AIM, FINE, weighed
from tests.strategies import magnitudes

UNKNOWN = Balance("unknown", 0.01)


def judged(
    balance: Balance, *loads: str, aim: float = AIM, zeros: tuple[str, ...] = ()
) -> tuple[Verdict, Limits]:
    weighing, doubt = weighed(balance, *loads, zeros=zeros)
    return verdict(weighing, balance, aim, doubt)


# --- the verdict ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    # u0 = 0.002 mg well known: -3u = -0.006, L_C = 0.0033, L_Q = 0.02, m_min = 0.4 mg for 1 %.
    ("net", "code"),
    [
        ("-0.007", "below_zero"),
        ("-0.006", "not_detected"),
        ("0.000", "not_detected"),
        ("0.003", "not_detected"),
        ("0.004", "detected_rough"),
        ("0.019", "detected_rough"),
        ("0.020", "wider_than_aim"),
        ("0.399", "wider_than_aim"),
        ("0.400", "within_aim"),
        ("5.000", "within_aim"),
    ],
)
def test_verdicts_in_the_order_of_the_method(net: str, code: str) -> None:
    found, _ = judged(FINE, net)
    assert (found.code, found.word) == (code, WORDS[code])
    assert found.prefix == ""


def test_the_first_failure_decides() -> None:
    """Even a generous aim does not make a rough figure firm, nor a detected one of nothing."""
    assert judged(FINE, "0.019", aim=0.2)[0].code == "detected_rough"
    assert judged(FINE, "0.020", aim=0.2)[0].code == "within_aim"
    order = Limits(4.0, 8.0, 3.0, Least(2.0, 2.0), Least(2.0, 2.0))
    codes = [code_of(m, 1.0, order, spread_known=True) for m in (-3.1, -3.0, 3.9, 4.0)]
    assert codes == ["below_zero", "not_detected", "not_detected", "within_aim"]


@pytest.mark.parametrize(
    # d = 0.01 mg, s not measured: u0 = 0.00408, L_C = 0.0067, L_Q = 0.041, m_min = 0.816 mg.
    ("net", "text"),
    [
        ("-0.02", "below zero"),
        ("0.00", "at best: not detected"),
        ("0.01", "at best: detected, rough"),
        ("0.31", "at best: wider than aim"),
        ("0.82", "aim not shown"),
        ("500.00", "aim not shown"),
    ],
)
def test_without_a_measured_spread_no_aim_is_met(net: str, text: str) -> None:
    assert judged(UNKNOWN, net)[0].text == text


def test_repeats_that_disagree_have_no_other_verdict() -> None:
    for loads in (("5.000", "5.006"), ("0.001", "0.009"), ("-0.050", "-0.060")):
        found, _ = judged(FINE, *loads)
        assert (found.code, found.text) == ("readings_disagree", "no mean taken")
        assert found.reason.startswith("Readings disagree: 2 readings lie 0.0")


@pytest.mark.parametrize(
    ("balance", "net", "reason"),
    [
        (
            FINE,
            "0.184",
            (
                "Too light for your aim: 0.184 ± 0.004 mg is 184 divisions, ± 2.2 %.\n"
                "For ± 1 % you need 0.40 mg. Pool beads, or use a finer balance."
            ),
        ),
        (
            FINE,
            "0.002",
            (
                "Not detected: 0.002 mg on this balance cannot be told apart from zero.\n"
                "This does not mean zero: up to 0.0066 mg (0.22 g/t) could be there unseen."
            ),
        ),
        (
            FINE,
            "0.010",
            (
                "Metal is there. The figure is rough: ± 40 %.\n"
                "Ten times the spread, 0.020 mg, is the least for a firm figure."
            ),
        ),
        (FINE, "0.800", "Within your aim of ± 1 %: this is ± 0.50 %."),
        (
            FINE,
            "-0.020",
            (
                "Far below zero: -0.020 mg is more than 3u under zero (standard uncertainty).\n"
                "Kept as read, no figure follows from it. Zero the balance and weigh again."
            ),
        ),
        (
            UNKNOWN,
            "1.00",
            (
                "The steps of the display alone would allow ± 0.82 %; your aim is ± 1 %.\n"
                "Spread of this balance not measured. Weigh one small weight ten times."
            ),
        ),
        (
            Balance("b", 0.001, 0.002, calibration=0.006),
            "5.000",
            (
                "Wider than your aim of ± 1 %: this is ± 1.2 %.\n"
                "No mass can meet this aim: the calibration alone is ± 1.2 %."
            ),
        ),
    ],
)
def test_sentences(balance: Balance, net: str, reason: str) -> None:
    weighing, doubt = weighed(balance, net)
    found, _ = verdict(weighing, balance, AIM, doubt, grade=" (0.22 g/t)")
    assert found.reason == reason


def test_sentences_in_another_unit() -> None:
    weighing, doubt = weighed(FINE, "0.184")
    found, _ = verdict(weighing, FINE, AIM, doubt, unit=GRAM)
    assert found.reason == (
        "Too light for your aim: 0.000184 ± 0.000004 g is 184 divisions, ± 2.2 %.\n"
        "For ± 1 % you need 0.00040 g. Pool beads, or use a finer balance."
    )


def test_every_verdict_has_its_word_and_sentence() -> None:
    assert set(WORDS) <= set(TABLE)
    assert all(len(word) <= 15 for word in WORDS.values())


balances = st.builds(
    Balance,
    name=st.just("b"),
    step_mg=st.sampled_from([0.0001, 0.001, 0.002, 0.01, 0.1]),
    spread_mg=st.none(),
    spread_dof=st.integers(2, 80) | st.just(math.inf),
    linearity_mg=st.sampled_from([0.0, 0.005]),
    calibration=st.sampled_from([None, 0.0002, 0.002, 0.004, 0.0046]),
)


def with_spread(balance: Balance, ratio: float) -> Balance:
    return Balance(
        balance.name,
        balance.step_mg,
        round(ratio * balance.step_mg, 8),
        balance.spread_dof,
        balance.linearity_mg,
        calibration=balance.calibration,
    )


@given(balances, st.floats(0.3, 4), magnitudes(0.5, 5), st.sampled_from([0.002, 0.01, 0.05]))
@example(Balance("b", 0.001, None, 9, calibration=0.004), 2.0, 900.0, 0.01)
def test_within_aim_is_said_when_the_printed_doubt_is_within_the_aim(
    balance: Balance, ratio: float, divisions: float, aim: float
) -> None:
    balance = with_spread(balance, ratio)
    net = f"{round(divisions) * balance.step_mg:.4f}"
    weighing, doubt = weighed(balance, net)
    found, _ = verdict(weighing, balance, aim, doubt)
    share = doubt.k * doubt.u / weighing.net_mg
    assume(abs(share / aim - 1) > 1e-9)
    if found.code == "within_aim":
        assert share <= aim
    if found.code == "wider_than_aim":
        assert share > aim


_NEED = re.compile(r"is (\S+) divisions.*\nFor ± \S+ % you need (\S+) mg")


@given(balances, st.floats(0.3, 4), magnitudes(0.5, 4), st.sampled_from([0.002, 0.01, 0.05]))
def test_a_bead_as_heavy_as_asked_for_is_within_the_aim(
    balance: Balance, ratio: float, divisions: float, aim: float
) -> None:
    balance = with_spread(balance, ratio)
    light = f"{round(divisions) * balance.step_mg:.4f}"
    asked = _NEED.search(judged(balance, light, aim=aim)[0].reason)
    assume(asked is not None)
    assert asked is not None
    assert float(asked[2]) > float(light)
    assert judged(balance, asked[2], aim=aim)[0].code == "within_aim"


def test_needed_mass_is_rounded_up() -> None:
    """m_min = 0.404 mg: a bead of 0.402 mg does not hear that it needs 0.40 mg."""
    balance = Balance("b", 0.001, 0.00202)
    assert "you need 0.41 mg" in judged(balance, "0.402")[0].reason


def test_a_bead_heavy_enough_is_not_called_light_when_the_zero_moved() -> None:
    """0.494 mg is above the 0.40 mg that one reading needs; the moving zero is the fault."""
    found, least = judged(FINE, "0.500", zeros=("0.000", "0.012"))
    assert found.code == "wider_than_aim"
    assert least.least_single is not None
    assert least.least_single.mass_mg == pytest.approx(0.4)
    assert "Too light" not in found.reason
    assert "No mass can meet this aim" not in found.reason
    assert found.reason.startswith("Wider than your aim of ± 1 %: this is ± 1.6 %.")


def test_calibration_alone_is_held_against_the_aim_with_its_own_k() -> None:
    """u_rel = 0.46 % is a limit of type B: k = 2, ± 0.92 %, and a heavy bead is within 1 %."""
    balance = Balance("b", 0.001, 0.002, spread_dof=9, calibration=0.0046)
    weighing, doubt = weighed(balance, "5.000")
    assert doubt.k * doubt.u / 5 == pytest.approx(0.00924, abs=1e-5)
    assert verdict(weighing, balance, AIM, doubt)[0].code == "within_aim"


# --- the last place worth printing ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("loads", "zeros", "unit", "place"),
    [
        (("0.31",), (), "mg", -2),
        (("0.310",), ("0.00",), "mg", -3),
        (("0.31", "0.32"), (), "mg", -3),
        (("0.31",), (), "g", -5),
        (("310",), (), "mg", 0),
        (("0.31",), (), "grain", None),
    ],
)
def test_finest_place(
    loads: tuple[str, ...], zeros: tuple[str, ...], unit: str, place: int | None
) -> None:
    weighing, _ = weighed(UNKNOWN, *loads, zeros=zeros)
    assert finest_place(weighing, BY_SPELLING[unit]) == place


def test_finest_place_of_readings_whose_place_is_not_known() -> None:
    weighing = weigh(Sources(), UNKNOWN, [Reading("load", Fraction(31, 100), "0.31 mg")])
    assert finest_place(weighing, MILLIGRAM) is None
