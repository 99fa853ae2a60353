"""Degrees of freedom and coverage factors."""

import math
from collections.abc import Iterable
from functools import cache

from assaybench.metrology.special import detection_factor, t_quantile

WELL_KNOWN = 60


def welch_satterthwaite(terms: Iterable[tuple[float, float]]) -> float:
    """Effective degrees of freedom of a combined uncertainty: u_c⁴ / Σ(u_i⁴/ν_i), not floored.

    Args:
        terms: pairs of u_i (any unit, all the same) and ν_i. Terms that share one estimated
            spread must have been summed into one before.

    Returns:
        ν_eff; infinite when every term is well known.

    Source: GUM (JCGM 100:2008) G.4.1, equation (G.2b).
    """
    squares = [(u * u, dof) for u, dof in terms]
    return effective(
        math.fsum([square for square, _ in squares]),
        [(square, dof) for square, dof in squares if dof != math.inf],
    )


def effective(variance: float, parts: Iterable[tuple[float, float]]) -> float:
    """The same from u_c² and from u_i² and ν_i of those terms alone that are not well known."""
    lower = math.fsum([part * part / dof for part, dof in parts])
    return variance * variance / lower if lower > 0 else math.inf


def coverage_factor(dof: float) -> float:
    """k for 95 %: t(0.975, ⌊ν⌋), and 2 from 60 degrees of freedom on.

    Args:
        dof: effective degrees of freedom, above zero; below 1 it is taken as it is, since flooring
            it would leave none.

    Source: GUM G.4.1 (truncate ν_eff to the next lower integer) and G.6.6 (k = 2 when ν_eff is of
    significant size; from memory).
    """
    whole = floored(dof)
    return 2.0 if whole >= WELL_KNOWN else _t(0.975, whole)


def one_sided_factor(dof: float) -> float:
    """t(0.95, ν), for decisions in one direction; ν floored as in `coverage_factor`."""
    return _t(0.95, floored(dof))


@cache
def detection_limit_factor(dof: float) -> float:
    """δ(ν) of L_D = δ·σ0 at 5 % and 5 %: it takes milliseconds, and a run asks for the same few."""
    return detection_factor(dof)


def exceeds(value: float, u: float, dof: float) -> bool:
    """Whether a value reaches t(0.95, ν)·u, in the unit of both.

    t falls as ν grows. It is worked out for this ν only where its values at the powers of two
    around ν, which a run shares, leave the question open.
    """
    if 1 <= dof < math.inf:
        below = 2.0 ** math.floor(math.log2(floored(dof)))
        if value >= _t(0.95, below) * u:
            return True
        if value < _t(0.95, 2 * below) * u:
            return False
    return value >= one_sided_factor(dof) * u


def floored(dof: float) -> float:
    """ν truncated to a whole number (GUM G.4.1); rounding of a sum costs no degree of freedom."""
    return math.floor(dof * (1 + 1e-9)) if 1 <= dof < math.inf else dof


_t = cache(t_quantile)
"""A run asks for the same few quantiles again and again."""
