"""What tests of the index ask of it: its pages, their numbers, a clock that has settled."""

import os
from pathlib import Path

import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.index import Index, with_index
from assaybench.logbook.index_fill import RACE_NS
from assaybench.logbook.index_tables import Look, Page, Wanted
from tests.logbook.books import Bench


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path / "book")


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache"


ALL = Wanted()


def page(
    bench: Bench, cache: Path, wanted: Wanted = ALL, *, files: Files | None = None,
    look: Look | None = None, lines: int = 50, number: int = 1,
) -> Page:  # fmt: skip
    """A page of the list, after an update."""

    def job(index: Index) -> Page:
        index.update(look or wanted.look)
        return index.page(wanted, lines, number)

    return with_index(bench.book, files or Files(), cache, job, wait_seconds=0.1)


def settle(bench: Bench) -> None:
    """Let the folder of logs look as if it was last changed long ago."""
    folder = bench.book.logs(bench.bench)
    past = folder.stat().st_mtime_ns - 10 * RACE_NS
    os.utime(folder, ns=(past, past))
