"""The pages as they are: a change of any sign is seen and wanted, or a fault."""

from assaybench.bench.desk import Desk
from tests.bench.books import DUMPS, dumped
from tests.bench.conftest import Clock


def test_the_pages_are_as_they_were_dumped(desk: Desk, clock: Clock) -> None:
    pages = dumped(desk, clock)
    kept = {path.stem: path.read_text(encoding="utf-8") for path in DUMPS.glob("*.txt")}
    assert pages == {name: kept.get(name, "") for name in pages}
    assert {len(page.splitlines()) for page in pages.values()} == {24, 40}
