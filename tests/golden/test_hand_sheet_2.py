"""A hand sheet that says the doubt of a moisture: every later program reads it the same.

It is never made again, as format-1/ is not. When a test here fails, the program is wrong.
"""

import hashlib
from pathlib import Path

import pytest

from assaybench.record.handsheet import read
from assaybench.record.replay import replay
from assaybench.record.results import results

SHEET = Path(__file__).parent / "hand-sheet-2" / "moisture-u.toml"
DIGEST = "b7fc648e10a02d8bc7eec24a2d5fabe90cb485fe8cc1b3e12f86ea08d590492f"


def test_the_sheet_is_as_it_was_made() -> None:
    assert hashlib.sha256(SHEET.read_bytes()).hexdigest() == DIGEST


def test_the_doubt_that_is_said_enters_by_its_slope() -> None:
    """u(dry)/dry = u(w)/(1 - w) = 0.004/0.8 = 0.5 % of 10 g/t."""
    (sample,) = results(replay(read(SHEET.read_bytes()).entries)).samples
    figure = sample.figures["grade_gold"]
    rows = {share.source: share.share for share in sample.budget["grade_gold"]}
    assert figure.value == pytest.approx(10.0, rel=1e-12)
    relative = (figure.u or 0.0) / 10.0
    assert rows["moisture"] * relative**2 == pytest.approx(0.005**2, rel=1e-6)
