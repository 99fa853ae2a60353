"""Runs before and after a change, for the command and the page: compared, and how many more."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from assaybench.messages import BadInput, say
from assaybench.metrology import compare
from assaybench.metrology.compare import PLANNED_POWER, Difference
from assaybench.report.compare_words import Planned, worded


def runs_compared(first: Sequence[float], second: Sequence[float], *, paired: bool) -> Difference:
    """Two lists of one unit compared, second less first: in pairs, or by Welch.

    Raises:
        BadInput: for lists that cannot be compared.
    """
    try:
        return compare.paired(first, second) if paired else compare.welch(first, second)
    except ValueError as reason:
        raise BadInput.of("runs_unusable", why=str(reason)) from reason


class Runs(NamedTuple):
    """Runs compared, and what more of them would show.

    Attributes:
        d: after less before.
        before, after: the runs.
        unit: of the runs.
        paired: whether old and new were run in turn.
        planned: power that is planned for.
    """

    d: Difference
    before: Sequence[float]
    after: Sequence[float]
    unit: str
    paired: bool
    planned: float = PLANNED_POWER

    @property
    def means(self) -> tuple[float, float]:
        """Of the runs before, and of those after."""
        before, after = (math.fsum(runs) / len(runs) for runs in (self.before, self.after))
        return before, after

    @property
    def worded_unit(self) -> str:
        """The unit of a gain: points where the runs are in %."""
        return say("points") if self.unit == "%" else worded(self.unit)

    @property
    def spread(self) -> float:
        """Standard deviation of one run, or of the difference of one pair."""
        return compare.spread_of_runs(self.before, self.after, in_pairs=self.paired)

    @property
    def bound(self) -> float:
        """Its 90 % upper bound."""
        runs = len(self.before) - 1
        dof = runs if self.paired else runs + len(self.after) - 1
        return compare.spread_bound(self.spread, dof)

    def needed(self, gain: float, spread: float | None = None) -> int | None:
        """Runs of each, or pairs, that would show a gain; None above the most."""
        return compare.runs_needed(
            gain, spread or self.spread, in_pairs=self.paired, planned=self.planned
        )

    @property
    def plan(self) -> Planned | None:
        """Runs of each, or pairs, that would show a gain as found; None above the most."""
        needed = self.needed(self.d.value)
        return None if needed is None else Planned(needed, self.planned, self.paired)


def count_text(runs: int | None) -> str:
    """A number of runs, or more than the most that is looked for."""
    return say("runs_more_than", n=compare.MOST_RUNS) if runs is None else str(runs)
