"""The sum shown with its numbers: every printed figure as an expression a person can retype.

A `Step` is one line `name = expression = result unit`. Its expression holds only numbers and the
signs + - × / ^ √ ( ), written out with as many digits as the printed result needs, so that a pocket
calculator gives the printed result; a test evaluates every printed line.
"""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from assaybench.metrology.sight import TENFOLD, Least, Limits
from assaybench.metrology.uncertain import Doubt
from assaybench.metrology.weighing import ROUNDING_FLOOR, Balance, Reading, Weighing, u0
from assaybench.units.table import MILLIGRAM, Unit
from assaybench.units.write import Number, short, with_unit

if TYPE_CHECKING:
    from assaybench.metrology.compare import Difference

DIGITS = 6


class Step(NamedTuple):
    """One line of a sum.

    Attributes:
        name: what is worked out.
        expression: the sum with its numbers.
        result: the printed result.
        unit: its unit.
    """

    name: str
    expression: str
    result: str
    unit: str = "1"

    @property
    def line(self) -> str:
        """`name = expression = result unit`."""
        return f"{self.name} = {self.expression} = {with_unit(self.result, self.unit)}"


def n(number: Number) -> str:
    """A number inside an expression: nine digits, enough for six in the result."""
    text = short(number, DIGITS + 3)
    return f"({text})" if text.startswith("-") else text


def step(name: str, expression: str, result: Number, unit: str = "1") -> Step:
    """A step whose result is printed to six digits."""
    return Step(name, expression, short(result, DIGITS), unit)


def times(name: str, factor: float, value: float, unit: str) -> Step:
    """A factor times a value."""
    return step(name, f"{n(factor)} × {n(value)}", factor * value, unit)


def mean_of(readings: tuple[Reading, ...], unit: Unit) -> str:
    """Mean of readings as an expression: `(0.31 + 0.32)/2`; 0 for none."""
    if not readings:
        return "0"
    texts = [n(reading.mg * MILLIGRAM.size / unit.size) for reading in readings]
    return texts[0] if len(texts) == 1 else f"({' + '.join(texts)})/{len(texts)}"


class WeighingSum(NamedTuple):
    """The sum of one weighing, in the unit it was typed in.

    Attributes:
        weighing: the weighing.
        balance: the balance it was made on.
        unit: the unit of every line.
    """

    weighing: Weighing
    balance: Balance
    unit: Unit = MILLIGRAM

    def _n(self, mg: float) -> str:
        return n(self._scaled(mg))

    def _scaled(self, mg: float) -> float:
        return mg * float(MILLIGRAM.size / self.unit.size)

    def _step(self, name: str, expression: str, mg: float) -> Step:
        return step(name, expression, self._scaled(mg), self.unit.symbol)

    def steps(self, doubt: Doubt, limits: Limits, aim: float) -> tuple[Step, ...]:
        """Every line: net mass, u0, u, U, divisions, the limits and the least mass."""
        u0, u, k = self.weighing.u0_mg, doubt.u, doubt.k
        lines = [
            self._net(),
            self._u0(),
            self._u(u),
            self._step("U", f"{n(k)} × {self._n(u)}", k * u),
            self._divisions(),
            self._step("L_C", f"{n(limits.critical_mg / u0)} × {self._n(u0)}", limits.critical_mg),
            self._step(
                "L_D", f"{n(limits.detection_mg / u0)} × {self._n(u0)}", limits.detection_mg
            ),
            self._step("L_Q", f"{TENFOLD} × {self._n(u0)}", limits.tenfold_mg),
        ]
        if limits.least_single is not None:
            lines.append(self._least(aim, limits.least_single))
        return tuple(lines)

    def _net(self) -> Step:
        weighing = self.weighing
        loads, zeros = mean_of(weighing.loads, self.unit), mean_of(weighing.zeros, self.unit)
        return self._step("mass", f"{loads} - {zeros}", weighing.net_mg)

    def _u0(self) -> Step:
        """u0 by its own case of the method, section 1."""
        d, s = self.balance.step_mg, self.balance.spread_mg
        loads, zeros = len(self.weighing.loads), max(len(self.weighing.zeros), 1)
        if s is None:
            expression = f"√(({self._n(d)}^2 + {self._n(d)}^2)/12)"
        elif s < ROUNDING_FLOOR * d:
            expression = f"{ROUNDING_FLOOR} × {self._n(d)}"
        elif not self.balance.averages:
            expression = f"1 × {self._n(s)}"
        else:
            expression = f"√({self._n(s)}^2/2 × (1/{loads} + 1/{zeros}))"
        return self._step("u0", expression, self.weighing.u0_mg)

    def _u(self, u_mg: float) -> Step:
        """u0, shared terms and calibration in quadrature."""
        terms = [self._n(self.weighing.u0_mg)]
        if self.weighing.u_shared_mg:
            terms.append(self._n(self.weighing.u_shared_mg))
        if self.balance.calibration:
            terms.append(f"({self._n(self.weighing.net_mg)} × {n(self.balance.calibration)})")
        return self._step("u", f"√({' + '.join(f'{t}^2' for t in terms)})", u_mg)

    def _divisions(self) -> Step:
        net, d = self.weighing.net_mg, self.balance.step_mg
        return step("divisions", f"{self._n(net)} / {self._n(d)}", net / d)

    def _least(self, aim: float, least: Least) -> Step:
        """m_min of one reading and one zero."""
        k = least.k
        u_c = math.hypot(u0(self.balance, 1, 1), self.balance.u_shared_mg)
        root = f"√({n(aim)}^2 - ({n(k)} × {n(self.balance.calibration or 0)})^2)"
        return self._step("m_min", f"{n(k)} × {self._n(u_c)} / {root}", least.mass_mg)


