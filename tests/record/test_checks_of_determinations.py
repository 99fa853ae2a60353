"""Only determinations that count are held against each other."""

from assaybench.record import handsheet
from assaybench.record.checks import checks
from assaybench.record.replay import replay
from assaybench.record.results import results
from tests.record.sheets import SHEET, balance

HEAD = (
    SHEET
    + balance("fine", "0.001 mg", "gold", spread="0.002 mg, 20")
    + balance("pulp", "0.01 g", "charge")
)


def said(*lost: str, golds: tuple[str, ...] = ("1.204", "1.206", "1.600")) -> list[str]:
    text = HEAD
    for i, gold in enumerate(golds):
        of = "" if i == 0 else 'of = "T-1"\nrole = "duplicate"\n'
        name = f"T-{i + 1}"
        out = 'left_out = "spilt"\n' if name in lost else ""
        text += f'[[samples]]\nid = "{name}"\n{of}silver = "none"\n{out}'
        text += f'charge = "30.00 g"\ngold = "{gold} mg"\n'
    return [c.text for c in checks(results(replay(handsheet.read(text.encode()).entries)))]


def test_what_is_left_out_neither_agrees_nor_disagrees() -> None:
    assert said()[0].startswith("They disagree")
    assert said("T-3") == ["T-1, T-2 agree. That does not prove both right."]
    assert said("T-2", "T-3") == []
