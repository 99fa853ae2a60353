"""What the quick sums answer: names of figures, three outputs, pages that fit."""

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
