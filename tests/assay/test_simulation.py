"""Simulated runs with known truth: signed results are unbiased, 95 % intervals cover 95 in 100.

Every run draws its shared errors (scale, mean blank, loss of the run, moisture) and its own ones
(weighings, scatter of blank, cupel and sample), then goes through the functions as a user would.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest

from assaybench.assay.blanks import Blank, BlankCharge, Use, blank_of_lot
from assaybench.assay.bullion import Piece, fineness
from assaybench.assay.dore import SilverAdded
from assaybench.assay.grade import Determination, pooled_grade
from assaybench.assay.losses import silver_loss
from assaybench.assay.metal import gold
from assaybench.assay.moisture import Moisture, sample_mass
from assaybench.assay.net import Mass, net_of_blank
from assaybench.assay.proofs import Conditions, Proof, correction
from assaybench.assay.silver import silver
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

RUNS = 2000
U0 = 0.002
SCALE = 0.001
HERE = Conditions("R-1", lead_g=30.0, silver_mg=8.0)


@dataclass
class Bench:
    """One simulated run: a balance with its scale error, and what it makes of a true mass."""

    rng: np.random.Generator
    sources: Sources
    scale: float

    def weigh(self, name: str, true_mg: float) -> Mass:
        read = true_mg * self.scale + self.rng.normal(0, U0)
        net = self.sources.variable(name, float(read), U0, row="readings of the load")
        factor = self.sources.variable("calibration of B", 1.0, SCALE, row="calibration")
        return Mass(net * factor, (U0,))

    def blanks(self, true_mean_mg: float, scatter_mg: float, n: int) -> list[BlankCharge]:
        return [
            BlankCharge(f"b{i}", "R-1", 30.0, float(m), U0)
            for i, m in enumerate(true_mean_mg + self.rng.normal(0, math.hypot(scatter_mg, U0), n))
        ]


def outcomes(
    seed: int, one_run: Callable[[Bench], Uncertain], truth: float
) -> tuple[float, float, float]:
    """Bias, standard deviation and coverage of the 95 % interval over the simulated runs."""
    rng = np.random.default_rng(seed)
    errors, inside = [], 0
    for _ in range(RUNS):
        bench = Bench(rng, Sources(), 1 + rng.normal(0, SCALE))
        result = one_run(bench)
        doubt = bench.sources.doubt(result)
        error = nominal(result) - truth
        errors.append(error)
        inside += abs(error) <= doubt.k * doubt.u
    return float(np.mean(errors)), float(np.std(errors)), inside / RUNS


def unbiased(bias: float, sd: float) -> bool:
    """Within four standard errors of the mean of all runs."""
    return abs(bias) <= 4 * sd / math.sqrt(RUNS)


def gold_of(
    bench: Bench,
    name: str,
    true_mg: float,
    lot: Blank,
    proofs: list[Proof],
    *,
    replicated: bool = False,
) -> Uncertain:
    loss = 0.010 + bench.rng.normal(0, 0.004)
    brought = 0.006 + bench.rng.normal(0, 0.003)
    parted = bench.weigh(name, true_mg - loss + brought)
    found = correction(bench.sources, proofs, "additive")
    uses = [Use(lot, 30.0, name)]
    return gold(bench.sources, name, parted, uses=uses, correction=found, replicated=replicated).mg


def proofs_of(bench: Bench, n: int, true_mg: float) -> list[Proof]:
    made = []
    for i in range(n):
        taken = bench.weigh(f"taken {i}", true_mg)
        out = true_mg - 0.010 - bench.rng.normal(0, 0.004)
        made.append(Proof(f"P{i}", taken.mg, bench.weigh(f"found {i}", out).mg, HERE))
    return made


@pytest.mark.parametrize("true_mg", [0.0, 0.002, 1.0])
def test_signed_metal_after_the_blank_is_unbiased(true_mg: float) -> None:
    """Clipping at zero would show as a bias at 0 and 0.002 mg."""

    def one_run(bench: Bench) -> Uncertain:
        lot = blank_of_lot(bench.sources, "L-1", "gold", bench.blanks(0.006, 0.003, 4))
        brought = 0.006 + bench.rng.normal(0, 0.003)
        return net_of_blank(
            bench.sources, "A1", bench.weigh("gold", true_mg + brought), [Use(lot, 30.0, "A1")]
        ).mg

    bias, sd, coverage = outcomes(7, one_run, true_mg)
    assert unbiased(bias, sd)
    assert 0.93 <= coverage <= 0.97


def test_barren_beads_are_called_above_the_blank_five_times_in_a_hundred() -> None:
    rng = np.random.default_rng(11)
    above = 0
    for _ in range(RUNS):
        bench = Bench(rng, Sources(), 1.0)
        lot = blank_of_lot(bench.sources, "L-1", "gold", bench.blanks(0.006, 0.004, 5))
        bead = bench.weigh("gold", 0.006 + rng.normal(0, 0.004))
        net = net_of_blank(bench.sources, "A1", bead, [Use(lot, 30.0, "A1")])
        above += net.verdict.code.startswith("above")
    assert 0.03 <= above / RUNS <= 0.07


@pytest.mark.parametrize("true_grade", [4.0, 40.0])
def test_interval_of_a_grade_with_blank_proof_and_moisture(true_grade: float) -> None:
    def one_run(bench: Bench) -> Uncertain:
        water = 0.08 + bench.rng.normal(0, 0.002)
        wet = bench.sources.variable("charge", float(30.0 + bench.rng.normal(0, 0.01)), 0.01)
        dry = sample_mass(bench.sources, wet, Moisture("S", float(water), 0.002)).g
        lot = blank_of_lot(bench.sources, "L-1", "gold", bench.blanks(0.006, 0.003, 6))
        metal = gold_of(bench, "A1", true_grade * 30.0 * 0.92 / 1000, lot, proofs_of(bench, 4, 1.1))
        return pooled_grade(bench.sources, "S", [Determination("A1", metal, dry)]).g_per_t

    bias, sd, coverage = outcomes(13, one_run, true_grade)
    assert unbiased(bias, sd)
    assert 0.93 <= coverage <= 0.97


def test_interval_of_a_grade_from_four_determinations_of_an_uneven_pulp() -> None:
    def one_run(bench: Bench) -> Uncertain:
        lot = blank_of_lot(bench.sources, "L-1", "gold", bench.blanks(0.006, 0.003, 6))
        proofs = proofs_of(bench, 4, 1.1)
        each = []
        for i in range(4):
            metal = (40.0 + bench.rng.normal(0, 1.5)) * 30.0 / 1000
            found = gold_of(bench, f"d{i}", metal, lot, proofs, replicated=True)
            each.append(Determination(f"d{i}", found, 30.0))
        return pooled_grade(bench.sources, "S", each).g_per_t

    bias, sd, coverage = outcomes(17, one_run, 40.0)
    assert unbiased(bias, sd)
    assert 0.93 <= coverage <= 0.97


def test_interval_of_a_grade_from_even_determinations_is_not_too_short() -> None:
    """The larger of scatter and model is taken, so a little more than 95 in 100 is right here."""

    def one_run(bench: Bench) -> Uncertain:
        lot = blank_of_lot(bench.sources, "L-1", "gold", bench.blanks(0.006, 0.003, 6))
        proofs = proofs_of(bench, 4, 1.1)
        each = [
            Determination(f"d{i}", gold_of(bench, f"d{i}", 1.2, lot, proofs), 30.0)
            for i in range(2)
        ]
        return pooled_grade(bench.sources, "S", each).g_per_t

    _, _, coverage = outcomes(19, one_run, 40.0)
    assert 0.93 <= coverage <= 0.985


def silver_of(native_mg: float) -> Callable[[Bench], Uncertain]:
    """Silver of one simulated bead; None where the calculation is refused."""

    def one_run(bench: Bench) -> Uncertain:
        rng, sources = bench.rng, bench.sources
        run_loss = 0.02 + rng.normal(0, 0.003)

        def left(mg: float) -> float:
            return mg * (1 - run_loss - rng.normal(0, 0.002))

        proofs = [
            Proof(
                f"P{i}",
                bench.weigh(f"taken {i}", 8.0).mg,
                bench.weigh(f"found {i}", left(8.0)).mg,
                HERE,
            )
            for i in range(5)
        ]
        brought = 0.05 + rng.normal(0, 0.003)
        lot = blank_of_lot(sources, "L-1", "silver", bench.blanks(0.05, 0.003, 6))
        return silver(
            sources,
            "A1",
            bench.weigh("bead", 1.2 + left(8.0 + native_mg) + brought),
            bench.weigh("gold", 1.2),
            added=SilverAdded("mass", bench.weigh("added", 8.0).mg),
            loss=silver_loss(sources, proofs),
            uses=[Use(lot, 30.0, "A1")],
        ).mg

    return one_run


def test_interval_of_silver_by_difference() -> None:
    bias, sd, coverage = outcomes(23, silver_of(0.3), 0.3)
    assert unbiased(bias, sd)
    assert 0.93 <= coverage <= 0.97


def test_a_sample_without_silver_is_seldom_refused_and_stays_signed() -> None:
    """Beyond max(3u, U) below zero: t(ν = 4) leaves 2 in 100 there, and noise is kept signed."""
    rng = np.random.default_rng(31)
    found = [silver_of(0.0)(Bench(rng, Sources(), 1 + rng.normal(0, SCALE))) for _ in range(RUNS)]
    kept = [nominal(one) for one in found if one is not None]
    assert len(kept) / RUNS >= 0.97
    assert 0.4 <= np.mean([one < 0 for one in kept]) <= 0.55


def test_interval_of_a_fineness() -> None:
    def one_run(bench: Bench) -> Uncertain:
        rng = bench.rng

        def cornet(gold_mg: float) -> float:
            return gold_mg + 0.12 + rng.normal(0, 0.015)

        pieces = [
            Piece(
                f"{i}", bench.weigh(f"m1 {i}", 250.0).mg, bench.weigh(f"m2 {i}", cornet(228.0)).mg
            )
            for i in range(3)
        ]
        proofs = [
            Proof(
                f"P{i}",
                bench.weigh(f"m3 {i}", 228.0).mg,
                bench.weigh(f"m4 {i}", cornet(228.0)).mg,
                HERE,
            )
            for i in range(4)
        ]
        return fineness(bench.sources, "D", pieces, proofs).corrected

    bias, sd, coverage = outcomes(29, one_run, 912.0)
    assert unbiased(bias, sd)
    assert 0.93 <= coverage <= 0.985
