"""Models of a balance and of detection: least mass, limits, factors, classes of check weights."""

import math
from collections.abc import Sequence
from fractions import Fraction

from assaybench.metrology.sight import Limits, limits
from assaybench.metrology.special import t_quantile
from assaybench.metrology.uncertain import Sources
from assaybench.metrology.weighing import Balance, Reading, weigh
from assaybench.metrology.weights import weight

ANY_AIM = 0.01
"""An aim where no least mass is asked for."""


def _limits(balance: Balance, aim: float = ANY_AIM) -> Limits:
    """Limits of one tared reading on a balance."""
    weighing = weigh(Sources(), balance, [Reading("load", Fraction(1), "1")])
    return limits(weighing, balance, aim)


def _balance_with(spread_mg: float, spread_dof: float = math.inf) -> Balance:
    """A balance whose repeatability rules: its division is no wider than its spread."""
    return Balance("balance", step_mg=spread_mg, spread_mg=spread_mg, spread_dof=spread_dof)


def least_mass_by_spread(*, spread_g: float, aim: float) -> dict[str, float | str]:
    """Least mass, g, of a balance whose repeatability is its only doubt; aim a share of one."""
    found = _limits(_balance_with(spread_g * 1000), aim).least_single
    return {"least_g": math.nan if found is None else found.mass_mg / 1000}


def least_mass_by_rounding(
    *, step_mg: float, spread_mg: float, aim: float
) -> dict[str, float | str]:
    """Least mass where the spread is below 0.41 d: in mg, and in divisions d."""
    found = _limits(Balance("balance", step_mg=step_mg, spread_mg=spread_mg), aim).least_single
    least = math.nan if found is None else found.mass_mg
    return {"least_mg": least, "least_divisions": least / step_mg}


def rounding_of_two_readings(*, step_mg: float) -> dict[str, float | str]:
    """u0 of a weighing whose repeatability was not measured, mg."""
    return {
        "u0_mg": weigh(
            Sources(), Balance("balance", step_mg), [Reading("load", Fraction(1), "1")]
        ).u0_mg
    }


def limits_of_net(*, spread: float, dof: float = math.inf) -> dict[str, float | str]:
    """L_C, L_D, L_Q of a net quantity with this spread, in its unit."""
    found = _limits(_balance_with(spread, dof))
    return {
        "L_C": found.critical_mg,
        "L_D": found.detection_mg,
        "L_Q": found.tenfold_mg,
    }


def limits_of_paired_blank(*, blank_spread: float) -> dict[str, float | str]:
    """L_C, L_D, L_Q of one observation less one blank, each with the spread of the blank."""
    return limits_of_net(spread=math.sqrt(2) * blank_spread)


def method_detection_factors(
    *, aliquots: Sequence[int] = (), pooled_dof: Sequence[int] = ()
) -> dict[str, float | str]:
    """Factors t(0.99, ν) of a method detection limit: ν = n - 1, or the ν of a pooled spread.

    The results are numbered: a changed input must change a result, not its name.
    """
    factors = [t_quantile(0.99, n - 1) for n in aliquots]
    factors += [t_quantile(0.99, dof) for dof in pooled_dof]
    return {f"factor {i}": factor for i, factor in enumerate(factors, 1)}


def permissible_errors(
    *, weight_class: Sequence[str], nominal_mg: Sequence[float]
) -> dict[str, float | str]:
    """Maximum permissible errors of check weights, mg, by class and nominal mass."""
    found = [weight(c, mg) for c, mg in zip(weight_class, nominal_mg, strict=True)]
    return {f"{w.label} mpe_mg": float(w.mpe_mg) for w in found}
