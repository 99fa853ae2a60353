"""What a balance can see: limits, least mass, the order of the verdicts and their sentences."""

import math
import re
from fractions import Fraction

import numpy as np
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
    doubt_of,
    finest_place,
    least_mass,
    limits,
    relative_expanded,
    repeats_for_aim,
    useful_repeats,
    verdict,
)
from assaybench.metrology.uncertain import Doubt, Sources
from assaybench.metrology.weighing import Balance, Reading, Weighing, u0, weigh
from assaybench.units.table import BY_SPELLING, GRAM, MILLIGRAM
from tests.strategies import magnitudes

FINE = Balance("fine", 0.001, 0.002)
FINE_OF_TEN = Balance("fine", 0.001, 0.002, spread_dof=9)
UNKNOWN = Balance("unknown", 0.01)
AIM = 0.01


def _single(balance: Balance) -> tuple[float, float]:
    """u_c in mg and k of one reading and one zero."""
    return doubt_of(balance, u0(balance, 1, 1), balance.u_shared_mg)


def weighed(balance: Balance, *loads: str, zeros: tuple[str, ...] = ()) -> tuple[Weighing, Doubt]:
    sources = Sources()

    def reading(kind: str, i: int, text: str) -> Reading:
        place = Fraction(1, 10 ** len(text.partition(".")[2]))
        return Reading(f"{kind} {i}", Fraction(text), f"{text} mg", place)

    weighing = weigh(
        sources,
        balance,
        [reading("load", i, text) for i, text in enumerate(loads)],
        [reading("zero", i, text) for i, text in enumerate(zeros)],
    )
    return weighing, sources.doubt(weighing.net)


def judged(
    balance: Balance, *loads: str, aim: float = AIM, zeros: tuple[str, ...] = ()
) -> tuple[Verdict, Limits]:
    weighing, doubt = weighed(balance, *loads, zeros=zeros)
    return verdict(weighing, balance, aim, doubt)


# --- limits --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    # Currie 1968: 1.645, 3.29, 10. For ν = 9 and 4: t(0.95, ν) and the noncentral t (method
    # version 1, section 2; 4.07 for ν = 4 is Currie's own, from memory).
    ("dof", "critical", "detection"),
    [(math.inf, 1.6449, 3.2897), (9, 1.8331, 3.5754), (4, 2.1318, 4.0673)],
)
def test_limits_in_units_of_u0(dof: float, critical: float, detection: float) -> None:
    balance = Balance("fine", 0.001, 0.002, spread_dof=dof)
    weighing, _ = weighed(balance, "0.184")
    found = limits(weighing, balance, AIM)
    assert found.critical_mg / 0.002 == pytest.approx(critical, abs=6e-5)
    assert found.detection_mg / 0.002 == pytest.approx(detection, abs=6e-5)
    assert found.tenfold_mg / 0.002 == pytest.approx(10, rel=1e-12)


def test_more_readings_see_less_metal_but_rounding_does_not_average() -> None:
    texts = ("0.184", "0.185", "0.183", "0.184")
    four, _ = weighed(FINE, *texts, zeros=("0.000",) * 4)
    assert limits(four, FINE, AIM).critical_mg == pytest.approx(1.6449 * 0.001, rel=1e-4)
    coarse = Balance("coarse", 0.001, 0.0005)
    rounded, _ = weighed(coarse, *texts, zeros=("0.000",) * 4)
    assert limits(rounded, coarse, AIM).critical_mg == pytest.approx(1.6449 * 0.0005, rel=1e-4)


def simulated(true_mg: float) -> float:
    """Share of simulated weighings of this mass whose verdict is `not detected`; s = 2 d."""
    rng = np.random.default_rng(41)
    step = Fraction(1, 1000)
    sigma = math.sqrt(4 - 1 / 6) / math.sqrt(2)
    times, missed = 1500, 0
    for _ in range(times):
        offset = rng.uniform(-0.5, 0.5)
        load, zero = (round(offset + mass + rng.normal(0, sigma)) for mass in (true_mg * 1000, 0.0))
        sources = Sources()
        weighing = weigh(
            sources,
            FINE,
            [Reading("load", load * step, "")],
            [Reading("zero", zero * step, "")],
        )
        found, _ = verdict(weighing, FINE, AIM, sources.doubt(weighing.net))
        missed += found.code in {"not_detected", "below_zero"}
    return missed / times


def test_an_empty_pan_is_taken_for_metal_in_5_of_100() -> None:
    """L_C = 3.3 divisions here, so the displayed 3 is not, 4 is detected: 4 to 5 in 100."""
    assert 1 - simulated(0.0) == pytest.approx(0.05, abs=0.02)


def test_a_mass_of_l_d_is_missed_in_5_of_100() -> None:
    weighing, _ = weighed(FINE, "0.184")
    missed = simulated(limits(weighing, FINE, AIM).detection_mg)
    assert missed == pytest.approx(0.05, abs=0.025)


# --- least mass ----------------------------------------------------------------------------------


