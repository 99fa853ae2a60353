"""`sampling`: what it says of counts, metal, grains and Gy's formula, and how it refuses."""

import json
import math
from typing import Any

import numpy as np
import pytest
from scipy import stats

from assaybench.cli import sampling_increments


def words(line: str) -> list[str]:
    """A command line with '…' around parts that hold blanks."""
    return [part.replace("_", " ") for part in line.split(" ")]


def test_few_grains_decide_and_a_finer_balance_does_not_help(run: Any) -> None:
    """Four grains: ± 100 %, and 25 times the sample for ± 20 %."""
    out = run("sampling", "--count", "4", "--target", "20%").out
    assert (
        "  Chance decides: about 4 gold grains make this result, so ± 100 %.\n"
        "  A finer balance will not help. For ± 20 %, take 25 times the sample.\n" in out
    )
    assert "Below 20 grains" in out


def test_the_metal_of_a_sieve_class(run: Any) -> None:
    line = ("sampling", "--metal", "0.31 mg", "--sieve", "106um:250um", "--sample", "30g")
    figures = run(*line, "--json").json["figures"]
    assert figures["grain"]["value"] == pytest.approx(0.056666, abs=5e-7)
    assert figures["grains"]["value"] == pytest.approx(5.4706, abs=1e-4)
    assert figures["grain_grade"]["value"] == pytest.approx(1.8889, abs=1e-4)
    low = stats.chi2.ppf(0.025, 2 * 5.470648) / 2 * 1.888862
    high = stats.chi2.ppf(0.975, 2 * 5.470648 + 2) / 2 * 1.888862
    assert figures["grade"]["low"] == pytest.approx(low, rel=1e-4)
    assert figures["grade"]["high"] == pytest.approx(high, rel=1e-4)
    assert (figures["grade"]["layer"], figures["grade"]["k"]) == ("sampling", None)


def test_none_found_is_up_to_three_one_sided_and_said_two_sided(run: Any) -> None:
    out = run("sampling", "--count", "0", "--largest", "0.25mm", "--sample", "30g").out
    assert "None found is not none: up to 3.0 grains (0.12 mg) may be expected." in out
    assert "With an end on both sides: 3.7 grains (0.15 mg). Take a larger sample." in out
    assert "0.00 to 0.12 mg" in out


def test_none_against_three_is_not_shown(run: Any) -> None:
    answer = run("sampling", "--count", "0", "--count-other", "3", "--json").json
    assert answer["verdict"]["text"] == "difference not shown"
    assert "Were both samples 2 times larger, it would show." in answer["verdict"]["reason"]
    assert answer["figures"]["p"]["value"] == pytest.approx(0.25)
    assert answer["figures"]["e_test_p"]["value"] == pytest.approx(0.08838, abs=1e-5)


def test_counts_are_held_against_what_was_searched(run: Any) -> None:
    line = "sampling --count 18 --count-other 7 --sample 1kg --sample-other 2kg --json"
    figures = run(*line.split()).json["figures"]
    assert figures["ratio"]["value"] == pytest.approx(18 / 3.5)
    assert figures["ratio"]["low"] > 1


def test_where_only_the_sharper_test_finds_a_difference_it_is_said(run: Any) -> None:
    answer = run("sampling", "--count", "0", "--count-other", "5", "--json").json
    assert answer["verdict"]["code"] == "difference_not_shown"
    assert [flag["code"] for flag in answer["flags"]] == ["counts_sharper"]


def test_weighed_grains_one_nugget_rules(run: Any) -> None:
    answer = run("sampling", "--grains", "5 5 5 10 50 mg", "--json").json
    assert answer["figures"]["u_sampling"]["value"] == pytest.approx(68.96, abs=0.005)
    assert answer["figures"]["heaviest_share"]["value"] == pytest.approx(200 / 3)
    one_unit = run("sampling", "--grains", "5 mg 5 mg 5 mg 0.01 g 50 mg", "--json").json
    assert one_unit["figures"]["grains"] == answer["figures"]["grains"]


def test_the_weighing_decides_where_grains_are_many(run: Any) -> None:
    line = ("sampling", "--metal", "0.31 ± 0.1 mg", "--sieve", "38um", "--json")
    answer = run(*line).json
    assert answer["verdict"]["code"] == "grains_rule_weighing"
    assert sum(share["share"] for share in answer["budget"]["metal"]) == pytest.approx(1)
    by_assay = run(*line, "--assay", "50%").json
    assert by_assay["verdict"]["code"] == "grains_rule_assay"


