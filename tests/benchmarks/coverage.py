"""How often 95 % intervals hold the truth: 2,000 simulated runs of each kind, from one seed.

    python tests/benchmarks/coverage.py

Readings are drawn around a truth with the spread of the balance and rounded to its step; the spread
that the program is told is that of ten weighings drawn too. Printed are the share of intervals that
hold the truth and the mean error in u; a wanted share is 95 ± 2 %. Tests hold the same shares in
tests/metrology, tests/assay and tests/circuit; this prints them.
"""

from collections.abc import Callable
from fractions import Fraction

import numpy as np

from assaybench.assay.blanks import BlankCharge, Use, blank_of_lot
from assaybench.assay.dore import SilverAdded
from assaybench.assay.grade import grade
from assaybench.assay.losses import silver_loss
from assaybench.assay.metal import gold
from assaybench.assay.net import mass_of
from assaybench.assay.proofs import Conditions, Proof
from assaybench.assay.silver import silver
from assaybench.circuit.products import ALL, CircuitTest, SizeRow, cell
from assaybench.circuit.recovery import recover
from assaybench.metrology.figure import Figure
from assaybench.metrology.uncertain import Sources
from assaybench.metrology.weighing import Balance, Reading, Weighing, weigh

RUNS = 2000
STEP, SPREAD, TOLD_BY = 0.001, 0.002, 10
Dice = np.random.Generator
Outcome = tuple[Figure, float]


def told_balance(dice: Dice, name: str = "fine") -> Balance:
    """A balance whose spread is known from ten weighings."""
    spread = float(np.std(np.round(dice.normal(0, SPREAD, TOLD_BY) / STEP) * STEP, ddof=1))
    return Balance(name, STEP, spread or STEP, TOLD_BY - 1)


def weighed(dice: Dice, sources: Sources, balance: Balance, name: str, mg: float) -> Weighing:
    """One load and one zero, each with its part of the spread, rounded to the step."""
    load, zero = (
        Fraction(round((true + dice.normal(0, SPREAD / 2**0.5)) / STEP)) * Fraction(str(STEP))
        for true in (mg, 0.0)
    )
    return weigh(
        sources, balance, [Reading(f"{name} load", load, "")], [Reading(f"{name} zero", zero, "")]
    )


def weighing(dice: Dice) -> Outcome:
    """A bead of 0.3 mg."""
    sources = Sources()
    found = weighed(dice, sources, told_balance(dice), "bead", 0.3)
    return sources.figure(found.net, "mg"), 0.3


def gold_grade(dice: Dice) -> Outcome:
    """0.3 mg of gold in 30 g, three blanks of 0.004 mg that scatter by 0.002 mg."""
    sources, balance = Sources(), told_balance(dice)
    blanks = []
    for i in range(3):
        found = weighed(dice, sources, balance, f"blank {i}", dice.normal(0.004, 0.002))
        u0 = found.u0_mg, balance.dof, balance.spread_name
        blanks.append(BlankCharge(f"blank {i}", "run", 30.0, found.net_mg, *u0))
    blank = blank_of_lot(sources, "lot", "gold", blanks)
    bead = weighed(dice, sources, balance, "gold", 0.3 + dice.normal(0.004, 0.002))
    made = gold(sources, "sample", mass_of([bead]), uses=[Use(blank, 30.0, "sample")])
    charge = sources.variable("charge", 30.0 + dice.normal(0, 0.005), 0.005)
    return sources.figure(grade(made.mg, charge), "g/t"), 10.0


def silver_by_difference(dice: Dice) -> Outcome:
    """0.5 mg of silver beside 0.3 mg of gold and 3 mg added; four proofs show the loss, 1.8 %."""
    sources, balance = Sources(), told_balance(dice)
    proofs = []
    for i in range(4):
        name, lost = f"proof {i}", dice.normal(0.018, 0.003)
        found = weighed(dice, sources, balance, name, 3.0 * (1 - lost))
        taken = sources.variable(f"taken {i}", 3.0 + dice.normal(0, 0.001), 0.001)
        proofs.append(Proof(name, taken, found.net, Conditions("run", 30.0)))
    lost = dice.normal(0.018, 0.003)
    bead = weighed(dice, sources, balance, "bead", 0.3 + (3.0 + 0.5) * (1 - lost))
    parted = weighed(dice, sources, balance, "gold", 0.3)
    added = SilverAdded("mass", sources.variable("added", 3.0 + dice.normal(0, 0.002), 0.002))
    loss = silver_loss(sources, proofs)
    made = silver(sources, "sample", mass_of([bead]), mass_of([parted]), added=added, loss=loss)
    return sources.figure(made.mg, "mg"), 0.5


def recovery(dice: Dice) -> Outcome:
    """Concentrate 2 mg, re-run 0 to 0.016 mg with u 0.002 mg each: near 100 %."""
    sources = Sources()
    rerun = dice.uniform(0, 0.016)
    a = sources.variable("con", 2.0 + dice.normal(0, 0.002), 0.002)
    b = sources.variable("rerun", rerun + dice.normal(0, 0.002), 0.002)
    result = recover(sources, CircuitTest((SizeRow(cell(ALL, a), cell(ALL, b)),)))
    found = result.total.recoveries[0].figure
    return found, 100 * 2.0 / (2.0 + rerun)


def coverage(one: Callable[[Dice], Outcome], seed: int = 7) -> tuple[float, float]:
    """Share of intervals that hold the truth, and the mean error in u."""
    dice = np.random.default_rng(seed)
    held, errors = 0, []
    for _ in range(RUNS):
        figure, truth = one(dice)
        low = -np.inf if figure.low is None else figure.low
        high = np.inf if figure.high is None else figure.high
        held += low <= truth <= high
        if figure.value is not None and figure.u:
            errors.append((figure.value - truth) / figure.u)
    return held / RUNS, float(np.mean(errors)) if errors else float("nan")


def main() -> None:
    """Print the table."""
    print(f"{'2,000 runs of':28} {'held, %':>8} {'mean error, u':>14}")
    for one in (weighing, gold_grade, silver_by_difference, recovery):
        share, bias = coverage(one)
        print(f"{one.__name__.replace('_', ' '):28} {100 * share:8.1f} {bias:14.2f}")


if __name__ == "__main__":
    main()
