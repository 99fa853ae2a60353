"""Grade: metal on dry sample, and the mean of several determinations.

Method version 1, section 4. g/t = 1000 · mg/g. Determinations are pooled as sum of metal over sum
of sample; disagreeing ones are never weighted by 1/u², none is dropped without a reason.
"""

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from assaybench.assay.replicates import (
    Spread,
    average,
    middle,
    own_variance,
    variance,
    with_scatter,
)
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.ranges import studentized_range_95
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, ratio
from assaybench.units import write
from assaybench.units.table import GRAM_PER_TONNE, Unit

MG_PER_G = 1000
"""1 mg of metal in 1 g of sample is 1000 g/t."""
DUPLICATE_FACTOR = 1.96
MOST_IN_TABLE = 20
"""The studentized range is tabled up to 20 values; more are held to that of 20."""


def grade(metal_mg: Uncertain, sample_g: Uncertain) -> Uncertain:
    """Grade in g/t of a metal, mg, in a sample, g."""
    return ratio([(MG_PER_G, metal_mg)], sample_g)


def in_unit(grade_g_per_t: Uncertain, unit: Unit) -> Uncertain:
    """A grade in another unit of mass fraction, by the exact size of the unit.

    Raises:
        BadInput: for a unit of another kind.
    """
    if unit.quantity != "mass fraction":
        raise BadInput.of(
            "conversion_impossible",
            x="g/t",
            unit=unit.symbol,
            kind="mass fraction",
            other=unit.quantity,
        )
    return grade_g_per_t * float(GRAM_PER_TONNE.size / unit.size)


class Determination(NamedTuple):
    """One assay of one charge.

    Attributes:
        name: names it.
        metal_mg: metal after blank and proofs, mg, signed.
        sample_g: mass of sample, g, of one basis for all determinations.
    """

    name: str
    metal_mg: Uncertain
    sample_g: Uncertain

    @property
    def g_per_t(self) -> Uncertain:
        """Its grade, g/t."""
        return grade(self.metal_mg, self.sample_g)


class Grade(NamedTuple):
    """The grade of a sample from its determinations.

    Attributes:
        g_per_t: ΣAu/ΣM of those shown, g/t.
        metal_mg, sample_g: ΣAu, mg, and ΣM, g.
        used: the determinations behind it.
        every: all that there are, left out ones too.
        left_out: names and reasons.
        mean_of_all, median_of_all: of the single grades of all, g/t.
        spread: s_r held against the model, g/t; None for one determination without history.
        scatter_rules: whether s_r exceeds what the model lets expect.
        agrees: whether the determinations lie as close together as their doubt lets expect.
        flags, assumptions: what a reader must know.
    """

    g_per_t: Uncertain
    metal_mg: float
    sample_g: float
    used: tuple[Determination, ...]
    every: tuple[Determination, ...]
    left_out: tuple[tuple[str, str], ...]
    mean_of_all: float
    median_of_all: float
    spread: Spread | None
    scatter_rules: bool
    agrees: bool
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]


def pooled_grade(
    sources: Sources,
    name: str,
    determinations: Sequence[Determination],
    *,
    left_out: Mapping[str, str] | None = None,
    spread: Spread | None = None,
) -> Grade:
    """Grade of a sample: ΣAu/ΣM with u² = max(s_r²/N, own model terms) + shared terms.

    Args:
        sources: the sources of doubt of the calculation.
        name: names the sample.
        determinations: all of them, in their order.
        left_out: reasons by name, for those not to be counted.
        spread: s_r pooled from the log's duplicates, g/t; left out, that of these, ν = N - 1.

    Raises:
        BadInput: for a name that is not there, a reason that is empty, or nothing left.

    Source: method version 1, section 4.
    """
    reasons = dict(left_out or {})
    used = _counted(determinations, reasons)
    metal: Uncertain = sum(one.metal_mg for one in used)
    mass: Uncertain = sum(one.sample_g for one in used)
    values = [one.g_per_t for one in used]
    every = [nominal(one.g_per_t) for one in determinations]
    mean = with_scatter(sources, f"determinations of {name}", grade(metal, mass), values, spread)
    apart = disagreement(sources, values, spread)
    shown = _left_out_said(len(used), determinations, reasons, average(every))
    return Grade(
        g_per_t=mean.result,
        metal_mg=nominal(metal),
        sample_g=nominal(mass),
        used=used,
        every=tuple(determinations),
        left_out=tuple(reasons.items()),
        mean_of_all=average(every),
        median_of_all=middle(every),
        spread=mean.spread,
        scatter_rules=mean.scatter_rules,
        agrees=not apart,
        flags=(*apart, *shown),
        assumptions=_spread_said(mean.spread, len(used), own=spread is None),
    )


def _counted(
    determinations: Sequence[Determination], reasons: Mapping[str, str]
) -> tuple[Determination, ...]:
    names = [one.name for one in determinations]
    for name, why in reasons.items():
        if name not in names:
            raise BadInput.of("left_out_unknown", x=quoted(name), choices=", ".join(names))
        if not why.strip():
            raise BadInput.of("left_out_no_reason", x=quoted(name))
    used = tuple(one for one in determinations if one.name not in reasons)
    if not used:
        raise BadInput.of("left_out_all")
    return used


def disagreement(
    sources: Sources,
    values: Sequence[Uncertain],
    spread: Spread | None = None,
    unit: str = "g/t",
) -> tuple[Flag, ...]:
    """The flag of replicates that lie too far apart; none where they agree.

    Two are held to |a - b| <= 1.96·u(a - b); more, to the range that so many stay within 95 times
    in 100, which for two is the same. u is the model's, or s_r of the log where that is larger.

    Source: method version 1, section 4; ISO 5725-6:1994, 4.2.3 for more than two (from memory).
    """
    if len(values) < 2:
        return ()
    numbers = [nominal(value) for value in values]
    low, high = min(numbers), max(numbers)
    log = 0.0 if spread is None else spread.value**2
    if len(values) == 2:
        model = variance(sources, values[0] - values[1])
        usual = DUPLICATE_FACTOR * max(model, 2 * log) ** 0.5
    else:
        own = max(own_variance(sources, values), log) ** 0.5
        usual = own * studentized_range_95(min(len(values), MOST_IN_TABLE), math.inf)
    if high - low <= usual * (1 + 1e-12):
        return ()
    return (
        flag(
            "determinations_disagree",
            a=write.short(low, 4),
            b=write.short(high, 4),
            unit=unit,
            d=write.short(high - low, 3),
            crit=write.significant(usual, 2),
        ),
    )


def _left_out_said(
    n: int, every: Sequence[Determination], reasons: Mapping[str, str], mean: float
) -> tuple[Flag, ...]:
    if not reasons:
        return ()
    return (
        flag(
            "n_of_N",
            n=n,
            N=len(every),
            mean=write.short(mean, 3),
            unit="g/t",
            list=f"{len(reasons)} ({', '.join(reasons)})",
            why="; ".join(dict.fromkeys(reasons.values())),
        ),
    )


def _spread_said(spread: Spread | None, n: int, *, own: bool) -> tuple[str, ...]:
    if spread is None:
        return (say("one_determination"),)
    s = write.significant(spread.value, 2)
    if own:
        return (say("spread_of_own", n=n, s=s, unit="g/t"),)
    of_log = say("spread_of_log", s=s, unit="g/t", dof=write.short(spread.dof, 3))
    return of_log, say("spread_alike")
