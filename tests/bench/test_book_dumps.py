"""The logbook and settings pages as they are: a change of any sign is wanted, or a fault."""

from collections.abc import Callable

import pytest

from assaybench.bench.desk import Desk
from tests.bench.book_dumps import dumped_books, dumped_idle
from tests.bench.books import DUMPS
from tests.bench.conftest import Clock


@pytest.mark.parametrize("made", [dumped_books, dumped_idle])
def test_the_pages_are_as_they_were_dumped(
    desk: Desk, clock: Clock, made: Callable[[Desk, Clock], dict[str, str]]
) -> None:
    pages = made(desk, clock)
    kept = {name: (DUMPS / f"{name}.txt").read_text(encoding="utf-8") for name in pages}
    assert pages == kept
    assert all(page.isascii() for name, page in pages.items() if name.endswith("ascii"))
