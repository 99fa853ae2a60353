"""The pages of a circuit test as they are dumped: editor, figures, guided path, money."""

from assaybench.bench.desk import Desk
from assaybench.bench.pages.caught import CaughtPage
from assaybench.bench.pages.form_page import FormPage
from assaybench.bench.pages.guided import GuidedPage
from assaybench.bench.pages.heaps_page import HeapsPage
from assaybench.bench.pages.runs import RunsForm
from assaybench.logbook.logfile import Row
from tests.bench.circuit_test_run import at_the_circuit, begun_test, drawn_test
from tests.bench.conftest import Clock
from tests.bench.hands import Hands

STREAMS: tuple[Row, ...] = (
    ("circuit", {"product": "feed", "mass": "100 ± 2 kg", "grade": "2.0 ± 0.2 g/t"}),
    ("circuit", {"product": "concentrate", "mass": "4.4 ± 0.2 kg", "grade": "36 ± 4 g/t"}),
    ("circuit", {"product": "stage-1 tailings", "mass": "95 ± 2 kg", "grade": "0.5 ± 0.05 g/t"}),
    ("circuit", {"product": "rerun", "mass": "1.5 ± 0.1 kg", "grade": "20 ± 2 g/t"}),
    ("circuit", {"product": "tailings", "mass": "80 ± 2 kg", "grade": "0.2 ± 0.02 g/t"}),
)
"""Two stages with every stream measured; the mass of the final tailings is off."""
ANSWERS = ("0.01", "", "", "400", "0.00", "0.49", "0.49", "0.08")


def dumped_circuits(desk: Desk, clock: Clock) -> dict[str, str]:
    """Pages by the names of their dumps."""
    run = drawn_test(desk, doubt="± 0.08 mg")
    clock.go_on(170)
    pages = _three("circuit", at_the_circuit(run))
    caught = at_the_circuit(run, CaughtPage(run))
    pages |= _three("caught", caught)
    caught.press("down", "down", "down", "s")
    caught.enter("70")
    pages |= _three("caught-supposed", caught)
    caught.press("enter", "enter")
    pages |= _three("caught-sum", caught)
    run.append("circuit", {"product": "tailings", "mass": "410.3 kg", "grade": "<0.333 g/t"})
    closed = at_the_circuit(run, CaughtPage(run))
    pages |= _three("caught-closed", closed)
    closed.press("v")
    closed.enter("", "80 USD/g", "", "buyer's list, 9 June", "", "", "", "900")
    pages |= _three("value", closed)
    closed.press("enter")
    closed.enter("", "", "", "1800 USD", "", "0.30 USD/t", "", "10", "", "5")
    pages |= _three("pays", closed)
    run.close()
    runs = at_the_circuit(run, FormPage(desk, "AssayBench", RunsForm()))
    runs.enter("", "81.2 84.0 79.5", "", "85.1 83.3 86.8")
    runs.enter("", "900", "", "0.9", "", "80 USD/g", "", "1800 USD")
    pages |= _three("runs", runs)
    heaps = at_the_circuit(run, HeapsPage(desk, "AssayBench"))
    heaps.enter("", "50")
    pages |= _three("heaps", heaps)
    streams = begun_test(desk, *STREAMS)
    pages |= _three("streams", at_the_circuit(streams, CaughtPage(streams)))
    streams.close()
    guided = begun_test(desk)
    path = at_the_circuit(guided, GuidedPage(guided))
    pages |= _three("guided", path)
    path.enter(*ANSWERS)
    pages |= _three("guided-question", path)
    path.enter("0.08")
    pages |= _three("guided-result", path)
    coarse = begun_test(desk)
    few = at_the_circuit(coarse, GuidedPage(coarse))
    few.enter("0.01", "", "", "400", "0.00", "0.03", "0.03", "0.02", "0.02")
    pages |= _three("guided-coarse", few)
    few.press("up")
    pages |= _three("guided-anew", few)
    coarse.close()
    guided.close()
    return pages | _by_size(desk)


def _three(name: str, hands: Hands) -> dict[str, str]:
    return {
        f"{name}-80x24": hands.text(),
        f"{name}-120x40": hands.text(120, 40),
        f"{name}-ascii": hands.text(ascii_only=True),
    }


def _by_size(desk: Desk) -> dict[str, str]:
    """Final tailings of every size: in the editor, and what was caught with them in it."""
    grades = {"+1.0 mm": "<0.01", "-1.0 +0.25 mm": "0.12 ± 0.04", "-0.25 mm": "0.80 ± 0.10"}
    rows: list[Row] = [
        ("circuit", {"product": "tailings", "size": size, "mass": "137 kg", "grade": f"{g} g/t"})
        for size, g in grades.items()
    ]
    run = drawn_test(desk, *rows, doubt="± 0.08 mg")
    pages = _three("circuit-by-size", at_the_circuit(run))
    pages |= _three("caught-by-size", at_the_circuit(run, CaughtPage(run)))
    run.close()
    return pages
