"""Replicates: which part of their doubt is their own, and how their scatter enters a mean.

Method version 1, section 4: u² of a mean is max(s_r²/N, own model terms) + shared terms undivided.
Shared terms are named variables of `Sources`; they show as the covariance between replicates. The
scatter adds only what it has beyond the model, so nothing is counted twice, and its degrees of
freedom are set so that the sum has the ν of the scatter where the scatter rules.
"""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from assaybench.messages import say
from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

BLANK_ROW = "mean blank"
PROOF_ROW = "loss of the proofs"
LOSS_ROW = "silver loss"
MOISTURE_ROW = "moisture"
SCATTER_ROW = "scatter of replicates"

SHARED_ROWS = frozenset(
    {
        "calibration",
        "linearity",
        "residue of the zero",
        BLANK_ROW,
        PROOF_ROW,
        LOSS_ROW,
        MOISTURE_ROW,
    }
)
"""Rows of a budget that replicates have in common; told by name where there is one replicate."""

_NEGLIGIBLE = 1e-9
"""A scatter that exceeds the model by less than this share of it adds nothing."""


def average(values: Iterable[float]) -> float:
    """Arithmetic mean; `statistics` would do, but is slow to load.

    Raises:
        ZeroDivisionError: without a value.
    """
    numbers = list(values)
    return math.fsum(numbers) / len(numbers)


def middle(values: Iterable[float]) -> float:
    """Median.

    Raises:
        IndexError: without a value.
    """
    numbers = sorted(values)
    half = len(numbers) // 2
    return numbers[half] if len(numbers) % 2 else (numbers[half - 1] + numbers[half]) / 2


class Spread(NamedTuple):
    """An estimated standard deviation of one determination.

    Attributes:
        value: the standard deviation, in the unit of what was repeated.
        dof: its degrees of freedom ν.
        within_runs: False where no run held two, so that it was taken over the runs.
    """

    value: float
    dof: float
    within_runs: bool = True


def pooled(groups: Sequence[Sequence[float]]) -> Spread | None:
    """Standard deviation pooled over groups, √(ΣΣ(x - x̄_j)²/Σ(n_j - 1)); None when ν would be 0.

    For pairs it is √(Σd²/2n) with ν = n, the form used for duplicates.
    """
    dof = sum(len(group) - 1 for group in groups if group)
    if dof < 1:
        return None
    centred = [(average(group), group) for group in groups if group]
    squares = math.fsum((x - centre) ** 2 for centre, group in centred for x in group)
    return Spread(math.sqrt(squares / dof), dof)


def joined(own: Spread | None, known: Spread | None) -> Spread | None:
    """The scatter found here and the one known from earlier runs, pooled by their ν."""
    if own is None or known is None:
        return own or known
    dof = own.dof + known.dof
    value = math.sqrt((own.dof * own.value**2 + known.dof * known.value**2) / dof)
    return Spread(value, dof, own.within_runs)


def over_runs(groups: Sequence[Sequence[float]]) -> Spread | None:
    """Standard deviation of all members about one mean: for runs that held only one each."""
    found = pooled([[x for group in groups for x in group]])
    return found and Spread(found.value, found.dof, within_runs=False)


def spread_of_duplicates(pairs: Sequence[tuple[float, float]]) -> Spread | None:
    """s_r from duplicates, √(Σd²/2n) with ν = n, in their unit; None without a pair.

    Source: ISO 5725-2 for two results per sample (from memory); method version 1, section 4.
    """
    return pooled(pairs)


def variance(sources: Sources, result: Uncertain) -> float:
    """u² of a result, in the square of its unit."""
    return sources.covariance(result, result)


def mean_covariance(sources: Sources, values: Sequence[Uncertain]) -> float:
    """Mean covariance of two different replicates: the variance that all of them share."""
    n = len(values)
    pairs = [sources.covariance(values[i], values[j]) for i in range(n) for j in range(i)]
    return average(pairs)


def own_variance(sources: Sources, values: Sequence[Uncertain]) -> float:
    """The variance between replicates that the model lets expect.

    Mean variance less mean covariance; with a single value, its variance without the shared rows.
    """
    if len(values) > 1:
        mean = average(variance(sources, value) for value in values)
        return max(mean - mean_covariance(sources, values), 0.0)
    doubt = sources.doubt(values[0])
    own = math.fsum(row.share for row in doubt.budget if row.source not in SHARED_ROWS)
    return doubt.u**2 * max(own, 0.0)