def test_usp_41() -> None:
    """USP <41>: s = 0.00015 g and 0.10 % make 2000 s = 0.30000 g; below 0.41 d it is 820 d."""
    balance = Balance("analytical", 0.1, 0.15)
    assert least_mass(0.001, balance, *_single(balance)) == pytest.approx(300.00, rel=1e-12)
    steady = Balance("steady", 0.1, 0.01)
    assert least_mass(0.001, steady, *_single(steady)) == pytest.approx(82.0, rel=1e-12)


@pytest.mark.parametrize(
    # Derived, k = 2: m_min = 2·max(s, 0.41 d)/p.
    ("s", "d", "least"),
    [
        (0.0001, 0.0001, (0.2, 0.04, 0.02, 0.01, 0.004)),
        (0.0004, 0.0001, (0.8, 0.16, 0.08, 0.04, 0.016)),
        (0.0015, 0.001, (3.0, 0.6, 0.3, 0.15, 0.06)),
        (0.02, 0.01, (40, 8, 4, 2, 0.8)),
        (0.08, 0.1, (160, 32, 16, 8, 3.2)),
    ],
)
def test_least_mass_at_five_aims(s: float, d: float, least: tuple[float, ...]) -> None:
    balance = Balance("b", d, s)
    found = [
        least_mass(aim, balance, *_single(balance)) for aim in (0.001, 0.005, 0.01, 0.02, 0.05)
    ]
    assert found == pytest.approx(least, rel=1e-12)


def test_least_mass_with_a_calibration() -> None:
    """s .0015 mg, u_rel 2e-4, aim 1 %, k 2: 0.30024 mg (derived)."""
    balance = Balance("b", 0.001, 0.0015, calibration=0.0002)
    assert least_mass(AIM, balance, *_single(balance)) == pytest.approx(0.30024, abs=5e-6)


@pytest.mark.parametrize("calibration", [0.005, 0.006, 0.1])
def test_no_mass_meets_an_aim_that_the_calibration_alone_exceeds(calibration: float) -> None:
    balance = Balance("b", 0.001, 0.002, calibration=calibration)
    assert least_mass(AIM, balance, *_single(balance)) is None


def test_what_is_shared_counts_in_the_least_mass() -> None:
    balance = Balance("b", 0.001, 0.002, linearity_mg=0.006, zero_residue_mg=0.003)
    shared = math.hypot(0.006 / math.sqrt(3), 0.003 / math.sqrt(3))
    assert _single(balance) == pytest.approx((math.hypot(0.002, shared), 2.0), rel=1e-12)
    assert _single(FINE_OF_TEN)[1] == pytest.approx(2.2622, abs=1e-4)
    # ν_eff = 9·(1 + 1/ratio²)²: 1 to 1 makes 36, so k = t(36)
    assert doubt_of(FINE_OF_TEN, 0.002, 0.002)[1] == pytest.approx(2.0281, abs=1e-4)


@given(
    magnitudes(-4, 0),
    st.floats(0.3, 3),
    st.integers(2, 80) | st.just(math.inf),
    st.floats(0, 0.004),
    st.floats(0.001, 0.2),
)
def test_at_the_least_mass_u_is_the_aim(
    step: float, ratio: float, dof: float, calibration: float, aim: float
) -> None:
    balance = Balance("b", step, ratio * step, spread_dof=dof, calibration=calibration)
    u_c, k = _single(balance)
    least = least_mass(aim, balance, u_c, k)
    assume(least is not None)
    assert least is not None
    assert k * math.hypot(u_c, calibration * least) / least == pytest.approx(aim, rel=1e-9)


# --- repeats -------------------------------------------------------------------------------------


def test_repeats_for_a_bead_of_0_184_mg() -> None:
    """s = 0.002 mg well known, aim 1 %: once ± 2.2 %, five times ± 1.0 %."""
    assert relative_expanded(0.184, FINE, 1) == pytest.approx(0.0217, abs=5e-5)
    assert repeats_for_aim(0.184, FINE, AIM) == 5
    assert relative_expanded(0.184, FINE, 5) == pytest.approx(0.0097, abs=5e-5)
    assert relative_expanded(0.184, FINE, 4) > AIM


def test_repeats_are_told_until_as_many_were_made() -> None:
    found = useful_repeats(weighed(FINE, *["0.184"] * 4)[0], FINE, AIM)
    assert found == (5, relative_expanded(0.184, FINE, 5))
    assert useful_repeats(weighed(FINE, *["0.184"] * 5)[0], FINE, AIM) is None


@pytest.mark.parametrize(
    ("mass", "balance"),
    [
        (0.184, Balance("unmeasured", 0.001)),
        (0.05, Balance("rounding rules", 0.001, 0.0005)),
        (0.12, FINE),
        (0.0, FINE),
        (-0.1, FINE),
        (100.0, Balance("poor scale", 0.001, 0.002, calibration=0.006)),
    ],
)
def test_no_number_of_repeats_is_promised_in_vain(mass: float, balance: Balance) -> None:
    assert repeats_for_aim(mass, balance, AIM) is None


def test_linearity_is_not_averaged_away() -> None:
    balance = Balance("b", 0.001, 0.002, linearity_mg=0.004)
    assert relative_expanded(0.5, balance, 10) == pytest.approx(
        2 * math.hypot(0.002 / math.sqrt(10), 0.004 / math.sqrt(3)) / 0.5, rel=1e-12
    )


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
