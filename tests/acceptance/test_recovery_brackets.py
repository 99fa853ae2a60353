"""Scenario: run R-09, a two-stage test in three sizes, and everything its weights do not say.

Feed 448 kg wet with 8.0 % moisture, 412.2 kg dry. Gold, mg: concentrate 186.4, 241.7, 58.3; re-run
concentrate 2.1, 31.5, 49.0. All numbers are worked by hand from these.
"""

import math
import re
from pathlib import Path
from typing import Any

import pytest

from assaybench.circuit.recovery import concentrate_over_rerun
from tests.acceptance.page import one_line, value_of

COARSE, MIDDLE, FINE = "+1.0 mm", "-1.0+0.25 mm", "-0.25 mm"
SIZES = (
    *("--size", f"{COARSE}=186.4mg:2.1mg"),
    *("--size", f"{MIDDLE}=241.7mg:31.5mg"),
    *("--size", f"{FINE}=58.3mg:49.0mg"),
)
LINE = ("recovery", *SIZES, "--readability", "0.01mg")
FEED = ("--feed", "448kg", "--feed-moisture", "8.0%")
DOUBTED = (
    "recovery",
    *("--size", f"{COARSE}=186.4 ± 0.02 mg:2.1 ± 0.02 mg"),
    *("--size", f"{MIDDLE}=241.7 ± 0.02 mg:31.5 ± 0.02 mg"),
    *("--size", f"{FINE}=58.3 mg ± 10 %:49.0 mg ± 10 %"),
)
"""± is U: 5 % standard uncertainty on each fine bead."""
POOLED = re.compile(r"\b83\.0")


def rows(answer: Any) -> dict[str, Any]:
    return {row["id"]: row for row in answer["sizes"]}


def ends(answer: Any, way: str) -> tuple[float, float]:
    figure = answer["figures"][f"recovery_{way}"]
    return figure["low"], figure["high"]


def test_each_size_and_all_of_them(run: Any) -> None:
    found = rows(run(*LINE, "--json").json)
    table = {
        COARSE: (186.4, 2.1, 98.9, 98.9, 0.02),
        MIDDLE: (241.7, 31.5, 88.5, 87.0, 4.7),
        FINE: (58.3, 49.0, 54.3, 16.0, 258.2),
        "all": (486.4, 82.6, 85.5, 58.5, 262.9),
    }
    assert list(found) == list(table)
    for name, (con, rerun, most, alike, gone) in table.items():
        row, figures = found[name], found[name]["figures"]
        assert round(row["concentrate_mg"], 1) == con
        assert round(row["rerun_mg"], 1) == rerun
        assert round(figures["at_most"]["value"], 1) == most
        assert round(figures["equal_stages"]["value"], 1) == alike
        unaccounted = figures["lost_if_alike"]["value"] - figures["found_behind"]["value"]
        assert round(unaccounted, 2 if gone < 1 else 1) == gone


def test_the_page_shows_the_table(run: Any) -> None:
    outcome = run(*LINE)
    assert (outcome.status, outcome.err) == (0, "")
    table = [line.split() for line in outcome.out.splitlines()]
    for line in (
        [*COARSE.split(), "186.4", "2.1", "98.9", "98.9"],
        [*MIDDLE.split(), "241.7", "31.5", "88.5", "87.0"],
        [*FINE.split(), "58.3", "49", "54.3", "16.0"],
        ["all", "486.4", "82.6", "85.5", "58.5"],
    ):
        assert line in table


