"""How far the gold grade of a sample may lie off: by the weighing, with the assay, with the sample.

Three questions, each taking in one more source: what the pan showed, what was in this charge, what
the pulp or bag holds. Method version 1, sections 6 and 7. The sample's layer needs its grains: a
count or the largest of them (`grains` entries), or a size stated for the log (method item
`grain_size`). A layer adds only the splits above the last replicated one: where a sample was
assayed more than once, the scatter of its charges holds their grains already, and the larger of
the two counts.
"""

import math
from typing import NamedTuple

from assaybench.assay import blanks, proofs
from assaybench.assay.grade import MG_PER_G, grade
from assaybench.assay.replicates import BLANK_ROW, MOISTURE_ROW, PROOF_ROW, SCATTER_ROW
from assaybench.circuit import grain_law, grains
from assaybench.circuit.grain_law import Judged, Result
from assaybench.messages import BadInput, say
from assaybench.metrology.figure import Flag, Interval, Layer, flag
from assaybench.metrology.freedom import coverage_factor
from assaybench.metrology.uncertain import Doubt, Uncertain, nominal
from assaybench.record.method_items import GRAIN_SIZE
from assaybench.record.results import Results, SampleResult
from assaybench.record.sample_grades import SampleGrade
from assaybench.units import parse, table
from assaybench.units.table import MICROMETRE

WEIGHING_ROWS = frozenset(
    {"readings of the load", "readings of the zero", "zero, tared", "zero that moved",
     "calibration", "linearity", "residue of the zero"}
)  # fmt: skip
"""Rows of a budget that the weighing of gold and sample brings; all others are the assay's."""
CURES = {
    BLANK_ROW: "cure_blank",
    blanks.OWN_ROW: "cure_blank",
    PROOF_ROW: "cure_proof",
    proofs.OWN_ROW: "cure_proof",
    MOISTURE_ROW: "cure_moisture",
}
"""What mends a row of the assay."""


class LayerDoubt(NamedTuple):
    """The doubt up to one layer.

    Attributes:
        layer: how far it reaches.
        u: standard uncertainty, g/t.
        interval: 95 %, g/t.
        expanded: U = k·u, g/t; None where fewer than 20 grains make ± misleading: both ends count.
    """

    layer: Layer
    u: float
    interval: Interval
    expanded: float | None


class Layers(NamedTuple):
    """The gold grade of a sample and how far it may lie off.

    Attributes:
        sample: its name.
        result: the grade, g/t, its doubt by the assay, and what one grain is worth.
        weighing, assay: doubt up to these layers.
        sampling: doubt with the sample; None where its grains are not known.
        decides: the layer that adds most, of those known.
        advice: what to improve first.
        missing: what to tell the program of the sample; None where it knows.
        assumptions: in words.
    """

    sample: str
    result: Result
    weighing: LayerDoubt
    assay: LayerDoubt
    sampling: LayerDoubt | None
    decides: Layer
    advice: Flag
    missing: Flag | None
    assumptions: tuple[str, ...]

    @property
    def grains(self) -> float | None:
        """N, equal grains behind the result; None where not known."""
        return self.result.grains

    @property
    def widest(self) -> LayerDoubt:
        """The widest layer known."""
        return self.sampling or self.assay


def layers_of(found: Results, sample: SampleResult) -> Layers | None:
    """The layers of the gold grade of one charge; None where there is no gold grade.

    Args:
        found: the results of the log.
        sample: one of its samples.

    Raises:
        BadInput: for a stated size of grains that cannot be read.
    """
    parts = sample.parts
    if "grade_gold" not in sample.figures or parts is None or parts.mass is None:
        return None
    if parts.gold is None or parts.gold.mg is None or parts.gold.refusal is not None:
        return None
    grain_mg, said = grain_known(found, sample, nominal(parts.gold.mg))
    grain = grain_mg * MG_PER_G / nominal(parts.mass.g)
    value = grade(parts.gold.mg, parts.mass.g)
    return _layers(found, sample.id, value, (sample.id,), grain, said)