def test_a_target_that_no_sample_can_meet_is_said(run: Any) -> None:
    line = ("sampling", "--metal", "31 mg", "--sieve", "0.5mm", "--assay", "9%", "--target", "8%")
    answer = run(*line, "--json").json
    assert answer["verdict"]["code"] == "aim_beyond_assay"
    assert "times" not in answer["figures"]


def test_within_aim_counts_all_layers(run: Any) -> None:
    line = ("sampling", "--metal", "31 mg", "--sieve", "100um", "--target", "5%", "--json")
    assert run(*line).json["verdict"]["code"] == "within_aim"
    assert run(*line, "--assay", "4.9%").json["verdict"]["code"] != "within_aim"


def test_whole_products_sample_nothing_but_the_next_run_does(run: Any) -> None:
    out = run("sampling", "--count", "25", "--recovery", "80%").out
    assert "nothing was sampled: no ± from the grains." in out
    assert "The next run draws other grains: 80 % may be 59 to 93 %." in out


def test_classes_by_eye_are_a_range_of_masses(run: Any) -> None:
    answer = run("sampling", "--classes", "0 2 15", "--json").json
    metal = answer["figures"]["metal"]
    assert (metal["low"], metal["high"], metal["value"]) == (2.0, 23.0, None)
    assert "13 mg or more" in run("sampling", "--classes", "3 1 0").out


# --- Gy ------------------------------------------------------------------------------------------


def test_every_factor_is_said(run: Any) -> None:
    line = "sampling --gy --top 1mm --grade 5g/t --sample 5kg --target 62%"
    out = run(*line.split()).out
    for label in ("f, shape", "g, range", "l, liberation", "c, composition", "d, top size", "C ="):
        assert label in out
    assert "31.1 %" in out
    assert "l = 1, d is the top size of the METAL" in out
    assert "The same ± as that of the grain count: use one of the two, never both." in out
    figures = run(*line.split(), "--json").json["figures"]
    assert figures["sample_needed"]["value"] == pytest.approx(5020.9, rel=1e-3)


def test_u_or_expanded_as_asked_for(run: Any) -> None:
    line = ["sampling", "--gy", "--top", "0.25mm", "--grade", "1g/t", "--target"]
    as_u = run(*line, "10%", "--standard", "--json").json["figures"]["sample_needed"]["value"]
    as_expanded = run(*line, "20%", "--json").json["figures"]["sample_needed"]["value"]
    assert as_u == pytest.approx(as_expanded)
    assert as_u == pytest.approx(3770, rel=0.001)


def test_an_expected_grade_is_used_and_said(run: Any) -> None:
    line = ["sampling", "--gy", "--top", "1mm", "--expected-grade", "5g/t", "--sample", "5kg"]
    answer = run(*line, "--json").json
    assert "Grade not measured: the expected 5 g/t is used." in " ".join(answer["assumptions"])
    assert "grade" not in answer["figures"]


def test_locked_metal_says_why_not_the_square_root(run: Any) -> None:
    line = "sampling --gy --top 1cm --liberated 100um --grade 5g/t --sample 5kg"
    line = line.replace("1cm", "10mm")
    answer = run(*line.split(), "--json").json
    assert answer["figures"]["liberation_factor"]["value"] == pytest.approx(0.001)
    assert "Its square root would make the ± 10 times as wide." in " ".join(answer["assumptions"])


def test_stages_have_their_shares_and_the_widest_is_named(run: Any) -> None:
    line = "sampling --gy --lot 100kg --stage 10kg:1mm --stage 1kg:0.3mm --stage 30g:0.1mm"
    answer = run(*line.split(), "--grade", "5 g/t", "--json").json
    assert [stage["id"] for stage in answer["stages"]] == ["1", "2", "3"]
    assert sum(stage["share"] for stage in answer["stages"]) == pytest.approx(1)
    assert "Widest: split 1, 61 in 100." in answer["verdict"]["reason"]
    wide = run(*line.split(), "--grade", "5 g/t", "--target", "80%").out
    assert "Widest: split 1, 61 in 100." in wide


