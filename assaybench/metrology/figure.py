"""A figure and what travels with it: interval, shares of its doubt, flags, verdict.

Every result leaves the core as a `Figure`; nothing below the pages prints a bare number.
"""

import math
from collections.abc import Callable
from typing import Literal, NamedTuple

from assaybench.messages import say
from assaybench.units import write

Layer = Literal["weighing", "assay", "sampling"]
Status = Literal["measured", "below L_D", "at least", "at most", "not determinable"]

COVERAGE = 0.95


class Share(NamedTuple):
    """The part of a variance that one source brings; the parts of a budget add to 1."""

    source: str
    share: float


Budget = tuple[Share, ...]


class Flag(NamedTuple):
    """Something a reader must know: a code of the message table and its sentence."""

    code: str
    text: str


def flag(code: str, **fields: object) -> Flag:
    """The flag of a code, its sentence filled in."""
    return Flag(code, say(code, **fields))


class Verdict(NamedTuple):
    """A judgement in words: the short word, and the sentences that give its reason.

    Attributes:
        code: of the message table.
        word: the short word.
        because: the sentences, or what writes them: few of a run's reasons are ever read.
        prefix: `at best:` where ± is only a lower bound.
    """

    code: str
    word: str
    because: str | Callable[[], str]
    prefix: str = ""

    @property
    def reason(self) -> str:
        """The sentences that give its reason."""
        return self.because if isinstance(self.because, str) else self.because()

    @property
    def text(self) -> str:
        """The word as it is printed, led by `at best` where ± is only a lower bound."""
        return f"{self.prefix} {self.word}".strip()


class Interval(NamedTuple):
    """An interval and the probability that it covers the value of the measurand."""

    low: float
    high: float
    coverage_probability: float = COVERAGE


class Figure(NamedTuple):
    """A result with everything needed to judge it.

    Attributes:
        value: the value in `unit`, or None when it is not determinable.
        unit: symbol of the unit.
        u: standard uncertainty, or None.
        low, high: ends of the coverage interval, or None where there is none.
        coverage_probability: of that interval; None when there is none.
        k: coverage factor, U = k·u; None when the interval is not value ± U.
        dof: effective degrees of freedom, infinite where the doubt is well known.
        layer: how far the doubt reaches: the weighing, the assay, the sampling.
        status: whether it is a value, a limit or a bound.
        basis: what the figure counts: for instance `dry`, `doré`, `as read`.
        text: as it is printed, rounded once.
        why: why there is no value, or which bound it is; empty otherwise.
    """

    value: float | None
    unit: str
    u: float | None = None
    low: float | None = None
    high: float | None = None
    coverage_probability: float | None = None
    k: float | None = None
    dof: float = math.inf
    layer: Layer = "weighing"
    status: Status = "measured"
    basis: str = ""
    text: str = ""
    why: str = ""

    @property
    def expanded(self) -> float | None:
        """U = k·u in `unit`, where the figure has one."""
        return None if self.u is None or self.k is None else self.k * self.u


def measured(
    value: float,
    u: float,
    unit: str,
    *,
    k: float,
    dof: float = math.inf,
    layer: Layer = "weighing",
    basis: str = "",
    finest: int | None = None,
    why: str = "",
) -> Figure:
    """A figure with a symmetric interval value ± k·u.

    Args:
        value: the value in `unit`.
        u: its standard uncertainty, above zero, in `unit`.
        unit: symbol of the unit.
        k: coverage factor for 95 %.
        dof: effective degrees of freedom.
        layer: how far the doubt reaches.
        basis: what the figure counts.
        finest: decimal exponent of the last place worth printing.
        why: a remark on the figure.
    """
    return Figure(
        value=value,
        unit=unit,
        u=u,
        low=value - k * u,
        high=value + k * u,
        coverage_probability=COVERAGE,
        k=k,
        dof=dof,
        layer=layer,
        basis=basis,
        text=write.plus_minus(value, k * u, unit, finest=finest),
        why=why,
    )


def plain(
    value: float,
    unit: str,
    *,
    digits: int = 3,
    pad: bool = False,
    layer: Layer = "weighing",
    basis: str = "",
    why: str = "",
) -> Figure:
    """A figure that carries no doubt of its own: a limit, a count, a probability.

    It is printed to so many significant digits, with their trailing zeros when `pad` is set.
    """
    shown = write.significant(value, digits) if pad else write.short(value, digits)
    return Figure(
        value=value,
        unit=unit,
        layer=layer,
        basis=basis,
        text=write.with_unit(shown, unit),
        why=why,
    )


def not_determinable(unit: str, why: str, *, layer: Layer = "assay", basis: str = "") -> Figure:
    """The figure that says there is none, and why."""
    return Figure(
        value=None,
        unit=unit,
        layer=layer,
        status="not determinable",
        basis=basis,
        text="not determinable",
        why=why,
    )
