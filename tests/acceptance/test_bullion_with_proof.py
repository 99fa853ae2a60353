"""Scenario: bar D-4, 1240.6 g, two pieces and one proof, against a buyer's 912.4 ‰.

Worked by hand: raw 913.17 and 913.15, surcharge +0.12 mg, corrected 912.69 and 912.67, mean
912.68 ‰; fine gold 1132.27 g, 0.60 g less than without the proof.
"""

import math
from pathlib import Path
from typing import Any

import pytest

from tests.acceptance.page import one_line, value_of

SHEET = """
[sheet]
log = "furnace run"
title = "Bar D-4"
date = 2026-06-09
by = "KB"
[method]
splitting_limit = "LIMIT ‰"
[[balances]]
name = "bullion"
step = "0.01 mg"
spread = "0.01 mg"
weighs = ["charge", "gold", "proof_gold"]
[[balances]]
name = "bar"
step = "0.1 g"
weighs = ["product"]
[[samples]]
id = "D-4"
value = "912.4 ‰"
product = "1240.6 g"
[[samples]]
id = "D-4 a"
of = "D-4"
part = "piece"
charge = "250.02 mg"
gold = "228.31 mg"
[[samples]]
id = "D-4 b"
of = "D-4"
part = "piece"
charge = "249.98 mg"
gold = "228.27 mg"
[[samples]]
id = "D-4 proof"
role = "proof"
of = "D-4"
silver = "none"
proof_gold = "227.50 mg"
gold = "227.62 mg"
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Any:
    def written(limit: str) -> str:
        path = tmp_path / "bar.toml"
        path.write_text(SHEET.replace("LIMIT", limit), "utf-8")
        return str(path)

    return written


def bar(run: Any, name: str) -> Any:
    (whole,) = run("results", name, "--json").json["wholes"]
    return whole


def test_fineness_and_fine_gold_raw_and_corrected_stand_side_by_side(run: Any, sheet: Any) -> None:
    whole = bar(run, sheet("0.5"))
    values = {name: figure["value"] for name, figure in whole["figures"].items()}
    assert (whole["id"], whole["kind"]) == ("D-4", "bar")
    assert round(values["fineness"], 2) == 912.68
    assert round(values["fineness_raw"], 2) == 913.16
    assert round(values["fine_gold"], 2) == 1132.27
    assert round(values["fine_gold_raw"] - values["fine_gold"], 2) == 0.60
    outcome = run("results", sheet("0.5"))
    assert (outcome.status, outcome.err) == (0, "")
    assert value_of(outcome.out, "fineness, corrected by its proofs").startswith("912.68 ± ")
    assert value_of(outcome.out, "fineness, not corrected").startswith("913.16")
    assert value_of(outcome.out, "fine gold, corrected").startswith("1132.27 ± ")
    assert value_of(outcome.out, "fine gold, not corrected").startswith("1132.87 ± ")


def test_one_proof_leaves_the_scatter_of_the_surcharge_unknown(run: Any, sheet: Any) -> None:
    flags = {flag["code"]: flag["text"] for flag in bar(run, sheet("0.5"))["flags"]}
    assert flags["surcharge_scatter_unknown"] == (
        "Surcharge scatter unknown: one proof, so ± is a lower bound.\n"
        "Two proofs beside the pieces are the rule."
    )
    assert "D-4: Surcharge scatter unknown: one proof" in run("results", sheet("0.5")).out


def test_within_the_splitting_limit_the_mean_settles(run: Any, sheet: Any) -> None:
    settled = bar(run, sheet("0.5"))["settlement"]
    assert settled["code"] == "within_splitting_limit"
    page = one_line(run("results", sheet("0.5")).out)
    assert "Within the splitting limit: 0.28 ‰ apart, the limit is 0.5" in page
    assert "Settled at the mean, 912.54 ‰." in page


@pytest.mark.parametrize("limit", ["0.2", "0.27"])
def test_beyond_it_the_umpire_decides(run: Any, sheet: Any, limit: str) -> None:
    settled = bar(run, sheet(limit))["settlement"]
    assert settled["code"] == "beyond_splitting_limit"
    assert "mean" not in settled["reason"]
    page = one_line(run("results", sheet(limit)).out)
    assert f"Beyond the splitting limit: 0.28 ‰ apart, the limit is {limit}" in page
    assert "To the umpire" in page
    assert "912.54" not in page


@pytest.mark.parametrize("number", ["913.17", "913.15", "0.120 ± ", "0.53 ± ", "912.69", "912.67"])
def test_each_piece_and_the_surcharge_are_shown(run: Any, sheet: Any, number: str) -> None:
    """What a checker recomputes by hand: raw, surcharge of the proof, corrected."""
    assert number in one_line(run("results", sheet("0.5"), "--sum").out)


def test_the_surcharge_has_the_doubt_of_the_two_weighings_of_its_proof(
    run: Any, sheet: Any
) -> None:
    """Taken and found, 0.010 mg each: √2·0.010 mg, and 1000/227.50 of it per 1000."""
    found = bar(run, sheet("0.5"))["pieces"]
    assert found["surcharge"]["value"] == pytest.approx(0.12)
    assert found["surcharge"]["u"] == pytest.approx(2**0.5 * 0.010)
    assert found["surcharge_permille"]["value"] == pytest.approx(1000 * 0.12 / 227.50)
    assert found["surcharge_permille"]["u"] == pytest.approx(
        1000 * 2**0.5 * 0.010 / 227.5, rel=1e-3
    )


def test_the_settled_figure_has_its_doubt_where_both_parties_have_theirs(
    run: Any, sheet: Any
) -> None:
    bare = bar(run, sheet("0.5"))
    settled = bare["figures"]["settled"]
    assert settled["value"] == pytest.approx(912.54, abs=5e-3)
    assert settled["u"] is None
    assert settled["text"] == "912.54 ‰, ± not known"
    assert "settled_without_doubt" in {flag["code"] for flag in bare["flags"]}
    path = Path(sheet("0.5"))
    path.write_text(path.read_text("utf-8").replace('"912.4 ‰"', '"912.4 ± 0.2 ‰"'), "utf-8")
    whole = bar(run, str(path))
    ours, known = whole["figures"]["fineness"]["u"], whole["figures"]["settled"]
    assert known["u"] == pytest.approx(math.hypot(ours, 0.1) / 2)
    assert known["value"] == settled["value"]
    assert "settled_without_doubt" not in {flag["code"] for flag in whole["flags"]}
    assert value_of(run("results", str(path)).out, "settled at") == known["text"]
    assert "settled" not in bar(run, sheet("0.2"))["figures"]


def test_a_piece_is_not_called_uncorrected_beside_its_proof(run: Any, sheet: Any) -> None:
    page = one_line(run("results", sheet("0.5")).out)
    assert "Not corrected for cupel loss: no proof in this fire." not in page
