"""Propagation: one variable for one name, shares, covariance, degrees of freedom."""

import copy
import math
import operator
from collections.abc import Callable
from fractions import Fraction
from typing import Any, TypeAlias

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import umath

from assaybench.metrology.freedom import coverage_factor
from assaybench.metrology.uncertain import COVARIANCE, Sources, nominal, product, ratio, total
from assaybench.metrology.weighing import Balance, Reading, weigh
from tests.strategies import magnitudes

NAMES = ("a", "b", "c", "d")
Formula: TypeAlias = Any
"""A name, or an operation and the two formulas it joins."""

OPERATIONS: tuple[Callable[[Any, Any], Any], ...] = (
    operator.add,
    operator.sub,
    operator.mul,
    operator.truediv,
)
formulas = st.recursive(
    st.sampled_from(NAMES),
    lambda part: st.tuples(st.sampled_from(OPERATIONS), part, part),
    max_leaves=7,
)
values = st.lists(st.floats(0.5, 2.0), min_size=4, max_size=4)
doubts = st.lists(magnitudes(-4, -1), min_size=4, max_size=4)


def evaluate(formula: Formula, at: dict[str, Any]) -> Any:
    if isinstance(formula, str):
        return at[formula]
    operation, left, right = formula
    first, second = evaluate(left, at), evaluate(right, at)
    if operation is operator.truediv:
        assume(abs(nominal(second)) > 0.05)
    return operation(first, second)


def variables(sources: Sources, at: list[float], u: list[float]) -> dict[str, Any]:
    return {name: sources.variable(name, x, w) for name, x, w in zip(NAMES, at, u, strict=True)}


def slopes(formula: Formula, at: list[float]) -> dict[str, float]:
    """Central finite differences of a formula by each of its inputs."""
    found = {}
    step = 1e-5
    for name in NAMES:
        ends = []
        for shift in (step, -step):
            moved = dict(zip(NAMES, at, strict=True))
            moved[name] += shift
            ends.append(float(evaluate(formula, moved)))
        found[name] = (ends[0] - ends[1]) / (2 * step)
    return found


@given(formulas, values, doubts)
def test_u_is_that_of_central_finite_differences(
    formula: Formula, at: list[float], u: list[float]
) -> None:
    sources = Sources()
    found = sources.doubt(evaluate(formula, variables(sources, at, u))).u
    slope = slopes(formula, at)
    expected = math.hypot(*(slope[name] * w for name, w in zip(NAMES, u, strict=True)))
    largest = max(abs(s) for s in slope.values())
    assert found == pytest.approx(expected, rel=1e-4, abs=1e-6 * largest * max(u) + 1e-12)


@given(formulas, values, doubts)
def test_slopes_are_to_every_digit_what_the_package_works_out(
    formula: Formula, at: list[float], u: list[float]
) -> None:
    ours, plain = Sources(), Sources()
    result = evaluate(formula, variables(ours, at, u))
    same = evaluate(formula, variables(plain, at, u))
    expected = {source.name: slope * source.u for source, slope in same.derivatives.items()}
    assert ours.parts(result) == expected
    assert list(ours.parts(result)) == list(expected)  # sums of squares depend on the order


def test_a_sum_of_many_is_no_deeper_than_it_may_be() -> None:
    sources = Sources()
    names = [str(i) for i in range(3000)]
    many = sum(sources.variable(name, 1.0, 0.1) for name in names)
    assert sources.parts(many) == dict.fromkeys(reversed(names), 0.1)


@given(formulas, values, doubts, st.floats(-0.9, 0.9), st.floats(-0.9, 0.9))
def test_shares_add_to_one_and_covariance_has_its_own_row(
    formula: Formula, at: list[float], u: list[float], r_ab: float, r_cd: float
) -> None:
    sources = Sources()
    known = {
        name: sources.variable(name, x, w, dof=4, spread="ab" if name in "ab" else "cd")
        for name, x, w in zip(NAMES, at, u, strict=True)
    }
    sources.correlate("a", "b", r_ab)
    sources.correlate("c", "d", r_cd)
    doubt = sources.doubt(evaluate(formula, known))
    assume(doubt.u > 1e-9)
    assert math.fsum(share.share for share in doubt.budget) == pytest.approx(1, abs=1e-12)
    parts = [s.share for s in doubt.budget]
    assert parts == sorted(parts, reverse=True)
    assert all(s.share >= 0 for s in doubt.budget if s.source != COVARIANCE)


