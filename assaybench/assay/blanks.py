"""Blanks: what the reagents of a charge bring of a metal, lot by lot.

Method version 1, section 2. Masses of metal in milligrams; gold and silver apart, by reagent lot,
per gram of lead or foil, or per milligram of inquart silver. The signed mean blank is always taken
off and is one variable for every sample of the lot.
"""

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

from assaybench.assay.replicates import (
    BLANK_ROW,
    Spread,
    average,
    excess,
    joined,
    over_runs,
    pooled,
)
from assaybench.messages import say
from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, settled, total

Metal = Literal["gold", "silver"]

OWN_ROW = "scatter of the blank"


class BlankCharge(NamedTuple):
    """One blank: reagents without sample, taken through the whole method.

    Attributes:
        name: names it.
        run: the furnace run it was in.
        reagent: how much of the lot it held: g of lead reduced or foil, or mg of inquart silver.
        metal_mg: metal found in it, mg, signed.
        u0_mg: u0 of its weighing, mg.
        u0_dof: degrees of freedom of u0.
        spread: names the estimated spread behind u0, that of a balance; empty where it is its own.
    """

    name: str
    run: str
    reagent: float
    metal_mg: float
    u0_mg: float
    u0_dof: float = math.inf
    spread: str = ""


class Blank(NamedTuple):
    """What one lot of reagent brings of one metal.

    Attributes:
        lot: the reagent lot.
        metal: gold or silver.
        unit: unit of the reagent, g or mg.
        reagent: amount of reagent in a blank, the one that counts q = 1; 0 without a blank.
        mean_mg: signed mean blank b̄ at that amount, mg: one variable for the lot.
        n: number of blanks behind the mean.
        spread_mg: s_B, standard deviation of one blank, never below u0; None when it is not known.
        own_mg: s_p, scatter from charge to charge beyond the weighing, mg.
        u_mean_mg: standard uncertainty of the mean, mg.
        dof: ν behind s_B; infinite when it is not known.
        own_dof: ν of s_p, so that weighing and scatter together have the ν of s_B.
        flags, assumptions: what a reader must know.
    """

    lot: str
    metal: Metal
    unit: str
    reagent: float
    mean_mg: Uncertain
    n: int
    spread_mg: float | None = None
    own_mg: float = 0.0
    u_mean_mg: float = 0.0
    dof: float = math.inf
    own_dof: float = math.inf
    flags: tuple[Flag, ...] = ()
    assumptions: tuple[str, ...] = ()

    @property
    def rate(self) -> float:
        """Metal per unit of reagent, mg/g or mg/mg."""
        return nominal(self.mean_mg) / self.reagent if self.reagent else 0.0


def blank_of_lot(
    sources: Sources,
    lot: str,
    metal: Metal,
    blanks: Sequence[BlankCharge],
    *,
    unit: str = "g",
    history: Sequence[Sequence[BlankCharge]] = (),
    known: Spread | None = None,
) -> Blank:
    """Mean and scatter of the blanks of one lot.

    Blanks with unlike amounts are brought to their mean amount, metal in proportion. s_B is pooled
    within runs; where no run held two blanks it is taken over the runs of the lot, and said.

    Args:
        sources: the sources of doubt of the calculation.
        lot: the lot.
        metal: which metal was found.
        blanks: the blanks of this lot; none means the process blank was not run.
        unit: unit of the reagent.
        history: further runs of blanks, for s_B alone; groups may be of other lots.
        known: s_B of earlier runs, mg, at the mean amount of reagent, where they are not at hand.

    Raises:
        ValueError: when a blank holds no reagent.

    Source: method version 1, section 2: u(b̄) = s_B/√n, here its weighing u0/√n and its scatter
    s_p/√n as two variables of the lot; n = 1 without history: u0.
    """
    if not blanks:
        return Blank(lot, metal, unit, 0.0, 0.0, 0, flags=(flag("blank_not_run"),))
    if min(blank.reagent for blank in (*blanks, *(b for run in history for b in run))) <= 0:
        raise ValueError(f"a blank of lot {lot} holds no reagent: an amount above zero is needed")
    reagent = average(blank.reagent for blank in blanks)
    own_runs = _by_run(blanks, reagent)
    mean = average(x for run in own_runs for x in run)
    # brought to the mean amount, a weighing's doubt is scaled as its metal is
    u0 = math.sqrt(average((b.u0_mg * reagent / b.reagent) ** 2 for b in blanks))
    u0_dof = min(b.u0_dof for b in blanks)
    past = [[b.metal_mg * reagent / b.reagent for b in run] for run in history]
    spread = joined(pooled([*own_runs, *past]) or over_runs(own_runs), known)
    s_b = None if spread is None else max(spread.value, u0)
    own, own_dof = (0.0, math.inf) if spread is None else excess(spread, 1, u0**2, u0_dof)
    n = len(blanks)
    name = f"blank of {metal}, lot {lot}"
    # one spread of a balance counts as one term, whether a blank or a sample was weighed on it
    spreads = {blank.spread for blank in blanks}
    weighed = sources.variable(
        f"mean {name}",
        mean,
        u0 / math.sqrt(n),
        dof=u0_dof,
        row=BLANK_ROW,
        spread=spreads.pop() if len(spreads) == 1 else "",
    )
    scattered = sources.variable(
        f"scatter of the mean {name}",
        0.0,
        own / math.sqrt(n),
        dof=own_dof,
        row=BLANK_ROW,
        spread=f"scatter of the {name}",
    )
    return Blank(
        lot=lot,
        metal=metal,
        unit=unit,
        reagent=reagent,
        mean_mg=settled(total((1, weighed), (1, scattered))),
        n=n,
        spread_mg=s_b,
        own_mg=own,
        own_dof=own_dof,
        u_mean_mg=math.hypot(u0, own) / math.sqrt(n),
        dof=u0_dof if spread is None else spread.dof,
        flags=(flag("blank_scatter_unknown"),) if spread is None else (),
        assumptions=_taken_over_runs(spread),
    )


