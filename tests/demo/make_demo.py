"""Writes the hand sheets of demo/ from the stated truths and one seed, the same bytes each time.

    python tests/demo/make_demo.py [FOLDER]

Everything in them is invented. The truths stand in truths.toml beside this file; drawn here is what
a bench cannot know: noise of each reading, cupel loss of each bead, blank metal of each charge, the
grains that fell into a portion. Readings are then rounded to the step of their balance.
"""

import math
import random
import sys
import tomllib
from collections.abc import Callable, Mapping
from decimal import Decimal
from pathlib import Path
from string import Template
from typing import Any

HERE = Path(__file__).parent
DEMO = HERE.parent.parent / "demo"
Table = Mapping[str, Any]


def truths() -> dict[str, Any]:
    """The stated truths."""
    return tomllib.loads((HERE / "truths.toml").read_text("utf-8"))


class Pan:
    """One balance: what it shows for a mass, with its noise, scale, zero and step."""

    def __init__(self, dice: random.Random, truth: Table) -> None:
        self.dice = dice
        self.step = float(truth["step_mg"])
        self.spread = float(truth["spread_mg"])
        self.scale = (float(truth["scale_before"]), float(truth["scale_after"]))
        self.creep = float(truth.get("zero_after_mg", 0.0))

    def zero(self, when: float = 0.0, jump: float = 0.0) -> str:
        """A zero reading; `when` runs from 0 at the first check to 1 at the second."""
        return self.show(0.0, when, jump)

    def show(self, mg: float, when: float = 0.0, offset: float = 0.0) -> str:
        """A displayed value with its unit."""
        first, last = self.scale
        noise = self.dice.gauss(0.0, self.spread / math.sqrt(2))
        scaled = mg * (first + (last - first) * when)
        return self.written(scaled + self.creep * when + offset + noise)

    def tared(self, mg: float, loads: int = 1) -> list[str]:
        """Loads on one tared zero, whose own noise they share."""
        offset = -self.dice.gauss(0.0, self.spread / math.sqrt(2))
        return [self.show(mg, 0.0, offset) for _ in range(loads)]

    def written(self, mg: float) -> str:
        """A mass rounded to the step: milligrams, or grams from a step of 10 mg on."""
        grams = self.step >= 10
        places = round(-math.log10(self.step)) + (3 if grams else 0)
        steps = Decimal(round(mg / self.step))
        return f"{steps.scaleb(-places):f} {'g' if grams else 'mg'}"

    def with_doubt(self, mg: float, loads: int = 1) -> str:
        """A mean of weighings as a person notes it, with ± 2u, at least two steps."""
        noise = self.dice.gauss(0.0, self.spread / math.sqrt(loads))
        shown, unit = self.written(mg + noise).split()
        doubt = self.written(max(2.5 * self.spread / math.sqrt(loads), 2 * self.step)).split()[0]
        return f"{shown} ± {doubt} {unit}"