@given(formulas, formulas, values, doubts)
def test_covariance_completes_the_variance_of_a_sum(
    first: Formula, second: Formula, at: list[float], u: list[float]
) -> None:
    sources = Sources()
    known = variables(sources, at, u)
    one, two = evaluate(first, known), evaluate(second, known)
    covariance = sources.covariance(one, two)
    variances = sources.doubt(one).u ** 2 + sources.doubt(two).u ** 2
    together = sources.doubt(one + two).u ** 2
    assert together == pytest.approx(variances + 2 * covariance, rel=1e-9, abs=1e-9 * variances)
    assert covariance == pytest.approx(sources.covariance(two, one), rel=1e-12)
    assert sources.covariance(one, one) == pytest.approx(sources.doubt(one).u ** 2, rel=1e-12)


def slopes_of(number: Any) -> list[tuple[float, float]]:
    """Value and slope of each source, in the order of the package, to the last digit."""
    return [(source.nominal_value, slope) for source, slope in number.derivatives.items()]


@given(formulas, formulas, formulas, values, doubts, st.floats(-3, 3))
def test_a_sum_product_or_ratio_in_one_step_is_that_of_the_operators_to_the_last_digit(
    first: Formula, second: Formula, third: Formula, at: list[float], u: list[float], q: float
) -> None:
    def numbers() -> list[Any]:
        known = variables(Sources(), at, u)
        return [evaluate(formula, known) for formula in (first, second, third)]

    a, b, c = numbers()
    assume(abs(nominal(c)) > 0.05)
    one_step = (
        total((1, a), (-1, b), (q, c), (2, 1.5)),
        product(a, b),
        product(a, 0.5),
        ratio([(1000, a)], c),
        ratio([(1, a), (-1, b)], c),
        ratio([(1, a), (1, b)], 2),
    )
    a, b, c = numbers()
    operators = (a - b + q * c + 2 * 1.5, a * b, a * 0.5, 1000 * a / c, (a - b) / c, (a + b) / 2)
    for made, expected in zip(one_step, operators, strict=True):
        assert nominal(made) == nominal(expected)
        assert slopes_of(made) == slopes_of(expected)


def test_exact_numbers_stay_plain_in_one_step_too() -> None:
    assert total((2, 1.5), (-1, 0.5)) == 2.5
    assert product(3.0, 0.5) == 1.5
    assert ratio([(1000, 3.0)], 2) == 1500
    assert {type(total((1, 1.0))), type(product(1.0, 2.0)), type(ratio([], 2.0))} == {float}


def test_what_a_fork_names_is_unknown_to_the_sources_it_came_from() -> None:
    sources = Sources()
    a = sources.variable("a", 1.0, 0.1)
    fork = sources.fork()
    assert fork.variable("a", 1.0, 0.1) is a
    fork.variable("scatter", 0.0, 0.2)
    assert sources.doubt(a + sources.variable("scatter", 0.0, 0.3)).u == pytest.approx(0.1**0.5)
    with pytest.raises(ValueError, match="scatter is known with another value"):
        fork.variable("scatter", 0.0, 0.3)


def test_one_name_is_one_variable() -> None:
    sources = Sources()
    zero = sources.variable("zero 1", 0.0, 0.002)
    assert sources.variable("zero 1", 0.0, 0.002) is zero
    difference = sources.doubt(zero - sources.variable("zero 1", 0.0, 0.002))
    assert difference.u == 0.0
    assert difference.k == 2.0
    two_of_it = zero + sources.variable("zero 1", 0.0, 0.002)
    assert sources.doubt(two_of_it).u == pytest.approx(0.004, rel=1e-15)


@pytest.mark.parametrize(("value", "u"), [(0.1, 0.002), (0.0, 0.003), (0.0, 0.0)])
def test_a_name_cannot_stand_for_two_things(value: float, u: float) -> None:
    sources = Sources()
    sources.variable("zero 1", 0.0, 0.002)
    with pytest.raises(ValueError, match="zero 1 is known with another value or doubt"):
        sources.variable("zero 1", value, u)


@pytest.mark.parametrize(
    ("value", "u"), [(1.0, -0.1), (1.0, math.inf), (1.0, math.nan), (math.inf, 1.0), (math.nan, 1)]
)
def test_a_variable_is_finite_and_its_doubt_not_negative(value: float, u: float) -> None:
    with pytest.raises(ValueError, match="x: value and doubt must be finite"):
        Sources().variable("x", value, u)


