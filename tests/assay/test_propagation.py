"""Propagated u of every formula against central finite differences of the formula itself.

Each model is evaluated anew at shifted inputs; only values are taken from those runs, so the
derivatives checked here do not come from the code that propagates.
"""

import math
from collections.abc import Callable, Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assaybench.assay.blanks import BlankCharge, Use, blank_of_lot
from assaybench.assay.bullion import Piece, fine_mass, fineness
from assaybench.assay.dore import SilverAdded, dore
from assaybench.assay.grade import Determination, pooled_grade
from assaybench.assay.losses import SilverLoss, silver_loss
from assaybench.assay.matching import fitted
from assaybench.assay.metal import gold
from assaybench.assay.metallics import Plus, metallics
from assaybench.assay.moisture import Moisture, sample_mass
from assaybench.assay.net import Mass
from assaybench.assay.proofs import Conditions, Proof, corrected, correction
from assaybench.assay.replicates import Spread
from assaybench.assay.silver import Twin, native_fineness, silver, silver_by_twin
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

Inputs = Mapping[str, float]
Model = Callable[[Sources, Inputs, Inputs], Uncertain]

HERE = Conditions("R-1", lead_g=30.0, silver_mg=8.0)
NO_SCATTER = Spread(0.0, 1)


def var(sources: Sources, name: str, at: Inputs, u: Inputs) -> Uncertain:
    return sources.variable(name, at[name], u[name])


def mass(sources: Sources, name: str, at: Inputs, u: Inputs) -> Mass:
    return Mass(var(sources, name, at, u), (u[name],))


def blank_use(sources: Sources, at: Inputs, u: Inputs, *, metal: str = "gold", q: float = 1) -> Use:
    """One blank: its mean has the u0 of its weighing and no scatter of its own."""
    name = f"blank {metal}"
    charge = BlankCharge("b", "R-1", 30.0, at[name], u[name])
    lot = blank_of_lot(sources, "L-1", "gold" if metal == "gold" else "silver", [charge])
    return Use(lot, 30.0 * q, "A1")


def one_proof(sources: Sources, at: Inputs, u: Inputs) -> Proof:
    return Proof("P", var(sources, "taken", at, u), var(sources, "found", at, u), HERE)