def test_a_lot_taken_whole_is_not_sampled(run: Any) -> None:
    line = "sampling --gy --top 1mm --grade 5g/t --sample 5kg --lot 5kg"
    answer = run(*line.split(), "--json").json
    assert answer["figures"]["u_sampling"]["value"] == 0
    assert [flag["code"] for flag in answer["flags"]] == ["gy_whole_lot_taken"]


def test_factors_typed_are_said(run: Any) -> None:
    """22.5 g/cm³ and 2 mm for u 15 %: 8 g."""
    line = "sampling --gy --top 2mm --factor-f 1 --factor-g 1 --factor-l 1 --factor-c 22.5"
    answer = run(*line.split(), "--target", "15%", "--standard", "--json").json
    assert answer["figures"]["sample_needed"]["value"] == pytest.approx(8)
    assert "Factors as typed are taken as they are: f, g, l, c." in answer["assumptions"]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("", "What is known is missing."),
        ("--count 3 --metal 1mg", "--count and --metal exclude each other."),
        ("--metal 1mg", "--metal needs --sieve or --largest."),
        ("--metal 1mg --sieve 250um:100um", "the fine size comes first"),
        ("--metal 1mg --sieve 1um --largest 1um", "--sieve and --largest exclude each other."),
        ("--metal <3_mg --sieve 1um", "is a limit"),
        ("--metal 1g/t --sieve 1um", "is a mass fraction; a mass is asked for"),
        ("--metal 1mg --sieve 1um --shape cube", '"cube" is not a shape.'),
        ("--metal 1mg --sieve 1um --density 30", "a density is above 0 and at most 25"),
        ("--count 3 --density 3", "--density needs --sieve or --largest or --gy."),
        ("--count 3 --top 3mm", "--top needs --gy."),
        ("--count 3 --assay 3%", "--assay needs --metal or --grains or --gy or --increments."),
        ("--count -3", "is not a whole number"),
        ("--count 2 --count-other 3 --sample 5g", "--sample needs --sample-other."),
        ("--count 2 --count-other 3 --target 5%", "--target and --count-other exclude"),
        ("--count 3 --recovery 200%", "a recovery is from 0 % to 100 %"),
        ("--grains 3", "has no unit"),
        ("--grains 3_-1_mg", '"-1 mg" is not above zero'),
        ("--classes 1_2", "Write three numbers"),
        ("--classes 1_2_x", "is not a whole number"),
        ("--gy", "--gy needs --top or --stage."),
        ("--gy --top 1mm --grade 5g/t", "--gy needs --sample, --stage or --target."),
        ("--gy --top 1mm --sample 5g", "--gy needs --grade, --expected-grade or --factor-c."),
        ("--gy --stage 5 --grade 1g/t", '"5" is not a split.'),
        ("--gy --stage 5kg:1mm --stage 6kg:1mm --grade 5g/t", "split 2 keeps more"),
        ("--gy --top 1mm --sample 5g --lot 4g --grade 5g/t", "split 1 keeps more"),
        ("--gy --stage 5kg:1mm --top 1mm --grade 5g/t", "--stage and --top exclude"),
        ("--gy --top 1mm --sample 5g --grade 5g/t --factor-f 0", "the shape factor f is above 0"),
        ("--gy --top 1mm --sample 5g --grade 100%", "a grade is above 0 and at most 99.9 %"),
        ("--gy --top 1mm --sample 5g --grade 0g/t", "is not above zero"),
    ],
)
def test_bad_lines_are_named_and_nothing_is_printed(run: Any, line: str, said: str) -> None:
    outcome = run("sampling", *[part for part in words(line) if part])
    assert (outcome.status, outcome.out) == (2, "")
    assert any(said in fault for fault in outcome.faults), outcome.faults


def test_every_fault_of_a_line_is_told_at_once(run: Any) -> None:
    line = ("--metal", "x", "--sieve", "y", "--shape", "z", "--density", "0", "--target", "q")
    assert len(run("sampling", *line).faults) == 5


@pytest.mark.parametrize("way", ["--count 1000000", "--metal 1000t --sieve 1um"])
def test_very_many_grains_have_an_answer(run: Any, way: str) -> None:
    outcome = run("sampling", *way.split(), "--sample", "1t", "--target", "1%", "--json", "--sum")
    assert outcome.status == 0
    json.loads(outcome.out)