class Run:
    """One sheet: its truths, its dice, its balances."""

    def __init__(self, name: str, told: Table) -> None:
        self.truth: Table = told[name]
        self.dice = random.Random(f"{told['seed']} {name}")
        pans: Table = self.truth["balances"]
        self.pans = {pan: Pan(self.dice, truth) for pan, truth in pans.items()}
        self.bead_pan = self.pans["fine" if "fine" in pans else "bead"]
        self.counted: dict[str, int] = {}
        self.charged: dict[str, str] = {}

    def around(self, mean: float, scatter: float) -> float:
        """A share or mass that scatters, never below zero."""
        return max(0.0, self.dice.gauss(mean, scatter))

    def metal(self, row: Table) -> tuple[float, float]:
        """Native gold and silver in the charge, mg, grains in a portion drawn."""
        if "product_gold_mg" not in row:
            silver = float(row.get("silver_mg", 0.0))
            if "grain_scatter" in row:
                around = self.around(1.0, row["grain_scatter"])
                return around * float(row["mean_gold_mg"]), silver
            return float(row["gold_mg"]), silver
        part = row["charge_g"] / row["product_g"]
        if "grain_mg" in row:
            grains = round(row["product_gold_mg"] / row["grain_mg"])
            inside = sum(self.dice.random() < part for _ in range(grains))
            part = inside / grains
            self.counted[row["id"]] = inside
        return row["product_gold_mg"] * part, row["product_silver_mg"] * part

    def bead(self, row: Table) -> tuple[float, float]:
        """True mass of the cupelled bead and of the parted gold, mg."""
        told = self.truth
        gold, silver = self.metal(row)
        if row.get("bullion"):
            bar = told["bar"]
            kept = self.dice.gauss(bar["surcharge_share"], bar["surcharge_scatter"])
            return 0.0, gold * (1 + kept)
        silver += row.get("silver_added_mg", 0.0)
        gold *= 1 - self.around(told["gold_lost_share"], told["gold_lost_scatter"])
        silver *= 1 - self.around(told["silver_lost_share"], told["silver_lost_scatter"])
        lot = told["lots"][row["sheet"]["lots"][0]]
        gold += self.around(lot["gold_blank_mg"], lot["gold_blank_scatter_mg"])
        silver += self.around(lot["silver_blank_mg"], lot["silver_blank_scatter_mg"])
        return gold + silver, gold * (1 + told["silver_retained_share"])

    def silver_said(self, row: Table) -> str:
        """What the sheet says of the silver added."""
        if row["silver_said"] != "weighed":
            return str(row["silver_said"])
        pan = self.pans["bullion"] if row.get("bullion") else self.bead_pan
        return pan.with_doubt(row["silver_added_mg"])

    def with_zeros(self, row: Table, what: str, mg: float, when: float) -> str:
        """Zero, loads, zero on the fine balance, one line of the sheet."""
        pan = self.bead_pan
        told = self.truth["balances"]["fine"]
        jumps = row["id"] == told["zero_jump_at"] and what == "bead"
        jump = told["zero_jump_mg"] if jumps else 0.0
        zero = pan.zero(when)
        loads = [pan.show(mg, when, jump * self.dice.random()) for _ in range(row.get("loads", 1))]
        parts = [("zero", zero), *((what, load) for load in loads), ("zero", pan.zero(when, jump))]
        return ", ".join(f'{{ what = "{name}", text = "{text}" }}' for name, text in parts)


def quoted(value: object) -> str:
    """A text or a list of texts as TOML."""
    if isinstance(value, list):
        return f"[{', '.join(quoted(part) for part in value)}]"
    if isinstance(value, int):
        return str(value)
    return f'"{value}"'


KEYS = (
    "id", "role", "of", "part", "from", "place", "tag", "lost", "value", "gold_known",
    "silver_known", "loss_spread", "silver_loss_spread", "loss_count",
    "silver", "lead", "lots", "moisture", "look", "parted", "total", "plus", "minus", "product",
    "charge", "bead", "gold",
)  # fmt: skip


def block(keys: Table, readings: list[str]) -> str:
    """One [[samples]] table."""
    shown = [key for key in KEYS if key in keys and (key, keys[key]) != ("role", "sample")]
    lines = ["[[samples]]", *(f"{key} = {quoted(keys[key])}" for key in shown)]
    if readings:
        lines += ["readings = [", *(f"    {line}," for line in readings), "]"]
    return "\n".join(lines)


def sample_keys(run: Run, row: Table) -> dict[str, Any]:
    """Keys of a sample that are not weighings of its bead."""
    keys: dict[str, Any] = {"id": row["id"], **row["sheet"]}
    if "silver_said" in row:
        keys["silver"] = run.silver_said(row)
    if row.get("proof") == "known":
        keys["gold_known"] = run.bead_pan.with_doubt(row["gold_mg"], loads=4)
        keys["silver_known"] = run.bead_pan.with_doubt(row["silver_mg"])
    for what, grams in row.get("weighed_g", {}).items():
        pan = run.pans["bar" if what == "product" else "pulp"]
        keys[what] = pan.tared(1000 * grams)[0]
    if "charge_g" in row:
        keys["charge"] = run.pans["pulp"].tared(1000 * row["charge_g"])[0]
        run.charged[row["id"]] = keys["charge"]
    return keys


def bullion_readings(run: Run, row: Table) -> list[str]:
    """Weighings of a piece or a proof of a bar, all on the bullion balance."""
    pan = run.pans["bullion"]
    taken: dict[str, float] = (
        {"charge": row["piece_mg"]}
        if "piece_mg" in row
        else {"proof_gold": row["gold_mg"], "proof_silver": row["silver_mg"]}
    )
    cornet = {"gold": run.bead(row)[1]}
    return [
        f'{{ what = "{what}", text = "{pan.tared(mg)[0]}", balance = "bullion" }}'
        for what, mg in (taken | cornet).items()
    ]


