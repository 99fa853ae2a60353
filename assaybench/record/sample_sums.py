"""The sum of one sample with its numbers: from readings to gold and grade, line by line."""

import math

from assaybench.assay.metal import Gold
from assaybench.assay.silver import Silver
from assaybench.metrology.uncertain import nominal
from assaybench.record.fineness import UNIT, fineness_of
from assaybench.record.results import Results, SampleResult
from assaybench.record.sums import Step, dried, mean_of, n, step
from assaybench.units.table import GRAM, MILLIGRAM, Unit


def sample_sum(found: Results, sample: SampleResult) -> list[Step]:
    """Every line of a sample's sum that its readings allow."""
    steps = []
    for what, name, unit in (
        ("charge", "charge", GRAM),
        ("bead", "bead", MILLIGRAM),
        ("gold", "gold as read", MILLIGRAM),
    ):
        made = _weighing(found, sample, what, name, unit)
        if made is not None:
            steps.append(made)
    parts = sample.parts
    if parts is None:
        return steps
    if parts.gold is not None and parts.gold.mg is not None:
        steps += _gold(sample.id, parts.gold)
    if parts.silver is not None and parts.silver.mg is not None:
        steps.append(_silver(sample.id, parts.silver))
    if parts.mass is not None and parts.gold is not None and parts.gold.mg is not None:
        steps += _grade(found, sample, parts.gold)
    fineness = fineness_of(found, sample)
    if fineness is not None and parts.gold is not None and parts.silver is not None:
        gold, silver = n(nominal(parts.gold.mg)), n(nominal(parts.silver.mg))
        expression = f"1000 × {gold} / ({gold} + {silver})"
        steps.append(step(f"{sample.id}: native fineness", expression, fineness.value or 0, UNIT))
    return steps


def _silver(name: str, silver: Silver) -> Step:
    """Silver by difference, or against its twin proofs; the loss was taken for all alike."""
    loss, added = n(silver.loss), silver.added_mg
    in_bead = n(silver.in_bead_mg)
    if silver.form == "twin":
        # what is left of the silver added to sample and twin when they were not quite alike
        at_no_loss = silver.at_no_loss_mg or 0.0
        added = silver.in_bead_mg - silver.twin_mg - at_no_loss
        in_bead = f"({in_bead} - {n(silver.twin_mg)})"
    expression = f"{in_bead} / (1 - {loss}) - {n(added)}"
    return step(f"{name}: silver", expression, nominal(silver.mg), "mg")


def _weighing(
    found: Results, sample: SampleResult, what: str, name: str, unit: Unit
) -> Step | None:
    pair = found.run.weighing(sample.id, what)
    if pair is None or not pair[0].agrees:
        return None
    weighing = pair[0]
    expression = f"{mean_of(weighing.loads, unit)} - {mean_of(weighing.zeros, unit)}"
    value = weighing.net_mg * float(MILLIGRAM.size / unit.size)
    return step(f"{sample.id}: {name}", expression, value, unit.symbol)


def _gold(name: str, gold: Gold) -> list[Step]:
    """Gold after its blank, then after its proofs."""
    net = gold.net
    won = [(line.what, nominal(line.net.mg)) for line in gold.again]
    mg = nominal(gold.mg) - math.fsum(mg for _, mg in won)
    blank = f"{n(net.read_mg)} - {n(net.blank_mg)}"
    steps = [step(f"{name}: gold less blank", blank, nominal(net.mg), "mg")]
    if gold.correction.form == "additive":
        shift = nominal(gold.correction.shift_mg)
        expression = f"{n(nominal(net.mg))} + {n(shift)}"
        steps.append(step(f"{name}: gold corrected", expression, mg, "mg"))
    elif gold.correction.form == "ratio":
        factor = nominal(gold.correction.factor)
        expression = f"{n(nominal(net.mg))} × {n(factor)}"
        steps.append(step(f"{name}: gold corrected", expression, mg, "mg"))
    for what, more in won:
        expression = f"{n(mg)} + {n(more)}"
        mg += more
        steps.append(step(f"{name}: with its {what} again", expression, mg, "mg"))
    return steps


def _grade(found: Results, sample: SampleResult, gold: Gold) -> list[Step]:
    mass = sample.parts.mass if sample.parts else None
    pair = found.run.weighing(sample.id, "charge")
    if mass is None or pair is None or nominal(mass.g) <= 0:
        return []
    grams, wet = nominal(mass.g), pair[0].net_mg / 1000
    steps = []
    if mass.basis == "dry":
        water = found.run.water_of(sample.id)
        on_dry = water is not None and water.text("basis") == "dry"
        steps.append(dried(f"{sample.id}: dry charge", wet, grams, on_dry=on_dry))
    mg = nominal(gold.mg)
    expression = f"1000 × {n(mg)} / {n(grams)}"
    return [*steps, step(f"{sample.id}: grade", expression, 1000 * mg / grams, "g/t")]
