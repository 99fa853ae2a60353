"""The printed sum, evaluated as it stands, gives the printed figure."""

import math
import re
from decimal import Decimal
from pathlib import Path
from statistics import NormalDist
from typing import Any

import pytest

DEMO = Path(__file__).parents[2] / "demo"
BOTH_STAGES = (
    "recovery",
    *("--size", "+1=186.4 ± 1 mg:2.1 ± 0.1 mg:1 ± 0.2 mg"),
    *("--size", "-1=58.3 ± 1 mg:49 ± 1 mg:3 ± 0.2 mg", "--middlings", "0.5 ± 0.1 mg"),
    *("--second-stage", "90%", "--second-stage-least", "50%", "--rerun-share", "50%"),
)
LINES = (
    ("weigh", "0.31mg", "--readability", "0.01mg"),
    (
        "weigh",
        "0.184mg",
        "--readability",
        "0.001mg",
        "--repeatability",
        "0.002mg",
        "--repeats",
        "9",
    ),
    (
        "weigh",
        "0.184mg",
        "0.186mg",
        "--readability",
        "0.001mg",
        "--repeatability",
        "0.002mg",
        "--zero",
        "0.001mg -0.001mg",
        "--calibration",
        "0.02%",
        "--linearity",
        "0.001mg",
    ),
    ("weigh", "-0.001mg", "--readability", "0.001mg", "--repeatability", "0.0005mg"),
    ("weigh", "5.01mg", "--readability", "0.01mg", "--repeatability", "0.003mg", "--aim", "0.5%"),
    ("weigh", "30.00g", "--readability", "0.01g", "--charge", "1AT_short"),
    ("compare", "3.2 ± 0.4 g/t", "4.1 ± 0.5 g/t"),
    ("compare", "3.2 ± 0.4 g/t", "4.1(3) ppm"),
    ("compare", "1.2 ± 0.4 g/t", "--cutoff", "1 g/t"),
    ("compare", "--before", "81.2 84.0 79.5", "--after", "85.1 83.3 86.8"),
    ("compare", "--before", "81.2 84.0 79.5", "--after", "85.1 83.3 86.8", "--paired"),
    (
        "compare",
        *("--before", "81.2 84.0 79.5 %", "--after", "85.1 83.3 86.8 %", "--cost", "1800"),
        *("--feed-per-season", "900t", "--grade", "0.9 g/t", "--price", "80/g"),
    ),
    ("compare", "1.2 ± 0.2 g/t", "--cutoff", "1g/t", "--grains", "40"),
    (
        "compare",
        *("--laboratory", "4.1 4.3 4.0 g/t", "--laboratory", "4.6 4.5 g/t"),
        *("--repeatability", "0.1g/t", "--reproducibility", "0.2g/t"),
    ),
    ("compare", "--duplicates", "4.1:4.3 5.0:4.8 9:10.5 g/t"),
    ("compare", "912.68‰", "912.1‰", "--splitting-limit", "0.5‰"),
    ("compare", "912.68 ± 0.2 ‰", "912.4(1) ‰", "--splitting-limit", "0.5‰"),
    (
        "compare",
        *("912.68 ± 0.2 ‰", "912.1(1) ‰", "--splitting-limit", "0.5‰"),
        *("--umpire", "912.5 ± 0.1 ‰", "--umpire-rule", "mean"),
    ),
    (
        "value",
        *("--mass", "2.4kg", "--moisture", "8%", "--grade", "310 ± 20 g/t", "--price", "80 USD/g"),
        *("--payable", "97%", "--refining", "0.5 USD/g", "--treatment", "120 USD/t"),
        *("--deduction", "1g/t", "--charge", "20 USD", "--second-stage", "60 ± 10 %"),
    ),
    (
        "value",
        *("--gross", "31.1g", "--fineness", "912.7 ± 0.3 ‰", "--price", "2500 USD/ozt"),
    ),
    (
        "value",
        *("--season", "900t", "--grade", "0.9 ± 0.1 g/t", "--recovery", "81.5 ± 4 %"),
        *("--gain", "3.5 ± 4 %", "--price", "80 USD/g", "--cost", "1800 USD"),
        *("--running-cost", "0.3 USD/t", "--rate", "10%", "--years", "5"),
    ),
    ("convert", "1.5 ozt/short_ton"),
    ("convert", "2.5 dwt", "mg"),
    ("convert", "1.5 mg/AT_long", "g/t"),
    ("sieves", "75um"),
    ("sieves", "250um", "106um"),
    *(
        (
            "sieves",
            *("--fraction", "250um=12.3g", "--fraction", "106um=40.1g", "--fraction", "75um=20g"),
            *("--fraction", "pan=9.9g", "--passing", "70%", "--rule", rule),
        )
        for rule in ("log", "linear", "log-log")
    ),
    (
        "recovery",
        *("--stream", "feed=100 ± 2 kg:2.0 ± 0.2 g/t:8 ± 1 g/t"),
        *("--stream", "concentrate=4.4 ± 0.2 kg:40 ± 4 g/t:90 ± 9 g/t"),
        *("--stream", "tailings=95.5 ± 2 kg:0.30 ± 0.03 g/t:?"),
    ),
    (
        "recovery",
        *("--concentrate", "12.0 ± 0.1 mg", "--rerun", "3.0 ± 0.1 mg"),
        *("--middlings", "0.5 ± 0.1 mg"),
    ),
    (
        "recovery",
        *("--concentrate", "12.0 ± 0.1 mg", "--rerun", "0.01 ± 0.01 mg", "--mats", "1 ± 0.1 mg"),
        *("--tailings-grade", "<0.3 g/t", "--tailings-mass", "10 ± 1 kg"),
    ),
    BOTH_STAGES,
    ("sampling", "--metal", "0.31 mg", "--sieve", "106um:250um"),
    ("sampling", "--count", "18", "--count-other", "7", "--sample", "1kg", "--sample-other", "2kg"),
    ("sampling", "--gy", "--top", "1mm", "--grade", "5g/t", "--sample", "5kg", "--target", "15%"),
    (
        "sampling",
        "--gy",
        "--lot",
        "100kg",
        "--stage",
        "5kg:1mm",
        "--stage",
        "50g:75um",
        "--liberated",
        "75um",
        "--expected-grade",
        "5g/t",
        "--target",
        "30%",
        "--assay",
        "10%",
    ),
    (
        "metallics",
        *("--plus-mass", "24.6g", "--plus-metal", "3.812mg", "--minus-mass", "975.4g"),
        *("--minus", "30.00g:0.063mg", "--minus", "30.00g:0.069mg", "--total", "1001.3g"),
    ),
    ("results", str(DEMO / "metallics-and-bar.toml")),
    ("results", str(DEMO / "furnace-run.toml")),
    ("results", str(DEMO / "gravity-test.toml")),
)
_RESULT = re.compile(r"(-?[0-9.]+)( \S+)?")