def plain_sample(run: Run, row: Table) -> str:
    """A sample whose beads were weighed tared, no zero written down."""
    keys = sample_keys(run, row)
    if row.get("bullion"):
        return block(keys, bullion_readings(run, row))
    if "weighed_g" not in row:
        bead, gold = run.bead(row)
        for what, mg in (("bead", bead), ("gold", gold)):
            shown = run.bead_pan.tared(mg, row.get("loads", 1))
            keys[what] = shown if len(shown) > 1 else shown[0]
    return block(keys, [])


def furnace_run(run: Run, fill: Callable[[Table], str]) -> str:
    """The sheet of a whole tray: beads first, then all golds, a zero before and after each."""
    rows: list[Table] = run.truth["samples"]
    fine = run.pans["fine"]
    weight = run.truth["check_weight_mg"]
    checks = {
        f"{word}_{name}": texts
        for word, when in (("before", 0.0), ("after", 1.0))
        for name, texts in (
            ("texts", [fine.show(weight, when, -fine.creep * when).split()[0] for _ in range(3)]),
            ("zeros", [fine.show(0.0, when, -fine.creep * when).split()[0] for _ in range(2)]),
        )
    }
    blocks = []
    for i, row in enumerate(rows):
        keys = sample_keys(run, row)
        readings = []
        if "lost" not in row["sheet"]:
            bead, gold = run.bead(row)
            moments = (i / (2 * len(rows)), (i + len(rows)) / (2 * len(rows)))
            readings = [
                run.with_zeros(row, "bead", bead, moments[0]),
                run.with_zeros(row, "gold", gold, moments[1]),
            ]
        blocks.append(block(keys, readings))
    return fill({name: quoted(texts) for name, texts in checks.items()} | joined(blocks))


def gravity_test(run: Run, fill: Callable[[Table], str]) -> str:
    """The sheet of a staged test: six cells, their blank and proofs, and the circuit."""
    rows: list[Table] = run.truth["samples"]
    blocks = [plain_sample(run, row) for row in rows]
    circuit, grains = [], []
    for row in (row for row in rows if "product" in row):
        name = row["id"]
        place = f'product = "{row["product"]}"\nsize = "{row["size"]}"\n'
        charged = run.charged[name]
        whole = row["product_g"] == row["charge_g"]
        mass = charged if whole else run.pans["product"].with_doubt(1000 * row["product_g"])
        portion = "" if whole else f'portion = "{charged}"\n'
        circuit.append(f'[[circuit]]\n{place}mass = "{mass}"\n{portion}sample = "{name}"\n')
        if "largest" in row:
            count = row.get("grains_seen", run.counted.get(name))
            grains.append(
                f"[[grains]]\ncount = {count}\n"
                f'sample = "{name}"\n{place}largest = "{row["largest"]}"\n'
            )
    parts = {"circuit": "\n".join(circuit).rstrip(), "grains": "\n".join(grains).rstrip()}
    return fill(joined(blocks) | parts)


def metallics_and_bar(run: Run, fill: Callable[[Table], str]) -> str:
    """The sheet of one screened pulp and one bar."""
    return fill(joined([plain_sample(run, row) for row in run.truth["samples"]]))


def joined(blocks: list[str]) -> dict[str, str]:
    """The samples of a sheet as the one part of its frame."""
    return {"samples": "\n\n".join(blocks)}


SHEETS: dict[str, Callable[[Run, Callable[[Table], str]], str]] = {
    "furnace-run": furnace_run,
    "gravity-test": gravity_test,
    "metallics-and-bar": metallics_and_bar,
}


def sheet(name: str, told: Table) -> str:
    """The text of one hand sheet."""
    frame = Template((HERE / f"{name}.frame").read_text("utf-8"))
    return SHEETS[name](Run(name, told), frame.substitute)


def main(folder: Path) -> None:
    """Write every sheet into a folder."""
    told = truths()
    for name in SHEETS:
        (folder / f"{name}.toml").write_bytes(sheet(name, told).encode())
        print(folder / f"{name}.toml")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else DEMO)
