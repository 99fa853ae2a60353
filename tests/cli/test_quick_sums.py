"""What the quick sums answer: words, figures, verdicts, the decimal mark that was typed."""

import math
import random
from typing import Any

import pytest


def test_a_newcomers_first_line(run: Any) -> None:
    outcome = run("weigh", "0.31mg", "--readability", "0.01mg")
    assert outcome.status == 0
    assert outcome.out.splitlines()[1:4] == [
        "  At best: wider than aim.",
        "  Too light for your aim: 0.310 ± 0.008 mg is 31 divisions, ± 2.6 %.",
        "  For ± 1 % you need 0.82 mg. Pool beads, or use a finer balance.",
    ]
    assert "U: k = 2, about 95 in 100." in outcome.out


def test_the_bead_of_the_drawn_page(run: Any) -> None:
    """0.184 mg, spread 0.002 mg, step 0.001 mg: ± 2.2 %, 0.40 mg needed, five weighings."""
    out = run("weigh", "0.184mg", "--readability", "0.001mg", "--repeatability", "0.002mg").out
    assert "0.184 ± 0.004 mg is 184 divisions, ± 2.2 %." in out
    assert "For ± 1 % you need 0.40 mg." in out
    assert "Or weigh it 5 times, each with its zero: ± 0.97 %." in out


@pytest.mark.parametrize(
    ("line", "code", "text"),
    [
        ("0.002mg --readability 0.001mg --repeatability 0.002mg", "not_detected", "not detected"),
        (
            "0.010mg --readability 0.001mg --repeatability 0.002mg",
            "detected_rough",
            "detected, rough",
        ),
        (
            "0.184mg --readability 0.001mg --repeatability 0.002mg",
            "wider_than_aim",
            "wider than aim",
        ),
        ("1.840mg --readability 0.001mg --repeatability 0.002mg", "within_aim", "within aim"),
        ("1.84mg --readability 0.001mg", "aim_not_shown", "aim not shown"),
        ("0.003mg --readability 0.001mg", "detected_rough", "at best: detected, rough"),
        (
            "0.31mg 0.35mg --readability 0.01mg --repeatability 0.01mg",
            "readings_disagree",
            "no mean taken",
        ),
        ("-0.05mg --readability 0.01mg --repeatability 0.01mg", "below_zero", "below zero"),
        (
            "9mg --readability 0.01mg --repeatability 0.01mg --calibration 1%",
            "wider_than_aim",
            "wider than aim",
        ),
    ],
)
def test_verdicts_of_a_weighing(run: Any, line: str, code: str, text: str) -> None:
    verdict = run("weigh", *line.split(), "--json").json["verdict"]
    assert (verdict["code"], verdict["text"]) == (code, text)
    assert all(len(part) <= 76 for part in verdict["reason"].split("\n"))


def test_disagreeing_readings_give_no_figure_and_lose_none(run: Any) -> None:
    answer = run("weigh", "0.31mg", "0.35mg", "--readability", "0.01mg", "--json").json
    assert answer["figures"]["mass"]["value"] is None
    assert answer["figures"]["mass"]["status"] == "not determinable"
    assert answer["inputs"]["readings"] == ["0.31mg", "0.35mg"]


def test_limits_as_a_grade_need_a_charge(run: Any) -> None:
    """A 30 g charge on a 0.01 mg balance: one division is 0.33 g/t, L_D 0.45 g/t."""
    out = run("weigh", "0.00mg", "--readability", "0.01mg", "--charge", "30g").out
    assert "up to 0.013 mg (0.45 g/t) could be there unseen." in out
    assert " 0.33 g/t\n" in out


@pytest.mark.parametrize("readings", [("0,31mg",), ("0,31", "mg"), ("0,31 mg",)])
def test_the_decimal_mark_that_was_typed_is_used(run: Any, readings: tuple[str, ...]) -> None:
    out = run("weigh", *readings, "--readability", "0,01mg").out
    assert "0,310 ± 0,008 mg" in out
    assert "0.3" not in out


