"""`compare` beyond two figures: money, power, laboratories, duplicates, umpires, cut-offs."""

from pathlib import Path
from typing import Any

import pytest

from assaybench.circuit import grain_law
from assaybench.circuit.grain_law import Result
from tests.logbook.books import FINE, PULP, Bench, Row, sample, weighed

RUNS = ("compare", "--before", "81.2 84.0 79.5 %", "--after", "85.1 83.3 86.8 %")
SEASON = ("--feed-per-season", "900t", "--grade", "0.9g/t", "--price", "80 USD/g")


def figures(run: Any, *line: str) -> Any:
    outcome = run(*line, "--json")
    assert outcome.status == 0, outcome.err
    return outcome.json["figures"]


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


# --- laboratories and parties --------------------------------------------------------------------

LABORATORIES = ("compare", "--laboratory", "4.1 4.3 4.0 g/t", "--laboratory", "4.6 4.5 4.8 g/t")


def test_two_laboratories_have_a_bias_with_its_interval(run: Any) -> None:
    found = figures(run, *LABORATORIES)
    assert found["bias"]["value"] == pytest.approx(0.5)
    assert found["bias_relative"]["value"] == pytest.approx(100 * 0.5 / 4.38333, rel=1e-5)
    assert found["bias"]["low"] > 0
    assert "critical_difference" not in found
    paired = figures(run, *LABORATORIES, "--paired")
    assert paired["bias"]["value"] == pytest.approx(0.5)
    assert paired["degrees_of_freedom"]["value"] == 2


def test_the_known_spread_within_a_laboratory_alone_judges_two_sets_of_one(run: Any) -> None:
    """2.8·s_r·√(1/(2·n_1) + 1/(2·n_2)), ISO 5725-6:1994, 4.2.1 (from memory)."""
    for spread, code in (("0.4g/t", "within"), ("0.2g/t", "beyond")):
        outcome = run(*LABORATORIES, "--repeatability", spread, "--json")
        found = outcome.json["figures"]["critical_difference"]["value"]
        wanted = 2.8 * float(spread.removesuffix("g/t")) * (1 / 6 + 1 / 6) ** 0.5
        assert found == pytest.approx(wanted)
        assert outcome.json["verdict"]["code"] == f"one_laboratory_{code}"
        assert any("two\nsets of one laboratory" in line for line in outcome.json["assumptions"])


def test_results_further_apart_than_a_laboratory_repeats_are_flagged(run: Any) -> None:
    """A range of 0.3 g/t in each, against q(0.95; 3)·s_r = 3.31·s_r."""
    for spread, flagged in (("0.09g/t", 2), ("0.092g/t", 0)):
        flags = run(*LABORATORIES, "--repeatability", spread, "--json").json["flags"]
        assert [f["code"] for f in flags].count("results_range_beyond") == flagged


def test_a_spread_in_another_unit_is_brought_to_that_of_the_results(run: Any) -> None:
    plain, other = (
        figures(run, *LABORATORIES, "--repeatability", s, "--reproducibility", "0.3")
        for s in ("0.1 g/t", "0.1 mg/kg")
    )
    small = figures(run, *LABORATORIES, "--repeatability", "100 ppb", "--reproducibility", "0.3")
    assert plain["critical_difference"] == other["critical_difference"]
    found = small["critical_difference"]["value"]
    assert found == pytest.approx(plain["critical_difference"]["value"])


@pytest.mark.parametrize(
    ("between", "code"), [("0.2g/t", "laboratories_within"), ("0.11g/t", "laboratories_beyond")]
)
def test_known_spreads_give_the_critical_difference(run: Any, between: str, code: str) -> None:
    spreads = ("--repeatability", "0.1g/t", "--reproducibility", between)
    answer = run(*LABORATORIES, *spreads, "--json").json
    s_between = float(between.removesuffix("g/t"))
    expected = ((2.8 * s_between) ** 2 - 0.28**2 * (2 / 3)) ** 0.5
    limit = answer["figures"]["critical_difference"]["value"]
    assert limit == pytest.approx(expected)
    assert answer["verdict"]["code"] == code