def layers_of_grade(found: Results, pooled: SampleGrade) -> Layers | None:
    """The layers of a grade from several determinations; None where its sample was not assayed.

    Grains counted are those of the charge of the sample itself. Together the charges hold N times
    as many, and their scatter, where it exceeds the model, shows the grains once already.

    Args:
        found: the results of the log.
        pooled: the grade of one of its samples.

    Raises:
        BadInput: as `layers_of`.
    """
    sample = next((s for s in found.samples if s.id == pooled.id), None)
    gold = sample.parts.gold if sample is not None and sample.parts is not None else None
    if sample is None or gold is None or gold.mg is None:
        return None
    grain_mg, said = grain_known(found, sample, nominal(gold.mg))
    grain = grain_mg * MG_PER_G / pooled.grade.sample_g
    weighed = tuple(one.name for one in pooled.grade.used)
    return _layers(found, pooled.id, pooled.grade.g_per_t, weighed, grain, said)


def _layers(
    found: Results,
    name: str,
    value: Uncertain,
    charges: tuple[str, ...],
    grain: float,
    said: tuple[str, ...],
) -> Layers:
    """The layers of a grade, g/t, of some charges, in which one grain is worth `grain`."""
    doubt = found.sources.doubt(value)
    scatter = doubt.rows.get(SCATTER_ROW, 0.0)
    result = Result(nominal(value), doubt.u, doubt.dof, grain, scatter)
    weighing = _weighing(found, charges, result, doubt)
    sampling = _sampling(result) if grain else None
    decides = _decides(result, weighing.u)
    return Layers(
        sample=name,
        result=result,
        weighing=weighing,
        assay=_even("assay", result.value, doubt.u, doubt.k),
        sampling=sampling,
        decides=decides,
        advice=_advice(found, decides, name, doubt, weighing.u),
        missing=None if sampling else flag("layers_unknown"),
        assumptions=said,
    )


def against_cutoff(layers: Layers, cutoff_g_per_t: float) -> Judged:
    """The grade held against a cut-off with the widest layer known; see `grain_law`."""
    return grain_law.against_cutoff(layers.result, cutoff_g_per_t)


def _even(layer: Layer, value: float, u: float, k: float) -> LayerDoubt:
    reach = k * u
    return LayerDoubt(layer, u, Interval(value - reach, value + reach), reach)


def _weighing(found: Results, charges: tuple[str, ...], result: Result, doubt: Doubt) -> LayerDoubt:
    """The doubt that weighing the gold and the sample brings, with the k of the gold's balance.

    Proofs and blanks are weighed as well, on the same balance: that is doubt of the assay. Of
    several charges each weighing counts as its own; never more than the assay as a whole.
    """
    weighed = [one for one in found.samples if one.id in charges and one.parts is not None]
    masses = [one.parts.mass for one in weighed if one.parts is not None]
    total_g = math.fsum(nominal(mass.g) for mass in masses if mass is not None)
    variance = 0.0
    k = doubt.k
    for i, one in enumerate(weighed):
        gold, charge = (found.run.weighing(one.id, what) for what in ("gold", "charge"))
        if one.parts is None or one.parts.gold is None or one.parts.mass is None or not gold:
            continue
        correction = one.parts.gold.correction
        factor = nominal(correction.factor) if correction.form == "ratio" else 1.0
        variance += (MG_PER_G * factor * found.sources.doubt(gold[0].net).u / total_g) ** 2
        if charge is not None:
            share = nominal(one.parts.mass.g) / total_g
            relative = found.sources.doubt(charge[0].net).u / charge[0].net_mg
            variance += (result.value * share * relative) ** 2
        if i == 0:
            k = coverage_factor(gold[0].dof)
    return _even("weighing", result.value, min(math.sqrt(variance), result.u), k)


