"""The printed sum, evaluated as it stands, gives the printed figure."""

import math
import re
from decimal import Decimal
from statistics import NormalDist
from typing import Any

import pytest

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
    ("convert", "1.5 ozt/short_ton"),
    ("convert", "2.5 dwt", "mg"),
    ("convert", "1.5 mg/AT_long", "g/t"),
    ("sieves", "75um"),
    ("sieves", "250um", "106um"),
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
)
_RESULT = re.compile(r"(-?[0-9.]+)( \S+)?")


def evaluate(expression: str) -> float:
    """A printed expression as a number; only numbers and arithmetic signs are let through."""
    python = (
        expression.replace("×", "*").replace("^", "**").replace("√", "sqrt").replace("Φ", "Phi")
    )
    assert re.fullmatch(r"(?:[0-9.\s()+*/-]|sqrt|Phi)+", python), expression
    names = {"sqrt": math.sqrt, "Phi": NormalDist().cdf, "__builtins__": {}}
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
