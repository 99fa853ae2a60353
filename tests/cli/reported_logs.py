"""A log with everything a report must have, and its text."""

from pathlib import Path
from typing import Any

import pytest

from assaybench.cli.app import DONE
from tests.logbook.books import Bench, Row

CHECK: Row = (
    "balance_check",
    {"balance": "fine", "weight": "10 mg", "texts": ["10.001"], "unit": "mg",
     "tolerance": "0.004 mg"},
)  # fmt: skip
SEALER = {"name": "Mirel Quist", "role": "assayer", "meaning": "weighed",
          "fingerprint": "SHA256:" + "A" * 43}  # fmt: skip


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Bench:
    """A bench in a logbook that the environment names."""
    for name in ("XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.setenv(name, str(tmp_path / "home"))
    monkeypatch.setenv("ASSAYBENCH_LOGBOOK", str(tmp_path / "book"))
    return Bench(tmp_path / "book")


def text_of(run: Any, *more: str, status: int = DONE) -> str:
    outcome = run("report", "1", "--text", *more)
    assert (outcome.status, outcome.err) == (status, "")
    return str(outcome.out)