def evaluate(expression: str) -> float:
    """A printed expression as a number; only numbers and arithmetic signs are let through."""
    python = (
        expression.replace("×", "*").replace("^", "**").replace("√", "sqrt").replace("Φ", "Phi")
    )
    assert re.fullmatch(r"(?:[0-9.\s()+*/-]|sqrt|Phi|ln|exp)+", python), expression
    functions = {"sqrt": math.sqrt, "Phi": NormalDist().cdf, "ln": math.log, "exp": math.exp}
    names = {**functions, "__builtins__": {}}
    return float(eval(python, names))  # noqa: S307  only signs of arithmetic pass the line above


@pytest.mark.parametrize("line", LINES, ids=" ".join)
def test_every_step_gives_its_printed_result(run: Any, line: tuple[str, ...]) -> None:
    steps = run(*line, "--json", "--sum").json["sum"]
    assert steps
    for step in steps:
        _name, expression, printed = step.split(" = ")
        match = _RESULT.fullmatch(printed)
        assert match is not None, step
        half_unit = 0.5 * float(Decimal(1).scaleb(int(Decimal(match[1]).as_tuple().exponent)))
        found = evaluate(expression)
        # the expression's own numbers carry nine digits
        assert found == pytest.approx(float(match[1]), abs=half_unit * 1.01 + 2e-8 * abs(found)), (
            step
        )


