"""Scenario: run R-09 by three ways in, the command, a hand sheet and a log: the same of each.

The numbers are those of `test_recovery_brackets.py`; here every one of them comes out of a sheet
and of the log that was made of it, and the heap of the final tailings holds what was not found.
"""

import itertools
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import DONE
from tests.acceptance.page import one_line

SIZES = {
    "+1.0 mm": ("186.4", "2.1"),
    "-1.0+0.25 mm": ("241.7", "31.5"),
    "-0.25 mm": ("58.3", "49.0"),
}
TABLE = {
    "+1.0 mm": (186.4, 2.1, 98.9, 98.9, 0.02),
    "-1.0+0.25 mm": (241.7, 31.5, 88.5, 87.0, 4.7),
    "-0.25 mm": (58.3, 49.0, 54.3, 16.0, 258.2),
    "all": (486.4, 82.6, 85.5, 58.5, 262.9),
}
Asked = dict[str, str]
Answers = Callable[..., Any]


def fine(mass: str, size: str, asked: Asked) -> str:
    """A mass with its U: of the balance, or 10 % where 5 % is the u of a fine bead."""
    doubt = asked.get("fine", "0.02 mg") if size == "-0.25 mm" else "0.02 mg"
    return f"{mass} mg ± {doubt}" if doubt.endswith("%") else f"{mass} ± {doubt}"


def typed(asked: Asked) -> list[str]:
    """The line of the command."""
    line = ["recovery", "--feed", "448 kg", "--feed-moisture", "8.0 %"]
    for size, (con, rerun) in SIZES.items():
        line += ["--size", f"{size}={fine(con, size, asked)}:{fine(rerun, size, asked)}"]
    if "least" in asked:
        line += ["--second-stage-least", asked["least"]]
    if "grade" in asked:
        line += ["--tailings-grade", asked["grade"], "--tailings-mass", "410.3 kg"]
    return line


def written(asked: Asked) -> str:
    """The hand sheet."""
    text = '[sheet]\nlog = "circuit test"\ntitle = "R-09"\ndate = 2026-06-09\nby = "KB"\n'
    feed = {"product": "feed", "wet_mass": "448 kg", "water": "8.0 %"}
    rows = [feed | ({"second_stage_least": asked["least"]} if "least" in asked else {})]
    for product, which in (("concentrate", 0), ("rerun", 1)):
        rows += [
            {"product": product, "size": size, "metal": fine(masses[which], size, asked)}
            for size, masses in SIZES.items()
        ]
    if "kept" in asked or "grade" in asked:
        kept = {"product": "tailings", "mass": "410.3 kg"}
        rows.append(kept | ({"grade": asked["grade"]} if "grade" in asked else {}))
    for row in rows:
        text += "[[circuit]]\n" + "".join(f'{key} = "{value}"\n' for key, value in row.items())
    return text


