"""The strict check of a sheet refuses what a slip of typing would turn into a wrong result."""

import pytest

from assaybench.messages import BadInput
from assaybench.record.handsheet import read
from tests.spoilt_sheets import GOOD


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ('lead = "30 g"', 'lead = "-30 g"', 'samples[1] (KV-016).lead: "-30 g" is below zero'),
        (
            'silver = "2.000 mg"',
            'silver = "-2 mg"',
            'samples[1] (KV-016).silver: "-2 mg" is below zero',
        ),
        ('spread = "0.002 mg"', 'spread = "0 mg"', 'balances[1].spread: "0 mg" is not above zero'),
        ("repeats = 10", "repeats = 1", 'balances[1].repeats: "1" is not a whole number from 2'),
        ('aim = "1 %"', 'aim = "2"', 'method.aim.value: "2" is not a share.'),
        ('aim = "1 %"', 'proof = "yes"', 'method.proof.value: "yes" is not a choice for proof.'),
    ],
)
def test_a_slip_is_one_line_with_its_place(old: str, new: str, line: str) -> None:
    assert old in GOOD
    with pytest.raises(BadInput) as caught:
        read(GOOD.replace(old, new, 1).encode())
    assert any(fault.startswith(line) for fault in caught.value.lines), caught.value.lines
