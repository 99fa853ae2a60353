"""The one door to the `uncertainties` package: one variable for each named source of doubt.

First-order propagation with all correlations is done by `uncertainties`, which tracks derivatives
but knows neither degrees of freedom nor names. A `Sources` keeps both beside each variable, so that
a figure can say where its ± comes from and which k belongs to it.

Traps that this file keeps out: a copied variable is an independent one, so variables are made here
and never copied; a variable without doubt warns, so an exact number stays a float; comparing
uncertain numbers is going away, so callers compare `nominal` values. `total`, `product` and `ratio`
do in one step what a chain of the package's operators does in many, with the same derivatives.
"""

import math
from collections.abc import Sequence
from typing import Any, NamedTuple, TypeAlias

from uncertainties import UFloat, Variable
from uncertainties.core import LinearCombination

from assaybench.metrology.figure import Budget, Figure, Layer, Share, measured
from assaybench.metrology.freedom import coverage_factor, effective

Uncertain: TypeAlias = Any
"""A float, or a number of the `uncertainties` package (which ships no types)."""

COVARIANCE = "covariance of the inputs"
_WELL_KNOWN = math.inf
CANCELLED = 1e-15
"""A share this small is the rounding of a source that cancels, and no row of a budget."""


class _Source(Variable):  # type: ignore[misc]  # the package ships no types
    """A variable that knows its row of the budget, its degrees of freedom and its spread."""

    __slots__ = ("name", "spread", "traits", "u")

    # the hash of the package is by identity too, but in Python code
    __hash__ = object.__hash__

    def __init__(
        self, name: str, value: float, u: float, *, dof: float, row: str, spread: str
    ) -> None:
        # what the package's own does with three calls and a property, and a run has hundreds
        self._nominal_value, self._std_dev = float(value), float(u)  # type: ignore[misc]  # its slots
        self._linear_part = LinearCombination({self: 1.0})  # type: ignore[misc]  # its slot
        self.tag = None  # type: ignore[misc]  # its slot
        self.name, self.u, self.spread = name, u, spread
        # one look-up instead of four: every figure goes through all its sources
        self.traits = u, row, spread, dof


class Doubt(NamedTuple):
    """What stands behind the ± of one result.

    Attributes:
        u: standard uncertainty, in the unit of the result.
        dof: effective degrees of freedom (Welch–Satterthwaite, not floored).
        k: coverage factor for 95 %.
        rows: the variance of each row of the budget, in the square of that unit.
    """

    u: float
    dof: float
    k: float
    rows: dict[str, float]

    @property
    def budget(self) -> Budget:
        """The share of each source, largest first; they add to 1."""
        variance = max(math.fsum(self.rows.values()), 0.0)
        shares = [
            Share(row, part / variance)
            for row, part in self.rows.items()
            if variance and abs(part) > CANCELLED * variance
        ]
        shares.sort(key=lambda share: -share.share)
        return tuple(shares)


