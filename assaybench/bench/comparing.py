"""Two grades of one log held against each other, and a grade against a cut-off; nothing is drawn.

What two grades share (proofs, the mean blank, the scale of a balance) is one source of the log's
calculation, so it cancels in their difference as it does in nature. Method version 1, section 7.
"""

from typing import NamedTuple

from assaybench.bench.result_parts import grade_of
from assaybench.bench.result_rows import Row
from assaybench.messages import BadInput
from assaybench.metrology import compare
from assaybench.metrology.compare import Difference
from assaybench.metrology.figure import Budget
from assaybench.metrology.freedom import one_sided_factor
from assaybench.metrology.special import t_cdf
from assaybench.metrology.uncertain import nominal, total
from assaybench.record.layers import Layers
from assaybench.record.results import Results


class Apart(NamedTuple):
    """The difference of two grades, first less second, g/t.

    Attributes:
        difference: with what both share taken into account.
        alone: U of the difference if nothing were shared, g/t.
        budget: where the doubt of the difference comes from.
    """

    difference: Difference
    alone: float
    budget: Budget


def apart(found: Results, one: Row, other: Row) -> Apart:
    """Two rows compared by their assays.

    Raises:
        BadInput: when one has no grade, or the two leave no doubt to judge by.
    """
    a, b = (None if row.sample is None else grade_of(row.sample) for row in (one, other))
    if a is None or b is None:
        raise BadInput.of("compare_no_grade", id=one.label if a is None else other.label)
    sources = found.sources
    own_a, own_b = sources.doubt(a), sources.doubt(b)
    doubt = sources.doubt(total((1, a), (-1, b)))
    try:
        known = compare.difference(
            nominal(a),
            own_a.u,
            nominal(b),
            own_b.u,
            covariance=sources.covariance(a, b),
            dof_a=own_a.dof,
            dof_b=own_b.dof,
        )
    except ValueError as reason:
        raise BadInput.of("runs_unusable", why=str(reason)) from reason
    # the degrees of freedom of the difference itself are known here, source by source
    p = 2 * t_cdf(-abs(known.value) / doubt.u, doubt.dof)
    exact = Difference(known.value, doubt.u, doubt.dof, doubt.k, known.en, p)
    alone = compare.difference(
        nominal(a), own_a.u, nominal(b), own_b.u, dof_a=own_a.dof, dof_b=own_b.dof
    )
    return Apart(exact, alone.k * alone.u, doubt.budget)


def times_too_wide(layers: Layers, cutoff_g_per_t: float) -> float:
    """By how much the ± would have to shrink for a cut-off to be decided; infinite at the grade.

    The widest layer known counts, as a symmetric doubt.
    """
    gap = abs(layers.result.value - cutoff_g_per_t)
    one_sided = one_sided_factor(layers.result.dof_widest) * layers.result.u_widest
    return one_sided / gap if gap else float("inf")
