"""Scenario: 1.5 mg from "one assay ton" is 51.4 g/t of a short one and 45.9 g/t of a long one.

29.167 g and 32.667 g are 175/6 and 98/3 g (definitions). "AT" alone is refused wherever a unit is
read.
"""

from typing import Any

import pytest

from tests.acceptance.page import value_of

KINDS = [("AT_short", 29.167, 51.4), ("AT_long", 32.667, 45.9)]
BOTH = "AT_short (29.167 g) or AT_long (32.667 g)"
BEAD = ("--silver-added", "none", "--bead", "12.000mg", "--gold", "1.500mg")
BALANCES = ("--readability", "0.001mg", "--sample-readability", "0.001g")


@pytest.mark.parametrize(("kind", "grams", "grade"), KINDS)
def test_the_mass_of_each_kind(run: Any, kind: str, grams: float, grade: float) -> None:
    figure = run("convert", f"1 {kind}", "g", "--json").json["figures"]["g"]
    assert round(figure["value"], 3) == grams
    shown = value_of(run("convert", f"1 {kind}", "g").out, "gram").removesuffix(" g")
    assert round(float(shown), 3) == grams


@pytest.mark.parametrize(("kind", "grams", "grade"), KINDS)
def test_metal_in_one_of_each_kind(run: Any, kind: str, grams: float, grade: float) -> None:
    line = ("convert", f"1.5 mg/{kind}", "g/t")
    assert round(run(*line, "--json").json["figures"]["g/t"]["value"], 1) == grade
    assert value_of(run(*line).out, "grams per tonne").startswith(f"{grade:.1f}")


@pytest.mark.parametrize(("kind", "grams", "grade"), KINDS)
def test_a_charge_of_each_kind(run: Any, kind: str, grams: float, grade: float) -> None:
    line = ("grade", "--sample", f"1 {kind}", *BEAD, *BALANCES)
    figures = run(*line, "--json").json["figures"]
    assert round(figures["charge"]["value"], 3) == grams
    assert round(figures["grade_gold"]["value"], 1) == grade
    assert value_of(run(*line).out, "gold grade").startswith(f"{grade:.1f}")


@pytest.mark.parametrize(
    ("place", "line"),
    [
        ("grade: --sample", ("grade", "--sample", "1 AT", *BEAD, *BALANCES)),
        ("convert: FIGURE", ("convert", "1 AT", "g")),
        ("convert: FIGURE", ("convert", "1.5 mg/AT", "g/t")),
        ("convert: UNIT", ("convert", "51.4 g/t", "mg/AT")),
        ("weigh: --charge", ("weigh", "1.5mg", "--readability", "0.01mg", "--charge", "1 AT")),
    ],
)
def test_the_bare_unit_is_refused_with_both_kinds_named(
    run: Any, place: str, line: tuple[str, ...]
) -> None:
    outcome = run(*line)
    assert (outcome.status, outcome.out) == (2, "")
    (fault,) = outcome.faults
    assert fault.startswith(f"assaybench {place}: ")
    assert "is not clear" in fault
    assert fault.endswith(f"Write {BOTH}.")
