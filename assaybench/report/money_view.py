"""A gain of recovery in money, for the command and the page: a season's feed, and what pays."""

from typing import NamedTuple

from assaybench.circuit.value import Known, NetGain, Terms
from assaybench.messages import say
from assaybench.metrology.compare import Difference
from assaybench.metrology.figure import Flag, flag
from assaybench.report.compare_words import places


class Season(NamedTuple):
    """What a season's feed makes of a gain.

    Attributes:
        tonnes: dry feed of a season, t.
        grade: of the feed, g/t, with its doubt.
        terms: what is paid.
        cost: of the change; None where it is not typed.
        currency: of the line.
        price: as typed.
        source: who stands for the price.
    """

    tonnes: float
    grade: Known
    terms: Terms
    cost: float | None
    currency: str
    price: str
    source: str

    @property
    def per_point(self) -> float:
        """What one point of recovery brings in a season, money."""
        return self.tonnes * self.grade.value * self.terms.net_per_g / 100

    @property
    def breaks_even(self) -> float | None:
        """Points that bring the cost back within the season."""
        return None if self.cost is None else self.cost / self.per_point

    def gain(self, d: Difference) -> NetGain:
        """The gain for each tonne, from a difference in points."""
        points = Known(d.value / 100, d.u / 100, d.dof)
        return NetGain(self.grade, points, self.terms.net_per_g)


def pays(d: Difference, breaks_even: float, even: str) -> Flag:
    """Whether a gain pays for its cost in one season: shown, shown not to, or open.

    Args:
        d: the gain, points.
        breaks_even: points that bring the cost back.
        even: those as they are written.
    """
    fields = {name: text for name, text in places(d).items() if name != "d"}
    unit = say("points")
    if d.low > breaks_even:
        return flag("pays_shown", lo=fields["lo"], even=even, unit=unit)
    if d.high < breaks_even:
        return flag("pays_not", hi=fields["hi"], even=even, unit=unit)
    return flag("pays_open", **fields, even=even, unit=unit)
