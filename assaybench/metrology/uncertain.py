"""The one door to the `uncertainties` package: one variable for each named source of doubt.

First-order propagation with all correlations is done by `uncertainties`, which tracks derivatives
but knows neither degrees of freedom nor names. A `Sources` keeps both beside each variable, so that
a figure can say where its ± comes from and which k belongs to it.

Traps that this file keeps out: a copied variable is an independent one, so variables are made here
and never copied; `ufloat(x, 0)` warns, so an exact number stays a float; comparing uncertain
numbers is going away, so callers compare `nominal` values.
"""

import math
from typing import Any, NamedTuple, TypeAlias

from uncertainties import UFloat, ufloat

from assaybench.metrology.figure import Budget, Figure, Layer, Share, measured
from assaybench.metrology.freedom import coverage_factor, welch_satterthwaite

Uncertain: TypeAlias = Any
"""A float, or a number of the `uncertainties` package (which ships no types)."""

COVARIANCE = "covariance of the inputs"
CANCELLED = 1e-15
"""A share this small is the rounding of a source that cancels, and no row of a budget."""


class _Source(NamedTuple):
    variable: Any
    row: str
    u: float
    dof: float
    spread: str


class Doubt(NamedTuple):
    """What stands behind the ± of one result.

    Attributes:
        u: standard uncertainty, in the unit of the result.
        dof: effective degrees of freedom (Welch–Satterthwaite, not floored).
        k: coverage factor for 95 %.
        budget: the share of each source, largest first; they add to 1.
    """

    u: float
    dof: float
    k: float
    budget: Budget


class Sources:
    """The named sources of doubt of one calculation."""

    def __init__(self) -> None:
        self._sources: dict[str, _Source] = {}
        self._names: dict[Any, str] = {}
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
        if u < 0 or not math.isfinite(u) or not math.isfinite(value):
            raise ValueError(f"{name}: value and doubt must be finite, the doubt not negative")
        known = self._sources.get(name)
        if known is not None:
            if (nominal(known.variable), known.u) != (value, u):
                raise ValueError(f"{name} is known with another value or doubt")
            return known.variable
        if u == 0:
            return float(value)
        made = ufloat(value, u)
        self._sources[name] = _Source(made, row or name, u, dof, spread or name)
        self._names[made] = name
        return made

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
        parts = self._parts(result)
        covariances = {
            pair: 2 * parts[pair[0]] * parts[pair[1]] * r
            for pair, r in self._correlations.items()
            if pair[0] in parts and pair[1] in parts
        }
        rows: dict[str, float] = {}
        spreads: dict[str, float] = {}
        dofs: dict[str, float] = {}
        for name, part in parts.items():
            source = self._sources[name]
            rows[source.row] = rows.get(source.row, 0.0) + part * part
            spreads[source.spread] = spreads.get(source.spread, 0.0) + part * part
            dofs[source.spread] = source.dof
        for (first, _), covariance in covariances.items():
            rows[COVARIANCE] = rows.get(COVARIANCE, 0.0) + covariance
            spreads[self._sources[first].spread] += covariance
        variance = max(math.fsum(rows.values()), 0.0)
        dof = welch_satterthwaite(
            (math.sqrt(max(part, 0.0)), dofs[name]) for name, part in spreads.items()
        )
        # a part of a spread may count less than one degree of freedom; no spread does
        dof = max(dof, 1.0)
        shares = [
            Share(row, part / variance)
            for row, part in rows.items()
            if variance and abs(part) > CANCELLED * variance
        ]
        shares.sort(key=lambda share: -share.share)
        return Doubt(math.sqrt(variance), dof, coverage_factor(dof), tuple(shares))

    def _parts(self, result: Uncertain) -> dict[str, float]:
        """Signed c_i·u_i of every source behind a result."""
        if not isinstance(result, UFloat):
            return {}
        names = self._names
        found = {names[variable]: slope for variable, slope in result.derivatives.items()}
        return {name: slope * self._sources[name].u for name, slope in found.items()}

    def covariance(self, first: Uncertain, second: Uncertain) -> float:
        """Covariance of two results, in the product of their units (GUM 5.2.2, F.1.2.3)."""
        one, two = self._parts(first), self._parts(second)
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
    return float(number.nominal_value) if isinstance(number, UFloat) else float(number)
