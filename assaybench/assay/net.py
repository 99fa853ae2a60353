"""A metal with the blanks of its reagents taken off, and the verdict on what is left.

Method version 1, section 2. Masses in milligrams. The signed mean blank is always taken off, never
only when it is positive; what is left stays signed.
"""

import math
from collections.abc import Sequence
from functools import partial
from typing import NamedTuple

from assaybench.assay.blanks import Line, Use, blank_in, lines, remarks
from assaybench.assay.levels import Levels, levels
from assaybench.messages import say
from assaybench.metrology import sight
from assaybench.metrology.figure import Flag, Verdict, flag
from assaybench.metrology.uncertain import Doubt, Sources, Uncertain, nominal, total
from assaybench.metrology.weighing import Weighing
from assaybench.units import write

BEYOND_NOISE = 3.0
"""A result below zero by more than 3u is no noise: the calculation is refused."""


def noise(doubt: Doubt) -> float:
    """How far below zero a result may be read and still be noise, in its unit: max(3u, U).

    U exceeds 3u for ν below 4 only; a result whose own 95 % interval holds zero is never refused.
    """
    return max(BEYOND_NOISE, doubt.k) * doubt.u


WORDS = {
    "like_the_blank": "like the blank",
    "above_the_blank": "above the blank",
    "above_the_blank_rough": "above the blank",
    "blank_not_run": "blank not run",
    "far_below_blank": "below zero",
    "below_zero": "below zero",
    "blank_below_zero": "blank below zero",
    "not_detected": "not detected",
}
REFUSED = frozenset({"far_below_blank", "below_zero"})
_BARE = REFUSED | {"blank_not_run"}
"""Verdicts that stand without `at best`."""


class Mass(NamedTuple):
    """A net mass and the spread of the weighings behind it.

    Attributes:
        mg: the mass, mg, as an uncertain number.
        u0s_mg: u0 of each weighing behind it: one for beads weighed together, one for each bead
            weighed alone and summed.
        dof: degrees of freedom of u0.
        spread_known: whether the repeatability was measured; without it a verdict is "at best".
        weighings: what it was weighed by, for the last place that was displayed.
    """

    mg: Uncertain
    u0s_mg: tuple[float, ...]
    dof: float = math.inf
    spread_known: bool = True
    weighings: tuple[Weighing, ...] = ()

    @property
    def finest(self) -> int | None:
        """Decimal exponent of the last displayed place, mg; None where it is not known."""
        places = [sight.finest_place(weighing) for weighing in self.weighings]
        known = [place for place in places if place is not None]
        return min(known) if known and len(known) == len(places) else None

    @property
    def shown(self) -> str:
        """The mass as read, mg, to its last displayed place."""
        value, finest = nominal(self.mg), self.finest
        return write.short(value, 7) if finest is None else write.at_place(value, finest)


def mass_of(weighings: Sequence[Weighing], *, spread_known: bool = True) -> Mass:
    """The mass of one weighing, or the sum of several, mg.

    Args:
        weighings: beads weighed together are one weighing.
        spread_known: whether the repeatability of every balance used was measured.

    Raises:
        ValueError: for no weighing.
    """
    if not weighings:
        raise ValueError("a mass needs one weighing at least")
    if len(weighings) == 1:
        one = weighings[0]
        return Mass(one.net, (one.u0_mg,), one.dof, spread_known, (one,))
    mg = sum((w.net for w in weighings[1:]), start=weighings[0].net)
    u0s, dof = tuple(w.u0_mg for w in weighings), min(w.dof for w in weighings)
    return Mass(mg, u0s, dof, spread_known, tuple(weighings))


class Net(NamedTuple):
    """A metal with the blanks of its reagents taken off.

    Attributes:
        name: what it is the metal of.
        mg: y, signed, as an uncertain number.
        read_mg: the mass before the blank.
        blank_mg: Σq·b̄, what was taken off.
        u0s_mg, uses, u0_dof: what `levels` of several such masses together needs.
        levels: L_C, L_D, L_Q, mg.
        verdict: like the blank, above the blank, blank not run, or below zero.
        refusal: why no figure may follow from it, or None.
        flags, assumptions: what a reader must know.
    """

    name: str
    mg: Uncertain
    read_mg: float
    blank_mg: float
    u0s_mg: tuple[float, ...]
    uses: tuple[Use, ...]
    u0_dof: float
    levels: Levels
    verdict: Verdict
    refusal: Flag | None
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]

    @property
    def lines(self) -> tuple[Line, ...]:
        """The blank sum, line by line."""
        return lines(self.uses)