@pytest.mark.parametrize("line", LINES[:6], ids=" ".join)
def test_the_last_steps_are_the_figures_of_the_page(run: Any, line: tuple[str, ...]) -> None:
    answer = run(*line, "--json", "--sum").json
    results = {s.split(" = ")[0]: float(s.split(" = ")[2].split()[0]) for s in answer["sum"]}
    mass = answer["figures"]["mass"]
    assert results["mass"] == pytest.approx(mass["value"], rel=1e-5)
    assert results["U"] == pytest.approx(mass["k"] * mass["u"], rel=1e-5)
    assert results["L_D"] == pytest.approx(answer["figures"]["detection_limit"]["value"], rel=1e-5)
    assert results["m_min"] == pytest.approx(answer["figures"]["least_mass"]["value"], rel=1e-5)


def test_the_page_and_the_plain_lines_show_the_same_steps(run: Any) -> None:
    line = LINES[1]
    steps = run(*line, "--json", "--sum").json["sum"]
    page, plain = run(*line, "--sum").out, run(*line, "--plain", "--sum").out
    for step in steps:
        assert step in page
        assert step.replace("×", "x").replace("√", "sqrt") in plain


def test_a_bar_and_a_screen_have_lines_for_all_that_is_printed_of_them(run: Any) -> None:
    answer = run("results", str(DEMO / "metallics-and-bar.toml"), "--json", "--sum").json
    found = {s.split(" = ")[0]: float(s.split(" = ")[-1].split()[0]) for s in answer["sum"]}
    figures = {w["id"]: w["figures"] | w["pieces"] for w in answer["wholes"]}
    lines = {
        ("Bar 3", "surcharge"): "surcharge",
        ("Bar 3", "surcharge_permille"): "of the gold taken",
        ("Bar 3", "fineness"): "fineness",
        ("Bar 3", "settled"): "settled at",
        ("PK-120", "grade_gold"): "grade",
        ("PK-120", "minus_grade"): "minus grade",
        ("PK-120", "minus_metal"): "minus metal",
        ("PK-120", "closure"): "total less parts",
        ("PK-120", "closure_limit"): "which may be at most",
    }
    for (name, figure), line in lines.items():
        value = figures[name][figure]["value"]
        assert found[f"{name}: {line}"] == pytest.approx(value, rel=5e-6), line


def test_every_recovery_that_is_a_quotient_has_its_line(run: Any) -> None:
    answer = run(*BOTH_STAGES, "--json", "--sum").json
    found = {step.split(" = ")[0]: step.split(" = ")[2] for step in answer["sum"]}
    names = {
        "at most": "at_most",
        "closed": "closed",
        "both stages": "both_stages",
        "with stage 2 as stated": "stated_second_stage",
        "with stage 2 at its least": "least_second_stage",
    }
    for words, name in names.items():
        value = answer["figures"][f"recovery_{name}"]["value"]
        assert float(found[f"all, {words}"].split()[0]) == pytest.approx(value, rel=1e-5)
        assert f"+1, {words}" in found


def test_a_value_read_off_a_law_has_no_line_that_would_give_another(run: Any) -> None:
    line = ("recovery", "--concentrate", "0.004 ± 0.003 mg", "--rerun", "-0.001 ± 0.003 mg")
    answer = run(*line, "--tailings", "1 ± 0.1 mg", "--json", "--sum").json
    assert answer["figures"]["recovery_closed"]["value"] is not None
    assert answer["sum"] == []
