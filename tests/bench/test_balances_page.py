"""Balances: described, checked with a weight, their spread found, all by keys, all in the log."""

import math

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.pages.balance import BalancePage
from assaybench.bench.pages.balances import BalancesPage
from assaybench.bench.run_log import RunLog
from tests.bench.conftest import Clock
from tests.bench.hands import FINE, PULP, Hands, read_rows, safety_rows, sample_rows


@pytest.fixture
def run(desk: Desk) -> RunLog:
    return new_run(desk)


@pytest.fixture
def hands(run: RunLog) -> Hands:
    run.append_all([FINE, PULP])
    return Hands(run, BalancesPage(run))


def test_a_balance_is_described_by_name_and_step_and_is_offered_what_it_weighs(
    run: RunLog,
) -> None:
    hands = Hands(run, BalancesPage(run))
    assert hands.promise == "Enter describes a balance."
    hands.press("enter")
    hands.enter("fine", "0.001 mg", "")
    assert run.entries[-1].values["weighs"] == ["bead", "gold", "silver"]
    hands.press("a")
    hands.enter("pulp", "0.01 g", "charge product")
    assert run.entries[-1].values["weighs"] == ["charge", "product"]
    assert run.balance_for("charge") == "pulp"
    assert run.unit_of("pulp").symbol == "g"


def test_a_step_without_a_unit_is_refused_and_asked_again(run: RunLog) -> None:
    hands = Hands(run, BalancesPage(run))
    n = len(run.entries)
    hands.press("enter")
    hands.enter("fine", "0.001")
    assert len(run.entries) == n
    assert hands.promise == "One division of its display, with unit: 0.001"
    assert hands.margin[0]


def test_a_check_types_zero_and_weight_and_says_at_once_what_it_came_to(
    hands: Hands, clock: Clock
) -> None:
    assert "not checked today" in hands.text()
    hands.press("enter")
    hands.enter("0.010 mg", "10 mg", "10.000 mg", "", "0.000", "10.002")
    check = hands.last("balance_check")
    assert check.values["texts"] == ["10.002"]
    assert check.values["zeros"] == ["0.000"]
    assert check.values["tolerance"] == "0.010 mg"
    assert hands.margin[0] == "fine is good."
    assert "> fine  . . . . . . . . . . . . . . . .  good at 14:31 │" in hands.text()
    clock.go_on(24 * 60)
    assert "good at" not in hands.text()


def test_a_check_that_is_not_good_names_what_is_suspect(hands: Hands, run: RunLog) -> None:
    """Fourteen weights between a good check and one that is not."""
    hands.press("enter")
    hands.enter("0.010 mg", "10 mg", "10.000 mg", "", "0.000", "10.002")
    samples = [(f"KV-{i}", f"A{i}") for i in range(1, 15)]
    run.append_all(sample_rows(*samples))
    run.append_all(read_rows("fine", "bead", [(i, f"0.3{k:02}") for k, (i, _) in
                                              enumerate(samples)], "mg"))  # fmt: skip
    hands.press("enter")
    hands.enter("", "", "0.000", "9.981")
    assert hands.margin[0].startswith("fine is not good.")
    assert any("14 readings since" in m for m in hands.margin)
    assert "NOT GOOD at 14:31" in hands.text()
    tray = Hands(run)
    run.append_all(safety_rows())
    tray.press("4")
    assert any(m.startswith("Check weight 10 mg reads 9.981 mg") for m in tray.margin)


def test_the_spread_comes_from_ten_weighings_each_with_its_zero(hands: Hands, run: RunLog) -> None:
    readings = ["5.001", "4.999", "5.000", "5.002", "4.998", "5.001", "5.000", "4.999", "5.003",
                "4.997"]  # fmt: skip
    hands.press("s")
    hands.enter("5 mg", "5.000 mg", "")
    for text in readings:
        hands.enter("0.000", text)
    assert hands.margin[0] == "Spread of fine: 0.0018 mg."
    assert run.state.balances["fine"].spread_mg == pytest.approx(0.0018)
    assert run.state.balances["fine"].spread_dof == 9
    assert hands.last("balance").values["weighs"] == ["bead", "gold", "silver"]
    assert hands.last("balance_check").values["texts"] == readings


