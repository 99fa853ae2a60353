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


ALONE = (
    ("Weighing adds {}0.3", "By weighing alone at"),
    ("points or less.", "most {}0.3 points."),
)
"""The last remark: in as many lines it also says that the sample is not in it."""


def said_alone(row: str, sign: str) -> str:
    """A drawn line with the last remark as it is said."""
    for was, now in ALONE:
        row = row.replace(was.format(sign), now.format(sign))
    return row


def test_the_page_of_the_figures_is_the_drawn_one_but_for_its_head_and_its_last_line(
    desk: Desk, clock: Clock
) -> None:
    pages = dumped_circuits(desk, clock)
    for mode, name in (("80x24", "drawn-caught"), ("ascii", "drawn-caught-ascii")):
        text = (DUMPS / f"{name}.txt").read_text(encoding="utf-8")
        drawn = [said_alone(row, "± " if mode == "80x24" else "+-") for row in text.splitlines()]
        made = pages[f"caught-{mode}"].splitlines()
        last = len(made) - 4
        assert made[1:last] + made[last + 1 :] == drawn[1:last] + drawn[last + 1 :]
        assert made[last].startswith("    head built up, dry")