class Sources:
    """The named sources of doubt of one calculation."""

    def __init__(self) -> None:
        self._sources: dict[str, _Source] = {}
        self._correlations: dict[tuple[str, str], float] = {}
        self._doubts: dict[int, tuple[Uncertain, Doubt]] = {}

    def variable(
        self,
        name: str,
        value: float,
        u: float,
        *,
        dof: float = math.inf,
        row: str = "",
        spread: str = "",
    ) -> Uncertain:
        """The variable of this name: made once, then always the same one.

        Args:
            name: names this one input, for instance one displayed reading.
            value: its value.
            u: its standard uncertainty, in the unit of the value; 0 gives back a plain float.
            dof: degrees of freedom behind `u`.
            row: the line of the budget it belongs to; the name itself when left out.
            spread: names the one estimated spread that `u` comes from. Inputs of one spread enter
                the degrees of freedom as one term.

        Raises:
            ValueError: when the name is known with another value or doubt, or u is negative.
        """
        known = self._sources.get(name)
        if known is not None:
            if known.u != u or nominal(known) != value:
                raise ValueError(f"{name} is known with another value or doubt")
            return known
        if not (0 <= u < math.inf and -math.inf < value < math.inf):
            raise ValueError(f"{name}: value and doubt must be finite, the doubt not negative")
        if u == 0:
            return float(value)
        made = _Source(name, value, u, dof=dof, row=row or name, spread=spread or name)
        self._sources[name] = made
        return made

    def fork(self) -> "Sources":
        """The same sources; what is named later in one of the two is not known to the other."""
        own = Sources()
        own._sources, own._doubts = {**self._sources}, {**self._doubts}
        own._correlations = {**self._correlations}
        return own

    def correlate(self, first: str, second: str, r: float) -> None:
        """Declare that two inputs were observed together, with correlation coefficient r.

        Raises:
            KeyError: for a name that is not a source.
            ValueError: when r is outside -1..1, or the two do not share one spread: only inputs of
                one set of observations have common degrees of freedom (GUM G.4.1 needs
                independent terms).
        """
        one, two = self._sources[first], self._sources[second]
        if not abs(r) <= 1 + 1e-9:
            raise ValueError("a correlation coefficient lies between -1 and 1")
        r = min(max(r, -1.0), 1.0)
        if one.spread != two.spread:
            raise ValueError(f"{first} and {second} must share one spread to be correlated")
        self._correlations[first, second] = r
        self._doubts.clear()

    def doubt(self, result: Uncertain) -> Doubt:
        """Uncertainty, degrees of freedom, k and budget of a result.

        Source: GUM 5.1.2 equation (10) and 5.2.2 equation (13); G.4.1 for the degrees of freedom.
        """
        known = self._doubts.get(id(result))
        if known is not None:
            return known[1]
        found = self._doubt(result)
        # the result is kept beside its doubt, so that its identity is not given to another
        self._doubts[id(result)] = (result, found)
        return found

    def _doubt(self, result: Uncertain) -> Doubt:
        rows: dict[str, float] = {}
        spreads: dict[str, float] = {}
        dofs: dict[str, float] = {}
        slopes = _slopes(result) if isinstance(result, UFloat) else {}
        for source, slope in slopes.items():
            u, row, spread, dof = source.traits
            part = slope * u
            square = part * part
            rows[row] = rows[row] + square if row in rows else square
            if dof == _WELL_KNOWN:
                continue
            if spread in spreads:
                spreads[spread] += square
            else:
                spreads[spread], dofs[spread] = square, dof
        if self._correlations:
            for spread, covariance in self._covariances(result):
                rows[COVARIANCE] = rows.get(COVARIANCE, 0.0) + covariance
                if spread in spreads:
                    spreads[spread] += covariance
            spreads = {spread: max(part, 0.0) for spread, part in spreads.items()}
        variance = math.fsum(rows.values())
        u = math.sqrt(variance) if variance > 0 else 0.0
        dof = effective(max(variance, 0.0), zip(spreads.values(), dofs.values(), strict=True))
        # a part of a spread may count less than one degree of freedom; no spread does
        if dof < 1:
            dof = 1.0
        return Doubt(u, dof, coverage_factor(dof), rows)

    def _covariances(self, result: Uncertain) -> list[tuple[str, float]]:
        """Twice the covariance of each correlated pair behind a result, with their spread."""
        parts = _parts(result)
        return [
            (self._sources[one].spread, 2 * parts[one] * parts[other] * r)
            for (one, other), r in self._correlations.items()
            if one in parts and other in parts
        ]

    def parts(self, result: Uncertain) -> dict[str, float]:
        """Signed c_i·u_i of every source behind a result, by its name, in the unit of the result.

        Source: GUM 5.1.3; their squares add to u² where no two inputs are correlated.
        """
        return _parts(result)

    def covariance(self, first: Uncertain, second: Uncertain) -> float:
        """Covariance of two results, in the product of their units (GUM 5.2.2, F.1.2.3)."""
        one, two = _parts(first), _parts(second)
        total = [one[name] * two[name] for name in one if name in two]
        for (a, b), r in self._correlations.items():
            total.append(
                r * (one.get(a, 0.0) * two.get(b, 0.0) + one.get(b, 0.0) * two.get(a, 0.0))
            )
        return math.fsum(total)

    def figure(
        self,
        result: Uncertain,
        unit: str,
        *,
        layer: Layer = "weighing",
        basis: str = "",
        finest: int | None = None,
        why: str = "",
    ) -> Figure:
        """The result as a figure with its interval value ± U.

        Raises:
            ValueError: when the result has no doubt at all: a measured figure always has one.
        """
        doubt = self.doubt(result)
        return measured(
            nominal(result),
            doubt.u,
            unit,
            k=doubt.k,
            dof=doubt.dof,
            layer=layer,
            basis=basis,
            finest=finest,
            why=why,
        )


