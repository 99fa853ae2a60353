"""Special functions of the measurement model: distributions, their quantiles and quadrature.

Each result comes from a fixed sequence of floating-point steps, without random numbers or
adaptive quadrature, so that a sealed figure can be computed again. Loading this file imports
only `math`: every start of the program pays for imports (method version 1, section 10).
Degrees of freedom (dof) are real numbers; all other arguments and results have no unit.
"""

from __future__ import annotations

import math

from assaybench.metrology.ranges import studentized_range_95 as studentized_range_95  # noqa: PLC0414

TYPE_CHECKING = False  # type checkers read it as true; spares the import of `typing`
if TYPE_CHECKING:
    from collections.abc import Callable

_EPS = 2.0**-53
_LEAST = 5e-324  # stands for a probability that underflowed, where its logarithm is taken
_LEAST_SHAPE = 1e-6  # below it a probability differs from 0 and 1 by rounding alone
_GREATEST_SHAPE = 1e8  # above it the expansions need more than some 1e5 terms
_ENDLESS_DOF = 1e18  # from here on t is normal to all digits
_PANEL_NODES = 36
_FAINT = 42.0  # exp(-42) = 6e-19 of the peak: what lies beyond is lost in rounding
_PHI_REACH = 8.5  # phi(-8.5) = 1e-17

# The quantiles nearly every figure asks for, as `statistics.NormalDist` gives them (a test
# compares): with them an ordinary command never loads `statistics`, which is slow to import.
_COMMON_QUANTILES = {
    0.025: -1.9599639845400538,
    0.05: -1.6448536269514726,
    0.95: 1.6448536269514715,
    0.975: 1.9599639845400536,
}

_gauss_rules: dict[int, tuple[tuple[float, float], ...]] = {}


def phi(z: float) -> float:
    """Probability that a standard normal deviate is z or less; z may be infinite.

    Raises ValueError when z is not a number. Source: DLMF 7.2.2, phi(z) = erfc(-z/sqrt 2)/2.
    """
    return 0.5 * math.erfc(-_number(z, "z") / math.sqrt(2.0))


def phi_inv(p: float) -> float:
    """Standard normal deviate z with phi(z) = p.

    Raises ValueError unless 0 < p < 1. Source: `statistics.NormalDist`, which names Wichura
    1988, Applied Statistics algorithm AS 241.
    """
    _probability(p, "p")
    if p in _COMMON_QUANTILES:
        return _COMMON_QUANTILES[p]
    from statistics import NormalDist  # slow to import, seldom needed

    return NormalDist().inv_cdf(p)


def incomplete_beta(a: float, b: float, x: float) -> float:
    """Regularised incomplete beta function I_x(a, b), a probability.

    Raises ValueError unless 1e-6 <= a, b <= 1e8 and 0 <= x <= 1. Source: DLMF 8.17.2 (definition),
    8.17.4 (symmetry), 8.17.22 (continued fraction, here its even part).
    """
    _shape(a, "The shape a")
    _shape(b, "The shape b")
    if not 0.0 <= x <= 1.0:
        raise ValueError(f"The argument x must lie between 0 and 1, not {x!r}.")
    return _beta_tails(a, b, x, 1.0 - x)[0]


def t_cdf(t: float, dof: float) -> float:
    """Probability that Student's t with dof degrees of freedom is t or less.

    Infinite dof gives the normal distribution; t may be infinite. Raises ValueError when t is
    not a number or dof below 1e-6. Source: Abramowitz & Stegun 26.7.1.
    """
    if _dof(dof) == math.inf:
        return phi(t)
    tail = 0.5 * _t_tails(abs(_number(t, "t")), dof)[1]
    return tail if t < 0.0 else 1.0 - tail


def t_quantile(p: float, dof: float) -> float:
    """Student's t with t_cdf(t, dof) = p; at p = 0.975 the k of an expanded uncertainty.

    Raises ValueError unless 0 < p < 1 and dof >= 1e-6, or when t is outside 1e-150 .. 1e150.
    Source: Abramowitz & Stegun 26.7.1, solved by bracketing.
    """
    if _dof(dof) == math.inf:
        return phi_inv(p)
    return -_t_upper(p, dof) if _probability(p, "p") < 0.5 else _t_upper(1.0 - p, dof)


def chi2_cdf(x: float, dof: float) -> float:
    """Probability that chi-square with dof degrees of freedom is x or less (0 for x <= 0).

    Raises ValueError when x is nan or dof outside 2e-6 .. 2e8. Source: A&S 26.4.19.
    """
    shape = _shape(0.5 * dof, "Half the degrees of freedom")
    return _gamma_tails(shape, max(0.0, 0.5 * _number(x, "x")))[0]