def net_of_blank(
    sources: Sources,
    name: str,
    mass: Mass,
    uses: Sequence[Use],
    *,
    taken_off: Uncertain = 0.0,
) -> Net:
    """y = m - Σq_i·b̄, mg, with its verdict.

    Args:
        sources: the sources of doubt of the calculation.
        name: what it is the metal of.
        mass: the mass before the blank.
        uses: reagents of the charges, with their blanks.
        taken_off: what else was put in, mg; its doubt is there without any metal and widens σ0.

    Source: method version 1, section 2.
    """
    blank = blank_in(sources, uses)
    y = total((1, mass.mg), (-1, taken_off), (-1, blank))
    put_in = sources.doubt(taken_off)
    others = [(put_in.u, put_in.dof)] if put_in.u else []
    found = levels(mass.u0s_mg, uses, u0_dof=mass.dof, others=others)
    flags, assumptions = remarks(uses)
    verdict = verdict_of(
        sources,
        y,
        mass,
        found,
        blank_run=any(use.blank.n for use in uses),
        prefix="" if mass.spread_known else "at best:",
    )
    refusal = _below_zero(sources, uses)
    if refusal is not None:
        verdict = Verdict(refusal.code, WORDS[refusal.code], refusal.text)
    elif verdict.code in REFUSED:
        refusal = Flag(verdict.code, verdict.reason)
    return Net(
        name=name,
        mg=y,
        read_mg=nominal(mass.mg),
        blank_mg=nominal(blank),
        u0s_mg=mass.u0s_mg,
        uses=tuple(uses),
        u0_dof=mass.dof,
        levels=found,
        verdict=verdict,
        refusal=refusal,
        flags=flags,
        assumptions=assumptions,
    )


def _below_zero(sources: Sources, uses: Sequence[Use]) -> Flag | None:
    """Why no figure follows from a blank that lies below zero beyond noise; None without one."""
    for use in uses:
        mean = use.blank.mean_mg
        if nominal(mean) < 0 and 0 < noise(sources.doubt(mean)) < -nominal(mean):
            return flag("blank_below_zero", b=write.short(nominal(mean), 3))
    return None


def levels_of(nets: Sequence[Net]) -> Levels:
    """L_C, L_D and L_Q of the sum of several masses after their blanks, mg."""
    return levels(
        [u for net in nets for u in net.u0s_mg],
        [use for net in nets for use in net.uses],
        u0_dof=min((net.u0_dof for net in nets), default=math.inf),
    )


def verdict_of(
    sources: Sources,
    y: Uncertain,
    mass: Mass,
    found: Levels,
    *,
    blank_run: bool,
    prefix: str = "",
) -> Verdict:
    """The verdict on a metal after its blank, in words."""
    doubt = sources.doubt(y)
    value = nominal(y)
    if value < -noise(doubt):
        code = "far_below_blank" if blank_run else "below_zero"
    elif value < found.critical:
        code = "like_the_blank" if blank_run else "not_detected"
    elif not blank_run:
        code = "blank_not_run"
    else:
        code = "above_the_blank" if value >= found.tenfold else "above_the_blank_rough"
    reason = partial(_reason, code, value, doubt, mass, found, blank_run=blank_run)
    return Verdict(code, WORDS[code], reason, "" if code in _BARE else prefix)


def _reason(
    code: str, value: float, doubt: Doubt, mass: Mass, found: Levels, *, blank_run: bool
) -> str:
    """The sentences of a verdict with its numbers, mg."""
    shown, expanded = write.short(value), ""
    if doubt.u:
        shown, expanded = write.value_and_expanded(value, doubt.k * doubt.u)
    return say(
        code,
        y=shown,
        U=expanded,
        m=mass.shown if blank_run else shown,
        unit="mg",
        grade="",
        LD=write.significant(found.detection, 2),
        tenfold=write.significant(found.tenfold, 2),
    )
