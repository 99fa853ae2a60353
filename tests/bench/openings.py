"""A furnace run begun for a test: both balances described, every safety line read."""

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.run_log import RunLog
from assaybench.logbook.logfile import Row
from tests.bench.hands import FINE, PULP, safety_rows


def begun(desk: Desk, *rows: Row) -> RunLog:
    """The run with these entries."""
    run = new_run(desk)
    run.append_all([FINE, PULP, *safety_rows(), *rows])
    return run