def excess(
    spread: Spread, n: int, model: float, model_dof: float = math.inf
) -> tuple[float, float]:
    """What a spread of n replicates adds to a model variance: (standard uncertainty, ν).

    Args:
        spread: of one replicate.
        n: how many replicates the mean has.
        model: own model variance of that mean.
        model_dof: its ν.

    Returns:
        √max(0, s²/n - model), and the ν with which the Welch–Satterthwaite formula gives model and
        excess together the ν of s: (s²/n - model)²/((s²/n)²/ν - model²/ν_model). For a model that
        is well known this is ν·(1 - model·n/s²)² (Satterthwaite, Biometrics Bull. 2 (1946) 110;
        from memory).
    """
    total = spread.value**2 / n
    beyond = total - model
    if beyond <= _NEGLIGIBLE * max(model, total):
        return 0.0, math.inf
    room = total**2 / spread.dof - model**2 / model_dof
    return math.sqrt(beyond), beyond**2 / room if room > 0 else math.inf


class Mean(NamedTuple):
    """A mean of replicates with their scatter in its doubt.

    Attributes:
        result: the mean, as an uncertain number.
        spread: the scatter of one replicate that was held against the model; None for a single
            replicate without history.
        scatter_rules: whether the scatter exceeds what the model lets expect.
    """

    result: Uncertain
    spread: Spread | None
    scatter_rules: bool


def with_scatter(
    sources: Sources,
    name: str,
    mean: Uncertain,
    values: Sequence[Uncertain],
    spread: Spread | None = None,
) -> Mean:
    """A mean of replicates, widened where they scatter more than the model lets expect.

    Args:
        sources: the sources of doubt of the calculation.
        name: names the result; its scatter becomes one source of doubt.
        mean: the mean, however weighted, made of the values' variables.
        values: the replicates, in the unit of the mean.
        spread: s_r pooled from the log; left out, s_r of these values with ν = N - 1.
    """
    spread = spread or pooled([[nominal(value) for value in values]])
    if spread is None:
        return Mean(mean, None, scatter_rules=False)
    if len(values) > 1:
        own = max(variance(sources, mean) - mean_covariance(sources, values), 0.0)
        # what two replicates share drops out of their difference
        own_dof = sources.doubt(values[0] - values[1]).dof
    else:
        own, own_dof = own_variance(sources, values), math.inf
    u, dof = excess(spread, len(values), own, own_dof)
    if not u:
        return Mean(mean, spread, scatter_rules=False)
    scatter = sources.variable(f"scatter of {name}", 0.0, u, dof=dof, row=SCATTER_ROW)
    return Mean(mean + scatter, spread, scatter_rules=True)


class Scatter(NamedTuple):
    """How proofs scatter beyond what the model of their weighings lets expect.

    Attributes:
        mean: a variable of value 0, to be added to their mean; one for the run.
        own: standard deviation of one bead's value around it.
        dof: ν of both.
        flags, assumptions: what a reader must know.
    """

    mean: Uncertain
    own: float
    dof: float
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]


def scatter_of_proofs(
    sources: Sources,
    name: str,
    row: str,
    values: Sequence[Uncertain],
    past: Sequence[Sequence[float]],
    unknown: str,
    known: Spread | None = None,
) -> Scatter:
    """Scatter of what was made of each proof: a loss, a ratio, a share.

    Args:
        sources: the sources of doubt of the calculation.
        name: names the scatter; `spread_name` of it is its spread.
        row: its line of the budget.
        values: one for each proof of the run.
        past: the same of earlier runs, for the scatter alone.
        unknown: code of the flag when there is one proof and no history.
        known: the scatter as earlier runs gave it, where they are not at hand one by one.
    """
    groups = [[nominal(value) for value in values], *past]
    spread = joined(pooled(groups) or over_runs(groups), known)
    if spread is None:
        return Scatter(0.0, 0.0, math.inf, (flag(unknown),), ())
    own, dof = excess(spread, 1, own_variance(sources, values))
    mean = sources.variable(
        f"mean {name}",
        0.0,
        own / math.sqrt(len(values)),
        dof=dof,
        row=row,
        spread=spread_name(name),
    )
    said = () if spread.within_runs else (say("proofs_over_runs"),)
    return Scatter(mean, own, dof, (), said)


def spread_name(name: str) -> str:
    """The one estimated spread that proofs and the bead's own loss share."""
    return f"spread of {name}"