def test_it_is_at_most_that_and_the_other_is_a_scenario(run: Any) -> None:
    page = one_line(run(*LINE).out)
    assert re.search(r"Recovery of all: at most 85\.48\d* ± [\d.]+ %, perhaps much less\.", page)
    assert "Gold that stage 2 also missed is not in it. Assay the final tailings." in page
    assert re.search(r"If stage 2 catches as well as stage 1, recovery is 58\.4\d+ ± ", page)
    better = r"If stage 2 is better: 58\.4\d* to 85\.4\d* %\. If it is worse: less than 58\.4\d* %"
    assert re.search(better, page)
    answer = run(*LINE, "--json").json
    most = answer["figures"]["recovery_at_most"]
    alike = answer["figures"]["recovery_equal_stages"]
    assert (most["status"], round(most["value"], 1)) == ("at most", 85.5)
    assert (alike["status"], round(alike["value"], 1)) == ("measured", 58.5)
    said = " ".join(answer["assumptions"])
    assert "Stage 2 cannot catch more than it was fed." in said
    assert "If it catches worse, recovery is less." in said


def test_five_percent_on_each_fine_bead(run: Any) -> None:
    """Upper end 70 %; 58.5 % stays the value."""
    answer = run(*DOUBTED, "--json").json
    alike = answer["figures"]["recovery_equal_stages"]
    assert round(alike["value"], 1) == 58.5
    assert round(alike["high"]) == 70
    assert alike["k"] is None
    assert "to 70 %)." in one_line(run(*DOUBTED).out)


def test_five_percent_on_each_fine_bead_reach_down_to_24(run: Any) -> None:
    """A linear guess says 27; with every draw of the two fine beads counted it is 24 (23.4)."""
    low, _high = ends(run(*DOUBTED, "--json").json, "equal_stages")
    assert round(low) == 24
    assert "(24 to 70 %)" in one_line(run(*DOUBTED).out)


@pytest.mark.parametrize("line", [LINE, (*LINE, *FEED), DOUBTED], ids=["plain", "feed", "doubt"])
def test_the_pooled_figure_is_never_formed(run: Any, line: tuple[str, ...]) -> None:
    assert round(100 * (1 - 82.6 / 486.4), 1) == 83.0
    for shape in ((), ("--sum",), ("--plain",)):
        assert not POOLED.search(run(*line, *shape).out)
    answer = run(*line, "--json").json
    figures = [*answer["figures"].values()]
    figures += [figure for row in answer["sizes"] for figure in row["figures"].values()]
    per_cent = [figure["value"] for figure in figures if figure["unit"] == "%"]
    values = [value for value in per_cent if value is not None]
    assert values
    assert all(round(value, 1) != 83.0 for value in values)


def test_concentrate_over_rerun_is_refused_as_a_recovery() -> None:
    figure = concentrate_over_rerun(486.4, 82.6)
    assert (figure.value, figure.status) == (None, "not determinable")
    assert figure.why.startswith("Concentrate over re-run is 5.9: a ratio, no recovery")


def test_a_line_that_asks_for_the_ratio_is_told_why_it_is_none(run: Any) -> None:
    figure = run(*LINE, "--json").json["figures"]["concentrate_over_rerun"]
    assert (figure["value"], figure["status"]) == (None, "not determinable")
    assert figure["why"].startswith("Concentrate over re-run is 5.9: a ratio, no recovery")


def test_the_fine_size_is_singled_out(run: Any) -> None:
    assert f"Look at {FINE}. There stage 1 loses 49 to 307 mg gold." in one_line(run(*LINE).out)
    answer = run(*LINE, "--json").json
    looks = [flag["text"] for flag in answer["flags"] if flag["code"] == "look_at_size"]
    assert len(looks) == 1
    assert looks[0].startswith(f"Look at {FINE}.")
    shares = {name: row["share_of_loss"] for name, row in rows(answer).items() if name != "all"}
    assert max(shares, key=lambda name: shares[name]) == FINE
    assert round(shares[FINE], 3) == 0.889


def test_no_lower_bound_is_made_up(run: Any) -> None:
    assert "No lower bound from these weights." in one_line(run(*LINE).out)
    codes = [flag["code"] for flag in run(*LINE, "--json").json["flags"]]
    assert "no_lower_bound" in codes


