"""What a balance can see: critical level, detection limit, least mass, and the verdict in words.

Method version 1, section 2. Masses in milligrams. Sources: L. A. Currie, Anal. Chem. 40 (1968) 586
and IUPAC recommendations 1995; ISO 11843-1 and -2; USP <41> (least mass by repeatability); JCGM
200:2012 (VIM) 2.34 for the aim, a target measurement uncertainty (citations from memory).
"""

import math
from fractions import Fraction
from functools import lru_cache, partial
from typing import NamedTuple

from assaybench.messages import say
from assaybench.metrology.figure import Figure, Verdict, measured, not_determinable
from assaybench.metrology.freedom import (
    coverage_factor,
    detection_limit_factor,
    one_sided_factor,
    welch_satterthwaite,
)
from assaybench.metrology.uncertain import Doubt
from assaybench.metrology.weighing import Balance, Weighing, disagreement, u0
from assaybench.units import write
from assaybench.units.table import MILLIGRAM, Unit

TENFOLD = 10
"""L_Q = 10·σ0: the mass whose relative standard uncertainty is 10 % (Currie 1968)."""
MOST_SUGGESTED_REPEATS = 10
_MOST_STEPS = 12
_ENDLESS = 1e15

WORDS = {
    "not_detected": "not detected",
    "detected_rough": "detected, rough",
    "wider_than_aim": "wider than aim",
    "aim_not_shown": "aim not shown",
    "within_aim": "within aim",
    "readings_disagree": "no mean taken",
    "below_zero": "below zero",
}


class Limits(NamedTuple):
    """What one weighing like this can tell.

    Attributes:
        critical_mg: L_C; a net below it cannot be told from zero.
        detection_mg: L_D; a mass that is detected 95 times in 100.
        tenfold_mg: L_Q = 10·σ0; below it a figure is rough.
        least: least mass within the aim for a weighing like this one; None when no mass can.
        least_single: the same for one reading and one zero.
    """

    critical_mg: float
    detection_mg: float
    tenfold_mg: float
    least: "Least | None"
    least_single: "Least | None"


def doubt_of(balance: Balance, u0_mg: float, u_shared_mg: float) -> tuple[float, float]:
    """u_c in mg, without the calibration, and its k for 95 %.

    Args:
        balance: gives ν of u0.
        u0_mg, u_shared_mg: spread with rounding; linearity, zero residue and drift.
    """
    dof = welch_satterthwaite([(u0_mg, balance.dof), (u_shared_mg, math.inf)])
    return math.hypot(u0_mg, u_shared_mg), coverage_factor(dof)


def least_mass(aim: float, balance: Balance, u_c_mg: float, k: float) -> float | None:
    """m_min = k·u_c/√(p² - k²·u_rel²), mg; None when the calibration alone exceeds the aim.

    Args:
        aim: target relative expanded uncertainty p, as a share of one.
        balance: gives u_rel; a calibration that was not verified counts 0 here.
        u_c_mg: doubt without calibration.
        k: coverage factor.

    Source: USP <41> is the case u_c = s, u_rel = 0, k = 2, p = 0.10 %: 2000 s.
    """
    room = aim**2 - (k * (balance.calibration or 0.0)) ** 2
    return k * u_c_mg / math.sqrt(room) if room > 0 else None


class Least(NamedTuple):
    """The least mass within an aim, mg, and the coverage factor that holds there."""

    mass_mg: float
    k: float


def least(aim: float, balance: Balance, u0_mg: float, u_shared_mg: float) -> Least | None:
    """m_min with the k that holds at that mass; None when the calibration exceeds the aim.

    The calibration is well known and grows with the mass, so that k falls: from the k without it
    the least mass is stepped down as long as k at the new mass does not exceed the one used.
    """
    u_c, k = doubt_of(balance, u0_mg, u_shared_mg)
    found: Least | None = None
    for _ in range(_MOST_STEPS):
        mass = least_mass(aim, balance, u_c, k)
        if mass is not None and _factor_at(balance, u0_mg, u_shared_mg, mass) <= k:
            found = Least(mass, k)
        at = _ENDLESS if mass is None else mass
        lower = _factor_at(balance, u0_mg, u_shared_mg, at)
        if lower >= k:
            break
        k = lower
    return found