def test_an_exact_number_stays_a_plain_float() -> None:
    sources = Sources()
    exact = sources.variable("exact", 3, 0.0)
    assert type(exact) is float
    assert sources.doubt(exact).budget == ()
    assert sources.doubt(exact).u == 0.0
    with pytest.raises(ValueError, match="above zero"):
        sources.figure(exact, "mg")


def test_a_difference_of_a_result_with_itself_is_exactly_nothing() -> None:
    sources = Sources()
    a, b = sources.variable("a", 0.3, 0.1), sources.variable("b", 0.7, 0.2)
    grade = a / (a + b)
    assert sources.doubt(grade - grade).u == 0.0
    assert sources.doubt(grade / grade).u == pytest.approx(0.0, abs=1e-16)


def test_a_copied_variable_would_be_an_independent_one() -> None:
    """The trap this file keeps out: the library copies a variable into a new, independent one."""
    sources = Sources()
    a = sources.variable("a", 1.0, 0.1)
    stranger = copy.copy(a)
    assert (a - stranger).std_dev == pytest.approx(0.1 * math.sqrt(2))
    assert sources.doubt(a - sources.variable("a", 1.0, 0.1)).u == 0.0


def test_rows_gather_the_inputs_of_one_line() -> None:
    sources = Sources()
    readings = [sources.variable(f"load {i}", 1.0, 0.2, row="readings") for i in (1, 2)]
    other = sources.variable("drift", 0.0, 0.1)
    doubt = sources.doubt(sum(readings) / 2 + other)
    assert [(s.source, round(s.share, 12)) for s in doubt.budget] == [
        ("readings", round(0.02 / 0.03, 12)),
        ("drift", round(0.01 / 0.03, 12)),
    ]


def test_readings_of_one_spread_are_one_term() -> None:
    """Two readings with one estimated s have the ν of that s, not the ν of two estimates."""
    sources = Sources()
    load = sources.variable("load", 5.0, 0.1, dof=9, spread="s")
    zero = sources.variable("zero", 0.0, 0.1, dof=9, spread="s")
    assert sources.doubt(load - zero).dof == pytest.approx(9, rel=1e-12)
    assert sources.doubt(load - zero).k == coverage_factor(9)
    apart = Sources()
    one = apart.variable("load", 5.0, 0.1, dof=9)
    two = apart.variable("zero", 0.0, 0.1, dof=9)
    assert apart.doubt(one - two).dof == pytest.approx(18, rel=1e-12)


def test_gum_g_4_1_by_variables() -> None:
    sources = Sources()
    terms = (("x1", 0.25, 9), ("x2", 0.57, 4), ("x3", 0.82, 14))
    result = sum(sources.variable(name, 1.0, u, dof=dof) for name, u, dof in terms)
    doubt = sources.doubt(result)
    assert doubt.u == pytest.approx(1.02947, abs=1e-5)
    assert doubt.dof == pytest.approx(18.999, abs=1e-3)
    figure = sources.figure(result, "%", layer="assay", basis="dry", why="G.4.1")
    assert figure.expanded == pytest.approx(2.16, abs=0.005)
    assert (figure.layer, figure.basis, figure.why) == ("assay", "dry", "G.4.1")


# GUM H.2: five sets of simultaneous observations, V in V, I in mA, φ in rad.
VOLTS = (5.007, 4.994, 5.005, 4.990, 4.999)
MILLIAMPERES = (19.663, 19.639, 19.640, 19.685, 19.678)
RADIANS = (1.0456, 1.0438, 1.0468, 1.0428, 1.0433)


def mean_of(data: tuple[float, ...]) -> float:
    return math.fsum(data) / len(data)


def covariance_of_means(x: tuple[float, ...], y: tuple[float, ...]) -> float:
    products = ((a - mean_of(x)) * (b - mean_of(y)) for a, b in zip(x, y, strict=True))
    return math.fsum(products) / (len(x) * (len(x) - 1))


