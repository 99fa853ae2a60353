"""`demo`: every sheet of demo/ worked out, the circuit's in brief, from any folder."""

from pathlib import Path
from typing import Any

import pytest

from assaybench.logbook.importing import DEMO_CIRCUIT, DEMO_HEAPS, DEMO_RUNS, DEMO_SHEETS
from tests.cli.conftest import run

__all__ = ["run"]

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(autouse=True)
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def test_every_file_of_the_demo_is_shown() -> None:
    there = {path.relative_to(DEMO).as_posix() for path in DEMO.glob("*.toml")}
    there |= {path.relative_to(DEMO).as_posix() for path in (DEMO / "circuit").iterdir()}
    assert {*DEMO_SHEETS, *DEMO_CIRCUIT, *DEMO_HEAPS, DEMO_RUNS} == there


def test_the_page_shows_the_tray_the_bracket_and_what_the_circuit_says(run: Any) -> None:
    outcome = run("demo", "--print")
    assert (outcome.status, outcome.err) == (0, "")
    for said in (
        "Samples corrected for cupel loss, 8 of 24 shown",
        "Gold by size, and recovery of stage 1",
        "What goes in and what comes out add up",
        "These disagree: tailings assay 0.027 g/t, but 0.14 if stages are alike.",
        "Run heap B again first: it holds 0.117 g/t at least.",
        "Difference shown: +4.3 points",
    ):
        assert said in outcome.out
    assert outcome.out.count("Where mass and ") == 3
    assert max(map(len, outcome.out.splitlines())) <= 79


def test_the_circuit_is_brief_and_keeps_what_its_figures_rest_on(run: Any) -> None:
    brief = run("demo", "--print").out.partition("staged test 5")[2].partition("Which heap")[0]
    whole = run("results", str(DEMO / "circuit" / "tailings-contradict.toml")).out
    assert "What stage 1 loses" in whole
    assert "What stage 1 loses" not in brief
    assert whole.partition("Taken as given")[2].split("\n\n")[0] in brief


def test_plain_lines_and_json_hold_them_too(run: Any) -> None:
    plain = run("demo", "--plain").out
    assert plain.isascii()
    assert "Where mass and gold went" in plain
    sheets = run("demo", "--json").json["sheets"]
    assert [sheet["id"] for sheet in sheets] == [
        *DEMO_SHEETS,
        *DEMO_CIRCUIT,
        "circuit/heap-*.toml",
        DEMO_RUNS,
    ]
    heaps = sheets[-2]
    assert heaps["inputs"]["sheets"] == [*DEMO_HEAPS]
    assert str(DEMO) not in run("demo", "--json").out


def test_the_runs_are_the_line_that_their_file_has(run: Any) -> None:
    found = run("demo", "--json").json["sheets"][-1]
    assert found["command"] == "compare"
    assert found["figures"]["difference"]["value"] == pytest.approx(4.3, abs=0.05)
    assert found["inputs"]["before"] in (DEMO / DEMO_RUNS).read_text("utf-8")