def chi2_quantile(p: float, dof: float) -> float:
    """Chi-square x with chi2_cdf(x, dof) = p.

    Raises ValueError unless 0 < p < 1 and 2e-6 <= dof <= 2e8, or when x is below 1e-150.
    Source: Abramowitz & Stegun (A&S) 26.4.19, solved by bracketing.
    """
    shape = _shape(0.5 * dof, "Half the degrees of freedom")
    side, aim = (0, p) if _probability(p, "p") < 0.5 else (1, 1.0 - p)
    return 2.0 * _solve_positive(lambda x: _gamma_tails(shape, x)[side], aim, shape)


def noncentral_t_cdf(t: float, dof: float, delta: float) -> float:
    """Probability that T = (Z + delta)/S is t or less; Z normal, dof S^2 chi-square with dof.

    Infinite dof gives S = 1. Raises ValueError unless t, delta are finite and dof >= 1e-6.
    Source: the definition, P = integral of phi(t s - delta) over the density of S; in w = ln s
    (substitution made here) it is sqrt(dof/pi) exp(-dof `_deviance`(w) - `_stirling`(dof/2)).
    """
    if not (math.isfinite(t) and math.isfinite(delta)):
        raise ValueError(f"t and delta must be finite numbers, not {t!r} and {delta!r}.")
    if _dof(dof) == math.inf:
        return phi(t - delta)
    # Beyond low and high the density is below exp(-_FAINT) of its peak.
    drop = _FAINT / dof
    low = -drop - math.sqrt(drop)
    high = math.sqrt(drop) if drop < 1.0 else 0.5 * math.log1p(4.0 * drop)
    # Panels end where phi(t s - delta) leaves 0, passes 1/2 and reaches 1: at a great delta this
    # is a narrow step, which one rule over the whole range would miss. Left of that and of s = 1
    # the integrand grows smoother: panels widen along the long tail exp(dof w) of few dof.
    steps = [(delta + z) / t for z in (-_PHI_REACH, 0.0, _PHI_REACH)] if t else []
    turns = [math.log(s) for s in steps if s > 0.0]
    last = min(0.0, max(turns, default=0.0))
    inner = [*turns, -2.0, -8.0, last - 2.0, last - 8.0, last - 64.0]
    ends = sorted({low, 0.0, high, *(w for w in inner if low < w < high)})

    def integrand(w: float) -> float:
        return math.exp(-dof * _deviance(w)) * phi(t * math.exp(w) - delta)

    parts = [integrate(integrand, ends[i], ends[i + 1], _PANEL_NODES) for i in range(len(ends) - 1)]
    return min(1.0, math.sqrt(dof / math.pi) * math.exp(-_stirling(0.5 * dof)) * math.fsum(parts))


def detection_factor(dof: float, alpha: float = 0.05, beta: float = 0.05) -> float:
    """Factor delta of the detection limit L_D = delta sigma0, sigma0 estimated with dof.

    Noncentral t with this delta stays below t(1 - alpha, dof) with probability beta: alpha is
    the risk of a false detection, beta that of missing L_D. Raises ValueError unless dof >= 1e-6
    and 0 < alpha, beta <= 0.5. Source: Currie 1995 (IUPAC), method version 1, section 2.
    """
    for risk, name in ((alpha, "alpha"), (beta, "beta")):
        if not 0.0 < risk <= 0.5:
            raise ValueError(f"The risk {name} must lie above 0 and at most at 0.5, not {risk!r}.")
    if _dof(dof) == math.inf:
        return -phi_inv(alpha) - phi_inv(beta)
    critical = _t_upper(alpha, dof)

    def excess(delta: float) -> float:
        return math.log(max(noncentral_t_cdf(critical, dof, delta), _LEAST) / beta)

    low, high = -1.0, critical + 1.0  # below 0, for alpha = beta = 0.5 has its root there
    while excess(high) > 0.0:
        low, high = high, 2.0 * high
    return _root(excess, low, high)


