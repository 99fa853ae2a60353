"""Run R-09 of the drawn pages at the bench: three sizes, two stages, no tailings assay. Invented.

Gold, mg: stage 1 186.4, 241.7, 58.3; stage 2 2.1, 31.5, 49.0. Feed 448 kg wet with 8.0 % water.
"""

from assaybench.bench.actions import keymap
from assaybench.bench.desk import Desk
from assaybench.bench.laid_out import circuit_doors
from assaybench.bench.openings import new_run
from assaybench.bench.page import Page
from assaybench.bench.pages.circuit import CircuitPage
from assaybench.bench.run_log import RunLog
from assaybench.logbook.logfile import Row
from tests.bench.hands import Hands

SIZES = ("+1.0 mm", "-1.0 +0.25 mm", "-0.25 mm")
GOLD = {"concentrate": ("186.4", "241.7", "58.3"), "rerun": ("2.1", "31.5", "49.0")}
SIEVES: Row = ("method", {"item": "sieves", "value": "1.0 0.25 mm"})
FEED: Row = ("circuit", {"product": "feed", "wet_mass": "448 kg", "water": "8.0 %"})


def cells(doubt: str = "± 0.1 mg") -> list[Row]:
    """The gold of both stages by size."""
    return [
        ("circuit", {"product": product, "size": size, "metal": f"{metal} {doubt}"})
        for product, metals in GOLD.items()
        for size, metal in zip(SIZES, metals, strict=True)
    ]


def begun_test(desk: Desk, *rows: Row) -> RunLog:
    """A circuit test that holds these entries."""
    run = new_run(desk, "R-09", "circuit test")
    if rows:
        run.append_all(rows)
    return run


def drawn_test(desk: Desk, *more: Row, doubt: str = "± 0.1 mg") -> RunLog:
    """Run R-09, with more behind it."""
    return begun_test(desk, SIEVES, FEED, *cells(doubt), *more)


def at_the_circuit(run: RunLog, page: Page | None = None) -> Hands:
    """Hands on the editor of a circuit test, or on another page of it."""
    return Hands(run, page or CircuitPage(run, circuit_doors(keymap({}))))
