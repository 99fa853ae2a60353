"""What tests of what people type share: the quantities there are, and what came of a text."""

from assaybench.messages import BadInput
from assaybench.units.table import (
    ANYTHING,
    Quantity,
)

EVERY: tuple[Quantity, ...] = (*ANYTHING, "mesh")


def refusal(fault: BadInput) -> str:
    assert len(fault.lines) == 1
    return fault.lines[0]