@pytest.mark.parametrize(
    ("rule", "settled"),
    [("umpire", 912.5), ("middle", 912.5), ("nearer", 912.59), ("mean", 912.4267)],
)
def test_beyond_the_limit_the_umpire_settles_by_the_typed_rule(
    run: Any, rule: str, settled: float
) -> None:
    line = ("compare", "912.68‰", "912.1‰", "--splitting-limit", "0.5‰")
    answer = run(*line, "--umpire", "912.5‰", "--umpire-rule", rule, "--json").json
    assert answer["figures"]["settled"]["value"] == pytest.approx(settled, abs=5e-5)
    assert answer["verdict"]["code"] == "beyond_splitting_limit"
    assert "umpire_rule_contract" in {flag["code"] for flag in answer["flags"]}
    open_ = run(*line, "--json").json["figures"]["settled"]
    assert open_["value"] is None
    assert "To the umpire" in open_["why"]


def test_within_the_limit_the_mean_counts_whatever_the_umpire_found(run: Any) -> None:
    """912.68 against the buyer's 912.4: 0.28 apart, the limit is 0.5."""
    line = ("compare", "912.68‰", "912.4‰", "--splitting-limit", "0.5‰", "--umpire", "911‰")
    answer = run(*line, "--umpire-rule", "umpire", "--json").json
    assert answer["figures"]["settled"]["value"] == pytest.approx(912.54)
    assert "umpire_not_needed" in {flag["code"] for flag in answer["flags"]}


FIRST, SECOND, UMPIRE = "912.68 ± 0.20 ‰", "912.10(15) ‰", "912.5 ± 0.1 ‰"


@pytest.mark.parametrize(
    ("rule", "u"),
    [
        ("umpire", 0.05),
        ("middle", 0.05),
        ("nearer", (0.10**2 + 0.05**2) ** 0.5 / 2),
        ("mean", (0.10**2 + 0.15**2 + 0.05**2) ** 0.5 / 3),
    ],
)
def test_what_is_settled_at_has_the_doubt_of_the_figures_it_is_made_of(
    run: Any, rule: str, u: float
) -> None:
    line = ("compare", FIRST, SECOND, "--splitting-limit", "0.5‰", "--umpire", UMPIRE)
    answer = run(*line, "--umpire-rule", rule, "--json").json
    settled = answer["figures"]["settled"]
    assert settled["u"] == pytest.approx(u)
    assert settled["k"] == 2
    assert answer["figures"]["difference"]["u"] == pytest.approx((0.10**2 + 0.15**2) ** 0.5)
    assert sum(share["share"] for share in answer["budget"]["settled"]) == pytest.approx(1)
    assert settled["text"] in run(*line, "--umpire-rule", rule).out
    plain = settled["text"].replace("± ", "+-").replace("‰", "permille")
    assert f"settled at: {plain}\n" in run(*line, "--umpire-rule", rule, "--plain").out


def test_a_figure_without_its_doubt_leaves_that_of_the_settled_one_unknown(run: Any) -> None:
    line = ("compare", FIRST, "912.4‰", "--splitting-limit", "0.5‰")
    answer = run(*line, "--json").json
    settled, apart = (answer["figures"][name] for name in ("settled", "difference"))
    assert (settled["u"], settled["low"], apart["u"]) == (None, None, None)
    assert settled["text"] == "912.54 ‰, ± not known"
    assert settled["why"] == "± of the settled figure not known: B came without ±."
    assert {flag["code"]: flag["text"] for flag in answer["flags"]}["settled_without_doubt"] == (
        "± of the settled figure not known: B came without ±.\n"
        "Type it with its ±, such as 912.4 ± 0.3 ‰."
    )
    neither = run("compare", "912.68‰", *line[2:], "--json").json
    assert neither["figures"]["settled"]["why"].endswith("A and B came without ±.")


def test_u_may_be_typed_for_the_parties_too(run: Any) -> None:
    line = ("compare", FIRST, FIRST, "--splitting-limit", "0.5‰", "--json")
    wide, half = (
        run(*line, *more).json["figures"]["settled"]["u"] for more in (["--standard"], [])
    )
    assert wide == pytest.approx(2 * half) == pytest.approx(2**0.5 * 0.20 / 2)


def test_a_limit_is_no_figure_to_settle_by(run: Any) -> None:
    outcome = run("compare", "<912.68‰", "912.4‰", "--splitting-limit", "0.5‰")
    assert (outcome.status, outcome.out, len(outcome.faults)) == (2, "", 1)


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
