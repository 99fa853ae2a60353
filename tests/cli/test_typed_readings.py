"""Readings as they are typed: one unit for all repeats, none for no silver, as displayed."""

from typing import Any

import pytest


def test_repeats_take_the_one_unit_behind_the_last(run: Any) -> None:
    step = ("--readability", "0.01mg")
    each = run("weigh", "0.31mg", "0.32mg", "--zero", "0.00mg 0.01mg", *step, "--json").json
    once = run("weigh", "0.31", "0.32", "mg", "--zero", "0.00 0.01 mg", *step, "--json").json
    assert once["figures"] == each["figures"]
    line = ("grade", "--sample", "30g", "--silver-added", "none", *step, "--json")
    apart = run(*line, "--bead", "0.31mg 0.32mg", "--gold", "0.20mg 0.21mg").json
    together = run(*line, "--bead", "0.31 0.32 mg", "--gold", "0.20 0.21mg").json
    assert together["figures"] == apart["figures"]
    outcome = run("grade", *line[1:-1], "--bead", "0.31 mg 0.32")
    assert (outcome.status, len(outcome.faults)) == (2, 1)
    assert "--bead 2: " in outcome.err


def test_no_silver_typed_as_a_mass_is_none_and_that_is_said(run: Any) -> None:
    line = ("grade", "--sample", "30g", "--bead", "0.31mg", "--gold", "0.20mg")
    step = ("--readability", "0.01mg")
    none = run(*line, *step, "--silver-added", "none", "--json").json
    zero = run(*line, *step, "--silver-added", "0.000 mg", "--json").json
    assert zero["figures"] == none["figures"]
    assert zero["verdict"] == none["verdict"]
    said = "Silver added, 0.000 mg, is taken as none: no silver was put in."
    assert zero["assumptions"] == [said, *none["assumptions"]]
    about = run(*line, *step, "--silver-added", "0 ± 0.1 mg")
    assert "taken as none" not in about.out


def test_sentences_say_a_mass_as_it_was_displayed(run: Any) -> None:
    """Three repeats of 0.01 mg steps have a mean of 0.31333: one place more than was displayed."""
    line = ("grade", "--sample", "30.00g", "--silver-added", "none", "--readability", "0.01mg")
    bead = run(*line, "--bead", "0.31 0.31 0.32 mg", "--json").json
    assert bead["verdict"]["reason"].startswith(
        "This bead is doré: gold and silver together, 0.313 "
    )
    both = run(*line, "--bead", "0.30 mg", "--gold", "0.41 0.41 0.42 mg", "--json").json
    assert both["verdict"]["reason"].startswith("Gold 0.413 mg is heavier than its bead 0.30 mg.")
    blank = ("--blank-gold", "0.10 mg", "--bead", "0.60 mg", "--gold", "0.41 0.41 0.42 mg")
    above = run(*line, *blank, "--json").json
    assert "of 0.413 mg read" in above["verdict"]["reason"]


def test_a_budget_of_a_sample_says_which_weighing(run: Any) -> None:
    line = ("grade", "--sample", "30.00g", "--silver-added", "none", "--readability", "0.01mg")
    answer = run(*line, "--bead", "0.60 mg", "--gold", "0.41 mg", "--json").json
    rows = {share["source"] for share in answer["budget"]["grade_gold"]}
    assert {"gold: readings of the load", "charge: readings of the load"} <= rows
    alone = run("weigh", "0.41mg", "--readability", "0.01mg", "--json").json
    rows = {share["source"] for share in alone["budget"]["mass"]}
    assert rows == {"readings of the load", "zero, tared"}


def test_moisture_is_of_the_wet_mass_unless_the_line_says_dry(run: Any) -> None:
    """A fifth of the wet mass is a quarter of the dry: 0.24 mg in 24 of 30 g are 10 g/t."""
    line = (
        "grade",
        *("--sample", "30.00g", "--silver-added", "none", "--readability", "0.001mg"),
        *("--bead", "0.60 mg", "--gold", "0.24 mg"),
    )
    for typed in (
        ("--moisture", "20%"),
        ("--moisture", "20%", "--moisture-basis", "wet"),
        ("--moisture", "25%", "--moisture-basis", "dry"),
    ):
        grade = run(*line, *typed, "--json").json["figures"]["grade_gold"]
        assert grade["value"] == pytest.approx(10.0, rel=1e-12)
        assert grade["basis"].startswith("dry")
    shown = run(*line, "--moisture", "25%", "--moisture-basis", "dry", "--sum").out
    assert "sample: dry charge = 30 / (1 + 0.25) = 24 g" in shown


def test_the_doubt_of_a_moisture_may_be_said(run: Any) -> None:
    """u(dry)/dry = u(w)/(1 - w) = 0.004/0.8 = 0.5 % of 10 g/t."""
    line = (
        "grade",
        *("--sample", "30.00g", "--silver-added", "none", "--readability", "0.001mg"),
        *("--bead", "0.60 mg", "--gold", "0.24 mg", "--moisture", "20%", "--moisture-u", "0.4%"),
    )
    found = run(*line, "--json").json
    shares = {row["source"]: row["share"] for row in found["budget"]["grade_gold"]}
    relative = found["figures"]["grade_gold"]["u"] / 10
    assert shares["moisture"] * relative**2 == pytest.approx(0.005**2, rel=1e-6)


@pytest.mark.parametrize(
    ("typed", "fault"),
    [
        (("--moisture", "25%", "--moisture-basis", "damp"), "Write wet, dry."),
        (("--moisture-basis", "dry"), "--moisture-basis needs --moisture."),
        (("--moisture-u", "0.4%"), "--moisture-u needs --moisture."),
        (("--moisture", "8%", "--moisture-u", "-0.4%"), "its doubt is from 0 % to 100 %."),
        (("--moisture", "8%", "--moisture-u", "0.4"), "Write it like 1% or 0.5 %."),
        (("--moisture", "99.5%"), "moisture is from 0 % to 99 %."),
        (("--moisture", "100.5%", "--moisture-basis", "dry"), "moisture is from 0 % to 100 %."),
    ],
)
def test_a_moisture_or_basis_that_means_nothing_is_one_line(
    run: Any, typed: tuple[str, ...], fault: str
) -> None:
    line = ("grade", "--sample", "30g", "--silver-added", "none", "--bead", "0.60 mg")
    outcome = run(*line, "--readability", "0.01mg", *typed)
    assert (outcome.status, outcome.out, len(outcome.faults)) == (2, "", 1)
    assert outcome.err.strip().endswith(fault)
