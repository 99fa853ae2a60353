"""Malformed hand sheets through the command: results, or one clear line a fault and exit 2."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.spoilt_sheets import GOOD, spoilt

SHEETS = 2000
PROCESSES = 12
LONGEST_FAULT = 700


def complaint(seed: int, status: int, out: str, err: str) -> str:
    """Why an outcome is not as promised; empty when it is."""
    faults = err.splitlines()
    if status == 0 and not faults and "NaN" not in out:
        return ""
    if status != 2 or out or not faults:
        return f"{seed}: exit status {status}, {out[:60]!r}, {err[:200]!r}"
    unclear = [
        fault
        for fault in faults
        if not fault.startswith("assaybench results: ")
        or not fault.isprintable()
        or "fault of the program" in fault
        or len(fault) > LONGEST_FAULT
    ]
    return f"{seed}: {unclear[0]!r}" if unclear else ""


def test_two_thousand_malformed_sheets_through_the_command(run: Any, tmp_path: Path) -> None:
    bad, refused = [], 0
    sheet = tmp_path / "sheet.toml"
    for seed in range(SHEETS):
        sheet.write_bytes(spoilt(50_000 + seed))
        outcome = run("results", str(sheet), "--json")
        refused += outcome.status == 2
        bad.append(complaint(seed, outcome.status, outcome.out, outcome.err))
    assert [reason for reason in bad if reason][:10] == []
    assert refused > 1500


def test_a_dozen_malformed_sheets_as_real_processes(tmp_path: Path) -> None:
    bad = []
    for seed in range(PROCESSES):
        sheet = tmp_path / f"{seed}.toml"
        sheet.write_bytes(spoilt(90_000 + seed))
        done = subprocess.run(
            [sys.executable, "-m", "assaybench", "results", str(sheet)],
            capture_output=True, text=True, encoding="utf-8", check=False, timeout=60,
        )  # fmt: skip
        bad.append(complaint(seed, done.returncode, done.stdout, done.stderr))
    assert [reason for reason in bad if reason] == []


def test_the_sheet_that_is_spoilt_is_right_before(run: Any, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(GOOD, "utf-8")
    outcome = run("results", str(sheet))
    assert (outcome.status, outcome.err) == (0, "")


def test_a_file_that_cannot_be_read(run: Any, tmp_path: Path) -> None:
    for name in (str(tmp_path / "none.toml"), str(tmp_path), "a\0b", ""):
        outcome = run("results", name)
        assert (outcome.status, outcome.out) == (2, ""), name
        assert len(outcome.faults) == 1
    assert "cannot be read: there is no such file or folder." in run("results", "none.toml").err


@pytest.mark.parametrize("line", [("results",), ("import", "--by", "KB")])
def test_a_file_without_an_end_is_refused_after_what_a_sheet_may_have(
    run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, line: tuple[str, ...]
) -> None:
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    outcome = run(*line, "/dev/zero")
    assert (outcome.status, outcome.out) == (2, "")
    assert "at most 4000000 are accepted" in outcome.err
    assert not (tmp_path / "book").exists()


def test_a_charge_of_nothing_is_stored_and_gives_no_grade(run: Any, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.toml"
    sheet.write_text(GOOD.replace('"30.00 g"', '"0.00 g"'), "utf-8")
    outcome = run("results", str(sheet))
    assert (outcome.status, outcome.err) == (0, "")
    assert "The charge is not above zero: no grade follows from it." in outcome.out