def _weighed(row: str) -> bool:
    """Whether a row of a budget is the weighing's: `gold: zero, tared`."""
    return row.rpartition(": ")[2] in WEIGHING_ROWS


def _sampling(result: Result) -> LayerDoubt:
    ends = grain_law.interval(result)
    expanded = None if result.few else ends.high - result.value
    return LayerDoubt("sampling", result.u_widest, ends, expanded)


def _decides(result: Result, u_weighing: float) -> Layer:
    """The layer that adds most to the variance."""
    added: list[tuple[float, Layer]] = [
        (result.u_sampling**2, "sampling"),
        (result.u**2 - u_weighing**2, "assay"),
        (u_weighing**2, "weighing"),
    ]
    if result.grain and result.value <= 0:
        return "sampling"  # none found: only a larger sample can tell
    return max(added, key=lambda part: part[0])[1]


def _advice(found: Results, decides: Layer, sample: str, doubt: Doubt, u_weighing: float) -> Flag:
    """What to improve first."""
    if decides == "sampling":
        return flag("layers_sampling", sample=sample)
    if decides == "weighing":
        return flag("layers_weighing")
    rows = {row: v for row, v in doubt.rows.items() if not _weighed(row)}
    # what weighing brings beside that of the sample itself is of its proofs, or of its blanks
    others = math.fsum(doubt.rows.values()) - math.fsum(rows.values()) - u_weighing**2
    chosen = next((s for s in found.samples if s.id == sample), None)
    gold = chosen.parts.gold if chosen is not None and chosen.parts is not None else None
    where = PROOF_ROW if gold is not None and gold.correction.n else BLANK_ROW
    if others > 0:
        rows[where] = rows.get(where, 0.0) + others
    row = max(rows, key=lambda name: rows[name])
    return flag("layers_assay", what=row, cure=say(CURES.get(row, "cure_charges")))


def grain_known(
    found: Results, sample: SampleResult, metal_mg: float, product: str = "", size: str = ""
) -> tuple[float, tuple[str, ...]]:
    """m_w as far as it is known, mg, and what that rests on; 0 where nothing is known.

    A count gives metal/N, which unequal grains exceed; a size gives m_w itself. The larger rules.

    Args:
        found: the results of the log.
        sample: the sample whose grains they are.
        metal_mg: its metal, mg.
        product: the product of a circuit test that it stands for, for grains counted by product.
        size: the size of it that it stands for; empty for all sizes.

    Raises:
        BadInput: for a stated size of grains that cannot be read.
    """
    state = found.run.state
    entry = state.of_sample("grains", sample.id) or state.of_sample(
        "grains", sample.of or sample.id
    )
    if entry is None and product:
        made = [one for one in state.of("grains") if one.text("product") == product]
        counted = [one for one in made if not size or one.text("size") == size]
        entry = counted[-1] if counted else None
    by_size, said = 0.0, ""
    if entry is not None:
        by_size, said = _sized(entry.text("size"), entry.text("largest"))
    stated = state.methods.get(GRAIN_SIZE, "")
    if not by_size and stated:
        by_size, said = grains.read_span(stated).grain_mg(), say("grains_of_size")
    count = (entry.whole("count") or 0) if entry is not None else 0
    by_count = max(metal_mg, 0.0) / count if count else 0.0
    if by_count > by_size:
        return by_count, (say("grains_as_counted"),)
    return by_size, (said,) if said else ()


def _sized(size: str, largest: str) -> tuple[float, str]:
    """m_w of counted grains by their sieves, where the text names them, or by the largest one."""
    if ":" in size:
        try:
            return grains.read_span(size).grain_mg(), say("grains_of_size")
        except BadInput:
            pass  # a size is free text: what cannot be read tells nothing
    width = parse.figure(largest, table.LENGTH).exact(MICROMETRE) if largest else 0
    if width <= 0:
        return 0.0, ""
    return grains.largest_grain_mg(float(width)), say("grains_of_largest")
