"""Comparisons as from a shell: runs before and after, duplicates, a cut-off, a sample of a log."""

from pathlib import Path
from typing import Any

import pytest

from assaybench.circuit import grain_law
from assaybench.circuit.grain_law import Result
from tests.cli.compare_figures import LABORATORIES, figures
from tests.logbook.books import FINE, PULP, Bench, Row, sample, weighed

RUNS = ("compare", "--before", "81.2 84.0 79.5 %", "--after", "85.1 83.3 86.8 %")
SEASON = ("--feed-per-season", "900t", "--grade", "0.9g/t", "--price", "80 USD/g")


# --- before and after ----------------------------------------------------------------------------


def test_a_typed_least_gain_stands_for_the_one_that_breaks_even(run: Any) -> None:
    typed = figures(run, *RUNS, "--gain", "2.8 %")
    assert typed["least_gain"]["value"] == 2.8
    assert typed["runs_needed_least"]["value"] == 10
    both = figures(run, *RUNS, *SEASON, "--cost", "1800 USD", "--gain", "5")
    assert both["least_gain"]["value"] == 5
    assert both["break_even"]["value"] == pytest.approx(2.7778, abs=5e-5)


def test_the_planned_power_is_typed_or_of_the_settings(
    run: Any, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    seven = figures(run, *RUNS)["runs_needed"]["value"]
    more = run(*RUNS, "--power", "90%")
    assert seven == 7
    assert "With 9 runs of each it would show 90 times in 100." in more.out
    for name in ("XDG_CONFIG_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path))
    folder = tmp_path / "assaybench"
    folder.mkdir()
    (folder / "settings.toml").write_text('planned_power = "90 %"\n', "utf-8")
    assert figures(run, *RUNS)["runs_needed"]["value"] == 9


def test_a_doubtful_grade_makes_the_money_lopsided(run: Any) -> None:
    season = ("--feed-per-season", "900t", "--grade", "0.9 ± 0.4 g/t", "--price", "80 USD/g")
    gained = figures(run, *RUNS, *season)["money_gained"]
    assert gained["value"] == pytest.approx(2268)
    assert gained["high"] - 2268 > 5325 - 2268
    assert gained["k"] is None


@pytest.mark.parametrize(
    ("cost", "code"),
    [("100 USD", "pays_shown"), ("2500 USD", "pays_open"), ("9000 USD", "pays_not")],
)
def test_whether_it_pays_is_a_question_of_its_own(run: Any, cost: str, code: str) -> None:
    runs = ("compare", "--before", "80 81 80.5 80.2 %", "--after", "84 84.5 83.8 84.1 %")
    flags = run(*runs, *SEASON, "--cost", cost, "--json").json["flags"]
    assert code in {flag["code"] for flag in flags}


def test_pairs_are_counted_as_pairs_and_a_difference_of_shares_is_in_points(run: Any) -> None:
    line = ("compare", "--before", "81.2 84.0 79.5 %", "--after", "85.1 83.3 86.8 %")
    page = run(*line, "--paired", "--gain", "2.8").out
    assert "With 13 pairs, +4 would show 4 times in 5." in page
    assert "19 pairs show it 4 times in 5" in page
    assert "runs of each" not in page
    assert "+4 ± 10 points" in page
    assert "runs of each" in run(*line).out


def test_a_gain_too_small_for_any_number_of_runs_is_said(run: Any) -> None:
    outcome = run(*RUNS, "--gain", "0.1")
    assert "No 200 runs of each would show +0.1 points, the least worth having." in outcome.out
    assert figures(run, *RUNS, "--gain", "0.1")["runs_needed_least"]["status"] == "at least"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--price", "80/g"), "--price needs --feed-per-season."),
        (("--cost", "1800"), "--cost needs --price."),
        ((*SEASON, "--cost", "1800"), "one line has one currency; this one has USD and none."),
        ((*SEASON, "--cost", "0 USD"), "a cost must be."),
        ((*SEASON, "--refining", "90 USD/g"), "nothing is left of the price."),
        (("--gain", "0"), "the least gain worth having must be."),
        (("--gain", "3 g/t"), "--gain and --before are not of one kind"),
        (("--power", "20%"), "a power is from 50 % to 99.9 %."),
    ],
)
def test_what_a_season_lacks_is_named(run: Any, more: tuple[str, ...], said: str) -> None:
    outcome = run(*RUNS, *more)
    assert (outcome.status, outcome.out) == (2, "")
    assert said in outcome.err


def test_money_wants_runs_in_per_cent(run: Any) -> None:
    outcome = run("compare", "--before", "81 84", "--after", "85 83", *SEASON)
    assert outcome.status == 2
    assert "money needs runs of recovery in %" in outcome.err


