"""What was added to format 1: `copper` of a sample, and the method item `proof_scaling`.

The folder was made once by make_format_1_2.py beside it and is never made again. When a test here
fails, the program is wrong.
"""

import pytest

from assaybench.record.entries import Entry
from assaybench.record.frame_read import Reader
from assaybench.record.handsheet import read
from assaybench.record.kinds import BY_NAME
from assaybench.record.replay import replay
from assaybench.record.results import SampleResult, results
from tests.golden.kept import digests, logged, written
from tests.golden.make_format_1_2 import HERE, LOG, SHEET

DIGESTS = {
    "copper-and-scaling.sheet.toml":
        "6240f4bde089dd51703e702a58e0b0f25dd05fa19568e2f9e6e1659f2bd9d569",
    "copper-and-scaling.toml":
        "fc11af937acfe770b635e9f9a8de393ac7aa37ca6f56859f4c2abc3bcf12a6ab",
}  # fmt: skip


def samples(of: list[Entry]) -> dict[str, SampleResult]:
    return {s.id: s for s in results(replay(of)).samples}


def test_the_files_are_as_they_were_made() -> None:
    assert digests(HERE) == DIGESTS


def test_the_log_is_written_the_same_today() -> None:
    assert written(logged(LOG)) == LOG.read_bytes()


def test_a_program_of_the_first_edition_reads_it_as_a_newer_one() -> None:
    first = {
        name: kind._replace(keys=tuple(key for key in kind.keys if key.since == 1))
        for name, kind in BY_NAME.items()
    }
    reader = Reader(first)
    reader.feed(LOG.read_bytes())
    verdict = reader.end()
    assert (verdict.state, verdict.newer) == ("sound", True)


def test_its_figures_are_what_they_were() -> None:
    """Mean loss 0.009 mg at 1 mg is 0.009·8^(2/3) = 0.036 mg at 8 mg; T-2 had no copper."""
    for found in (samples(logged(LOG)), samples([*read(SHEET.read_bytes()).entries])):
        assert found["T-1"].figures["gold"].value == pytest.approx(8.036, rel=1e-12)
        assert found["T-2"].figures["gold"].value == pytest.approx(1.000, rel=1e-12)
        assert {f.code for f in found["T-2"].flags} >= {"no_matching_proof"}
