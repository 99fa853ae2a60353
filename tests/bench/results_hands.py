"""Hands at the page of results of the drawn run."""

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.pages.results import ResultsPage
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import text_of
from tests.bench.hands import Hands
from tests.bench.results_run import finished_run


@pytest.fixture
def run(desk: Desk) -> RunLog:
    return finished_run(desk)


@pytest.fixture
def hands(run: RunLog) -> Hands:
    return Hands(run, ResultsPage(run))


def block(hands: Hands) -> list[str]:
    return [text_of(row) for row in hands.sheet.block]
