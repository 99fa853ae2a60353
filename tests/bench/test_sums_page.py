"""The whole sum: every number can be found in the log, every line gives its result."""

import math
import re

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.page import Room
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import text_of
from tests.bench.hands import Hands
from tests.bench.results_run import UNPARTED, at, finished_run


@pytest.fixture
def run(desk: Desk) -> RunLog:
    return finished_run(desk)


def opened(run: RunLog, identity: str) -> Hands:
    """The sum of a row, by keys."""
    hands = Hands(run, ResultsPage(run))
    at(hands, identity)
    hands.press("enter")
    assert hands.page.name == "sums"
    return hands


def pages(hands: Hands) -> list[list[str]]:
    """The lines of every page, turned by Enter."""
    found = []
    for _ in range(int(hands.sheet.right.split(" of ")[1])):
        found.append([text_of(row) for row in hands.sheet.block])
        hands.press("enter")
    return found


def whole(hands: Hands) -> str:
    return " ".join(" ".join(line for page in pages(hands) for line in page).split())


def test_every_reading_stands_there_with_the_number_of_its_entry(run: RunLog) -> None:
    hands = opened(run, "KV-019")
    told = re.findall(
        r"(?m)^ +(\d+)  (\w+) +([-\d.]+) (\w+)", "\n".join("\n".join(p) for p in pages(hands))
    )
    by_n = {entry.n: entry for entry in run.entries}
    assert len(told) > 15
    for n, what, text, unit in told:
        entry = by_n[int(n)]
        assert (entry.kind, entry.values["what"]) == ("reading", what)
        assert (entry.values["text"], entry.values["unit"]) == (text, unit)
    assert {what for _, what, _, _ in told} == {"charge", "bead", "gold", "zero"}
    samples = {by_n[int(n)].values.get("sample") for n, *_ in told}
    assert samples == {"KV-019", "blank 1", "proof 1", "proof 2", None}


def test_a_sample_without_a_fitting_proof_names_its_blank_alone(run: RunLog) -> None:
    said = whole(opened(run, "KV-016"))
    assert "What was read of blank 1, blank" in said
    assert "proof 1" not in said


@pytest.mark.parametrize("identity", ["KV-016", "KV-019", "proof 1", UNPARTED])
def test_a_calculator_gives_the_printed_result_of_every_step(run: RunLog, identity: str) -> None:
    said = whole(opened(run, identity)).split("Step by step")[1].split("Figures")[0]
    steps = re.findall(r"= ([^=:]*[\d)]) = (-?[\d.]+) (?:mg|g/t|g)", said)
    assert len(steps) >= 2
    for expression, result in steps:
        plain = expression.replace("×", "*").replace("^", "**").replace("√", "sqrt")
        found = eval(plain, {"sqrt": math.sqrt})  # noqa: S307  digits and signs only
        assert found == pytest.approx(float(result), rel=1e-5, abs=1e-9)


def test_an_amended_reading_stands_struck_beside_the_new_one(run: RunLog) -> None:
    n = next(r.entry.n for r in run.state.readings if (r.sample, r.what) == ("KV-016", "gold"))
    run.append("amendment", {"entry": n, "text": "0.216", "reason": "digits swapped"})
    hands = opened(run, "KV-016")
    rows = [row for row in hands.sheet.block if text_of(row).startswith(f"  {n:>5}")]
    assert "struck 0.261  0.216 mg" in text_of(rows[0])
    assert any(span.style == "struck" and span.text == "0.261" for span in rows[0])


def test_notes_and_all_flags_are_told_on_one_page_or_another(run: RunLog) -> None:
    run.append("note", {"text": "crucible boiled over", "sample": "KV-019"})
    sample = next(s for s in run.results().samples if s.id == "KV-019")
    hands = opened(run, "KV-019")
    assert "crucible boiled over (KB 14:31)" in whole(hands)
    margins: set[str] = set()
    for _ in range(12):
        margins |= set(hands.margin)
        hands.press("down")
    assert {" ".join(f.text.split()) for f in sample.flags} <= margins
    assert {" ".join(text.split()) for text in sample.assumptions} <= margins


@pytest.mark.parametrize("lines", [19, 35, 7])
def test_no_heading_stands_alone_and_nothing_is_lost(run: RunLog, lines: int) -> None:
    hands = opened(run, "KV-019")
    page = hands.page
    count = int(page.sheet(Room(lines)).right.split(" of ")[1])
    seen = []
    for _ in range(count):
        block = page.sheet(Room(lines)).block
        assert len(block) <= lines
        assert text_of(block[-1]).startswith("  ")
        seen += [text_of(row) for row in block if row]
        page.act("right")
    assert len(seen) == sum(len(block) for block in page._blocks)


def test_esc_goes_back_to_the_row_it_came_from(run: RunLog) -> None:
    hands = opened(run, "KV-019")
    hands.press("x", "up", "escape")
    assert hands.page.row.id == "KV-019"
