"""Hands at the pages of money, with the values they show."""

import re

from assaybench.bench.desk import Desk
from assaybench.bench.pages.form_page import FormPage
from assaybench.bench.pages.runs import RunsForm
from assaybench.bench.sheet import text_of
from tests.bench.circuit_test_run import at_the_circuit, begun_test
from tests.bench.hands import Hands


def value_of(hands: Hands, label: str, nth: int = 0) -> str:
    """What the leader of a label leads to."""
    rows = [text_of(line) for line in hands.sheet.block]
    row = [one for one in rows if one.strip().startswith(label)][nth]
    return re.sub(r"^(?: \.)*\s*", "", row.strip().removeprefix(label)).lstrip(". ")


def runs_page(desk: Desk) -> Hands:
    run = begun_test(desk)
    hands = at_the_circuit(run, FormPage(desk, "AssayBench", RunsForm()))
    run.close()
    return hands
