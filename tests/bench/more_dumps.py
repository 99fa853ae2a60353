"""Pages that the other dumps leave out: steps of the tray, the balances, looks, an amendment."""

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.pages.balance import BalancePage
from assaybench.logbook.settings_fields import FIELDS, Settings
from tests.bench.books import closed, opened_bench, press, shown
from tests.bench.conftest import Clock
from tests.bench.furnace_run import drawn_run
from tests.bench.hands import FINE, PULP, Hands, read_rows, safety_rows, sample_rows

REASON = "digits swapped, re-read"


def dumped_more(desk: Desk, clock: Clock) -> dict[str, str]:
    """Pages by the names of their dumps."""
    pages = _first_steps(desk)
    run = drawn_run(desk, clock)
    hands = Hands(run)
    for key, name in (("1", "tray-weigh-in"), ("2", "tray-charge"), ("3", "fire"), ("5", "cups")):
        hands.press(key)
        pages |= three(name, hands)
    hands.press("4")
    pages |= three("tray", hands)
    hands.press("b")
    pages |= three("balances", hands)
    hands.press("escape", "left", "l")
    pages |= three("looks", hands)
    run.close()
    return pages | _amended(desk) | _settings(desk, clock)


def _first_steps(desk: Desk) -> dict[str, str]:
    """A run as it is begun, without a balance, and a question of its weigh-in."""
    run = new_run(desk)
    hands = Hands(run)
    pages = three("tray-safety", hands)
    hands.press("enter")
    pages |= three("tray-begun", hands)
    hands.press("enter")
    hands.enter("KV-001")
    pages |= three("tray-asked", hands)
    hands.enter("")
    pages |= three("balance-none", hands)
    hands.press("enter", "enter")
    hands.enter("fine", "0.001 mg")
    pages |= three("balances-asked", hands)
    run.close()
    return pages


def _amended(desk: Desk) -> dict[str, str]:
    """A slip that is asked about, then an amendment."""
    run = new_run(desk)
    run.append_all([FINE, PULP, *sample_rows(("KV-1", "A1"), ("KV-2", "A2")), *safety_rows()])
    run.append_all(read_rows("pulp", "charge", [("KV-1", "20.00"), ("KV-2", "20.00")], "g"))
    run.append_all(read_rows("fine", "gold", [("KV-1", "1.372")], "mg"))
    hands = Hands(run, BalancePage(run, "parting", "KV-1"))
    hands.press("a", "enter")
    hands.enter("1.327")
    pages = three("amend-asked", hands)
    hands.enter(REASON)
    pages |= three("amend", hands)
    run.append_all(read_rows("fine", "bead", [("KV-2", "3.530")], "mg"))
    slip = Hands(run, BalancePage(run, "parting", "KV-2"))
    slip.type("3.72")
    slip.press("enter")
    pages |= three("balance-slip", slip)
    run.close()
    return pages


def _settings(desk: Desk, clock: Clock) -> dict[str, str]:
    """A table of the settings, and the page that hides the others at the larger size."""
    desk.settings = Settings(initials="KB", people={"IM": "I. Marsh", "KB": "K. Berg"})
    stack = opened_bench(desk)
    stack.tick(clock())
    press(stack, "o", *["down"] * [field.name for field in FIELDS].index("people"), "enter")
    pages = {
        "people-80x24": shown(stack),
        "people-120x40": shown(stack, 120, 40),
        "people-ascii": shown(stack, ascii_only=True),
    }
    press(stack, "escape", "escape")
    stack.tick(clock())
    clock.go_on(60)
    stack.tick(clock())
    pages["idle-120x40"] = shown(stack, 120, 40)
    closed(stack)
    return pages


def three(name: str, hands: Hands) -> dict[str, str]:
    """A page at both sizes, and with plain signs."""
    return {
        f"{name}-80x24": hands.text(),
        f"{name}-120x40": hands.text(120, 40),
        f"{name}-ascii": hands.text(ascii_only=True),
    }