def test_gum_h_2_inputs_observed_together() -> None:
    """R = 127.732(71), X = 219.847(295), Z = 254.260(236) Ω, and the r of table H.4."""
    data = {"V": VOLTS, "I": tuple(i / 1000 for i in MILLIAMPERES), "phi": RADIANS}
    sources = Sources()
    u = {name: math.sqrt(covariance_of_means(x, x)) for name, x in data.items()}
    v, i, phi = (
        sources.variable(name, mean_of(x), u[name], dof=4, spread="five observations")
        for name, x in data.items()
    )
    for a, b in (("V", "I"), ("V", "phi"), ("I", "phi")):
        sources.correlate(a, b, covariance_of_means(data[a], data[b]) / (u[a] * u[b]))
    r, x, z = v / i * umath.cos(phi), v / i * umath.sin(phi), v / i
    for result, value, doubt in ((r, 127.732, 0.071), (x, 219.847, 0.295), (z, 254.260, 0.236)):
        found = sources.doubt(result)
        assert nominal(result) == pytest.approx(value, abs=6e-4)
        assert found.u == pytest.approx(doubt, abs=6e-4)
        assert found.dof == pytest.approx(4, rel=1e-9)
        assert found.k == coverage_factor(4)
        assert COVARIANCE in {share.source for share in found.budget}
        assert math.fsum(share.share for share in found.budget) == pytest.approx(1, abs=1e-12)
    for one, two, expected in ((r, x, -0.588), (r, z, -0.485), (x, z, 0.993)):
        both = sources.doubt(one).u * sources.doubt(two).u
        assert sources.covariance(one, two) / both == pytest.approx(expected, abs=6e-4)


def test_what_cannot_be_correlated() -> None:
    sources = Sources()
    sources.variable("a", 1.0, 0.1, spread="s")
    sources.variable("b", 1.0, 0.1, spread="s")
    sources.variable("c", 1.0, 0.1)
    with pytest.raises(ValueError, match="between -1 and 1"):
        sources.correlate("a", "b", 1.01)
    with pytest.raises(ValueError, match="a and c must share one spread"):
        sources.correlate("a", "c", 0.5)
    with pytest.raises(KeyError):
        sources.correlate("a", "nobody", 0.5)


@pytest.mark.parametrize("r", [1.0, -1.0])
def test_fully_correlated_inputs_add_up_or_cancel(r: float) -> None:
    sources = Sources()
    a = sources.variable("a", 1.0, 0.1, spread="s", dof=4)
    b = sources.variable("b", 2.0, 0.1, spread="s", dof=4)
    sources.correlate("a", "b", r)
    assert sources.doubt(a + b).u == pytest.approx(0.1 * (1 + r), abs=1e-9)
    assert sources.doubt(a - b).u == pytest.approx(0.1 * (1 - r), abs=1e-9)
    assert sources.covariance(a, b) == pytest.approx(r * 0.01)


def two_beads(calibration: float | None) -> tuple[Sources, Any, Any]:
    sources = Sources()
    balance = Balance("b", 0.001, 0.002, calibration=calibration)
    first, second = (
        weigh(sources, balance, [Reading(f"bead of {mg} mg", Fraction(mg), f"{mg} mg")]).net
        for mg in (2, 3)
    )
    return sources, first, second


@pytest.mark.parametrize("calibration", [0.0002, 0.02])
def test_a_shared_calibration_cancels_in_a_ratio_and_stays_in_a_sum(calibration: float) -> None:
    plain, a0, b0 = two_beads(None)
    shared, a, b = two_beads(calibration)
    for without, with_it in ((a0 / b0, a / b), (a0 / (a0 + b0), a / (a + b))):
        doubt = shared.doubt(with_it)
        assert doubt.u == pytest.approx(plain.doubt(without).u, rel=1e-12)
        assert "calibration" not in {share.source for share in doubt.budget}
    total = shared.doubt(a + b)
    assert total.u == pytest.approx(math.hypot(plain.doubt(a0 + b0).u, 5 * calibration), rel=1e-12)
    assert "calibration" in {share.source for share in total.budget}


def test_recovery_with_shared_scale_as_derived() -> None:
    """A 2.000, B 0.150 mg, u .002 each: u(R) = 8.6776e-4 whatever the shared factor."""
    for scale in (0.0, 0.0002, 0.02):
        sources = Sources()
        factor = sources.variable("scale", 1.0, scale)
        a = sources.variable("A", 2.0, 0.002) * factor
        b = sources.variable("B", 0.15, 0.002) * factor
        assert sources.doubt(a / (a + b)).u == pytest.approx(8.67763e-4, abs=1e-9)


def test_the_value_of_a_number_with_and_without_doubt() -> None:
    assert nominal(Sources().variable("a", 2.5, 0.1)) == 2.5
    assert nominal(3) == 3.0
    assert type(nominal(3)) is float
