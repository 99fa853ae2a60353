"""What metal is worth, what a loss costs, and whether a gain pays; every price is typed.

Fine metal × price of a unit of fine metal × payable share, less charges. Fine metal is parted
gold, or gross metal × fineness, never both. Money is in the one currency of the line, fine metal in
grams, dry material in tonnes, shares are of one. Method version 1, section 8.
"""

import math
from typing import NamedTuple

from assaybench.metrology.bounded import quantile
from assaybench.metrology.figure import COVERAGE, Interval
from assaybench.metrology.special import integrate, t_cdf
from assaybench.metrology.uncertain import Uncertain, nominal

TAIL = (1 - COVERAGE) / 2
_REACH = 8.0
_PANELS = 4
_MOST_DOUBLINGS = 60


class Terms(NamedTuple):
    """What is paid for fine metal, and what is taken off.

    Attributes:
        price_per_g: price of one gram of fine metal.
        payable: share of the fine metal that is paid for.
        refining_per_g: charge for each gram that is paid for.
        treatment_per_t: charge for each dry tonne of material.
        charges: charges that do not go by mass, in money.
        deduction_g_per_t: taken off the grade before anything is paid, g/t.
    """

    price_per_g: float
    payable: float = 1.0
    refining_per_g: float = 0.0
    treatment_per_t: float = 0.0
    charges: float = 0.0
    deduction_g_per_t: float = 0.0

    @property
    def net_per_g(self) -> float:
        """What one more gram of fine metal brings: payable × (price - refining)."""
        return self.payable * (self.price_per_g - self.refining_per_g)


class Worth(NamedTuple):
    """What a lot is worth.

    Attributes:
        fine_g: fine metal in it, g.
        paid_g: fine metal that is paid for, g.
        paid: money for it, before charges.
        charges: refining, treatment and other charges.
        net: what is left.
    """

    fine_g: Uncertain
    paid_g: Uncertain
    paid: Uncertain
    charges: Uncertain
    net: Uncertain


def worth(fine_g: Uncertain, terms: Terms, dry_t: Uncertain = 0.0) -> Worth:
    """Fine metal × payable × price, less charges.

    Args:
        fine_g: fine metal, g: parted gold, or gross × fineness.
        terms: price and charges.
        dry_t: dry mass of the material it is in, t, for treatment and deduction.
    """
    paid_g = terms.payable * (fine_g - terms.deduction_g_per_t * dry_t)
    paid = paid_g * terms.price_per_g
    charges = paid_g * terms.refining_per_g + terms.treatment_per_t * dry_t + terms.charges
    return Worth(fine_g, paid_g, paid, charges, paid - charges)


def loss_per_tonne(grade_g_t: Uncertain, recovery: Uncertain, terms: Terms) -> Uncertain:
    """Money that goes with the tailings of each tonne of feed: G·(1 - R)·(net of a gram).

    Args:
        grade_g_t: grade of the feed, g/t.
        recovery: R, a share of one.
        terms: price and charges.
    """
    return grade_g_t * (1 - recovery) * terms.net_per_g


class Known(NamedTuple):
    """A number with its standard uncertainty and degrees of freedom."""

    value: float
    u: float = 0.0
    dof: float = math.inf