def test_a_check_with_a_weight_of_known_mass_is_the_calibration(hands: Hands, run: RunLog) -> None:
    run.append_all([*sample_rows(("KV-1", "A1")), *safety_rows()])
    run.append_all(read_rows("fine", "bead", [("KV-1", "3.200")], "mg"))
    balance = Hands(run, BalancePage(run, "beads", "KV-1"))
    assert "not verified" in " ".join(balance.margin)
    assert "calibration not verified" in hands.text()
    hands.press("enter")
    hands.enter("", "10 mg", "10.000 ± 0.002 mg", "0.000", "10.001")
    assert hands.margin[:2] == [
        "The check of fine is stored. There is no limit to hold it to.",
        "Calibration of fine from the check at 14:31 with 10 mg: u 0.022 %.",
    ]
    assert "not verified" not in hands.text()
    assert run.state.balances["fine"].calibration == pytest.approx(math.hypot(0.001, 0.002) / 10)
    said = " ".join(balance.margin)
    assert "Calibration of fine from the check at 14:31 with 10 mg: u 0.022 %." in said
    assert "not verified" not in said
    seen = run.seen("KV-1", "bead")
    assert seen is not None
    assert seen.doubt.u == pytest.approx(math.hypot(0.002, 3.2 * math.hypot(0.001, 0.002) / 10))


def test_a_nominal_weight_is_asked_for_its_class(hands: Hands, run: RunLog) -> None:
    hands.press("enter")
    hands.enter("", "10 mg", "10 mg")
    assert hands.promise == "Class of 10 mg (Enter: not known):"
    hands.enter("Q7")
    assert "is no class of a check weight: accepted is E1" in hands.margin[0]
    hands.press("backspace", "backspace")
    hands.enter("f1", "0.000", "10.001")
    assert hands.last("weight").values == {
        "name": "10 mg", "mass": "10 mg", "accuracy_class": "F1",
    }  # fmt: skip
    # OIML R 111: 10 mg of class F1 lies within 0.025 mg
    expected = math.sqrt(0.025**2 / 3 + 0.002**2) / 10
    assert run.state.balances["fine"].calibration == pytest.approx(expected)


def test_a_weight_that_nothing_is_known_of_says_so_and_is_asked_again(
    hands: Hands, run: RunLog
) -> None:
    hands.press("enter")
    hands.enter("", "10 mg", "10 mg", "", "0.000", "10.001")
    assert "its weight has no ± and no known class" in hands.margin[1]
    assert run.state.balances["fine"].calibration is None
    hands.press("enter")
    hands.enter("", "")
    assert hands.promise == "Class of 10 mg (Enter: not known):"
    hands.enter("E2", "0.000", "10.001")
    assert hands.last("amendment").values["accuracy_class"] == "E2"
    assert hands.margin[1].startswith("Calibration of fine from the checks at 14:31 and 14:31")


def test_a_declared_calibration_stays_what_it_is(run: RunLog) -> None:
    declared = {**FINE[1], "calibration": "0.03 %"}
    run.append_all([("balance", declared)])
    hands = Hands(run, BalancesPage(run))
    hands.press("enter")
    hands.enter("", "10 mg", "10.000 ± 0.002 mg", "0.000", "10.001")
    assert run.state.balances["fine"].calibration == pytest.approx(0.0003)
    assert "calibration, u relative 0.03 %" in hands.text()
    assert not any("Calibration of fine" in remark for remark in hands.margin)


def test_escape_within_a_check_stores_nothing(hands: Hands, run: RunLog) -> None:
    hands.press("enter")
    hands.enter("0.010 mg", "10 mg", "10.000 mg", "", "0.000")
    kinds = [e.kind for e in run.entries]
    hands.press("escape")
    assert "balance_check" not in [e.kind for e in run.entries]
    assert kinds == [e.kind for e in run.entries]
    assert hands.sheet.typing is None


def test_an_empty_answer_is_told_in_plain_words_and_once(hands: Hands) -> None:
    hands.press("a", "enter")
    assert hands.margin[0] == "Nothing is typed yet."
    hands.press("escape", "enter")
    hands.enter("0.010 mg", "")
    assert hands.margin.count("Its name, such as 10 mg.") == 1


def test_after_a_check_of_today_nobody_is_sent_to_check_again(hands: Hands) -> None:
    told = "A check with a weight, today, before you weigh."
    assert told in hands.margin
    hands.press("enter")
    hands.enter("0.010 mg", "w10", "10.000 ± 0.002 mg", "0.000", "10.002")
    assert hands.margin[0] == "fine is good."
    assert told not in hands.margin