def _by_run(blanks: Sequence[BlankCharge], reagent: float) -> list[list[float]]:
    runs: dict[str, list[float]] = {}
    for blank in blanks:
        runs.setdefault(blank.run, []).append(blank.metal_mg * reagent / blank.reagent)
    return list(runs.values())


def _taken_over_runs(spread: Spread | None) -> tuple[str, ...]:
    return () if spread is None or spread.within_runs else (say("blanks_over_runs"),)


class Use(NamedTuple):
    """Reagent of one lot in one charge.

    Attributes:
        blank: what the lot brings of one metal.
        reagent: how much of the lot the charge held, in the unit of the blank.
        charge: names the charge.
    """

    blank: Blank
    reagent: float
    charge: str

    @property
    def q(self) -> float:
        """Reagent in the charge over reagent in a blank."""
        return self.reagent / self.blank.reagent if self.blank.reagent else 0.0


def merged(uses: Sequence[Use]) -> tuple[Use, ...]:
    """The same uses, those of one lot, metal and charge summed into one."""
    if len(uses) < 2 or (len(uses) == 2 and uses[0].blank.metal != uses[1].blank.metal):
        return tuple(uses)  # as almost always: nothing to be summed
    found: dict[tuple[str, str, str], Use] = {}
    for use in uses:
        key = (use.blank.lot, use.blank.metal, use.charge)
        before = found[key].reagent if key in found else 0.0
        found[key] = Use(use.blank, before + use.reagent, use.charge)
    return tuple(found.values())


def blank_in(sources: Sources, uses: Sequence[Use]) -> Uncertain:
    """Metal that the reagents brought, Σq·b̄, mg, with the scatter of each charge around it."""
    terms: list[tuple[float, Uncertain]] = []
    for use in merged(uses):
        blank, q = use.blank, use.q
        terms.append((q, blank.mean_mg))
        if blank.own_mg and q:
            name = f"blank of {blank.metal}, lot {blank.lot}"
            own = sources.variable(
                f"{name}, in {use.charge}",
                0.0,
                q * blank.own_mg,
                dof=blank.own_dof,
                row=OWN_ROW,
                spread=f"scatter of the {name}",
            )
            terms.append((1, own))
    return total(*terms)


class Line(NamedTuple):
    """One line of a printed blank sum: q·b̄.

    Attributes:
        charge, lot, metal: what it is.
        reagent, unit: reagent in the charge.
        per_unit: blank per unit of reagent, mg.
        metal_mg: the product, mg.
    """

    charge: str
    lot: str
    metal: Metal
    reagent: float
    unit: str
    per_unit: float
    metal_mg: float


def lines(uses: Sequence[Use]) -> tuple[Line, ...]:
    """The lines of a printed blank sum."""
    return tuple(
        Line(
            use.charge,
            use.blank.lot,
            use.blank.metal,
            use.reagent,
            use.blank.unit,
            use.blank.rate,
            use.q * nominal(use.blank.mean_mg),
        )
        for use in merged(uses)
    )


def remarks(uses: Sequence[Use]) -> tuple[tuple[Flag, ...], tuple[str, ...]]:
    """Flags and assumptions of the blanks in use, each once; no use at all: blank not run."""
    blanks = [use.blank for use in uses]
    if not blanks:
        return (flag("blank_not_run"),), ()
    if len(blanks) == 1:
        return blanks[0].flags, blanks[0].assumptions
    flags = dict.fromkeys(f for blank in blanks for f in blank.flags)
    return tuple(flags), tuple(dict.fromkeys(a for blank in blanks for a in blank.assumptions))
