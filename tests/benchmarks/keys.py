"""From a key to the figure on the page: computing time at the balance, with a long log.

python tests/benchmarks/keys.py [SAMPLES ...]        48 and 500 when left out

CPU time of this process, the smallest of some tries; drawing on a terminal is not in it, the write
and sync of an entry are. The aim is 5 ms with 48 samples in the log, and 20 ms with 500.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from datetime import datetime
from functools import partial
from pathlib import Path

from assaybench.bench.desk import Desk
from assaybench.bench.openings import new_run
from assaybench.bench.pages.balance import BalancePage
from assaybench.bench.plan import Place
from assaybench.bench.run_log import RunLog
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.logfile import Row
from assaybench.logbook.settings_fields import Settings, Tray
from tests.bench.hands import FINE, PULP, Hands, read_rows, safety_rows

AIMS_MS = {48: 5, 500: 20}
MORNING = datetime.fromisoformat("2026-06-09T14:31:00.000+02:00")
TRIES = 9
ROWS = 8


def full_run(folder: Path, samples: int) -> RunLog:
    """A run whose beads are weighed and whose gold is weighed but for the last sixteen."""
    columns = -(-samples // ROWS)
    settings = Settings(initials="KB", tray=Tray(ROWS, columns), cups=Tray(ROWS, columns))
    book = Logbook(folder / "logbook")
    desk = Desk(book, "MAIN", Files(), "benchmark", lambda: MORNING, settings)
    run = new_run(desk)
    names = [f"KV-{i:03}" for i in range(samples)]
    rows: list[Row] = [FINE, PULP, ("reagent_lot", {"lot": "K-31", "material": "litharge"})]
    for i, name in enumerate(names):
        role = "blank" if i % 12 == 5 else "sample"
        charge = {"silver": "2.000 mg", "lead": "30 g", "lots": ["K-31"]}
        rows.append(("sample", {"id": name, "role": role, **charge}))
        place = Place(*divmod(i, columns)).name
        rows.append(("position", {"sample": name, "place": place, "plan": "muffle"}))
    rows += read_rows("pulp", "charge", [(name, "30.00") for name in names], "g")
    zero: Row = ("reading", {"what": "zero", "text": "0.000", "unit": "mg", "balance": "fine"})
    for what, some, least in (("bead", names, 2000), ("gold", names[:-16], 300)):
        for i, name in enumerate(some):
            text = f"{(least + 7 * i % 500) / 1000:.3f}"
            rows += [zero, *read_rows("fine", what, [(name, text)], "mg")]
    run.append_all([*rows, *safety_rows()])
    return run


def milliseconds(do: Callable[[], object]) -> float:
    start = time.process_time()
    do()
    return 1000 * (time.process_time() - start)


def measure(samples: int) -> tuple[float, float]:
    """Milliseconds from a digit to its figure, and from Enter to the next place."""
    with tempfile.TemporaryDirectory() as folder:
        run = full_run(Path(folder), samples)
        hands = Hands(run, BalancePage(run, "parting", f"KV-{samples - 16:03}"))
        digits, enters = [], []

        def pressed(key: str) -> None:
            hands.press(key)
            _ = hands.stack.sheet

        for i in range(TRIES):
            digits += [milliseconds(partial(pressed, key)) for key in f"0.3{i}7"]
            enters.append(milliseconds(partial(pressed, "enter")))
        assert sum(r.what == "gold" for r in run.state.readings) == samples - 16 + TRIES
        run.close()
    return min(digits), min(enters)


def main() -> None:
    """Print both for every number of samples."""
    for samples in map(int, sys.argv[1:] or ("48", "500")):
        digit, enter = measure(samples)
        aim = f"   at most {AIMS_MS[samples]}" if samples in AIMS_MS else ""
        print(f"{f'digit to figure, ms, {samples} samples':40} {digit:6.2f}{aim}")
        print(f"{f'Enter to next, ms, {samples} samples':40} {enter:6.2f}{aim}")


if __name__ == "__main__":
    main()
