"""The method item `scatter`: every later program takes it and gives the same figures.

The folder was made once by make_scatter_1.py beside it and is never made again. When a test here
fails, the program is wrong.
"""

import pytest

from assaybench.record.handsheet import read
from assaybench.record.replay import replay
from assaybench.record.results import results
from tests.golden.kept import digests, logged, written
from tests.golden.make_scatter_1 import HERE

DIGESTS = {
    "log.toml": "94af147c53fdf8b354b40c2756e79fc11df2621d970191dbcfb6524620aeb304",
    "sheet.toml": "a9ec4f73736ef52dea7bc93aa1601c1e47701df56f619a98a466820d99f347d5",
}
SAID = {"A": "40.3 ± 3.4 g/t", "B": "38.2 ± 3.4 g/t", "C": "43.2 ± 3.4 g/t"}


def test_the_files_are_as_they_were_made() -> None:
    assert digests(HERE) == DIGESTS


def test_the_log_reads_and_is_written_the_same_today() -> None:
    assert written(logged(HERE / "log.toml")) == (HERE / "log.toml").read_bytes()


def test_its_figures_are_what_they_were() -> None:
    """s_r = √((2² + 3² + 1²)/6) = 1.5275 g/t with ν = 3; u of a mean of two is s_r/√2."""
    for entries in (logged(HERE / "log.toml"), [*read((HERE / "sheet.toml").read_bytes()).entries]):
        grades = results(replay(entries)).grades
        assert {grade.id: grade.figure.text for grade in grades} == SAID
        assert [grade.figure.u for grade in grades] == pytest.approx([1.0801234] * 3, rel=1e-6)