def test_a_negative_reading_is_no_option(run: Any) -> None:
    answer = run("weigh", "-0.002mg", "--readability", "0.01mg", "--zero", "-0.01mg", "--json").json
    assert answer["figures"]["mass"]["value"] == pytest.approx(0.008)
    assert answer["inputs"]["readings"] == ["-0.002mg"]


def test_compare_and_cutoff_say_it_in_words(run: Any) -> None:
    out = run("compare", "1.2 ± 0.4 g/t", "--cutoff", "1.0 g/t").out
    assert "Not shown: 1.20 ± 0.40 g/t may be above or below the cut-off, 1 g/t." in out
    assert "The chance that the truth is above it is 84 in 100." in out
    shown = run("compare", "5.0 ± 0.4 g/t", "3.0 ± 0.4 g/t", "--json").json
    assert shown["verdict"]["text"] == "difference shown"
    agree = run("compare", "3.0 ± 0.4 g/t", "3.0 ± 0.4 g/t").out
    assert "They agree. That does not prove both right." in agree


def test_before_and_after_runs(run: Any) -> None:
    """+3.5, -1.2 to +8.2; Welch df 3.76, p 0.107; seven runs of each would show 3.5."""
    line = ("compare", "--before", "81.2 84.0 79.5 %", "--after", "85.1 83.3 86.8 %")
    outcome = run(*line)
    assert "Difference not shown: +3.5 points; the truth may be -1.2 to +8.2 points." in outcome.out
    assert "With 7 runs of each, +3.5 would show 4 times in 5." in outcome.out
    figures = run(*line, "--json").json["figures"]
    assert figures["degrees_of_freedom"]["value"] == pytest.approx(3.755, abs=0.001)
    assert figures["p"]["value"] == pytest.approx(0.1066, abs=0.0001)


def test_convert_is_exact_and_carries_its_doubt(run: Any) -> None:
    assert "51.4286 g/t" in run("convert", "1.5", "ozt/short_ton", "g/t").out
    assert "109.7 ± 6.9 g/t" in run("convert", "3.2 ± 0.2 ozt/short_ton", "g/t").out
    assert "No. 200, ASTM E11" in run("convert", "75um", "mesh").out
    limit = run("convert", "<0.33 g/t", "ppb", "--json").json["figures"]["ppb"]
    assert (limit["status"], limit["text"]) == ("at most", "< 330 ppb")


def test_random_good_lines_answer_without_nan(run: Any) -> None:
    dice = random.Random(7)
    for _ in range(300):
        step = 10.0 ** dice.randint(-4, 1)
        mass = round(dice.choice((-1, 1, 1, 1)) * 10 ** dice.uniform(-3, 4) * step, 4)
        line = ["weigh", f"{mass:.4f}mg", "--readability", f"{step:g}mg"]
        if dice.random() < 0.5:
            line += ["--repeatability", f"{step * 10 ** dice.uniform(-1, 1):.7f}mg"]
            line += ["--repeats", str(dice.randint(2, 30))]
        if dice.random() < 0.3:
            line += ["--calibration", f"{10 ** dice.uniform(-3, 0.9):.4f}%"]
        if dice.random() < 0.3:
            line += ["--charge", f"{10 ** dice.uniform(-1, 2):.3f}g"]
        outcome = run(*line, "--json")
        assert outcome.status == 0, (line, outcome.err)
        assert "NaN" not in outcome.out
        figures = outcome.json["figures"].values()
        assert all(f["value"] is None or math.isfinite(f["value"]) for f in figures)
        assert run(*line, "--sum").status == 0


def test_masses_that_contradict_each_other_give_no_metal_at_all(run: Any) -> None:
    line = ("grade", "--sample", "30mg", "--silver-added", "none", "--bead", "1.204g")
    answer = run(*line, "--gold", "0.9g", "--readability", "0.001mg", "--json").json
    assert answer["verdict"]["code"] == "bead_above_sample"
    names = ("gold", "silver", "grade_gold")
    assert all(answer["figures"][name]["value"] is None for name in names)


def test_lists_of_runs_must_have_the_same_unit(run: Any) -> None:
    outcome = run("compare", "--before", "81.2 84.0 %", "--after", "0.85 0.83")
    assert outcome.status == 2
    assert "a list in % and a list without a unit." in outcome.err
