"""Scenario: a cupelled bead is not gold. Charge 30.00 g, silver added 8.000 mg, bead 9.398 mg.

Before parting there is doré and no gold. After it: gold 1.204 mg, blank gold 0.004 mg, blank silver
0.052 mg, and silver by difference only between two ends. All numbers are worked by hand.
"""

import re
from typing import Any

from tests.acceptance.page import one_line, value_of

BEAD = (
    "grade",
    *("--sample", "30.00g"),
    *("--silver-added", "8.000mg"),
    *("--bead", "9.398mg"),
    *("--readability", "0.001mg"),
    *("--repeatability", "0.002mg"),
)
PARTED = (
    *BEAD,
    *("--gold", "1.204mg"),
    *("--blank-gold", "0.004mg"),
    *("--blank-silver", "0.052mg"),
)


def test_before_parting_it_is_dore_and_no_gold_is_printed(run: Any) -> None:
    outcome = run(*BEAD, "--sum")
    assert (outcome.status, outcome.err) == (0, "")
    verdict, dore, gold = outcome.out.splitlines()[1:4]
    assert verdict == "  Doré, not gold."
    assert re.fullmatch(
        r"  This bead is doré: gold and silver together, 9\.3980? ± 0\.0040? mg\.", dore
    )
    assert gold == "  Gold not determined. To know the gold, part the bead and weigh again."
    assert value_of(outcome.out, "bead, as read") == "9.398 ± 0.004 mg"
    assert value_of(outcome.out, "gold grade") == "not determinable"
    assert round(9.398 / 30.00 * 1000) == 313
    assert "313" not in outcome.out
    plain = run(*BEAD, "--plain")
    assert "gold grade: not determinable" in plain.out.splitlines()
    assert "313" not in plain.out


def test_before_parting_the_json_holds_no_gold_either(run: Any) -> None:
    answer = run(*BEAD, "--json").json
    assert answer["verdict"]["code"] == "dore_not_gold"
    grade = answer["figures"]["grade_gold"]
    assert (grade["value"], grade["low"], grade["high"]) == (None, None, None)
    assert grade["status"] == "not determinable"
    assert grade["why"] == "doré, gold not determined: the bead was not parted."
    assert "gold" not in answer["figures"]
    numbers = [figure["value"] for figure in answer["figures"].values()]
    assert not [n for n in numbers if n is not None and round(n) == 313]


def test_after_parting_gold_less_its_blank_and_its_grade(run: Any) -> None:
    outcome = run(*PARTED, "--sum")
    assert (outcome.status, outcome.err) == (0, "")
    assert outcome.out.splitlines()[1].startswith("  Above the blank: of 1.204 mg read, 1.200")
    assert value_of(outcome.out, "gold").startswith("1.2000 ± ")
    assert value_of(outcome.out, "gold grade").startswith("40.00 ± ")
    assert "gold less blank = 1.204 - 0.004 = 1.2 mg" in outcome.out
    assert "grade = 1000 × 1.2 / 30 = 40 g/t" in outcome.out
    figures = run(*PARTED, "--json").json["figures"]
    assert round(figures["gold"]["value"], 3) == 1.200
    assert round(figures["grade_gold"]["value"], 2) == 40.00
    assert figures["grade_gold"]["status"] == "measured"
    assert figures["grade_gold"]["low"] < 40.00 < figures["grade_gold"]["high"]


def test_that_grade_in_troy_ounces_per_short_ton(run: Any) -> None:
    line = ("convert", "40.00 g/t", "ozt/short_ton")
    assert round(run(*line, "--json").json["figures"]["ozt/short_ton"]["value"], 3) == 1.167
    label = "troy ounces per short ton, 240/7 g/t"
    assert value_of(run(*line).out, label) == "1.16667 ozt/short_ton"


def test_silver_by_difference_is_told_by_both_its_ends_and_is_no_figure(run: Any) -> None:
    page = one_line(run(*PARTED).out)
    assert "Silver is 0.142 mg if none was lost, 0.308 mg if 2 % was." in page
    assert "Silver loss not known: 0 to 4 % is taken, from memory. Run a proof." in page
    assert "Silver cannot be found this way: 0.142 mg, but loss may be 0.17 mg." in page
    assert "Next: a proof in the same fire, or a second charge with no silver added." in page
    answer = run(*PARTED, "--json").json
    for name in ("silver", "grade_silver"):
        figure = answer["figures"][name]
        assert (figure["value"], figure["status"]) == (None, "not determinable")
        assert "0.142 mg" in figure["why"]
    assert "silver_not_determinable" in [flag["code"] for flag in answer["flags"]]
    assert "Silver is 0.142 mg if none was lost, 0.308 mg if 2 % was." in answer["assumptions"]


def test_both_ends_of_the_silver_are_told_as_grades_too(run: Any) -> None:
    """0.142 mg and 0.308 mg in 30.00 g."""
    said = one_line(run(*PARTED).out)
    assert "4.7 g/t" in said
    assert "10.3 g/t" in said
    told = " ".join(run(*PARTED, "--json").json["assumptions"])
    assert "4.7 g/t" in told
    assert "10.3 g/t" in told