@pytest.fixture(params=["command", "hand sheet", "log"])
def answers(
    request: pytest.FixtureRequest, run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Answers:
    """What one of the three ways answers: as JSON, or the page."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))

    numbers = itertools.count(1)

    def answered(*more: str, **asked: str) -> Any:
        if request.param == "command":
            return run(*typed(asked), *more)
        sheet = tmp_path / "r-09.toml"
        sheet.write_text(written(asked), "utf-8")
        if request.param == "hand sheet":
            return run("results", str(sheet), *more)
        assert run("import", str(sheet), "--by", "KB").status == DONE
        return run("results", str(next(numbers)), *more)

    return answered


def sizes(answer: Any) -> dict[str, Any]:
    return {row["id"]: row for row in answer.json["sizes"]}


def test_each_size_and_all_of_them(answers: Answers) -> None:
    found = sizes(answers("--json"))
    assert list(found) == list(TABLE)
    for name, (con, rerun, most, alike, gone) in TABLE.items():
        figures = found[name]["figures"]
        assert round(found[name]["concentrate_mg"], 1) == con
        assert round(found[name]["rerun_mg"], 1) == rerun
        assert round(figures["at_most"]["value"], 1) == most
        assert round(figures["equal_stages"]["value"], 1) == alike
        unaccounted = figures["lost_if_alike"]["value"] - figures["found_behind"]["value"]
        assert round(unaccounted, 2 if gone < 1 else 1) == gone


def test_the_sentences(answers: Answers) -> None:
    outcome = answers()
    assert (outcome.status, outcome.err) == (0, "")
    page = one_line(outcome.out)
    assert re.search(r"Recovery of all: at most 85\.48\d* ± [\d.]+ %, perhaps much less\.", page)
    assert re.search(r"If stage 2 catches as well as stage 1, recovery is 58\.4\d+ ± ", page)
    assert re.search(r"If stage 2 is better: 58\.4\d* to 85\.4\d* %\. If it is worse: less", page)
    assert "Look at -0.25 mm. There stage 1 loses 49 to 307 mg gold." in page
    assert "No lower bound from these weights." in page
    assert not re.search(r"\b83\.0", answers("--sum").out)


def test_the_picture_and_the_dry_head(answers: Answers) -> None:
    outcome = answers()
    rows = [re.sub(r"[ .]*(?: \.)+ +", " : ", row.strip()) for row in outcome.out.splitlines()]
    assert "feed, dry : 412.2 kg at least 569.0 mg" in [" ".join(row.split()) for row in rows]
    page = one_line(outcome.out)
    assert re.search(r"re-run concentrate [. ?]+ 82\.60 mg", page)
    assert re.search(r"final tailings, not assayed [. ]+ \?", page)
    head = answers("--json").json["figures"]["head"]
    assert (round(head["value"], 2), head["status"], head["basis"]) == (1.38, "at least", "dry")


def test_the_report_of_the_log_draws_it_too(
    run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    sheet = tmp_path / "r-09.toml"
    sheet.write_text(written({}), "utf-8")
    assert run("import", str(sheet), "--by", "KB").status == DONE
    text = run("report", "1", "--text").out
    assert "    └ tailings of stage 1 " in text
    assert max(map(len, text.splitlines())) <= 79


@pytest.mark.parametrize(("least", "bound"), [(90, 84.1), (70, 80.5), (50, 74.6)])
def test_a_least_second_stage(answers: Answers, least: int, bound: float) -> None:
    answer = answers("--json", least=f"{least} %").json
    figure = answer["figures"]["recovery_least_second_stage"]
    assert (figure["status"], round(figure["value"], 1)) == ("at least", bound)
    assert "no_lower_bound" not in [flag["code"] for flag in answer["flags"]]


def test_five_percent_on_each_fine_bead(answers: Answers) -> None:
    """Down to 24 where a linear guess says 27, up to 70 %."""
    alike = answers("--json", fine="10 %").json["figures"]["recovery_equal_stages"]
    assert [round(alike[key]) for key in ("low", "high")] == [24, 70]
    assert round(alike["value"], 1) == 58.5


@pytest.mark.parametrize(
    ("grade", "low"), [("<0.333 g/t", 68.9), ("<0.4467 g/t", 64.7), ("<1.01 g/t", 49)]
)
def test_a_limit_of_the_final_tailings(answers: Answers, grade: str, low: float) -> None:
    closed = sizes(answers("--json", grade=grade))["all"]["brackets"]["closed"]
    assert round(closed["low"], 1 if low % 1 else None) == low
    assert round(closed["high"], 1) == 85.5
    page = one_line(answers(grade=grade).out)
    if low > 68:
        assert "These disagree: tailings assay < 0.33 g/t, but 0.64 if stages are alike." in page
        assert "0 to 137 mg" in page


def test_the_heap_of_the_tailings_holds_what_is_unaccounted(run: Any, tmp_path: Path) -> None:
    """Alike stages leave 262.9 mg on 410.3 kg: 0.64 g/t, for 60 % of which a next stage is good."""
    sheet = tmp_path / "r-09.toml"
    sheet.write_text(written({"kept": "yes"}), "utf-8")
    (heap,) = run("heaps", str(sheet), "--second-stage", "60 %", "--json").json["heaps"]
    left, dry = heap["figures"]["left"], heap["figures"]["dry"]
    assert heap["way"] == "equal stages"
    assert left["unit"] == "g"
    assert round(1000 * left["value"], 1) == 262.9
    assert round(1000 * dry["value"], 1) == 410.3
    assert round(heap["figures"]["grade"]["value"], 2) == 0.64
    assert round(1000 * heap["figures"]["caught"]["value"], 1) == round(0.6 * 262.9, 1)