def of_runs(
    first: Sequence[float],
    second: Sequence[float],
    d: "Difference",
    unit: str,
    *,
    in_pairs: bool,
    names: tuple[str, str] = ("before", "after"),
) -> tuple[Step, ...]:
    """The sum of runs compared: means or mean of differences, u, U.

    Args:
        first, second: the runs, in `unit`.
        d: what came of them.
        unit: symbol of the unit.
        in_pairs: whether they were compared in pairs.
        names: of the two sets.
    """
    if in_pairs:
        differences = [b - a for a, b in zip(first, second, strict=True)]
        mean = math.fsum(differences) / len(differences)
        u = f"√({_squares(differences, mean)} / {len(differences) - 1} / {len(differences)})"
        lines = [step("mean difference", _mean(differences), mean, unit)]
    else:
        means = [math.fsum(runs) / len(runs) for runs in (first, second)]
        parts = [
            f"{_squares(runs, mean)} / {len(runs) - 1} / {len(runs)}"
            for runs, mean in zip((first, second), means, strict=True)
        ]
        u = f"√({' + '.join(parts)})"
        lines = [
            step(f"mean {names[0]}", _mean(first), means[0], unit),
            step(f"mean {names[1]}", _mean(second), means[1], unit),
            step("difference", f"{n(means[1])} - {n(means[0])}", d.value, unit),
        ]
    return (*lines, step("u", u, d.u, unit), times("U", d.k, d.u, unit))


def _mean(runs: Sequence[float]) -> str:
    return f"({' + '.join(n(run) for run in runs)}) / {len(runs)}"


def _squares(runs: Sequence[float], mean: float) -> str:
    return f"({' + '.join(f'({n(run)} - {n(mean)})^2' for run in runs)})"


def dried(name: str, wet_g: float, dry_g: float, *, on_dry: bool) -> Step:
    """The dry mass, g: wet·(1 - w), or wet/(1 + w') for a moisture on the dry basis."""
    if on_dry:
        return step(name, f"{n(wet_g)} / (1 + {n(wet_g / dry_g - 1)})", dry_g, "g")
    return step(name, f"{n(wet_g)} × {n(dry_g / wet_g)}", dry_g, "g")
