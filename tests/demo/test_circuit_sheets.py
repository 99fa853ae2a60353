"""The circuit's hand sheets of demo/: made again to the byte, true to their truths, a heap book."""

import runpy
import shlex
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from assaybench.circuit.streams import FeedTest
from assaybench.logbook.heap_logs import HeapBook, Source, heap_book
from assaybench.record import handsheet
from assaybench.record.circuit_run import Circuit, circuit_of
from assaybench.record.replay import replay
from assaybench.record.results import results
from tests.cli.conftest import run

__all__ = ["run"]

HERE = Path(__file__).parent
FOLDER = HERE.parent.parent / "demo" / "circuit"
MAKE = runpy.run_path(str(HERE / "make_circuit.py"))
TOLD: dict[str, Any] = MAKE["truths"]()
HEAPS = ("heap-a", "heap-b", "heap-c", "heap-a-again")


@cache
def worked(name: str) -> Circuit | FeedTest | None:
    sheet = handsheet.read((FOLDER / f"{name}.toml").read_bytes())
    return circuit_of(results(replay(sheet.entries)))


@cache
def book() -> HeapBook:
    tests = []
    for name in HEAPS:
        sheet = handsheet.read((FOLDER / f"{name}.toml").read_bytes())
        tests.append(Source(name, "the paper", sheet.date.isoformat(), sheet.entries))
    return heap_book(tests)


def test_every_file_is_made_again_to_the_byte_and_there_is_no_other() -> None:
    made = {name: text.encode() for name, text in MAKE["texts"]().items()}
    assert made == {path.name: path.read_bytes() for path in FOLDER.iterdir()}


@pytest.mark.parametrize("name", list(TOLD["tests"]))
def test_a_sheet_says_that_it_is_invented_and_reads_without_a_fault(name: str) -> None:
    text = (FOLDER / f"{name}.toml").read_text("utf-8")
    assert text.startswith("# INVENTED. Plover Kettle Gulch")
    sheet = handsheet.read(text.encode())
    assert sheet.title.startswith("Plover Kettle Gulch (invented): ")
    assert worked(name) is not None


def test_the_closed_test_agrees_and_holds_its_true_recovery() -> None:
    found, told = worked("closed-test"), TOLD["tests"]["closed-test"]
    assert isinstance(found, FeedTest)
    assert found.verdict is not None
    assert found.verdict.code == "streams_agree"
    recovery = found.products[0].recoveries[0]
    assert recovery.low is not None
    assert recovery.high is not None
    assert recovery.low <= 100 * told["stage_1"] <= recovery.high


def test_the_tailings_that_missed_grains_are_held_against_alike_stages() -> None:
    found, told = worked("tailings-contradict"), TOLD["tests"]["tailings-contradict"]
    assert isinstance(found, Circuit)
    assert "tailings_disagree" in {flag.code for flag in found.result.flags}
    alike = found.result.total.by("equal stages")
    assert alike is not None
    assert alike.figure.low is not None
    assert alike.figure.high is not None
    assert alike.figure.low <= 100 * told["stage_1"] <= alike.figure.high


def test_the_heap_book_holds_what_is_truly_left() -> None:
    heaps = {heap.name: heap for heap in book().heaps}
    assert list(heaps) == ["heap A", "heap B", "heap C", "heap D"]
    ways = [heap.left.way for heap in heaps.values()]
    assert ways == ["assayed", "equal stages", "not seen", "assayed"]
    for name in HEAPS:
        told = TOLD["tests"][name]
        metal = heaps[told["heap"]].left.metal_g
        assert metal is not None
        assert metal.high is not None
        true_g = MAKE["metals"](told)[2] / 1000
        assert metal.low <= true_g <= metal.high, name


def test_heap_a_was_run_again_and_is_not_in_the_total(run: Any) -> None:
    gone = [heap.name for heap in book().heaps if heap.rerun_in]
    assert gone == ["heap A"]
    paths = [str(FOLDER / f"{name}.toml") for name in reversed(HEAPS)]
    answer = run("heaps", *paths, "--second-stage", "60 ± 10 %", "--json").json
    assert answer["verdict"]["code"] == "heap_first"
    counted = [row for row in answer["heaps"] if row["rerun_in"] is None]
    lows = sum(row["figures"]["left"]["low"] for row in counted)
    assert answer["figures"]["total_left"]["low"] == pytest.approx(lows, rel=0.2)


def test_the_mat_trial_shows_the_true_gain(run: Any) -> None:
    line = (FOLDER / "mat-trial.txt").read_text("utf-8").splitlines()[-1]
    answer = run(*shlex.split(line)[1:], "--json").json
    told = TOLD["mat-trial"]
    gain = answer["figures"]["difference"]
    assert gain["low"] <= told["new_percent"] - told["old_percent"] <= gain["high"]
    assert answer["verdict"]["code"] == "difference_shown"


def test_the_heap_book_s_names_and_its_page(run: Any) -> None:
    paths = [str(FOLDER / f"{name}.toml") for name in HEAPS]
    line = ("heaps", *paths, "--second-stage", "60 ± 10 %", "--price", "80 USD/g")
    answer = run(*line, "--json").json
    totals = {"total_dry", "total_left", "total_caught", "total_worth"}
    assert set(answer["figures"]) == totals
    row = {"id", "log", "day", "way", "rerun_in", "figures"}
    figures = {"dry", "left", "grade", "caught", "worth"}
    assert all(set(heap) == row and set(heap["figures"]) == figures for heap in answer["heaps"])
    page = run(*line).out
    assert max(map(len, page.splitlines())) <= 79
    assert run(*line, "--plain").out.isascii()
