"""A proof against its like of the run: within 3s of the history of such proofs, or not."""

import pytest

from assaybench.record import handsheet
from assaybench.record.checks import checks
from assaybench.record.replay import replay
from assaybench.record.results import results
from tests.record.sheets import SHEET, balance

HEAD = SHEET + balance("fine", "0.001 mg", "gold", spread="0.002 mg, 20")


def states(*golds: str, history: str = 'loss_spread = "0.20 %"\nloss_count = 20\n') -> list[str]:
    """The state of each proof of 1.000 mg that came out with so much gold."""
    proofs = [
        f'[[samples]]\nid = "P-{i}"\nrole = "proof"\nlead = "30 g"\nsilver_known = "3.000 mg"\n'
        f'gold_known = "1.000 mg"\n{history}gold = "{gold} mg"\n'
        for i, gold in enumerate(golds)
    ]
    found = results(replay(handsheet.read((HEAD + "".join(proofs)).encode()).entries))
    return [check.state for check in checks(found)]


@pytest.mark.parametrize(("gold", "state"), [("0.9885", "pass"), ("0.983", "warn")])
def test_three_spreads_from_the_mean_of_the_others(gold: str, state: str) -> None:
    """s 2 per 1000, three others at 990: 3·2·√(1 + 1/3) = 6.9 per 1000 either way is usual."""
    assert states("0.990", "0.991", "0.989", gold)[-1] == state
    mirrored = f"{2 * 0.990 - float(gold):.4f}"
    assert states("0.990", "0.991", "0.989", mirrored)[-1] == state


def test_without_a_history_or_its_like_a_proof_is_not_judged() -> None:
    assert states("0.990", "0.960", history="") == ["pass", "pass"]
    assert states("0.960") == ["pass"]


def test_a_proof_that_lost_half_of_its_metal_is_looked_at_again() -> None:
    assert states("0.499", history="") == ["warn"]
    assert states("0.501", history="") == ["pass"]


@pytest.mark.parametrize(
    ("bead", "gold", "state"),
    [
        ("3.940", "0.990", "pass"),
        ("5.900", "0.990", "warn"),  # 2 mg of inquart silver were added and not noted
        ("4.280", "0.990", "pass"),  # lead brings silver
        ("4.310", "0.990", "warn"),
        ("4.200", "1.120", "warn"),
    ],
)
def test_a_proof_that_gave_back_more_than_it_got_is_looked_at_again(
    bead: str, gold: str, state: str
) -> None:
    """3.000 mg of silver and 1.000 mg of gold were taken; a tenth more is 3.300 and 1.100 mg."""
    text = (
        SHEET
        + balance("fine", "0.001 mg", "bead", "gold", spread="0.002 mg, 20")
        + '[[samples]]\nid = "P-1"\nrole = "proof"\nlead = "30 g"\nsilver_known = "3.000 mg"\n'
        + f'gold_known = "1.000 mg"\nbead = "{bead} mg"\ngold = "{gold} mg"\n'
    )
    (check,) = checks(results(replay(handsheet.read(text.encode()).entries)))
    assert check.state == state
    assert ("Is all of it noted" in check.text) == (state == "warn")
