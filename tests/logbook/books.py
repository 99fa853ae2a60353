"""Whole logbooks made for tests: the register and the logs of each bench, in the real format."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path

from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.logfile import Keeper
from assaybench.logbook.opening import open_log
from assaybench.logbook.register import LogHead, Register, new_log
from tests.record.frames import NOON
from tests.reliability.faulty import PROGRAM

Row = tuple[str, Mapping[str, object]]
FINE: Row = ("balance", {"name": "fine", "step": "0.001 mg", "spread": "0.002 mg", "repeats": 10})
PULP: Row = ("balance", {"name": "pulp", "step": "0.01 g", "spread": "0.007 g", "repeats": 10})


class Days:
    """A clock that goes on by a second at every look, and by days when told."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


class Bench:
    """Makes logs in a logbook, each on a day of its own."""

    def __init__(self, root: Path, bench: str = "MAIN") -> None:
        self.book, self.bench = Logbook(root), bench
        self.clock = Days()
        self.keeper = Keeper("KB", self.clock, Files(), PROGRAM)
        self.book.make(Files())

    def log(self, *rows: Row, title: str = "", kind: str = "furnace run") -> LogName:
        """A new log with these entries, a day after the one before."""
        self.clock.now += timedelta(days=1)
        name, log = new_log(self.book, self.bench, self.keeper, LogHead(kind, 1, title))
        with log:
            log.append_all(rows)
        return name

    def add(self, name: LogName, *rows: Row) -> None:
        """More entries of a log."""
        path = self.book.log(name)
        with open_log(path, self.keeper, lock=self.book.lock(path)) as log:
            log.append_all(rows)

    def void(self, number: int, reason: str) -> None:
        """Make a number void."""
        with Register(self.book, self.bench, self.keeper) as register:
            register.void(number, reason)

    def sealed(self, number: int) -> None:
        """Say in the register that a log was sealed."""
        with Register(self.book, self.bench, self.keeper) as register:
            register.sealed(number, "0" * 128, 1)

    def taken(self, title: str = "") -> int:
        """A number without a log."""
        with Register(self.book, self.bench, self.keeper) as register:
            return register.allot("furnace run", title)


def sample(name: str, of: str = "", role: str = "") -> Row:
    """A sample, or a repeat of one."""
    values = {"id": name, "role": role or ("duplicate" if of else "sample"), "silver": "none"}
    return "sample", values | ({"of": of} if of else {})


def weighed(name: str, gold_mg: str, charge_g: str = "100.00") -> Sequence[Row]:
    """Charge and gold of a sample: 0.410 mg in 100 g are 4.1 g/t."""
    shown = (("charge", charge_g, "g", "pulp"), ("gold", gold_mg, "mg", "fine"))
    return [
        ("reading", {"what": w, "text": t, "unit": u, "balance": b, "sample": name})
        for w, t, u, b in shown
    ]