def _factor_at(balance: Balance, u0_mg: float, u_shared_mg: float, mass_mg: float) -> float:
    """k of a mass, its calibration among the well-known terms."""
    known = math.hypot(u_shared_mg, mass_mg * (balance.calibration or 0.0))
    return coverage_factor(welch_satterthwaite([(u0_mg, balance.dof), (known, math.inf)]))


def relative_expanded(mass_mg: float, balance: Balance, times: int) -> float:
    """U/m of a mass weighed so many times, each with its own zero, as a share of one."""
    spread, shared = u0(balance, times, times), balance.u_shared_mg
    k = _factor_at(balance, spread, shared, mass_mg)
    return k * math.hypot(spread / mass_mg, shared / mass_mg, balance.calibration or 0.0)


def limits(weighing: Weighing, balance: Balance, aim: float) -> Limits:
    """Critical level, detection limit, tenfold spread and least mass of a weighing."""
    return _limits(balance, aim, weighing.u0_mg, weighing.dof, weighing.u_shared_mg)


@lru_cache(maxsize=256)
def _limits(
    balance: Balance, aim: float, sigma_mg: float, dof: float, u_shared_mg: float
) -> Limits:
    """The limits of every weighing like this one: most of a run are alike."""
    return Limits(
        critical_mg=one_sided_factor(dof) * sigma_mg,
        detection_mg=detection_limit_factor(dof) * sigma_mg,
        tenfold_mg=TENFOLD * sigma_mg,
        least=least(aim, balance, sigma_mg, u_shared_mg),
        least_single=least(aim, balance, u0(balance, 1, 1), balance.u_shared_mg),
    )


def repeats_for_aim(mass_mg: float, balance: Balance, aim: float) -> int | None:
    """How many weighings of the object, each with its zero, bring ±U within the aim.

    None when ten would not do, or repeats do not help (s not measured, or below 0.6 d).
    """
    if not balance.averages or mass_mg <= 0:
        return None
    for times in range(2, MOST_SUGGESTED_REPEATS + 1):
        if relative_expanded(mass_mg, balance, times) <= aim:
            return times
    return None


def useful_repeats(weighing: Weighing, balance: Balance, aim: float) -> tuple[int, float] | None:
    """How many weighings would bring a weighing within the aim, and its U/m then, a share of one.

    None when none would, or it has as many readings already.
    """
    times = repeats_for_aim(weighing.net_mg, balance, aim)
    if times is None or times <= len(weighing.loads):
        return None
    return times, relative_expanded(weighing.net_mg, balance, times)


def code_of(mass_mg: float, u_mg: float, limits: Limits, *, spread_known: bool) -> str:
    """The code of the verdict, tested in the order of the method; the first failure decides.

    Args:
        mass_mg: net mass as read.
        u_mg: its standard uncertainty.
        limits: of this weighing.
        spread_known: whether the repeatability was measured; without it `within aim` is not given.
    """
    if mass_mg < -3 * u_mg:
        return "below_zero"
    if mass_mg < limits.critical_mg:
        return "not_detected"
    if mass_mg < limits.tenfold_mg:
        return "detected_rough"
    if limits.least is None or mass_mg < limits.least.mass_mg:
        return "wider_than_aim"
    return "within_aim" if spread_known else "aim_not_shown"


