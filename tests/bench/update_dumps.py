"""Writes the dumps of the pages anew; look at what changed before keeping it.

python -m tests.bench.update_dumps
"""

import tempfile
from pathlib import Path

from tests.bench.book_dumps import dumped_books, dumped_idle
from tests.bench.books import DUMPS, dumped
from tests.bench.circuit_dumps import dumped_circuits
from tests.bench.conftest import Clock, desk_in
from tests.bench.more_dumps import dumped_more
from tests.bench.results_dumps import dumped_results
from tests.bench.tray_dumps import dumped_trays

MAKERS = (
    dumped,
    dumped_trays,
    dumped_results,
    dumped_circuits,
    dumped_books,
    dumped_idle,
    dumped_more,
)


def main() -> None:
    """Write every dump."""
    for made in MAKERS:
        with tempfile.TemporaryDirectory() as folder:
            clock = Clock()
            for name, page in made(desk_in(Path(folder), clock), clock).items():
                (DUMPS / f"{name}.txt").write_text(page, encoding="utf-8")


if __name__ == "__main__":
    main()
