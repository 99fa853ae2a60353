"""Scenario: 30 g of tailings, expected at 0.5 g/t, on a balance with steps of 0.01 mg.

Expected gold is 0.015 mg, 1.5 divisions; 50 divisions would need 16.7 g/t or 1 kg. A barren result
is a limit, 0.45 g/t, and never nothing. The spread is not measured: u0 = d/√6.
"""

import re
from typing import Any

import pytest

from tests.acceptance.page import one_line, value_of

BALANCE = ("--readability", "0.01mg")
BARREN = (
    "grade",
    *("--sample", "30.00g"),
    *("--silver-added", "5.00mg"),
    *("--bead", "5.00mg"),
    *BALANCE,
)


def weigh(run: Any, reading: str) -> Any:
    outcome = run("weigh", reading, *BALANCE, "--charge", "30g")
    assert (outcome.status, outcome.err) == (0, "")
    return outcome


def test_expected_gold_is_one_and_a_half_divisions(run: Any) -> None:
    line = ("weigh", "0.015mg", *BALANCE, "--charge", "30g")
    page = run(*line).out
    assert value_of(page, "divisions of 0.01 mg") == "1.5"
    assert "1.5 divisions: below 50 divisions the last digit rules the figure." in page
    answer = run(*line, "--json").json
    assert answer["figures"]["divisions"]["value"] == pytest.approx(1.5)
    assert answer["verdict"]["code"] == "detected_rough"
    assert "few_divisions" in [flag["code"] for flag in answer["flags"]]


def grade_of(run: Any, gold: str, sample: str) -> float:
    line = ("grade", "--sample", sample, "--silver-added", "none", "--bead", "9.00mg")
    answer = run(*line, "--gold", gold, "--sample-readability", "0.01g", *BALANCE, "--json").json
    return float(answer["figures"]["grade_gold"]["value"])


def test_expected_gold_is_half_a_gram_a_tonne_in_this_charge(run: Any) -> None:
    assert round(grade_of(run, "0.015mg", "30g"), 2) == 0.50


def test_fifty_divisions_would_need_more_gold_or_more_sample(run: Any) -> None:
    line = ("weigh", "0.50mg", *BALANCE, "--charge", "30g")
    answer = run(*line, "--json").json
    assert answer["figures"]["divisions"]["value"] == pytest.approx(50)
    assert "few_divisions" not in [flag["code"] for flag in answer["flags"]]
    assert round(grade_of(run, "0.50mg", "30g"), 1) == 16.7
    assert round(grade_of(run, "0.50mg", "1kg"), 2) == 0.50


@pytest.mark.parametrize("reading", ["0.00mg", "-0.01mg"])
def test_a_barren_weighing_says_what_could_hide(run: Any, reading: str) -> None:
    page = weigh(run, reading).out
    assert page.splitlines()[1] == "  At best: not detected."
    assert "This does not mean zero: up to 0.013 mg (0.45 g/t) could be there unseen." in page
    assert value_of(page, "one division, with this charge") == "0.33 g/t"
    assert value_of(page, "seen 95 times in 100 from, with this charge") == "0.45 g/t"
    line = ("weigh", reading, *BALANCE, "--charge", "30g", "--json")
    answer = run(*line).json
    assert answer["verdict"]["code"] == "not_detected"
    assert round(answer["figures"]["detection_grade"]["value"], 2) == 0.45
    assert round(answer["figures"]["division_grade"]["value"], 2) == 0.33


@pytest.mark.parametrize("gold", ["0.00mg", "-0.01mg"])
def test_a_barren_grade_is_a_limit_and_never_zero(run: Any, gold: str) -> None:
    outcome = run(*BARREN, "--gold", gold)
    assert (outcome.status, outcome.err) == (0, "")
    assert "Not detected: " in one_line(outcome.out)
    assert "This does not mean zero: up to 0.013 mg could be there unseen." in outcome.out
    assert value_of(outcome.out, "gold") == "< 0.013 mg"
    assert value_of(outcome.out, "gold grade") == "< 0.45 g/t"
    assert not re.search(r"(?<![\d.])-?0(\.0+)?( ± [\d.]+)? g/t", outcome.out)
    plain = run(*BARREN, "--gold", gold, "--plain").out.splitlines()
    assert "gold grade: < 0.45 g/t" in plain
    grade = run(*BARREN, "--gold", gold, "--json").json["figures"]["grade_gold"]
    assert grade["status"] == "below L_D"
    assert grade["text"] == "< 0.45 g/t"
    assert grade["low"] == 0
    assert grade["high"] > 0


def test_a_barren_sample_of_a_hand_sheet_is_the_same_limit(run: Any, tmp_path: Any) -> None:
    sheet = tmp_path / "tailings.toml"
    sheet.write_text(
        """
        [sheet]
        log = "furnace run"
        title = "Tailings"
        date = 2026-06-09
        by = "KB"
        [[balances]]
        name = "bead"
        step = "0.01 mg"
        weighs = ["bead", "gold"]
        [[balances]]
        name = "pulp"
        step = "0.01 g"
        weighs = ["charge"]
        [[samples]]
        id = "T-1"
        silver = "5.00 mg"
        charge = "30.00 g"
        bead = "5.00 mg"
        gold = "0.00 mg"
        """,
        "utf-8",
    )
    page = run("results", str(sheet)).out
    assert re.search(r"^ +T-1 +< 0\.013 +< 0\.45 +at best: not detected$", page, re.MULTILINE)
    (sample,) = run("results", str(sheet), "--json").json["samples"]
    assert sample["figures"]["grade_gold"]["text"] == "< 0.45 g/t"
    assert sample["verdicts"]["gold"]["code"] == "not_detected"