# --- duplicates ----------------------------------------------------------------------------------


def test_duplicates_have_a_spread_with_its_interval(run: Any) -> None:
    found = figures(run, "compare", "--duplicates", "10:12 5:4 1:1.5 g/t")
    assert found["spread"]["value"] == pytest.approx((5.25 / 6) ** 0.5)
    assert found["relative_spread"]["value"] == pytest.approx(20.10, abs=0.005)
    assert found["spread"]["low"] < found["spread"]["value"] < found["spread"]["high"]
    assert found["bias"]["value"] == pytest.approx(0.5)
    assert "spread_growth" not in found


def test_many_duplicates_show_how_the_spread_grows_and_which_stand_out(run: Any) -> None:
    pairs = [f"{c:.2f}:{c * (1.06 if i % 2 else 0.94):.2f}" for i, c in enumerate(range(1, 60))]
    pairs[40] = "41:90"
    answer = run("compare", "--duplicates", " ".join(pairs), "--json").json
    assert answer["figures"]["spread_growth"]["value"] == pytest.approx(6.29, abs=0.2)
    beyond = [flag["text"] for flag in answer["flags"] if flag["code"] == "duplicates_beyond"]
    assert beyond
    assert beyond[0].startswith("Look at pair 41 (41, 90).")


@pytest.mark.parametrize(
    ("pairs", "said"),
    [
        ("4.1 4.3", "is not a pair"),
        ("4.1:4.3", "two at least"),
        ("4.1:x 5:6", "is not a figure"),
        ("4:4 5:5", "no spread can be formed"),
        ("4g/t:5g/t 5mg:6mg", "one list has one unit"),
        (" ", "nothing was typed"),
        ("1:2:3 4:5", "is not a pair"),
        (" ".join(["1:2"] * 2001), "at most 2000"),
    ],
)
def test_pairs_that_cannot_be_read_are_named(run: Any, pairs: str, said: str) -> None:
    outcome = run("compare", "--duplicates", pairs)
    assert (outcome.status, outcome.out) == (2, "")
    assert said in outcome.err


# --- cut-off -------------------------------------------------------------------------------------


def test_grains_widen_a_cutoff_and_few_of_them_leave_a_gap(run: Any) -> None:
    line = ("compare", "1.2 ± 0.2 g/t", "--cutoff", "0.8g/t")
    alone = run(*line, "--json").json
    few = run(*line, "--grains", "12", "--json").json
    assert alone["verdict"]["text"] == "above"
    assert few["verdict"]["text"] == "not shown"
    assert few["figures"]["a"]["layer"] == "sampling"
    judged = grain_law.against_cutoff(Result(1.2, 0.1, grain=0.1), 0.8)
    found = few["figures"]["probability_above"]
    assert (found["low"], found["high"]) == pytest.approx((judged.low, judged.high))
    many = run(*line, "--grains", "400", "--json").json["figures"]["probability_above"]
    assert 0.99 < many["value"] < alone["figures"]["probability_above"]["value"]


def test_the_widest_layer_known_is_named(run: Any) -> None:
    line = ("compare", "1.2 ± 0.2 g/t", "--cutoff", "0.8g/t")
    for layer, said in (
        ("weighing", "Says what is on the pan"),
        ("assay", "Says what is in this charge"),
        ("sampling", "The sampling is in the ±"),
    ):
        outcome = run(*line, "--layer", layer)
        assert f" {layer}\n" in outcome.out
        assert said in outcome.out


def test_few_degrees_of_freedom_make_a_cutoff_harder_to_reach(run: Any) -> None:
    line = ("compare", "1.0 ± 0.2 g/t", "--cutoff", "0.82g/t")
    many = figures(run, *line)["probability_above"]["value"]
    few = figures(run, *line, "--dof", "3")["probability_above"]["value"]
    assert many > 0.95 > few


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("1 ± 0.1 g/t", "--grains", "12"), "--grains needs --cutoff."),
        (("1 ± 0.1 g/t", "--cutoff", "1g/t", "--grains", "0"), "whole number"),
        (("1 ± 0.1 g/t", "--cutoff", "1g/t", "--layer", "all"), "is not a layer"),
        (("-1 ± 0.1 g/t", "--cutoff", "1g/t", "--grains", "5"), "above zero"),
        (("--cutoff", "1g/t", "--log", "3"), "--log needs --sample."),
        (("1‰", "2‰", "--splitting-limit", "1‰", "--umpire", "1‰"), "needs --umpire-rule."),
        (("1‰", "2‰", "--splitting-limit", "-1‰"), "below zero"),
        (("--laboratory", "1 2 g/t"), "second laboratory is missing"),
        (("--laboratory", "1 2", "--before", "1 2"), "exclude each other"),
        ((*LABORATORIES[1:], "--reproducibility", "0.1"), "needs --repeatability."),
        ((*LABORATORIES[1:], "--repeatability", "0.1 mg"), "not of one kind"),
        ((*LABORATORIES[1:], "--repeatability", "0 g/t"), "above zero"),
        ((*LABORATORIES[1:], "--repeatability", "0.1", "--paired"), "--paired"),
        (
            (*LABORATORIES[1:], "--repeatability", "0.3", "--reproducibility", "0.1"),
            "cannot be below",
        ),
    ],
)
def test_options_of_another_way_are_refused(run: Any, line: tuple[str, ...], said: str) -> None:
    outcome = run("compare", *line)
    assert (outcome.status, outcome.out) == (2, "")
    assert said in outcome.err


