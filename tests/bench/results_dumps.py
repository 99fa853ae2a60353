"""The pages of results, sums, comparisons and the seal as they are dumped."""

from assaybench.bench.desk import Desk
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.pages.sealing import SealingPage
from tests.bench.conftest import Clock
from tests.bench.hands import Hands, at_once
from tests.bench.results_run import at, finished_run


def dumped_results(desk: Desk, clock: Clock) -> dict[str, str]:
    """Pages by the names of their dumps."""
    clock.now = clock.now.replace(hour=16, minute=10)
    run = finished_run(desk)
    hands = Hands(run, ResultsPage(run, start=at_once))
    at(hands, "KV-019")
    pages = both(hands, "results")
    pages["results-ascii"] = hands.text(ascii_only=True)
    hands.press("enter")
    pages |= both(hands, "sums")
    pages["sums-ascii"] = hands.text(ascii_only=True)
    hands.press("escape")
    at(hands, "KV-016")
    hands.press("c", "down", "enter")
    pages |= both(hands, "compared")
    pages["compared-ascii"] = hands.text(ascii_only=True)
    hands.press("escape")
    at(hands, "KV-019")
    hands.press("c")
    hands.type("40")
    pages["cut-off-typed"] = hands.text()
    hands.press("enter")
    pages |= both(hands, "cut-off")
    seal = Hands(run, SealingPage(run, at_once))
    pages |= both(seal, "seal")
    pages["seal-ascii"] = seal.text(ascii_only=True)
    run.close()
    return pages


def both(hands: Hands, name: str) -> dict[str, str]:
    """A page at both sizes."""
    return {name: hands.text(), f"{name}-120x40": hands.text(120, 40)}