def verdict(
    weighing: Weighing,
    balance: Balance,
    aim: float,
    doubt: Doubt,
    *,
    unit: Unit = MILLIGRAM,
    grade: str = "",
) -> tuple[Verdict, Limits]:
    """The verdict on a weighing in words, with its limits.

    Args:
        weighing: the weighing.
        balance: the balance it was made on.
        aim: target relative expanded uncertainty p, a share of one.
        doubt: of the net mass, in mg.
        unit: the unit the sentences are written in.
        grade: what L_D would be as a grade, written out in brackets with a blank before it.
    """
    found = limits(weighing, balance, aim)
    known = balance.spread_mg is not None
    mass_mg = weighing.net_mg
    code = code_of(mass_mg, doubt.u, found, spread_known=known)
    if code == "wider_than_aim" and doubt.k * doubt.u <= aim * mass_mg:
        code = "within_aim" if known else "aim_not_shown"
    if not weighing.agrees:
        code = "readings_disagree"
    reason = partial(_reason, code, weighing, balance, aim, doubt, found, unit, grade)
    at_best = not known and code in {"not_detected", "detected_rough", "wider_than_aim"}
    return Verdict(code, WORDS[code], reason, "at best:" if at_best else ""), found


def _reason(
    code: str,
    weighing: Weighing,
    balance: Balance,
    aim: float,
    doubt: Doubt,
    found: Limits,
    unit: Unit,
    grade: str,
) -> str:
    if code == "readings_disagree":
        return disagreement(weighing, balance, unit).text
    per_mg = float(MILLIGRAM.size / unit.size)
    mass, expanded = weighing.net_mg, doubt.k * doubt.u
    shown, wide = write.value_and_expanded(
        mass * per_mg, expanded * per_mg, finest=finest_place(weighing, unit)
    )
    needed = found.least_single
    if code == "wider_than_aim" and needed is not None:
        code = "bead_too_light" if needed.mass_mg > mass else "wider_zero_moved"
    pct = write.percent(expanded / mass) if mass > 0 else ""
    fields = {"m": shown, "U": wide, "unit": unit.symbol, "pct": pct, "grade": grade}
    fields["aim"] = write.short(aim * 100)
    match code:
        case "bead_too_light":
            fields["div"] = write.short(mass / balance.step_mg, 4)
            mass_needed = needed.mass_mg if needed is not None else 0.0
            fields["need"] = write.significant_up(mass_needed * per_mg, 2)
        case "wider_than_aim":
            alone = coverage_factor(math.inf) * (balance.calibration or 0.0)
            fields["cal"] = write.percent(alone)
        case "not_detected":
            fields["LD"] = write.significant(found.detection_mg * per_mg, 2)
        case "detected_rough":
            fields["tenfold"] = write.significant(found.tenfold_mg * per_mg, 2)
    return say(code, **fields)


def figure(weighing: Weighing, doubt: Doubt, unit: Unit = MILLIGRAM) -> Figure:
    """A weighing as a figure: the net mass as read, in a unit.

    Args:
        weighing: the weighing.
        doubt: of the net mass, in mg.
        unit: the unit of the figure.
    """
    per_mg = float(MILLIGRAM.size / unit.size)
    return measured(
        weighing.net_mg * per_mg,
        doubt.u * per_mg,
        unit.symbol,
        k=doubt.k,
        dof=doubt.dof,
        basis="as read",
        finest=finest_place(weighing, unit),
    )


def no_figure(judged: Verdict, unit: Unit = MILLIGRAM) -> Figure:
    """A weighing whose readings disagree, with the first line of its verdict as the reason."""
    return not_determinable(unit.symbol, judged.reason.split("\n")[0], layer="weighing")


def finest_place(weighing: Weighing, unit: Unit = MILLIGRAM) -> int | None:
    """Decimal exponent of the last place worth printing in a unit.

    The last displayed place of the readings, one more for a mean of several; None where that is
    not known or is no power of ten in the unit.
    """
    places = [r.last_place_mg for r in (*weighing.loads, *weighing.zeros)]
    known = [place for place in places if place is not None]
    if not known or len(known) < len(places):
        return None
    exponent = _power_of_ten(min(known) * (MILLIGRAM.size / unit.size))
    if exponent is None:
        return None
    return exponent - (1 if len(weighing.loads) > 1 else 0)


def _power_of_ten(number: Fraction) -> int | None:
    exponent = round(math.log10(number))
    return exponent if Fraction(10) ** exponent == number else None
