"""± of surcharge, settled figures and the gap of screened masses, against GTC and Monte Carlo.

GTC (Measurement Standards Laboratory of New Zealand) propagates by its own arithmetic; the Monte
Carlo draws the readings anew, as JCGM 101 does.
"""

from typing import Any

import GTC
import numpy as np
import pytest

from assaybench.assay.bullion import Fineness, Piece, fineness, settle
from assaybench.assay.metallics import closure_of
from assaybench.assay.proofs import Conditions, Proof
from assaybench.assay.umpire import Rule, award
from assaybench.metrology.uncertain import Sources, nominal

HERE = Conditions("R-1", lead_g=6.0, silver_mg=600.0)
TAKEN, FOUND, U = (222.01, 222.04), (222.12, 222.13), (0.012, 0.015)
"""Two proofs: gold taken and found, mg, and u of a weighing before and after, mg."""
SCALE = 0.0001
"""Relative u of the one scale that all were weighed on."""
N, SEED = 400_000, 20260611
RULES: tuple[Rule, ...] = ("umpire", "nearer", "mean")


def bar(sources: Sources, *, ratio: bool) -> Fineness:
    """Two proofs that lie no further apart than their weighings, and one piece."""
    scale = sources.variable("scale", 1.0, SCALE)
    proofs = [
        Proof(
            f"P{i}",
            sources.variable(f"taken {i}", taken, U[0]) * scale,
            sources.variable(f"found {i}", found, U[1]) * scale,
            HERE,
        )
        for i, (taken, found) in enumerate(zip(TAKEN, FOUND, strict=True))
    ]
    return fineness(sources, "B", [Piece("1", 250.0, 222.0)], proofs, ratio=ratio)


def by_gtc() -> tuple[Any, Any]:
    """Mean surcharge in mg, and per 1000 of the gold taken."""
    scale = GTC.ureal(1.0, SCALE)
    taken = sum(GTC.ureal(x, U[0]) * scale for x in TAKEN) / 2
    found = sum(GTC.ureal(x, U[1]) * scale for x in FOUND) / 2
    return found - taken, 1000 * (found - taken) / taken


@pytest.mark.parametrize("ratio", [False, True])
def test_surcharge_has_the_doubt_that_gtc_finds(*, ratio: bool) -> None:
    """The scale cancels in parts per thousand, and nearly so in milligrams."""
    sources = Sources()
    surcharge = bar(sources, ratio=ratio).surcharge
    assert surcharge is not None
    for ours, theirs in zip(surcharge, by_gtc(), strict=True):
        assert nominal(ours) == pytest.approx(theirs.x, rel=1e-9)
        assert sources.doubt(ours).u == pytest.approx(theirs.u, rel=1e-5)


def test_scatter_of_proofs_beyond_their_weighings_is_in_the_surcharge() -> None:
    """Found minus taken 0.05 and 0.25 mg: s = 0.141 mg, and the mean of two has s/√2 = 0.1 mg."""
    sources = Sources()
    proofs = [Proof(f"P{i}", 222.0, 222.0 + more, HERE) for i, more in enumerate((0.05, 0.25))]
    surcharge = fineness(sources, "B", [Piece("1", 250.0, 222.0)], proofs).surcharge
    assert surcharge is not None
    doubt = sources.doubt(surcharge.mg)
    assert nominal(surcharge.mg) == pytest.approx(0.15)
    assert doubt.u == pytest.approx(0.1)
    assert doubt.dof == pytest.approx(1)


@pytest.mark.parametrize("rule", RULES)
def test_an_award_has_the_doubt_that_drawing_the_figures_anew_shows(rule: Rule) -> None:
    """The rule picks by the figures as they stand; what it picked is drawn."""
    typed = {"first": (912.68, 0.10), "second": (912.10, 0.15), "umpire": (912.50, 0.05)}
    sources = Sources()
    figures = {party: sources.variable(party, *known) for party, known in typed.items()}
    found = award(figures["first"], figures["second"], figures["umpire"], rule)
    dice = np.random.default_rng(SEED)
    drawn = {party: dice.normal(*known, N) for party, known in typed.items()}
    together = {
        "umpire": drawn["umpire"],
        "nearer": (drawn["umpire"] + drawn["first"]) / 2,
        "mean": (drawn["first"] + drawn["second"] + drawn["umpire"]) / 3,
    }[rule]
    assert nominal(found.settled) == pytest.approx(together.mean(), abs=5e-4)
    assert sources.doubt(found.settled).u == pytest.approx(together.std(), rel=5e-3)


def test_the_mean_of_two_parties_has_the_doubt_that_gtc_finds() -> None:
    sources = Sources()
    a, b = sources.variable("A", 912.68, 0.10), sources.variable("B", 912.40, 0.15)
    found = settle(a, b, 0.5)
    theirs = (GTC.ureal(912.68, 0.10) + GTC.ureal(912.40, 0.15)) / 2
    apart = GTC.ureal(912.68, 0.10) - GTC.ureal(912.40, 0.15)
    assert nominal(found.mean) == pytest.approx(theirs.x)
    assert sources.doubt(found.mean).u == pytest.approx(theirs.u, rel=1e-9)
    assert sources.doubt(found.difference).u == pytest.approx(apart.u, rel=1e-9)


def test_the_gap_of_screened_masses_shares_the_scale() -> None:
    """812.69 - 19.85 - 792.01 g: what the scale is off by cancels but for that of the gap."""
    masses, u, scale = (812.69, 19.85, 792.01), 0.02, 0.002
    sources = Sources()
    shared = sources.variable("scale", 1.0, scale)
    total, plus, minus = (sources.variable(f"m{i}", m, u) * shared for i, m in enumerate(masses))
    gap = closure_of(sources, total, plus, minus).gap_g
    dice = np.random.default_rng(SEED)
    drawn = [dice.normal(m, u, N) for m in masses]
    anew = (drawn[0] - drawn[1] - drawn[2]) * dice.normal(1.0, scale, N)
    assert nominal(gap) == pytest.approx(0.83)
    assert sources.doubt(gap).u == pytest.approx(anew.std(), rel=5e-3)