@pytest.mark.parametrize(("least", "bound"), [(90, 84.1), (70, 80.5), (50, 74.6)])
def test_a_least_second_stage_gives_one(run: Any, least: int, bound: float) -> None:
    line = (*LINE, "--second-stage-least", f"{least}%")
    answer = run(*line, "--json").json
    figure = answer["figures"]["recovery_least_second_stage"]
    assert figure["status"] == "at least"
    assert round(figure["value"], 1) == bound
    assert "no_lower_bound" not in [flag["code"] for flag in answer["flags"]]
    page = one_line(run(*line).out)
    assert "No lower bound" not in page
    said = re.search(
        rf"If stage 2 catches {least} % of its feed or more, recovery of all is at least (\S+) ±",
        page,
    )
    assert said
    assert round(float(said[1]), 1) == bound


def tailings(grade: str) -> tuple[str, ...]:
    return (*LINE, "--tailings-grade", grade, "--tailings-mass", "410.3kg")


def bracket(run: Any, grade: str) -> tuple[float, float]:
    ends_of_all = rows(run(*tailings(grade), "--json").json)["all"]["brackets"]["closed"]
    return ends_of_all["low"], ends_of_all["high"]


def test_a_typed_limit_of_the_tailings_gives_the_bracket(run: Any) -> None:
    """0.333 g/t on 410.3 kg: 0 to 137 mg."""
    low, high = bracket(run, "<0.333 g/t")
    assert (round(low, 1), round(high, 1)) == (68.9, 85.5)
    page = one_line(run(*tailings("<0.333 g/t")).out)
    assert "Recovery of all lies between 68.9 and 85.5 %." in page
    assert "The final tailings hold anything from nothing to 137 mg." in page
    assert "No lower bound" not in page


def test_the_detection_limit_of_the_balance_is_the_larger_doubt(run: Any) -> None:
    """L_D of a 0.01 mg balance, read as 0.0134 mg, in the 30 g fused: 0.45 g/t."""
    seen = run("weigh", "0.00mg", "--readability", "0.01mg", "--charge", "30g", "--json").json
    limit_mg = round(seen["figures"]["detection_limit"]["value"], 4)
    assert limit_mg == 0.0134
    assert round(seen["figures"]["detection_grade"]["value"], 2) == 0.45
    low, high = bracket(run, f"<{limit_mg / 0.030:.4f} g/t")
    assert (round(low, 1), round(high, 1)) == (64.7, 85.5)
    assert "Recovery of all lies between 65 and 85 %." in one_line(run(*tailings("<0.447 g/t")).out)


def test_three_grains_that_were_not_met_are_a_larger_one(run: Any) -> None:
    """Spheres of 0.1 mm and 19.3 g/cm³: 0.0101 mg each, three of them in 30 g are 1.0 g/t."""
    grade = 3.0 * math.pi / 6 * 0.1**3 * 19.3 / 0.030
    assert round(grade, 1) == 1.0
    low, high = bracket(run, f"<{grade:.3f} g/t")
    assert (round(low), round(high, 1)) == (49, 85.5)
    page = one_line(run(*tailings(f"<{grade:.3f} g/t")).out)
    assert "Recovery of all lies between 49 and 85 %." in page


def test_two_ways_that_cannot_both_be_right_are_both_shown(run: Any) -> None:
    line = tailings("<0.333 g/t")
    page = one_line(run(*line).out)
    assert (
        "These disagree: tailings assay < 0.33 g/t, but 0.64 if stages are alike. Both are kept. "
        "Grains missed, or stage 2 better? Assay a larger sample."
    ) in page
    answer = run(*line, "--json").json
    assert "tailings_disagree" in [flag["code"] for flag in answer["flags"]]
    closed, alike = ends(answer, "closed"), ends(answer, "equal_stages")
    assert alike[1] < closed[0]
    assert round(answer["figures"]["recovery_equal_stages"]["value"], 1) == 58.5


