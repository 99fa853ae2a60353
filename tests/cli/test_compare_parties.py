"""Comparisons as from a shell: two laboratories, two parties, and the umpire."""

from typing import Any

import pytest

from tests.cli.compare_figures import LABORATORIES, figures


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
