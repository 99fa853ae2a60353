"""A logbook of the commands, entries typed into it, and what its logs then hold."""

from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import DONE
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.reading import read_log

DEMO = Path(__file__).parents[2] / "demo"
BY = ("--by", "KB")
FINE = ("balance", "name=fine", "step=0.001 mg", "spread=0.002 mg", "repeats=10", "weighs=bead",
        "weighs=gold")  # fmt: skip
PULP = ("balance", "name=pulp", "step=0.01 g", "spread=0.007 g", "repeats=10", "weighs=charge")


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Logbook:
    """An empty logbook that the environment names; no settings of this machine count."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Logbook(tmp_path / "book")


def entries_of(book: Logbook, number: int = 1, bench: str = "MAIN") -> Any:
    return read_log(Files(), book.log(LogName(bench, number)))[0]


def entered(run: Any, *rows: tuple[str, ...], number: str = "1") -> None:
    for row in rows:
        outcome = run("enter", number, *row, *BY)
        assert (outcome.status, outcome.err) == (DONE, "")


def reading(what: str, text: str, sample: str) -> tuple[str, ...]:
    unit, balance = ("g", "pulp") if what == "charge" else ("mg", "fine")
    return (
        "reading", f"what={what}", f"text={text}", f"unit={unit}", f"balance={balance}",
        f"sample={sample}",
    )  # fmt: skip


def run_with_gold(run: Any) -> None:
    """A log with one sample, its charge and its gold: entries 1 to 6."""
    assert run("open", "run", *BY).status == DONE
    sample = ("sample", "id=T-1", "role=sample", "silver=none")
    entered(run, FINE, PULP, sample, reading("charge", "20.00", "T-1"))
    entered(run, reading("gold", "1.372", "T-1"))
