"""Hands at the tray of the drawn run, and at an empty one."""

import pytest

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from tests.bench.conftest import Clock
from tests.bench.furnace_run import drawn_run
from tests.bench.hands import FINE, PULP, Hands, safety_rows


@pytest.fixture
def hands(desk: Desk, clock: Clock) -> Hands:
    return Hands(drawn_run(desk, clock))


@pytest.fixture
def empty(desk: Desk) -> Hands:
    run = new_run(desk)
    run.append_all([FINE, PULP, *safety_rows()])
    return Hands(run)
