"""One weighing: readings of one object on one balance in one session, and the zeros around it.

Method version 1, section 1. Masses are in milligrams.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from typing import NamedTuple

from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.ranges import studentized_range_95
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, ratio, total
from assaybench.units import write
from assaybench.units.table import MILLIGRAM, Unit

ROUNDING_FLOOR = 0.41
"""USP <41>: a spread below 0.41 d is replaced by 0.41 d, the rounding of two readings."""
ENOUGH_SPREAD = 0.6
"""From s = 0.6 d on, repeats average; below, rounding errors repeat themselves."""
MOST_REPEATS = 20
_ROOT_TWO = math.sqrt(2)


@dataclass(frozen=True)
class Balance:
    """What is known of a balance in one range of it.

    Attributes:
        name: how people call it; names its shared sources of doubt.
        step_mg: readability d, one division of the display, mg.
        spread_mg: repeatability s, standard deviation of one net weighing as displayed; None when
            it was not measured.
        spread_dof: degrees of freedom of s: its count less one.
        linearity_mg: linearity limit ±a, mg.
        linearity_readings: how often it enters a net weighing: 2 when gross and tare are both on
            the pan, 1 when the balance is zeroed empty, 0 with a check weight near the net.
        zero_residue_mg: declared residue ±z common to the session, mg.
        calibration: relative standard uncertainty of the scale, one for balance and adjustment;
            None when it was not verified.
        reference: the check weight that the scale rests on; empty where it was declared.
        u_reference: the part of `calibration` that is the mass of that weight; balances that rest
            on one weight share it.
        zero_pairs: pairs of zeros of the log that the spread was taken from; 0 where it was stated.
    """

    name: str
    step_mg: float
    spread_mg: float | None = None
    spread_dof: float = math.inf
    linearity_mg: float = 0.0
    linearity_readings: int = 1
    zero_residue_mg: float = 0.0
    calibration: float | None = None
    reference: str = ""
    u_reference: float = 0.0
    zero_pairs: int = 0

    def __hash__(self) -> int:
        # equal balances have one name; a hash of all its fields is slow, and asked for often
        return hash(self.name)

    @cached_property
    def least_spread_mg(self) -> float:
        """max(s, 0.41 d), or d/√6 where s was not measured: a lower bound."""
        if self.spread_mg is None:
            return self.step_mg / math.sqrt(6)
        return max(self.spread_mg, ROUNDING_FLOOR * self.step_mg)

    @cached_property
    def u_reading_mg(self) -> float:
        """The same of one reading, mg: a net weighing has two."""
        return self.least_spread_mg / _ROOT_TWO

    @cached_property
    def u_linearity_mg(self) -> float:
        """√(n·a²/3) for the n readings that the linearity limit ±a enters, mg."""
        return self.linearity_mg * math.sqrt(self.linearity_readings / 3)

    @cached_property
    def u_shared_mg(self) -> float:
        """Linearity and zero residue together, mg: common to a session, repeats leave it."""
        return math.hypot(self.u_linearity_mg, self.zero_residue_mg / math.sqrt(3))

    @cached_property
    def averages(self) -> bool:
        """Whether repeats help: s is measured and at least 0.6 d."""
        return self.spread_mg is not None and self.spread_mg >= ENOUGH_SPREAD * self.step_mg

    @cached_property
    def spread_name(self) -> str:
        """Names the one spread behind all its readings."""
        return f"spread of {self.name}"

    @cached_property
    def scales(self) -> tuple[tuple[str, float], ...]:
        """Names the relative error of its scale, with its u: its own, and what its weight brings.

        A balance described anew has another scale, which is another source.
        """
        whole = self.calibration or 0.0
        if not self.reference:
            return ((f"calibration of {self.name}, {whole}", whole),)
        own = math.sqrt(max(whole**2 - self.u_reference**2, 0.0))
        return (
            (f"scale of {self.name} against {self.reference}, {own}", own),
            (f"mass of check weight {self.reference}, {self.u_reference}", self.u_reference),
        )

    @cached_property
    def dof(self) -> float:
        """ν behind the spread in use; infinite where rounding rules or s was not measured."""
        if self.spread_mg is None or self.spread_mg < ROUNDING_FLOOR * self.step_mg:
            return math.inf
        return self.spread_dof


class Reading(NamedTuple):
    """One displayed value.

    Attributes:
        name: names the reading, so that a zero shared by two weighings is one variable.
        mg: the displayed value, exactly.
        text: as displayed.
        last_place_mg: what one in the last displayed place is worth; None when not known.
    """

    name: str
    mg: Fraction
    text: str
    last_place_mg: Fraction | None = None


class Weighing(NamedTuple):
    """A net mass with what its doubt is made of.

    Attributes:
        net: the mass, mg, as an uncertain number.
        loads, zeros: the readings it is made of.
        u0_mg: standard uncertainty from spread and rounding alone, mg.
        u_shared_mg: from linearity, zero residue and drift of the zero, mg; repeats leave it.
        dof: degrees of freedom of u0.
        agrees: whether repeats lie as close together as their spread lets expect.
        flags: what a reader must know.
    """

    net: Uncertain
    loads: tuple[Reading, ...]
    zeros: tuple[Reading, ...]
    u0_mg: float
    u_shared_mg: float
    dof: float
    agrees: bool
    flags: tuple[Flag, ...]

    @property
    def net_mg(self) -> float:
        """The net mass as read, mg."""
        return nominal(self.net)


def mean(readings: Sequence[Reading]) -> Fraction:
    """Exact mean of displayed values, mg; an empty sequence is a zero taken as 0."""
    if len(readings) == 1:
        return readings[0].mg
    return sum((r.mg for r in readings), Fraction(0)) / max(len(readings), 1)


def u0(balance: Balance, loads: int, zeros: int) -> float:
    """u0 of a net weighing, mg, from spread and rounding.

    Args:
        balance: the balance.
        loads: n_L, load readings of the object.
        zeros: n_Z, zero readings; a tared weighing without a recorded zero counts one.
    """
    spread = balance.least_spread_mg
    return spread * math.sqrt((1 / loads + 1 / zeros) / 2) if balance.averages else spread


def weigh(
    sources: Sources,
    balance: Balance,
    loads: Sequence[Reading],
    zeros: Sequence[Reading] = (),
    of: str = "",
) -> Weighing:
    """The net mass of one object: mean of its loads less mean of its zeros.

    Args:
        sources: the sources of doubt of the calculation; shared ones are found again in it.
        balance: the balance, in the range used.
        loads: one or more readings of the object.
        zeros: zero readings before and after; none means tared, the zero counts as 0 and its
            rounding stays.
        of: what is weighed, which leads its rows of a budget; empty where only one thing is. Rows
            of zeros are led by the balance.

    Raises:
        ValueError: for no load reading, or more than 20.
    """
    if not 1 <= len(loads) <= MOST_REPEATS:
        raise ValueError(f"a weighing has 1 to {MOST_REPEATS} readings of its object")
    led = f"{of}: " if of else ""
    # a zero is of its balance: it may serve several things, whichever is weighed out first
    zero_led = f"{balance.name}: " if of else ""
    own = _mean_variable(sources, balance, loads, f"{led}readings of the load")
    if zeros:
        zero = _mean_variable(sources, balance, zeros, f"{zero_led}readings of the zero")
    else:
        zero = _variable(
            sources, balance, f"tared zero of {loads[0].name}", 0.0, f"{led}zero, tared"
        )
    drift_mg, moved = _zero_drift(balance, zeros)
    terms: list[tuple[float, Uncertain]] = [(1, own), (-1, zero)]
    if balance.u_shared_mg:
        shared = _shared_terms(sources, balance, nominal(own) - nominal(zero))
        terms += [(1, term) for term in shared]
    if drift_mg:
        name = f"drift of {' and '.join(z.name for z in zeros)}"
        row = f"{zero_led}zero that moved"
        terms.append((1, sources.variable(name, 0.0, drift_mg, row=row)))
    if balance.calibration:
        as_read = nominal(own) - nominal(zero)
        for name, u in balance.scales:
            terms.append((as_read, sources.variable(name, 0.0, u, row="calibration")))
    return Weighing(
        net=total(*terms),
        loads=tuple(loads),
        zeros=tuple(zeros),
        u0_mg=u0(balance, len(loads), len(zeros) or 1),
        u_shared_mg=math.hypot(balance.u_shared_mg, drift_mg),
        dof=balance.dof,
        agrees=_agrees(balance, loads),
        flags=(*_reading_flags(balance, loads), *_reading_flags(balance, zeros), *moved),
    )


def _mean_variable(
    sources: Sources, balance: Balance, readings: Sequence[Reading], row: str
) -> Uncertain:
    """Mean of readings: one variable for each reading where repeats average, else one for all."""
    if len(readings) == 1:
        return _variable(sources, balance, readings[0].name, _as_float(readings[0].mg), row)
    if not balance.averages:
        name = " and ".join([r.name for r in readings])
        return _variable(sources, balance, name, _as_float(mean(readings)), row)
    parts = [_variable(sources, balance, r.name, _as_float(r.mg), row) for r in readings]
    return ratio([(1, part) for part in parts], len(parts))


def _variable(sources: Sources, balance: Balance, name: str, mg: float, row: str) -> Uncertain:
    """One displayed value, mg: its doubt is half of what a load less a zero has."""
    return sources.variable(
        name, mg, balance.u_reading_mg, dof=balance.dof, row=row, spread=balance.spread_name
    )


def _as_float(number: Fraction) -> float:
    """What `float` gives, in a third of the time."""
    over, under = number.as_integer_ratio()
    return over / under


def _shared_terms(sources: Sources, balance: Balance, net_mg: float) -> list[Uncertain]:
    """Linearity and residue of the zero, of value 0 mg, as far as they are known.

    The linearity is one variable for balance and load range of a factor two: it does not average
    over replicates and nearly cancels between like beads.
    """
    found = []
    if balance.u_linearity_mg:
        load_range = math.floor(math.log2(abs(net_mg))) if net_mg else 0
        name = f"linearity of {balance.name}, {balance.u_linearity_mg} mg, range {load_range}"
        found.append(sources.variable(name, 0.0, balance.u_linearity_mg, row="linearity"))
    if balance.zero_residue_mg:
        u = balance.zero_residue_mg / math.sqrt(3)
        name = f"zero residue of {balance.name}, {u} mg"
        found.append(sources.variable(name, 0.0, u, row="residue of the zero"))
    return found


def _zero_drift(balance: Balance, zeros: Sequence[Reading]) -> tuple[float, tuple[Flag, ...]]:
    """Standard uncertainty of a zero that moved between first and last, |Z2 - Z1|/√12, mg.

    Nothing while the two lie within 2.77·s/√2 of each other.
    """
    if len(zeros) < 2:
        return 0.0, ()
    apart = abs(float(zeros[-1].mg - zeros[0].mg))
    usual = 2.77 * balance.least_spread_mg / math.sqrt(2)
    if apart <= usual:
        return 0.0, ()
    sentence = flag("zero_moved", r=write.short(apart), crit=write.significant(usual, 2), unit="mg")
    return apart / math.sqrt(12), (sentence,)


def usual_range_mg(balance: Balance, n: int) -> float:
    """The range that n repeats of one load on one zero stay within 95 times in 100, mg.

    max(q(0.95; n, ν)·s/√2, 1 d); ISO 5725-6:1994, 4.2.3 (critical range; from memory).
    """
    q = studentized_range_95(n, balance.dof)
    return max(q * balance.least_spread_mg / math.sqrt(2), balance.step_mg)


def range_mg(readings: Sequence[Reading]) -> float:
    """Largest less smallest reading, mg."""
    return float(max(r.mg for r in readings) - min(r.mg for r in readings))


def _agrees(balance: Balance, loads: Sequence[Reading]) -> bool:
    """Whether repeats lie as close together as the spread of the balance lets expect."""
    return len(loads) < 2 or range_mg(loads) <= usual_range_mg(balance, len(loads)) * (1 + 1e-12)


def disagreement(weighing: Weighing, balance: Balance, unit: Unit = MILLIGRAM) -> Flag:
    """The sentence on repeats that lie too far apart, in a unit."""
    per_mg, loads = float(MILLIGRAM.size / unit.size), weighing.loads
    return flag(
        "readings_disagree",
        n=len(loads),
        r=write.short(range_mg(loads) * per_mg),
        crit=write.significant(usual_range_mg(balance, len(loads)) * per_mg, 2),
        unit=unit.symbol,
    )


@cache
def _exact_step(step_mg: float) -> Fraction:
    """A step as the decimal number that was typed."""
    return Fraction(write.decimal_of(step_mg))


def shows(balance: Balance, mg: Fraction) -> bool:
    """Whether the display can show a value, mg: a whole number of its steps."""
    step = _exact_step(balance.step_mg)
    step_over, step_under = step.as_integer_ratio()
    over, under = mg.as_integer_ratio()
    if over * step_under % (under * step_over) == 0:
        return True  # as almost always: no fraction need be made
    divisions = mg / step
    return abs(divisions - round(divisions)) <= abs(divisions) / 10**9


def _reading_flags(balance: Balance, readings: Sequence[Reading]) -> tuple[Flag, ...]:
    if not readings or (len(readings) == 1 and shows(balance, readings[0].mg)):
        return ()  # as almost always
    return tuple(
        [
            flag("digit_not_shown", text=r.text, d=f"{write.short(balance.step_mg)} mg")
            for r in readings
            if not shows(balance, r.mg)
        ]
    )
