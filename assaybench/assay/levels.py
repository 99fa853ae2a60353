"""What can be told from a blank: critical level, detection limit, and how a result is reported.

Method version 1, section 2. Sources: L. A. Currie, Anal. Chem. 40 (1968) 586 and IUPAC
recommendations 1995; ISO 11843-1 and -2.
"""

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

from assaybench.assay.blanks import Use, merged
from assaybench.messages import say
from assaybench.metrology.figure import COVERAGE, Figure, Flag, not_determinable
from assaybench.metrology.freedom import (
    detection_limit_factor,
    floored,
    one_sided_factor,
    welch_satterthwaite,
)
from assaybench.metrology.sight import TENFOLD
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write


class Levels(NamedTuple):
    """What can be told from the blank; all but `dof` in one unit, mg or g/t.

    Attributes:
        sigma: σ0, standard deviation of the net result where there is no metal.
        dof: ν behind it.
        critical: L_C; a result below it cannot be told from the blank.
        detection: L_D; an amount that is told from it 95 times in 100.
        tenfold: L_Q = 10·σ0; below it a figure is rough.
    """

    sigma: float
    dof: float
    critical: float
    detection: float
    tenfold: float

    def told(self, value: float) -> bool:
        """Whether a result, in the same unit, can be told from the blank."""
        return value >= self.critical

    def times(self, factor: float) -> "Levels":
        """The same in another unit: `times(1000 / mass_g)` makes g/t of mg."""
        return Levels(
            self.sigma * factor,
            self.dof,
            self.critical * factor,
            self.detection * factor,
            self.tenfold * factor,
        )


def levels(
    u0s_mg: Sequence[float],
    uses: Sequence[Use] = (),
    *,
    u0_dof: float = math.inf,
    others: Iterable[tuple[float, float]] = (),
) -> Levels:
    """L_C, L_D and L_Q of a metal after its blanks, mg.

    σ0² = N_w·u0² + Σ over lots [Σq²·s_p² + (Σq)²·u²(b̄)], u(b̄) = s_B/√n, or u0 with one blank and
    no history, or 0 with none. ν is that of the blanks; where weighing or several lots share σ0 the
    parts (Σq² + (Σq)²/n)·s_B² of each lot and the rest are combined by Welch–Satterthwaite, which
    leaves ν = Σ(n_j - 1) for charges like the blank and does not let a trace of reagent rule it.

    Args:
        u0s_mg: u0 of each weighing behind the figure, mg.
        uses: reagents of the charges behind the figure, with their blanks.
        u0_dof: ν of u0.
        others: further standard uncertainties, mg, that are there without any metal, with their ν.

    Source: method version 1, section 2.
    """
    lots = tuple([_in_lot(group) for group in _by_lot(uses)])
    return _levels(tuple(u0s_mg), lots, u0_dof, tuple(others))


_Lot = tuple[float, tuple[tuple[float, float], ...]]
"""What one lot brings to σ0², mg²: all of it, and the part of s_B with its ν."""


def _in_lot(group: Sequence[Use]) -> _Lot:
    blank = group[0].blank
    if len(group) == 1:  # as almost always
        squares = total2 = group[0].q ** 2
    else:
        amounts = [use.q for use in group]
        squares = math.fsum([q**2 for q in amounts])
        total2 = math.fsum(amounts) ** 2
    variance = squares * blank.own_mg**2 + total2 * blank.u_mean_mg**2
    if blank.spread_mg is None:
        return variance, ()
    return variance, (((squares + total2 / blank.n) * blank.spread_mg**2, blank.dof),)


@lru_cache(maxsize=256)
def _levels(
    u0s_mg: tuple[float, ...],
    lots: tuple[_Lot, ...],
    u0_dof: float,
    extra: tuple[tuple[float, float], ...],
) -> Levels:
    """The levels of every charge like this one: most of a run are alike."""
    sigma2 = math.fsum(u * u for u in u0s_mg) + math.fsum(u * u for u, _ in extra)
    for variance, _ in lots:
        sigma2 += variance
    parts = [part for _, known in lots for part in known]
    known2 = math.fsum(part for part, _ in parts)
    room2 = max(0.0, sigma2 - math.fsum(u * u for u, _ in extra))
    share = min(1.0, room2 / known2) if known2 else 1.0
    rest2 = max(0.0, room2 - known2)
    terms = [(math.sqrt(part * share), dof) for part, dof in parts]
    dof = floored(welch_satterthwaite([*terms, (math.sqrt(rest2), u0_dof), *extra]))
    sigma = math.sqrt(sigma2)
    return Levels(
        sigma,
        dof,
        one_sided_factor(dof) * sigma,
        detection_limit_factor(dof) * sigma,
        TENFOLD * sigma,
    )


def _by_lot(uses: Sequence[Use]) -> Iterable[Sequence[Use]]:
    if len(uses) < 2:
        return [uses] if uses else []
    lots: dict[tuple[str, str], list[Use]] = {}
    for use in merged(uses):
        lots.setdefault((use.blank.lot, use.blank.metal), []).append(use)
    return lots.values()


def report(
    sources: Sources,
    result: Uncertain,
    found: Levels,
    unit: str,
    *,
    basis: str = "",
    refusal: Flag | None = None,
) -> Figure:
    """A metal after its blank as a figure of layer `assay`.

    Below L_C it is `< L_D`: value and u are kept, and the interval runs from 0 to the 95 % upper
    bound max(0, y) + t(0.95, ν)·u. From L_C on it is value ± U, never `< L_D`.

    Args:
        sources: the sources of doubt of the calculation.
        result: the metal, or the grade made of it.
        found: its levels, in the unit of the result.
        unit: symbol of that unit.
        basis: what the figure counts.
        refusal: why there is no figure; None where there is one.

    Source: method version 1, section 2; IUPAC 1995 for keeping value and u (from memory).
    """
    if refusal is not None:
        return not_determinable(unit, refusal.text, basis=basis)
    value = nominal(result)
    if found.told(value):
        return sources.figure(result, unit, layer="assay", basis=basis)
    doubt = sources.doubt(result)
    return Figure(
        value=value,
        unit=unit,
        u=doubt.u,
        low=0.0,
        high=max(0.0, value) + one_sided_factor(doubt.dof) * doubt.u,
        coverage_probability=COVERAGE,
        dof=doubt.dof,
        layer="assay",
        status="below L_D",
        basis=basis,
        text=write.with_unit(f"< {write.significant(found.detection, 2)}", unit),
        why=say("below_critical", y=write.short(value, 3), unit=unit),
    )