# --- a sample of a log ---------------------------------------------------------------------------


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    """A bench in a logbook that the environment names."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Bench(tmp_path / "book")


def grains_of(count: str) -> Row:
    return ("grains", {"count": int(count), "sample": "T-1"})


@pytest.mark.parametrize("count", ["", "6", "400"])
def test_a_sample_of_a_log_is_judged_by_the_widest_layer_it_knows(
    run: Any, bench: Bench, count: str
) -> None:
    told = [grains_of(count)] if count else []
    bench.log(FINE, PULP, sample("T-1"), *weighed("T-1", "1.372", "20.00"), *told)
    answer = run("compare", "--log", "1", "--sample", "T-1", "--cutoff", "60 g/t", "--json").json
    figure = answer["figures"]["a"]
    assert figure["value"] == pytest.approx(68.6, rel=0.02)
    codes = {flag["code"] for flag in answer["flags"]}
    assert figure["layer"] == ("sampling" if count else "assay")
    assert ("layers_unknown" in codes) == (not count)
    assert ("not_sampling" in codes) == (not count)
    assert answer["verdict"]["text"] == ("not shown" if count == "6" else "above")


def test_a_sample_of_two_charges_is_judged_by_the_grade_of_both(run: Any, bench: Bench) -> None:
    """The first charge alone, 33.3 g/t, is above 30; 33.3 and 53.3 g/t scatter too far for that."""
    first, twin = weighed("T-1", "1.000", "30.00"), weighed("T-1 b", "1.600", "30.00")
    line = ("--sample", "T-1", "--cutoff", "30 g/t", "--json")
    bench.log(FINE, PULP, sample("T-1"), *first)
    alone = run("compare", "--log", "1", *line).json
    bench.log(FINE, PULP, sample("T-1"), *first, sample("T-1 b", of="T-1"), *twin)
    both = run("compare", "--log", "2", *line).json
    verdicts = [one["verdict"]["text"] for one in (alone, both)]
    assert verdicts == ["above", "not shown"]
    assert both["figures"]["a"]["value"] == pytest.approx(43.3, abs=0.1)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (("--log", "1", "--sample", "T-2", "--cutoff", "60 g/t"), "Its samples are T-0, T-1."),
        (("--log", "9", "--sample", "T-1", "--cutoff", "60 g/t"), "MAIN-000009"),
        (("--log", "1", "--sample", "T-1", "--cutoff", "60 mg"), "mass fraction"),
        (("--log", "1", "--sample", "T-1", "--cutoff", "6 g/t", "--dof", "3"), "exclude each"),
        (("1 ± 0.1 g/t", "--log", "1", "--sample", "T-1", "--cutoff", "6 g/t"), "no other figure"),
        (("--log", "1", "--sample", "T-0", "--cutoff", "6 g/t"), "has no gold grade"),
    ],
)
def test_what_a_log_cannot_answer_is_named(
    run: Any, bench: Bench, line: tuple[str, ...], said: str
) -> None:
    bench.log(FINE, PULP, sample("T-0"), sample("T-1"), *weighed("T-1", "1.372"))
    outcome = run("compare", *line)
    assert (outcome.status, outcome.out) == (2, "")
    assert said in outcome.err


def test_a_log_without_samples_or_damaged_says_so(run: Any, bench: Bench) -> None:
    name = bench.log(FINE, sample("T-0"))
    bench.log(FINE)
    more = ("--sample", "T-1", "--cutoff", "6 g/t")
    empty = run("compare", "--log", "2", *more)
    assert (empty.status, empty.out) == (2, "")
    assert "Its samples are none yet." in empty.err
    path = bench.book.log(name)
    path.write_bytes(path.read_bytes().replace(b"T-0", b"T-9"))
    damaged = run("compare", "--log", "1", *more)
    assert (damaged.status, damaged.out) == (2, "")
    assert "is damaged and only read" in damaged.err
