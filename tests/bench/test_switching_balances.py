"""One run, several balances: the charge of each cupel on the one that suits it, by one key."""

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.pages.balance import BalancePage
from assaybench.bench.sheet import text_of
from assaybench.bench.tray import Step
from assaybench.logbook.logfile import Row
from assaybench.metrology.uncertain import nominal
from tests.bench.hands import FINE, PULP, Hands, reopened, safety_rows, sample_rows

KITCHEN: Row = ("balance", {"name": "kitchen", "step": "0.001 kg"})


def at_the_pan(desk: Desk, *balances: Row, step: Step = "weigh-in") -> Hands:
    run = new_run(desk, "R-09", "circuit test")
    places = sample_rows(("C-1", "A1"), ("C-2", "A2"), ("C-3", "A3"))
    run.append_all([*balances, *places, *safety_rows()])
    return Hands(run, BalancePage(run, step, "C-1"))


def charges(hands: Hands) -> list[tuple[str, str, str, str]]:
    keys = ("sample", "text", "unit", "balance")
    made = [r.entry for r in hands.run.state.readings if r.what == "charge"]
    return [tuple(entry.text(key) for key in keys) for entry in made]  # type: ignore[misc]


def head(hands: Hands) -> str:
    return text_of(hands.sheet.block[0])


def test_each_charge_is_weighed_on_the_balance_that_one_key_chooses(desk: Desk) -> None:
    hands = at_the_pan(desk, FINE, PULP, KITCHEN)
    assert "s scale" in hands.text().splitlines()[-1]
    hands.enter("30.02")
    hands.press("s")
    assert hands.margin[0] == "On kitchen now, in steps of 0.001 kg. Key s: another."
    assert head(hands).endswith("Charge, kg on kitchen")
    hands.type("1.240")
    assert hands.promise == "Enter stores 1.240 kg for A2 and moves to A3."
    hands.press("enter")
    assert head(hands).endswith("on kitchen"), "it stays the one that was chosen"
    hands.press("s", "s")
    assert head(hands).endswith("Charge, g")
    hands.enter("29.98")
    assert charges(hands) == [
        ("C-1", "30.02", "g", "pulp"),
        ("C-2", "1.240", "kg", "kitchen"),
        ("C-3", "29.98", "g", "pulp"),
    ]
    grams = {s.id: nominal(s.parts.mass.g) for s in hands.run.results().samples
             if s.parts is not None and s.parts.mass is not None}  # fmt: skip
    assert grams == {"C-1": 30.02, "C-2": 1240.0, "C-3": 29.98}
    hands.run.close()


def test_the_log_remembers_the_balance_that_was_used_last(desk: Desk) -> None:
    hands = at_the_pan(desk, FINE, PULP, KITCHEN)
    hands.press("s")
    hands.enter("1.240")
    run = reopened(desk, hands.run)
    again = Hands(run, BalancePage(run, "weigh-in", "C-2"))
    assert head(again).endswith("on kitchen")
    run.append("balance", {**PULP[1], "step": "0.1 g"})
    assert head(again).endswith("Charge, g"), "a balance described anew weighs what it says"
    run.close()


def test_what_was_weighed_counts_as_weighed_on_the_balance_it_is_put_on_again(desk: Desk) -> None:
    hands = at_the_pan(desk, FINE, PULP, KITCHEN)
    hands.enter("30.02")
    hands.press("up", "s")
    assert hands.promise == "Type the reading of A1 as displayed, then Enter."
    hands.enter("0.031")
    assert hands.run.board().cell("weigh-in", "C-1").text == "0.031"
    assert hands.run.charge_g("C-1") == 31.0
    assert [row[3] for row in charges(hands)] == ["pulp", "kitchen"], "both stay in the log"
    hands.run.close()


def test_a_zero_belongs_to_the_balance_that_was_chosen(desk: Desk) -> None:
    hands = at_the_pan(desk, FINE, PULP, KITCHEN)
    hands.press("s", "z")
    hands.enter("0.000", "1.240")
    zero = next(r for r in hands.run.state.readings if r.what == "zero")
    assert zero.balance.name == "kitchen"
    hands.run.close()


def test_a_bead_can_go_on_another_balance_too(desk: Desk) -> None:
    micro: Row = ("balance", {"name": "micro", "step": "0.1 ug"})
    hands = at_the_pan(desk, FINE, PULP, micro, step="beads")
    hands.press("s", "s")
    assert head(hands).endswith("on micro")
    hands.enter("412.7")
    assert hands.last("reading").values["balance"] == "micro"
    assert hands.last("reading").values["unit"] == "µg"
    hands.run.close()


def test_with_one_balance_the_key_says_how_to_describe_another(desk: Desk) -> None:
    hands = at_the_pan(desk, PULP)
    assert "scale" not in hands.text().splitlines()[-1]
    assert hands.press("s").bell
    assert hands.margin[0] == "No other balance is described here. Key b: describe one."
    hands.run.close()
