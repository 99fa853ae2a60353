"""What every way of comparing from the command line shares: parts of an answer, figures."""

from collections.abc import Sequence
from typing import NamedTuple

from assaybench.messages import BadInput, quoted
from assaybench.metrology.compare import Difference
from assaybench.metrology.figure import Figure, Flag, measured
from assaybench.record.sums import Step
from assaybench.report.compare_words import with_sign


class Part(NamedTuple):
    """A part of the answer."""

    figures: dict[str, Figure] = {}  # noqa: RUF012  never written to
    rows: tuple[tuple[str, str], ...] = ()
    flags: tuple[Flag, ...] = ()
    said: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()


def expect(figures: Sequence[str], count: int, accepted: str) -> None:
    """So many figures and no more.

    Raises:
        BadInput: for fewer or more, with what is accepted.
    """
    if len(figures) < count:
        what = "A figure" if count == 1 or not figures else "The second figure"
        raise BadInput.of("argument_missing", what=what, accepted=accepted)
    if len(figures) > count:
        raise BadInput.of("argument_unexpected", x=quoted(figures[count]), accepted=accepted)


def difference_figure(d: Difference, unit: str, basis: str = "A - B") -> Figure:
    """A difference as a figure."""
    return measured(d.value, d.u, unit, k=d.k, dof=d.dof, layer="assay", basis=basis)


def signed(figure: Figure) -> str:
    """The text of a difference, its sign always shown."""
    return with_sign(figure.text)