def test_increments_of_two_masses_as_the_textbook_has_them(run: Any) -> None:
    """D. Harvey, Analytical Chemistry 2.0, example 7.7: A 0.228, B 0.0462, 9 increments of 5 g.

    His variances are those of means of 15 and of 10; here each set is given as its own spread.
    """
    line = ("--increments", "1 g:52.392747589 %:15", "--increments", "10 g:26.267851073 %:10")
    answer = run("sampling", *line, "--sample", "5 g", "--target", "20 %", "--json").json
    figures = answer["figures"]
    assert figures["mixing"]["value"] == pytest.approx(0.22833, abs=5e-5)
    assert figures["segregation"]["value"] == pytest.approx(0.046167, abs=5e-6)
    needed = (0.2283333 / 5 + 0.0461667) / 0.01
    assert figures["increments_needed"]["value"] == math.ceil(needed) == 10
    assert figures["sample_needed"]["value"] == pytest.approx(50)
    assert figures["u_increment"]["value"] == pytest.approx(
        100 * math.sqrt(needed * 0.01), rel=1e-5
    )


def test_the_doubt_of_increments_against_draws() -> None:
    """u of A and of B, from spreads of 15 and 10 drawn again and again."""
    outcome = increments("1 kg:52 %:15", "10 kg:26 %:10")
    dice = np.random.default_rng(20240625)
    small = 0.52**2 * dice.chisquare(14, 400_000) / 14
    large = 0.26**2 * dice.chisquare(9, 400_000) / 9
    a = (small - large) / (1 / 1000 - 1 / 10000)
    assert outcome["mixing"].u == pytest.approx(np.std(a), rel=0.01)
    assert outcome["segregation"].u == pytest.approx(np.std(large - a / 10000), rel=0.01)


def increments(*texts: str) -> Any:
    typed = {"increments": texts, "sample": None, "target": None, "assay": None, "standard": False}
    return sampling_increments.answer(typed).figures


@pytest.mark.parametrize(
    ("one", "other", "code"),
    [
        ("1kg:52%:30", "10kg:45%:30", "increments_segregated"),
        ("1kg:52%:30", "10kg:17%:30", "increments_no_segregation"),
        ("1kg:16%:30", "10kg:17%:30", "increments_wrong_way"),
    ],
)
def test_what_increments_say_to_do(run: Any, one: str, other: str, code: str) -> None:
    answer = run("sampling", "--increments", one, "--increments", other, "--json").json
    assert [flag["code"] for flag in answer["flags"]] == [code]
    swapped = run("sampling", "--increments", other, "--increments", one, "--json").json
    assert swapped["figures"] == answer["figures"]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("1kg:5%:5",), "two sets of increments are needed"),
        (("1kg:5%:5", "1000 g:6%:5"), "two different masses are needed"),
        (("1kg:5%", "2kg:6%:5"), '"1kg:5%" is no set of increments'),
        (("1kg:5%:1", "2kg:6%:5"), '"1" is not a whole number from 2'),
        (("0kg:5%:5", "2kg:6%:5"), '"0kg" is not above zero'),
        (("1kg:x:5", "2kg:6%:5"), '"x" is not a share'),
    ],
)
def test_increments_that_cannot_be_read(run: Any, line: tuple[str, ...], said: str) -> None:
    outcome = run("sampling", *(part for text in line for part in ("--increments", text)))
    assert (outcome.status, outcome.out) == (2, "")
    assert any(said in fault for fault in outcome.faults), outcome.faults


def test_a_target_beyond_the_assay_is_told_without_a_sample_too(run: Any) -> None:
    line = ("--gy", "--factor-f", "0.5", "--factor-c", "4000000", "--top", "1mm")
    answer = run("sampling", *line, "--target", "1%", "--assay", "3%", "--json").json
    assert "aim_beyond_assay" in [flag["code"] for flag in answer["flags"]]
    assert "sample_needed" not in answer["figures"]


def test_two_counts_that_are_never_alike_are_told_in_lines_of_a_page(run: Any) -> None:
    outcome = run("sampling", "--count", "1000", "--count-other", "3", "--sum")
    assert max(map(len, outcome.out.splitlines())) <= 76
    assert "chance of this much if both are alike, in 100" in outcome.out
    assert "0.1 or less" in outcome.out
    figures = run("sampling", "--count", "1000", "--count-other", "3", "--json").json["figures"]
    assert 0 < figures["p"]["value"] < 1e-100
    assert figures["p"]["text"] == "0.000001 or less"