class NetGain(NamedTuple):
    """n, what a gain of recovery brings for each tonne: G·ΔR·(net of a gram) - running cost.

    Attributes:
        grade_g_t: G, grade of the feed, g/t, not below zero.
        gain: ΔR, a share of one; below zero when it is a loss.
        net_per_g: what one more gram brings.
        running_per_t: running cost of the change for each tonne.
    """

    grade_g_t: Known
    gain: Known
    net_per_g: float
    running_per_t: float = 0.0

    @property
    def value(self) -> float:
        """n from the values alone, money for each tonne."""
        return self.grade_g_t.value * self.gain.value * self.net_per_g - self.running_per_t

    def cdf(self, x: float) -> float:
        """P(n <= x): exact in ΔR, a fixed Gauss quadrature over G cut at zero."""
        grade = self.grade_g_t
        if grade.u == 0:
            return self._given(grade.value, x)
        low = max(-_REACH, -grade.value / grade.u)

        def density(z: float) -> float:
            return math.exp(-z * z / 2)

        def both(z: float) -> float:
            return density(z) * self._given(grade.value + z * grade.u, x)

        whole = integrate(density, low, _REACH, panels=_PANELS)
        return integrate(both, low, _REACH, panels=_PANELS) / whole

    def _given(self, grade: float, x: float) -> float:
        """P(n <= x), the grade being known."""
        worth_of_all = grade * self.net_per_g
        if worth_of_all <= 0:
            return 1.0 if worth_of_all * self.gain.value - self.running_per_t <= x else 0.0
        short = (x + self.running_per_t) / worth_of_all - self.gain.value
        if self.gain.u == 0:
            return 1.0 if short >= 0 else 0.0
        return t_cdf(short / self.gain.u, self.gain.dof)

    def quantile(self, p: float) -> float:
        """The n that is not passed with probability p."""
        width = abs(self.value) + abs(self.running_per_t)
        width += abs(self.net_per_g) * (self.gain.u * self.grade_g_t.value)
        width = max(width, 1e-9)
        low, high = self.value - width, self.value + width
        for _ in range(_MOST_DOUBLINGS):
            if self.cdf(low) < p:
                break
            low -= 2 * (self.value - low)
        for _ in range(_MOST_DOUBLINGS):
            if self.cdf(high) >= p:
                break
            high += 2 * (high - self.value)
        return quantile(self.cdf, p, low, high)

    @property
    def interval(self) -> Interval:
        """The 95 % interval of n, equal chances on both sides; one point without any doubt."""
        if self.gain.u == 0 and self.grade_g_t.u == 0:
            return Interval(self.value, self.value)
        return Interval(self.quantile(TAIL), self.quantile(1 - TAIL))


def possible_loss(grade_g_t: Known, escaped: Known, net_per_g: float) -> Interval:
    """The 95 % interval of what a tonne loses, which is not less than nothing.

    The law of G·(1 - R)·(net of a gram), cut at zero: nobody catches more than there is.

    Args:
        grade_g_t: grade of the feed, g/t.
        escaped: 1 - R, a share of one.
        net_per_g: what a gram brings, above zero.
    """
    law = NetGain(grade_g_t, escaped, net_per_g)
    none = law.cdf(0.0) if escaped.u or grade_g_t.u else 0.0
    if none >= 1:
        return Interval(0.0, 0.0)
    ends = (law.quantile(none + p * (1 - none)) for p in (TAIL, 1 - TAIL))
    low, high = (max(end, 0.0) for end in ends)
    return Interval(low, high)


class BreakEven(NamedTuple):
    """Tonnes of feed until a change has paid its cost, as quantiles of cost/n.

    1/n has no mean, so no value ± U is ever formed of it.

    Attributes:
        low, middle, high: 2.5, 50 and 97.5 in 100 lie below; None where it has no end, because the
            change never pays in so many cases.
        never: chance that it never pays, P(n <= 0).
    """

    low: float | None
    middle: float | None
    high: float | None
    never: float


def break_even(gain: NetGain, cost: float) -> BreakEven:
    """Tonnes of feed after which a cost is paid back.

    Args:
        gain: what each tonne brings.
        cost: paid once, above zero.

    Raises:
        ValueError: when the cost is not above zero.
    """
    if cost <= 0:
        raise ValueError("a cost that is to be paid back is above zero")
    never = gain.cdf(0.0)

    def tonnes(p: float) -> float | None:
        """Passed by 1 - p of all cases: few tonnes belong to a large n."""
        if never >= 1 - p:
            return None
        n = gain.quantile(1 - p)
        return cost / n if n > 0 else None

    return BreakEven(tonnes(TAIL), tonnes(0.5), tonnes(1 - TAIL), never)


def annuity(rate: float, years: int) -> float:
    """What 1 at the end of each year is worth today: (1 - (1 + i)^-n)/i; n without interest.

    Args:
        rate: i, interest of a year, a share of one, above -1.
        years: n.

    Raises:
        ValueError: for a rate of -1 or below, or less than one year.

    Source: present worth factor of a uniform series, any textbook of engineering economics.
    """
    if rate <= -1 or years < 1:
        raise ValueError("a rate is above -100 % and a series has one year at least")
    if rate == 0:
        return float(years)
    return -math.expm1(-years * math.log1p(rate)) / rate


def recoverable(metal: Uncertain, catch: Uncertain) -> Uncertain:
    """Metal in a pile × what a second stage catches of its feed, in the unit of the metal.

    Args:
        metal: in the pile.
        catch: r2, above 0 and at most 1.

    Raises:
        ValueError: when r2 is out of range.
    """
    if not 0 < nominal(catch) <= 1:
        raise ValueError("a second stage catches more than nothing and at most all it is fed")
    return metal * catch
