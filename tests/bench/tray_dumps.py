"""The tray and the balance as they are dumped, at the moment of the drawn pages and after it."""

from assaybench.bench.desk import Desk
from assaybench.bench.pages.balance import BalancePage
from tests.bench.conftest import Clock
from tests.bench.furnace_run import drawn_run
from tests.bench.hands import Hands


def dumped_trays(desk: Desk, clock: Clock) -> dict[str, str]:
    """Pages by the names of their dumps."""
    run = drawn_run(desk, clock)
    hands = Hands(run)
    hands.press("4")
    pages = {"tray-120x40": hands.text(120, 40)}
    clock.go_on(2)
    balance = Hands(run, BalancePage(run, "beads", "KV-025"))
    balance.type("0.184")
    pages["balance"] = balance.text()
    pages["balance-ascii"] = balance.text(ascii_only=True)
    pages["balance-120x40"] = balance.text(120, 40)
    hands.press("3", "g")
    hands.enter("A1")
    hands.press("left", "up", "enter", "down")
    clock.go_on(14)
    hands.press("d", "down", "right", "d", "right", "right", "f")
    clock.go_on(12)
    hands.press("up", "o", "right", "b")
    pages["tray-fire"] = hands.text()
    hands.press("5")
    pages["tray-cups"] = hands.text()
    run.close()
    return pages
