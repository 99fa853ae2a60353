"""Scenario: screen metallics. 1000.0 g of pulp; plus 106 µm 24.6 g, all fused, 3.812 mg of gold.

Minus 975.4 g, two assays of 30.00 g with 0.063 and 0.069 mg. Worked by hand: 2.10 and 2.30, mean
2.20 g/t; 2.146 mg in minus; 5.958 mg in all; 5.96 g/t.
"""

from typing import Any

import pytest

from tests.acceptance.page import one_line, value_of

LINE = (
    "metallics",
    *("--plus-mass", "24.6g"),
    *("--plus-metal", "3.812mg"),
    *("--minus-mass", "975.4g"),
    *("--minus", "30.00g:0.063mg"),
    *("--minus", "30.00g:0.069mg"),
    *("--total", "1000.0g"),
    *("--readability", "0.001mg"),
)
SHEET = """
[sheet]
log = "furnace run"
title = "One screened pulp"
date = 2026-06-09
by = "KB"
[[balances]]
name = "bead"
step = "0.001 mg"
weighs = ["bead", "gold"]
[[balances]]
name = "pulp"
step = "0.01 g"
weighs = ["charge"]
[[balances]]
name = "coarse"
step = "0.1 g"
weighs = ["total", "plus", "minus"]
[[samples]]
id = "S"
total = "1000.0 g"
plus = "24.6 g"
minus = "975.4 g"
[[samples]]
id = "S plus"
of = "S"
part = "plus"
charge = "24.60 g"
gold = "3.812 mg"
[[samples]]
id = "S minus a"
of = "S"
part = "minus"
charge = "30.00 g"
gold = "0.063 mg"
[[samples]]
id = "S minus b"
of = "S"
part = "minus"
charge = "30.00 g"
gold = "0.069 mg"
"""


def test_every_number_stands_in_the_json(run: Any) -> None:
    answer = run(*LINE, "--json").json
    figures = {name: figure["value"] for name, figure in answer["figures"].items()}
    assert [round(assay["grade_g_t"], 2) for assay in answer["assays"]] == [2.10, 2.30]
    assert round(figures["minus_grade"], 2) == 2.20
    assert round(figures["plus_metal"], 3) == 3.812
    assert round(figures["minus_metal"], 3) == 2.146
    assert round(figures["plus_metal"] + figures["minus_metal"], 3) == 5.958
    assert round(figures["grade"], 2) == 5.96
    assert round(figures["coarse_share"]) == 64
    assert round(figures["simple_mean"], 1) == 53.1
    assert answer["figures"]["simple_mean"]["why"] == "not a grade"
    closure = answer["figures"]["closure"]
    # three masses typed to 0.1 g, each 0.1/√12
    assert closure["value"] == pytest.approx(0.0, abs=1e-9)
    assert closure["u"] == pytest.approx(0.1 / 2)
    assert figures["closure_limit"] == pytest.approx(10.0)


def test_the_gap_of_the_masses_has_its_doubt_on_every_output(run: Any) -> None:
    line = (*LINE[:-4], "--total", "998.0 ± 0.6 g", *LINE[-2:])
    text = run(*line, "--json").json["figures"]["closure"]["text"]
    assert text == "-2.00 ± 0.61 g"
    assert value_of(run(*line).out, "total less plus less minus") == text
    plain = run(*line, "--plain").out
    assert "total less plus less minus: -2.00 +-0.61 g" in plain
    assert "which may be at most: 10 g" in plain
    assert "closure" not in run(*LINE[:-4], *LINE[-2:], "--json").json["figures"]


def test_the_page_says_them_and_warns(run: Any) -> None:
    outcome = run(*LINE, "--sum")
    assert (outcome.status, outcome.err) == (0, "")
    page = one_line(outcome.out)
    assert "minus grade = 1000 × (0.063 + 0.069) / (30 + 30) = 2.2 g/t" in page
    assert "minus metal = 975.4 × 2.2 / 1000 = 2.14588 mg" in page
    assert "grade = 1000 × (3.812 + 2.14588) / (24.6 + 975.4) = 5.95788 g/t" in page
    assert value_of(outcome.out, "of it coarse").startswith("64 ± ")
    assert value_of(outcome.out, "metal on the screen").startswith("3.812")
    assert value_of(outcome.out, "metal that passed").startswith("2.1 ± ")
    assert value_of(outcome.out, "grade of what passed, mean of 2").startswith("2.2 ± ")
    assert value_of(outcome.out, "grade").startswith("6.0 ± ")
    assert "The simple mean of the 3 assays, 53.1 g/t, is not a grade." in page
    assert "An assay of the minus alone would have said 2.2 g/t." in page
    assert "They disagree: 2.1 and 2.3 g/t lie 0.2 apart" in page


def test_the_masses_close(run: Any) -> None:
    assert value_of(run(*LINE).out, "total less plus less minus") == "0.00 ± 0.10 g"
    assert "closure_fails" not in [flag["code"] for flag in run(*LINE, "--json").json["flags"]]


def test_masses_that_do_not_close_are_said(run: Any) -> None:
    """Eleven grams missing of 1000 are more than 1 %."""
    short = ["964.4g" if word == "975.4g" else word for word in LINE]
    assert "Masses do not close: 11 g between total and parts" in run(*short).out


@pytest.fixture
def sheet(tmp_path: Any) -> str:
    path = tmp_path / "metallics.toml"
    path.write_text(SHEET, "utf-8")
    return str(path)


def test_a_hand_sheet_says_the_same(run: Any, sheet: str) -> None:
    answer = run("results", sheet, "--json").json
    (whole,) = answer["wholes"]
    figures = {name: figure["value"] for name, figure in whole["figures"].items()}
    assert round(figures["grade_gold"], 2) == 5.96
    assert round(figures["minus_grade"], 2) == 2.20
    assert round(figures["minus_metal"], 3) == 2.146
    assert round(figures["plus_metal"] + figures["minus_metal"], 3) == 5.958
    assert round(figures["coarse_share"]) == 64
    grades = {s["id"]: s["figures"]["grade_gold"]["value"] for s in answer["samples"][1:]}
    assert round(grades["S minus a"], 2) == 2.10
    assert round(grades["S minus b"], 2) == 2.30
    page = one_line(run("results", sheet).out)
    assert "S: The simple mean of the 3 assays, 53.1 g/t, is not a grade." in page
    assert "S: An assay of the minus alone would have said 2.2 g/t." in page
    assert "Masses do not close" not in page


def test_a_portion_without_its_metal_is_called_a_portion(run: Any) -> None:
    line = ["metallics", "--plus-mass", "24.6g", "--plus-metal", "3.812mg", "--minus-mass", "50.4g"]
    (fault,) = run(*line, "--minus", "30g", "--minus", "30.00g:0.063mg").faults
    assert '--minus: "30g" is not a portion: its mass and its metal.' in fault


def test_portions_heavier_than_all_of_minus_are_told_and_give_no_result(run: Any) -> None:
    line = ["metallics", "--plus-mass", "24.6g", "--plus-metal", "3.812mg", "--minus-mass", "50.4g"]
    line += ["--minus", "30.00g:0.063mg", "--minus", "30.00g:0.069mg"]
    answer = run(*line, "--json").json
    assert answer["verdict"]["code"] == "portions_above_whole"
    assert answer["figures"]["grade"]["status"] == "not determinable"
    assert answer["budget"] == {}
    assert "Minus: portions of 60 g together outweigh all of it, 50.4 g." in run(*line).out