def gauss_legendre(n: int) -> tuple[tuple[float, float], ...]:
    """Nodes and weights of the n-point Gauss-Legendre rule on [-1, 1], nodes rising.

    Raises ValueError unless n is a whole number from 1 to 512. Source: DLMF 3.5(v); each node
    by Newton's method on the Legendre polynomial from a cosine start (from memory).
    """
    if n not in _gauss_rules:
        if n not in range(1, 513):
            raise ValueError(f"The number of nodes must be whole, 1 to 512, not {n!r}.")
        right = [_legendre_node(n, i) for i in range(n // 2)]
        centre = [_legendre_node(n, n // 2)] if n % 2 else []
        _gauss_rules[n] = (*((-x, w) for x, w in right), *centre, *reversed(right))
    return _gauss_rules[n]


def integrate(
    f: Callable[[float], float], a: float, b: float, n: int = 64, panels: int = 1
) -> float:
    """Integral of f from a to b by the n-point Gauss-Legendre rule on equal panels.

    The unit is that of f times that of a. Raises ValueError unless a and b are finite, n is 1
    to 512 and panels at least 1. Source: DLMF 3.5(v).
    """
    if not (math.isfinite(a) and math.isfinite(b)):
        raise ValueError(f"The limits of an integral must be finite numbers, not {a!r} and {b!r}.")
    if panels < 1:
        raise ValueError(f"The number of panels must be 1 or more, not {panels!r}.")
    half, rule = 0.5 * (b - a) / panels, gauss_legendre(n)
    middles = [a + half * (2 * i + 1) for i in range(panels)]
    return half * math.fsum(w * f(m + half * x) for m in middles for x, w in rule)


def _number(value: float, name: str) -> float:
    if math.isnan(value):
        raise ValueError(f"{name} must be a number, not {value!r}.")
    return value


def _probability(p: float, name: str) -> float:
    if not 0.0 < p < 1.0:
        raise ValueError(f"The probability {name} must lie above 0 and below 1, not {p!r}.")
    return p


def _dof(dof: float) -> float:
    if not dof >= _LEAST_SHAPE:
        raise ValueError(f"The degrees of freedom must be above 0 (1e-6 or more), not {dof!r}.")
    return dof if dof < _ENDLESS_DOF else math.inf


def _shape(value: float, name: str) -> float:
    if not _LEAST_SHAPE <= value <= _GREATEST_SHAPE:
        raise ValueError(f"{name} must lie between 1e-6 and 1e8, not {value!r}.")
    return value


def _stirling(z: float) -> float:
    """Remainder mu of ln Gamma(z) = (z - 1/2) ln z - z + ln(2 pi)/2 + mu(z), DLMF 5.11.1."""
    if z < 12.0:
        return math.lgamma(z) - (z - 0.5) * math.log(z) + z - 0.5 * math.log(2.0 * math.pi)
    y = 1.0 / (z * z)
    terms = 1 / 360 - y * (1 / 1260 - y * (1 / 1680 - y * (1 / 1188 - y * 691 / 360360)))
    return (1 / 12 - y * terms) / z


def _log_ratio(excess: float, ratio: float) -> float:
    """Ln of ratio = 1 + excess, from whichever of the two carries more digits."""
    return math.log1p(excess) if abs(excess) < 0.5 else math.log(max(ratio, _LEAST))


def _beta_tails(a: float, b: float, x: float, y: float) -> tuple[float, float]:
    """I_x(a, b) and its complement, y = 1 - x; each small one with its full relative accuracy.

    The factor x^a y^b/B(a, b) is formed as its value at x = a/(a + b) times an exponential of
    differences, so that great shapes lose no digits. The even part of DLMF 8.17.22 as written by
    DiDonato & Morris 1992, ACM algorithm 708 (BFRAC), from memory.
    """
    if x <= 0.0:
        return 0.0, 1.0
    if y <= 0.0:
        return 1.0, 0.0
    if x * (b + 1.0) > y * (a + 1.0):  # x above its turning point (a + 1)/(a + b + 2)
        upper, lower = _beta_tails(b, a, y, x)
        return lower, upper
    shift = x * b - y * a
    power = a * _log_ratio(shift / a, x * (1.0 + b / a))
    power += b * _log_ratio(-shift / b, y * (1.0 + a / b))
    power += _stirling(a + b) - _stirling(a) - _stirling(b)
    scale = math.sqrt(min(a, b) / (2.0 * math.pi * (1.0 + min(a, b) / max(a, b))))

    def step(m: int) -> tuple[float, float]:
        last = m + (a + m) / (a + 2 * m + 1.0) * (1.0 - shift + m * (1.0 + y))
        if m == 0:
            return 1.0, last
        odd = a + 2 * m - 1.0
        part = m * (b - m) * x / odd
        return (a + m - 1.0) * ((a + b + m - 1.0) / odd) * part * x, part + last

    lower = min(1.0, scale * math.exp(power) * _fraction(step))
    return lower, 1.0 - lower


def _gamma_tails(a: float, x: float) -> tuple[float, float]:
    """P(a, x) and Q(a, x) = 1 - P; each small one with its full relative accuracy."""
    if x <= 0.0:
        return 0.0, 1.0
    if x > 1e15:  # a is at most 1e8
        return 1.0, 0.0
    excess = (x - a) / a
    power = a * (_log_ratio(excess, x / a) - excess) - _stirling(a)
    front = math.sqrt(a / (2.0 * math.pi)) * math.exp(power)  # x^a exp(-x)/Gamma(a)
    if x < a + 1.0:
        term, total, n = 1.0 / a, 1.0 / a, a
        while term > _EPS * total:
            n += 1.0
            term *= x / n
            total += term
        lower = min(1.0, front * total)
        return lower, 1.0 - lower
    upper = front * _fraction(lambda m: (m * (a - m) if m else 1.0, (x - a) + (2 * m + 1.0)))
    return 1.0 - upper, upper


def _fraction(step: Callable[[int], tuple[float, float]]) -> float:
    """Continued fraction p0/(q0 + p1/(q1 + ...)) of (p, q) = step(m), by Lentz's method."""
    p, q = step(0)
    value, c, d = p / q, math.inf, 1.0 / q
    m, change = 0, 0.0
    while abs(change - 1.0) > 1e-15:
        m += 1
        p, q = step(m)
        c = q + p / c
        d = 1.0 / (q + p * d)
        change = c * d
        value *= change
    return value


def _t_tails(t: float, dof: float) -> tuple[float, float]:
    """P(|T| <= t) and P(|T| > t) of Student's t, t >= 0."""
    root = t / math.sqrt(dof)
    square = root * root  # may overflow to infinity, where ** would raise
    x = 1.0 / (1.0 + square)
    y = square * x if square < 1.0 else 1.0 / (1.0 + 1.0 / square)
    outside, inside = _beta_tails(0.5 * dof, 0.5, x, y)
    return inside, outside


def _t_upper(q: float, dof: float) -> float:
    """The t >= 0 with P(T > t) = q <= 1/2, from whichever of the two tails is the smaller."""
    if q == 0.5:
        return 0.0
    side, aim = (1, 2.0 * q) if q < 0.25 else (0, 1.0 - 2.0 * q)
    return _solve_positive(lambda t: _t_tails(t, dof)[side], aim, 1.0)


def _solve_positive(probability: Callable[[float], float], aim: float, start: float) -> float:
    """The x > 0 where a monotonic probability equals aim, in logarithms of both."""

    def excess(log_x: float) -> float:
        return math.log(max(probability(math.exp(log_x)), _LEAST) / aim)

    centre = math.log(start)
    for reach in (0.5 * 2.0**k for k in range(11)):
        low, high = centre - reach, centre + reach
        if (excess(low) > 0.0) != (excess(high) > 0.0):
            root = _root(excess, low, high)
            if abs(excess(root)) < 1e-6:  # else a jump where the probability underflows
                return math.exp(root)
    raise ValueError(f"The quantile for a probability of {aim!r} lies outside 1e-150 to 1e150.")


def _root(f: Callable[[float], float], a: float, b: float) -> float:
    """Root of f between a and b, where f has two signs: Chandrupatla 1997, from memory."""
    fa, fb = f(a), f(b)
    c, fc, part = a, fa, 0.5
    while True:
        x = a + part * (b - a)
        fx = f(x)
        if (fx > 0.0) == (fa > 0.0):
            c, fc = a, fa
        else:
            c, fc, b, fb = b, fb, a, fa
        a, fa = x, fx
        best = a if abs(fa) < abs(fb) else b
        least = (4.0 * _EPS * abs(best) + 4.0 * _EPS) / abs(b - a)
        if fa == 0.0 or least > 0.5:
            return best
        xi, ratio = (a - b) / (c - b), (fa - fb) / (fc - fb)
        part = 0.5
        if ratio * ratio < xi and (1.0 - ratio) ** 2 < 1.0 - xi:  # inverse quadratic step
            part = fa / (fb - fa) * fc / (fb - fc)
            part += (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        part = min(1.0 - least, max(least, part))


def _deviance(w: float) -> float:
    """D(w) = (exp(2 w) - 1)/2 - w, by its series where the terms cancel."""
    if abs(w) > 0.02:
        return 0.5 * math.expm1(2.0 * w) - w
    tail = 2 / 15 + w * (2 / 45 + w * (4 / 315 + w / 315))
    return w * w * (1.0 + w * (2 / 3 + w * (1 / 3 + w * tail)))


def _legendre_node(n: int, i: int) -> tuple[float, float]:
    """The i-th greatest node of the n-point Gauss-Legendre rule, i = 0, 1, ..., its weight."""
    x = 0.0 if 2 * i + 1 == n else math.cos(math.pi * (i + 0.75) / (n + 0.5))
    slope = 1.0
    for _ in range(8):
        previous, value = 1.0, x
        for k in range(2, n + 1):
            previous, value = value, ((2 * k - 1) * x * value - (k - 1) * previous) / k
        slope = n * (previous - x * value) / ((1.0 - x) * (1.0 + x))
        x -= value / slope
    return x, 2.0 / ((1.0 - x) * (1.0 + x) * slope * slope)
