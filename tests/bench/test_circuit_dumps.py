"""The pages of a circuit test as they are: a change of any sign is seen and wanted, or a fault."""

from assaybench.bench.desk import Desk
from tests.bench.books import DUMPS
from tests.bench.circuit_dumps import dumped_circuits
from tests.bench.conftest import Clock


def test_the_pages_are_as_they_were_dumped(desk: Desk, clock: Clock) -> None:
    pages = dumped_circuits(desk, clock)
    kept = {path.stem: path.read_text(encoding="utf-8") for path in DUMPS.glob("*.txt")}
    assert pages == {name: kept.get(name, "") for name in pages}
    assert {len(page.splitlines()) for page in pages.values()} == {24, 40}
    assert all(page.isascii() for name, page in pages.items() if name.endswith("ascii"))


def test_the_page_of_the_figures_is_the_drawn_one_but_for_its_head_and_its_last_line(
    desk: Desk, clock: Clock
) -> None:
    pages = dumped_circuits(desk, clock)
    for mode, name in (("80x24", "drawn-caught"), ("ascii", "drawn-caught-ascii")):
        drawn = (DUMPS / f"{name}.txt").read_text(encoding="utf-8").splitlines()
        made = pages[f"caught-{mode}"].splitlines()
        last = len(made) - 4
        assert made[1:last] + made[last + 1 :] == drawn[1:last] + drawn[last + 1 :]
        assert made[last].startswith("    head built up, dry")