def nominal(number: Uncertain) -> float:
    """The value of a number, whether it carries doubt or not."""
    if isinstance(number, UFloat):
        value: float = number._nominal_value  # noqa: SLF001  the property takes twice as long
        return value
    return float(number)


def _slopes(number: UFloat) -> dict[_Source, float]:
    """Sensitivity coefficient c_i of every source behind a number (GUM 5.1.3), worked out once.

    To every digit what the package's own gives: `LinearCombination.expand` calls three functions
    for each term, and a run has tens of thousands of terms. A list is what is not yet expanded.
    """
    linear = number._linear_part  # noqa: SLF001  as in `_summed`
    terms = linear.linear_combo
    slopes: dict[_Source, float] = terms
    if type(terms) is list:
        slopes = {}
        while terms:
            factor, part = terms.pop()
            inner = part.linear_combo
            if type(inner) is list:
                terms += [(factor * slope, deeper) for slope, deeper in inner]
                continue
            for source, slope in inner.items():
                more = factor * slope
                slopes[source] = slopes[source] + more if source in slopes else more
        linear.linear_combo = slopes
    return slopes


def _parts(result: Uncertain) -> dict[str, float]:
    """Signed c_i·u_i of every source behind a result, by its name."""
    slopes = _slopes(result) if isinstance(result, UFloat) else {}
    return {source.name: slope * source.u for source, slope in slopes.items()}


def total(*terms: tuple[float, Uncertain]) -> Uncertain:
    """Σ factor·number, in the unit of the products.

    Args:
        terms: exact factor and number of each.
    """
    value, slopes = _summed(terms)
    return UFloat(value, slopes) if slopes else value


def settled(number: Uncertain) -> Uncertain:
    """The same number, its slopes worked out now: for one that many others are made of."""
    if isinstance(number, UFloat):
        _slopes(number)
    return number


def product(one: Uncertain, other: Uncertain) -> Uncertain:
    """One number times another."""
    x, y = nominal(one), nominal(other)
    _, slopes = _summed(((y, one), (x, other)))
    return UFloat(x * y, slopes) if slopes else x * y


def ratio(over: Sequence[tuple[float, Uncertain]], under: Uncertain) -> Uncertain:
    """Σ factor·number of `over`, by another number.

    Raises:
        ZeroDivisionError: when `under` is zero.
    """
    (x, slopes), y = _summed(over), nominal(under)
    inverse = 1 / y
    slopes = [(inverse * slope, part) for slope, part in slopes]
    if isinstance(under, UFloat):
        slopes += _summed(((-x / y**2, under),))[1]
    return UFloat(x / y, slopes) if slopes else x / y


def _summed(terms: Sequence[tuple[float, Uncertain]]) -> tuple[float, list[tuple[float, Any]]]:
    """Σ factor·number, and its slopes as the package's operators keep them, to be expanded later.

    So no digit depends on whether a sum was made here or by the operators.
    """
    value, slopes = 0.0, []
    for factor, number in terms:
        if isinstance(number, UFloat):
            value += factor * number._nominal_value  # noqa: SLF001  as in `nominal`
            slopes.append((factor, number._linear_part))  # noqa: SLF001  no public way stays lazy
        else:
            value += factor * number
    return value, slopes