def additive(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    found = correction(sources, [one_proof(sources, at, u)], "additive")
    uses = [blank_use(sources, at, u, q=1.3)]
    parted = mass(sources, "gold", at, u)
    return gold(sources, "A1", parted, uses=uses, correction=found).mg


def ratio(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    uses = (blank_use(sources, at, u, q=0.4),)
    proof = one_proof(sources, at, u)._replace(uses=uses)
    found = correction(sources, [proof], "ratio")
    parted = mass(sources, "gold", at, u)
    return gold(sources, "A1", parted, uses=uses, correction=found).mg


def scaled(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    found = correction(sources, [one_proof(sources, at, u)], "ratio")
    # both sizes enter the scale as exact numbers: here they stay the same
    fit = fitted(found._replace(metal_mg=1.3), 0.3, HERE, scale=True)
    return corrected(sources, fit, var(sources, "gold", at, u), "A1")


def dore_of(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    uses = [blank_use(sources, at, u), blank_use(sources, at, u, metal="silver", q=1.2)]
    return dore(
        sources,
        "A1",
        mass(sources, "bead", at, u),
        added=SilverAdded("mass", var(sources, "added", at, u)),
        loss=SilverLoss("R-1", var(sources, "loss", at, u)),
        uses=uses,
    ).mg


def by_difference(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    return silver(
        sources,
        "A1",
        mass(sources, "bead", at, u),
        mass(sources, "gold", at, u),
        added=SilverAdded("mass", var(sources, "added", at, u)),
        loss=SilverLoss("R-1", var(sources, "loss", at, u)),
        uses=[blank_use(sources, at, u, metal="silver")],
    ).mg


def by_difference_with_a_proof(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    return silver(
        sources,
        "A1",
        mass(sources, "bead", at, u),
        mass(sources, "gold", at, u),
        added=SilverAdded("mass", var(sources, "added", at, u)),
        loss=silver_loss(sources, [one_proof(sources, at, u)]),
    ).mg


def by_twin(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    return silver_by_twin(
        sources,
        "A1",
        mass(sources, "bead", at, u),
        mass(sources, "gold", at, u),
        added_mg=var(sources, "added", at, u),
        twins=[Twin("T", var(sources, "twin", at, u), var(sources, "twin added", at, u))],
        loss=SilverLoss("R-1", var(sources, "loss", at, u)),
    ).mg


def native(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    bead, parted = mass(sources, "bead", at, u), mass(sources, "gold", at, u)
    ag = silver(
        sources,
        "A1",
        bead,
        parted,
        added=SilverAdded("none"),
        loss=SilverLoss("R-1", var(sources, "loss", at, u)),
    )
    return native_fineness(gold(sources, "A1", parted, bead=bead), ag)


def grade_wet(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    water = Moisture("S", at["moisture"], u["moisture"])
    each = [
        Determination(
            name,
            var(sources, f"metal {name}", at, u),
            sample_mass(sources, var(sources, f"mass {name}", at, u), water).g,
        )
        for name in ("a", "b")
    ]
    return pooled_grade(sources, "S", each, spread=NO_SCATTER).g_per_t


def grade_dry_basis(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    water = Moisture("S", at["moisture"], u["moisture"], "dry")
    dry = sample_mass(sources, var(sources, "mass a", at, u), water).g
    one = Determination("a", var(sources, "metal a", at, u), dry)
    return pooled_grade(sources, "S", [one]).g_per_t


def screened(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    return _screened(sources, at, u)[0]


def coarse_share(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    return _screened(sources, at, u)[1]


def _screened(sources: Sources, at: Inputs, u: Inputs) -> tuple[Uncertain, Uncertain]:
    found = metallics(
        sources,
        "S",
        Plus(
            var(sources, "plus mass", at, u),
            (var(sources, "plus metal", at, u),),
            var(sources, "plus fused", at, u),
        ),
        var(sources, "minus mass", at, u),
        [Determination("a", var(sources, "metal a", at, u), var(sources, "mass a", at, u))],
    )
    return found.g_per_t, found.coarse_share


def bar(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    return _bar(sources, at, u, ratio=False)


def bar_by_ratio(sources: Sources, at: Inputs, u: Inputs) -> Uncertain:
    return _bar(sources, at, u, ratio=True)


def _bar(sources: Sources, at: Inputs, u: Inputs, *, ratio: bool) -> Uncertain:
    scale = var(sources, "scale", at, u)
    names = ("piece taken", "piece found", "other taken", "other found", "taken", "found")
    masses = {name: scale * var(sources, name, at, u) for name in names}
    found = fineness(
        sources,
        "D",
        [
            Piece("1", masses["piece taken"], masses["piece found"]),
            Piece("2", masses["other taken"], masses["other found"]),
        ],
        [Proof("P", masses["taken"], masses["found"], HERE)],
        ratio=ratio,
        spread=NO_SCATTER,
    )
    return fine_mass(var(sources, "gross", at, u), found.corrected)


ORE = {
    "gold": 1.204, "bead": 9.398, "added": 8.0, "loss": 0.02, "blank gold": 0.004,
    "blank silver": 0.052, "taken": 1.3, "found": 1.28, "twin": 7.5, "twin added": 7.8,
}  # fmt: skip
SAMPLE = {
    "metal a": 0.4, "metal b": 0.7, "mass a": 28.0, "mass b": 33.0, "moisture": 0.08,
    "plus mass": 24.6, "plus metal": 3.8, "plus fused": 20.0, "minus mass": 975.0,
}  # fmt: skip
BAR = {
    "piece taken": 250.02, "piece found": 228.31, "other taken": 249.9, "other found": 228.2,
    "taken": 227.5, "found": 227.62, "gross": 1240.6, "scale": 1.0,
}  # fmt: skip

CASES: dict[str, tuple[Model, dict[str, float], tuple[str, ...]]] = {
    "gold, additive": (additive, ORE, ("gold", "blank gold", "taken", "found")),
    "gold, ratio": (ratio, ORE, ("gold", "blank gold", "taken", "found")),
    "gold, proof scaled": (scaled, ORE, ("gold", "taken", "found")),
    "doré": (dore_of, ORE, ("bead", "added", "loss", "blank gold", "blank silver")),
    "silver by difference": (
        by_difference, ORE, ("bead", "gold", "added", "loss", "blank silver"),
    ),
    "silver with a proof": (
        by_difference_with_a_proof, ORE, ("bead", "gold", "added", "taken", "found"),
    ),
    "silver by twin": (by_twin, ORE, ("bead", "gold", "added", "loss", "twin", "twin added")),
    "native fineness": (native, ORE, ("bead", "gold", "loss")),
    "grade, two charges, wet": (
        grade_wet, SAMPLE, ("metal a", "metal b", "mass a", "mass b", "moisture"),
    ),
    "grade, moisture on dry basis": (grade_dry_basis, SAMPLE, ("metal a", "mass a", "moisture")),
    "screen metallics": (
        screened, SAMPLE,
        ("plus mass", "plus metal", "plus fused", "minus mass", "metal a", "mass a"),
    ),
    "coarse share": (
        coarse_share, SAMPLE,
        ("plus mass", "plus metal", "plus fused", "minus mass", "metal a", "mass a"),
    ),
    "fine mass of a bar": (bar, BAR, tuple(BAR)),
    "fine mass of a bar, ratio": (bar_by_ratio, BAR, tuple(BAR)),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_propagated_u_is_that_of_finite_differences(name: str, data: st.DataObject) -> None:
    model, values, inputs = CASES[name]
    u = {x: values[x] * data.draw(st.floats(1e-4, 1e-3), label=f"u of {x}") for x in inputs}
    at = {x: values[x] * data.draw(st.floats(0.995, 1.005), label=x) for x in inputs}
    sources = Sources()
    propagated = sources.doubt(model(sources, at, u)).u
    parts = []
    for x in inputs:
        step = 1e-4 * abs(at[x])
        up, down = (
            nominal(model(Sources(), {**at, x: at[x] + sign * step}, u)) for sign in (1, -1)
        )
        parts.append((up - down) / (2 * step) * u[x])
    assert propagated == pytest.approx(math.hypot(*parts), rel=1e-5)
