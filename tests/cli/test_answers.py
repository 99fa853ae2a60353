"""What the quick sums answer: words, figures, names, three outputs, streams and exit status."""

import json
import math
import os
import random
import subprocess
import sys
from typing import Any

import pytest

FIGURE_KEYS = {
    "value",
    "unit",
    "u",
    "low",
    "high",
    "coverage_probability",
    "k",
    "dof",
    "layer",
    "status",
    "basis",
    "text",
    "why",
}
ANSWER_KEYS = [
    "format",
    "command",
    "inputs",
    "figures",
    "verdict",
    "budget",
    "flags",
    "assumptions",
    "version",
]
GOLDEN_NAMES = {
    ("weigh", "0.31mg", "--readability", "0.01mg", "--charge", "30g"): {
        "mass",
        "divisions",
        "critical_level",
        "detection_limit",
        "tenfold_spread",
        "least_mass",
        "division_grade",
        "detection_grade",
    },
    ("compare", "3.2 ± 0.4 g/t", "4.1 ± 0.5 g/t"): {"difference", "en", "p"},
    ("compare", "3.2 ± 0.4 g/t", "--cutoff", "3g/t"): {"a", "cutoff", "probability_above"},
    ("compare", "--before", "1 2 3", "--after", "2 3 5"): {
        "mean_before",
        "mean_after",
        "difference",
        "spread",
        "p",
        "degrees_of_freedom",
        "runs_needed",
    },
    (
        "compare",
        *("--before", "81.2 84.0 79.5 %", "--after", "85.1 83.3 86.8 %", "--cost", "1800 USD"),
        *("--feed-per-season", "900t", "--grade", "0.9 ± 0.1 g/t", "--price", "80 USD/g"),
    ): {
        "mean_before",
        "mean_after",
        "difference",
        "spread",
        "p",
        "degrees_of_freedom",
        "runs_needed",
        "least_gain",
        "runs_needed_least",
        "runs_needed_least_bound",
        "spread_bound",
        "metal_per_season",
        "metal_gained",
        "money_per_point",
        "money_gained",
        "break_even",
        "probability_pays",
    },
    ("compare", "1.2 ± 0.2 g/t", "--cutoff", "1g/t", "--grains", "12"): {
        "a",
        "cutoff",
        "probability_above",
    },
    (
        "compare",
        *("--laboratory", "4.1 4.3 4.0 g/t", "--laboratory", "4.6 4.5 4.8 g/t"),
        *("--repeatability", "0.1g/t", "--reproducibility", "0.2g/t"),
    ): {
        "mean_first",
        "mean_second",
        "bias",
        "bias_relative",
        "p",
        "degrees_of_freedom",
        "critical_difference",
    },
    ("compare", "--duplicates", "4.1:4.3 5.0:4.8 9:10.5 g/t"): {
        "spread",
        "relative_spread",
        "limit",
        "bias",
        "p",
        "pairs",
    },
    ("compare", "912.68‰", "912.1‰", "--splitting-limit", "0.5‰"): {
        "difference",
        "splitting_limit",
        "settled",
    },
    (
        "metallics",
        *("--plus-mass", "24.6g", "--plus-metal", "3.812mg", "--minus-mass", "975.4g"),
        *("--minus", "30.00g:0.063mg", "--minus", "30.00g:0.069mg", "--total", "1000.0g"),
    ): {
        "grade",
        "minus_grade",
        "plus_grade",
        "plus_metal",
        "minus_metal",
        "coarse_share",
        "simple_mean",
        "closure",
        "closure_limit",
    },
    ("value", "--metal", "28.4 ± 0.5 g", "--price", "80 USD/g", "--payable", "98%"): {
        "fine_metal",
        "paid_metal",
        "paid",
        "charges",
        "net",
    },
    (
        "value",
        *("--season", "900t", "--grade", "0.9 ± 0.1 g/t", "--recovery", "81.5 ± 4 %"),
        *("--gain", "3.5 ± 4 %", "--price", "80 USD/g", "--cost", "1800 USD"),
        *("--rate", "10%", "--years", "5"),
    ): {
        "metal_per_season",
        "loss_per_tonne",
        "loss_per_season",
        "metal_lost",
        "gain_per_tonne",
        "gain_per_season",
        "probability_never",
        "break_even_feed",
        "break_even_seasons",
        "present_value",
        "probability_pays",
    },
    ("convert", "1.5 ozt/short_ton", "g/t"): {"g/t"},
    ("settings",): set(),
    ("sieves", "1mm"): {
        "opening",
        "tolerance_mean",
        "tolerance_single",
        "tolerance_relative",
        "wire",
    },
    (
        "recovery",
        *("--feed-grade", "2.0 ± 0.2 g/t", "--concentrate-grade", "40 ± 4 g/t"),
        *("--tailings-grade", "0.30 ± 0.03 g/t"),
    ): {"recovery", "mass_yield", "concentration", "enrichment"},
    (
        "recovery",
        *("--stream", "feed=100 ± 2 kg:2.0 ± 0.2 g/t:8 ± 1 g/t"),
        *("--stream", "concentrate=4.4 ± 0.2 kg:40 ± 4 g/t:90 ± 9 g/t"),
        *("--stream", "tailings=95.5 ± 2 kg:0.30 ± 0.03 g/t:?"),
    ): {
        "recovery",
        "recovery_2",
        "mass_yield",
        "concentration",
        "enrichment",
        "enrichment_2",
        "chi_square",
        "spare",
        "p",
    },
    (
        "recovery",
        *("--concentrate", "12.0 ± 0.1 mg", "--rerun", "3.0 ± 0.1 mg", "--tailings", "2 ± 0.6 mg"),
        *("--middlings", "0.5 ± 0.1 mg", "--feed", "10 ± 0.1 kg", "--head", "1.6 ± 0.2 g/t"),
    ): {
        "recovery_at_most",
        "recovery_closed",
        "recovery_both_stages",
        "recovery_equal_stages",
        "concentrate_over_rerun",
        "head",
        "head_assayed",
        "head_gap",
    },
    (
        "recovery",
        *("--concentrate", "12.0 ± 0.1 mg", "--rerun", "3.0 ± 0.1 mg", "--grains", "40"),
    ): {
        "recovery_at_most",
        "recovery_equal_stages",
        "recovery_next_run",
        "concentrate_over_rerun",
    },
    (
        "sampling",
        *("--increments", "1 kg:52 %:15", "--increments", "10 kg:26 %:10", "--target", "20 %"),
    ): {
        "mixing",
        "segregation",
        "u_increment",
        "increments_needed",
        "sample_needed",
    },
    (
        "sieves",
        *("--fraction", "250um=12.3g", "--fraction", "106um=40.1g", "--fraction", "75um=20.0g"),
        *("--fraction", "pan=9.9 ± 0.1 g"),
    ): {
        "mass",
        "size_passing",
        "gaudin_schuhmann_size",
        "gaudin_schuhmann_slope",
        "gaudin_schuhmann_size_passing",
        "rosin_rammler_size",
        "rosin_rammler_slope",
        "rosin_rammler_size_passing",
    },
    ("sieves", "250um", "106um"): {
        "width",
        "width_tolerance",
        "tolerance_share",
        "largest_opening",
    },
    ("sampling", "--count", "12", "--sieve", "106um:250um"): {
        "grains",
        "metal",
        "grain",
        "u_sampling",
    },
    ("sampling", "--count", "18", "--count-other", "7"): {
        "count",
        "count_other",
        "ratio",
        "p",
        "e_test_p",
    },
    (
        "sampling",
        "--metal",
        "31 ± 2 mg",
        "--largest",
        "1mm",
        "--sample",
        "1kg",
        "--target",
        "30%",
    ): {
        "grains",
        "metal",
        "grain",
        "u_sampling",
        "grade",
        "grain_grade",
        "times",
        "sample_needed",
    },
    ("sampling", "--grains", "5 5 5 10 50 mg"): {
        "grains",
        "metal",
        "grain",
        "u_sampling",
        "weighed",
        "heaviest_share",
    },
    ("sampling", "--gy", "--stage", "5kg:1mm", "--stage", "50g:75um", "--grade", "5g/t"): {
        "shape_factor",
        "size_factor",
        "liberation_factor",
        "composition_factor",
        "top_size",
        "constant",
        "grain",
        "u_sampling",
        "grains",
        "grade",
    },
}


