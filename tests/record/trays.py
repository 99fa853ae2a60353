"""Trays of a furnace run made for tests: readings as a careful person would write them down."""

import random
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta

from assaybench.record.entries import Entry

NOON = datetime(2026, 6, 9, 12, 0, tzinfo=UTC)
Row = tuple[str, Mapping[str, object]]
FINE: Row = ("balance", {"name": "fine", "step": "0.001 mg", "spread": "0.002 mg", "repeats": 10})
PULP: Row = ("balance", {"name": "pulp", "step": "0.01 g", "spread": "0.007 g", "repeats": 10})


def entries_of(rows: Sequence[Row]) -> list[Entry]:
    """The entries of a log with these rows, a second apart."""
    return [
        Entry(n, NOON + timedelta(seconds=n), "KB", kind, values)
        for n, (kind, values) in enumerate(rows, start=1)
    ]


def reading(what: str, text: str, sample: str = "", **more: str) -> Row:
    """A reading on the balance that weighs such things."""
    unit, balance = ("g", "pulp") if what == "charge" else ("mg", "fine")
    values: dict[str, object] = {"what": what, "text": text, "unit": unit, "balance": balance}
    return "reading", values | ({"sample": sample} if sample else {}) | more


def sample(name: str, role: str = "sample", **more: object) -> Row:
    """A sample without silver added."""
    return "sample", {"id": name, "role": role, "silver": "none", **more}


def place(name: str, where: str) -> Row:
    """A place in the muffle."""
    return "position", {"sample": name, "place": where}


class Honest:
    """An honest tray of 24 cupels: nothing is mistyped, and every reading has its scatter.

    16 samples with grades over three decades, 4 of them in duplicate, a blank, two proofs of like
    gold and a reference. Duplicates scatter by `scatter`, a share, beside the balance. The gold is
    read twice in one place of three.
    """

    def __init__(self, dice: random.Random, scatter: float = 0.05) -> None:
        self.dice, self.scatter = dice, scatter
        self.grades = {f"KV-{i:03}": 10 ** dice.uniform(-0.5, 2.0) for i in range(16)}

    def rows(self) -> list[Row]:
        """All rows: names, charges, beads, gold."""
        names: list[Row] = [FINE, PULP]
        charges: list[Row] = []
        beads: list[Row] = []
        golds: list[Row] = []
        for name, role, of in self._cupels():
            values = {"of": of} if of else {}
            if role == "proof":
                values["gold_known"] = "2.000 mg"
            if role == "reference":
                values["value"] = "4.00 ± 0.20 g/t"
            silver = f"{self.dice.gauss(8, 0.05):.3f}"
            names.append(("sample", {"id": name, "role": role, "silver": f"{silver} mg", **values}))
            gold = self._gold(name, role, of, charges)
            bead = gold + float(silver) * self.dice.gauss(0.985, 0.005)
            beads.append(self._read("bead", bead, name))
            golds += [self._read("gold", gold, name) for _ in range(self.dice.choice((1, 1, 2)))]
        return [*names, *charges, *beads, *golds]

    def _cupels(self) -> Iterator[tuple[str, str, str]]:
        yield "B-1", "blank", ""
        yield "R-1", "reference", ""
        for k, name in enumerate(self.grades):
            yield name, "sample", ""
            if k % 4 == 3:
                yield f"{name}D", "duplicate", name
        yield "P-1", "proof", ""
        yield "P-2", "proof", ""

    def _gold(self, name: str, role: str, of: str, charges: list[Row]) -> float:
        if role == "blank":
            return abs(self.dice.gauss(0.004, 0.002))
        if role == "proof":
            return self.dice.gauss(1.995, 0.004)
        charge = self.dice.choice((30, 30, 30, 15)) + self.dice.gauss(0, 0.03)
        charges.append(reading("charge", f"{charge:.2f}", name))
        grade = 4.0 if role == "reference" else self.grades[of or name]
        return max(charge * grade / 1000 * self.dice.gauss(1, self.scatter), 0.0)

    def _read(self, what: str, mg: float, name: str) -> Row:
        return reading(what, f"{max(mg + self.dice.gauss(0, 0.002), 0):.3f}", name)
