"""A gain of recovery in money, for the command and the page: a season's feed, and what pays."""

from typing import NamedTuple

from assaybench.circuit.value import BreakEven, Known, NetGain, Terms
from assaybench.messages import say
from assaybench.metrology.compare import Difference
from assaybench.metrology.figure import COVERAGE, Figure, Flag, flag, not_determinable
from assaybench.report.compare_words import chance, places
from assaybench.units import write


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


def tonnes_paid(found: BreakEven) -> Figure:
    """Break-even tonnes as quantiles; never value ± U, since 1/n has no mean."""
    if found.low is None:
        return not_determinable("t", say("never_pays_at_all"), basis="feed")
    low = write.short(found.low, 3)
    if found.middle is None:
        text = f"{low} t or more"
    elif found.high is None:
        text = f"{write.short(found.middle, 3)} t ({low} t or more, no upper end)"
    elif found.high <= found.low:
        text = f"{write.short(found.middle, 5)} t"
    else:
        text = f"{write.short(found.middle, 3)} t ({low} to {write.short(found.high, 3)} t)"
    return Figure(
        value=found.middle,
        unit="t",
        low=found.low,
        high=found.high,
        coverage_probability=COVERAGE,
        layer="assay",
        status="measured" if found.middle is not None else "not determinable",
        text=text,
        basis="feed",
    )


def paid_back(found: BreakEven, n: NetGain, per_tonne: str) -> Flag:
    """Whether and when a gain pays its cost back, as a sentence.

    Args:
        found: tonnes until then.
        n: the gain of a tonne.
        per_tonne: unit of money for each tonne.
    """
    never = chance(found.never)
    if found.low is None:
        brings = write.with_unit(write.short(n.value, 3), per_tonne)
        return flag("gain_never", n=brings)
    low = write.short(found.low, 3)
    if found.middle is None:
        return flag("gain_never_likely", never=never, low=low)
    middle = write.short(found.middle, 3)
    if found.high is None:
        return flag("gain_pays_back_open", middle=middle, low=low, never=never)
    high = write.short(found.high, 3)
    return flag("gain_pays_back", middle=middle, low=low, high=high, never=never)