@pytest.mark.parametrize("line", GOLDEN_NAMES, ids=" ".join)
def test_json_names_are_the_golden_ones(run: Any, line: tuple[str, ...]) -> None:
    answer = run(*line, "--json").json
    assert set(answer["figures"]) == GOLDEN_NAMES[line]
    assert [key for key in answer if key in ANSWER_KEYS] == ANSWER_KEYS
    for figure in answer["figures"].values():
        assert set(figure) == FIGURE_KEYS
    for budget in answer["budget"].values():
        assert sum(share["share"] for share in budget) == pytest.approx(1, abs=1e-12)


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


def test_plain_lines_are_ascii_without_leaders(run: Any) -> None:
    for line in GOLDEN_NAMES:
        out = run(*line, "--plain", "--sum").out
        assert out.isascii()
        assert " . ." not in out
        assert all(": " in text or text.endswith(":") for text in out.splitlines())


def test_a_page_fits_eighty_columns(run: Any) -> None:
    for line in GOLDEN_NAMES:
        widths = [len(text) for text in run(*line).out.splitlines()]
        assert max(widths) <= 79, line


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


def process(*argv: str, **options: Any) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "assaybench", *argv],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        encoding="utf-8",
        **options,
    )


def test_no_command_gives_help_and_exit_status_two() -> None:
    done = process()
    assert done.returncode == 2
    assert "weigh" in done.stdout


def test_help_and_version() -> None:
    assert process("--version").stdout.startswith("assaybench 0.")
    for command in ("weigh", "compare", "convert", "sieves"):
        done = process(command, "--help")
        assert (done.returncode, done.stderr) == (0, "")
        assert "--sum" in done.stdout


def test_a_closed_pipe_ends_silently() -> None:
    script = (
        f"'{sys.executable}' -m assaybench sieves | head -1 >/dev/null; echo ${{PIPESTATUS[0]}}"
    )
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False)
    assert done.stderr == ""


def test_a_terminal_without_utf8_gets_ascii() -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = process("weigh", "0.31mg", "--readability", "0.01mg", env=environment)
    assert (done.returncode, done.stderr) == (0, "")
    assert "0.310 +-0.008 mg" in done.stdout


def test_json_of_a_process_parses() -> None:
    done = process("weigh", "0.31mg", "--readability", "0.01mg", "--json")
    assert json.loads(done.stdout)["command"] == "weigh"


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