def test_intervals_that_overlap_do_not_contradict(run: Any) -> None:
    """With 5 % on each fine bead alike stages reach up to 70 %, the tailings down to 69 %."""
    line = (*DOUBTED, "--tailings-grade", "<0.333 g/t", "--tailings-mass", "410.3kg")
    assert "tailings_disagree" not in [flag["code"] for flag in run(*line, "--json").json["flags"]]


def test_the_dry_head(run: Any) -> None:
    answer = run(*LINE, *FEED, "--json").json
    head = answer["figures"]["head"]
    assert round(head["value"], 2) == 1.38
    assert round((486.4 + 82.6) / head["value"], 1) == 412.2
    assert (head["status"], head["basis"]) == ("at least", "dry")
    page = run(*LINE, *FEED).out
    assert "Head, dry" in page
    assert value_of(page, "built up").startswith("at least 1.38")


def test_wet_kilograms_give_another_head(run: Any) -> None:
    wet = run(*LINE, "--feed", "448kg", "--json").json["figures"]["head"]
    assert round(wet["value"], 2) == 1.27


SHEET = """
[sheet]
log = "circuit test"
title = "R-09"
date = 2026-06-09
by = "KB"
[[balances]]
name = "bead"
step = "0.01 mg"
weighs = ["bead", "gold"]
[[balances]]
name = "pulp"
step = "0.01 g"
weighs = ["charge"]
[[circuit]]
product = "feed"
wet_mass = "448 kg"
water = "8.0 %"
[[circuit]]
product = "concentrate"
size = "+1.0 mm"
metal = "186.4 ± 0.02 mg"
[[circuit]]
product = "concentrate"
size = "-1.0+0.25 mm"
metal = "241.7 ± 0.02 mg"
[[circuit]]
product = "concentrate"
size = "-0.25 mm"
metal = "58.3 ± 0.02 mg"
[[circuit]]
product = "rerun"
size = "+1.0 mm"
metal = "2.1 ± 0.02 mg"
[[circuit]]
product = "rerun"
size = "-1.0+0.25 mm"
metal = "31.5 ± 0.02 mg"
[[circuit]]
product = "rerun"
size = "-0.25 mm"
metal = "49.0 ± 0.02 mg"
"""
TAILINGS = """
[[circuit]]
product = "tailings"
mass = "410.3 kg"
sample = "T-1"
[[samples]]
id = "T-1"
silver = "5.00 mg"
charge = "30.00 g"
bead = "5.00 mg"
gold = "0.00 mg"
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Any:
    def written(text: str) -> str:
        path = tmp_path / "r-09.toml"
        path.write_text(text, "utf-8")
        return str(path)

    return written


def test_a_hand_sheet_says_the_same(run: Any, sheet: Any) -> None:
    answer = run("results", sheet(SHEET), "--json").json
    figures = answer["figures"]
    assert round(figures["recovery_at_most"]["value"], 1) == 85.5
    assert round(figures["recovery_equal_stages"]["value"], 1) == 58.5
    assert round(figures["head"]["value"], 2) == 1.38
    codes = [flag["code"] for flag in answer["flags"]]
    assert {"look_at_size", "no_lower_bound"} <= set(codes)
    assert not POOLED.search(run("results", sheet(SHEET), "--sum").out)


def test_tailings_weighed_here_and_not_detected_never_count_as_nothing(
    run: Any, sheet: Any
) -> None:
    """30 g fused, nothing seen on the 0.01 mg balance: the sentence names a limit, not zero."""
    page = one_line(run("results", sheet(SHEET + TAILINGS)).out)
    assert "tailings assay 0 g/t" not in page
    assert "tailings assay < 0.45 g/t" in page


def test_tailings_weighed_here_and_not_detected_enter_as_zero_to_their_limit(
    run: Any, sheet: Any
) -> None:
    """0 to L_D = 0.45 g/t on 410.3 kg: 64.7 to 85.5 %."""
    found = rows(run("results", sheet(SHEET + TAILINGS), "--json").json)["all"]
    closed = found["brackets"]["closed"]
    assert round(closed["low"]) == 65
    assert round(closed["high"], 1) == 85.5
