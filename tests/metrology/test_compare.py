"""Is a difference shown: scores, cut-offs, runs before and after, limits of ISO 5725-6."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from assaybench.metrology.compare import (
    MOST_RUNS,
    PLANNED_POWER,
    critical_difference_one_laboratory,
    critical_difference_two_laboratories,
    critical_range,
    difference,
    paired,
    power,
    probability_above,
    runs_needed,
    spread_bound,
    spread_interval,
    spread_of_runs,
    welch,
)
from assaybench.metrology.freedom import coverage_factor
from assaybench.metrology.uncertain import Sources
from tests.strategies import magnitudes

BEFORE, AFTER = (81.2, 84.0, 79.5), (85.1, 83.3, 86.8)
# Student's sleep data, Biometrika 6 (1908) 1: hours of sleep gained on two drugs.
SLEEP_1 = (0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0)
SLEEP_2 = (1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4)

runs = st.lists(st.floats(-100, 100).map(lambda x: round(x, 2)), min_size=2, max_size=12)


# --- two results ---------------------------------------------------------------------------------


def test_e_n_is_the_difference_over_both_expanded_uncertainties() -> None:
    """10.0012 ± .0008 and 10.0005 ± .0006: E_n = 0.700, and ζ = 1.400 (derived)."""
    d = difference(10.0012, 0.0004, 10.0005, 0.0003)
    assert d.en == pytest.approx(0.700, abs=1e-9)
    assert d.value / d.u == pytest.approx(1.400, abs=1e-9)
    assert not d.shown
    assert (d.k, d.dof) == (2.0, math.inf)
    assert d.p == pytest.approx(2 * float(stats.norm.sf(1.4)), rel=1e-9)


def test_two_typed_grades() -> None:
    d = difference(3.2, 0.2, 4.1, 0.25)
    assert d.value == pytest.approx(-0.9)
    assert d.u == pytest.approx(math.hypot(0.2, 0.25))
    assert (d.low, d.high) == pytest.approx((-0.9 - 2 * d.u, -0.9 + 2 * d.u))
    assert d.shown
    assert d.times_too_wide == pytest.approx(2 * d.u / 0.9)
    assert difference(3.2, 0.2, 3.2, 0.2).times_too_wide == math.inf


def test_leaving_out_what_two_results_share_makes_e_n_too_small() -> None:
    apart = difference(3.2, 0.2, 3.4, 0.2)
    shared = difference(3.2, 0.2, 3.4, 0.2, covariance=0.03)
    assert apart.en is not None
    assert shared.en is not None
    assert abs(shared.en) > abs(apart.en)
    assert shared.u**2 == pytest.approx(0.08 - 0.06)
    assert shared.en == pytest.approx(-0.2 / (2 * shared.u))


def test_few_degrees_of_freedom_widen_the_interval() -> None:
    d = difference(3.2, 0.2, 3.9, 0.2, dof_a=4, dof_b=4)
    assert d.dof == pytest.approx(8)
    assert d.k == coverage_factor(8)
    assert d.p == pytest.approx(2 * float(stats.t.sf(0.7 / d.u, 8)), rel=1e-9)
    assert d.en == pytest.approx(-0.7 / (coverage_factor(4) * d.u))


@pytest.mark.parametrize(("u", "covariance"), [(0.2, 0.04), (0.1, 0.01), (0.25, 0.0625)])
def test_a_difference_without_doubt_cannot_be_judged(u: float, covariance: float) -> None:
    """Two results of one input: what rounding leaves of u² + u² - 2·u·u is no doubt."""
    with pytest.raises(ValueError, match="no doubt"):
        difference(1.0, u, 2.0, u, covariance=covariance)


def test_what_two_results_share_well_known_leaves_the_freedom_of_the_rest() -> None:
    """Variables, which know what cancels, and the covariance must lead to the same k."""
    sources = Sources()
    shared = sources.variable("scale", 0.0, 0.3)
    a = sources.variable("a", 3.2, 0.1, dof=6) + shared
    b = sources.variable("b", 3.9, 0.2, dof=6) + shared
    one, two, both = (sources.doubt(x) for x in (a, b, a - b))
    d = difference(3.2, one.u, 3.9, two.u, covariance=0.09, dof_a=one.dof, dof_b=two.dof)
    assert d.u == pytest.approx(both.u, rel=1e-12)
    assert d.dof == pytest.approx(both.dof, rel=1e-9)
    assert d.k == both.k


def test_a_covariance_larger_than_the_doubts_allow_is_refused() -> None:
    with pytest.raises(ValueError, match="covariance"):
        difference(1.0, 0.1, 2.0, 0.2, covariance=0.0249)


@given(st.floats(-9, 9), magnitudes(-3, 1), st.floats(-9, 9), magnitudes(-3, 1))
def test_a_comparison_has_two_sides(a: float, u_a: float, b: float, u_b: float) -> None:
    there, back = difference(a, u_a, b, u_b), difference(b, u_b, a, u_a)
    assert there.value == -back.value
    assert (there.u, there.p, there.shown) == (back.u, back.p, back.shown)
    assert there.low == pytest.approx(-back.high)
    assert there.shown is not (there.low <= 0 <= there.high)
    assert there.shown is (there.times_too_wide < 1)


# --- cut-offs ------------------------------------------------------------------------------------


def test_jcgm_106_examples() -> None:
    """JCGM 106 clause 7 (from memory): .92 for -5.40 V, .66 for a viscosity of 12.5 to 16.3."""
    assert 1 - probability_above(-5.47, 0.05, -5.40) == pytest.approx(0.9192, abs=1e-4)
    between = probability_above(13.6, 1.8, 12.5) - probability_above(13.6, 1.8, 16.3)
    assert between == pytest.approx(0.6626, abs=1e-4)


def test_the_example_of_the_cutoff_sentence() -> None:
    """1.2 ± 0.4 g/t against 1.0: 84 in 100."""
    probability = probability_above(1.2, 0.2, 1.0)
    assert probability == pytest.approx(0.8413, abs=1e-4)


def test_few_degrees_of_freedom_make_a_cutoff_less_sure() -> None:
    assert probability_above(1.2, 0.1, 1.0, 4) == pytest.approx(float(stats.t.cdf(2, 4)), rel=1e-9)


@pytest.mark.parametrize("u", [0.0, -0.1])
def test_a_cutoff_needs_a_doubt(u: float) -> None:
    with pytest.raises(ValueError, match="without doubt"):
        probability_above(1.2, u, 1.0)


# --- runs ----------------------------------------------------------------------------------------


def test_three_runs_before_and_three_after() -> None:
    """+3.5 points, -1.2 to +8.2, Welch's ν 3.76, t 2.11, p 0.107."""
    d = welch(BEFORE, AFTER)
    assert d.value == pytest.approx(3.5)
    assert d.low == pytest.approx(-1.218, abs=5e-4)
    assert d.high == pytest.approx(8.218, abs=5e-4)
    assert d.dof == pytest.approx(3.755, abs=5e-4)
    assert d.value / d.u == pytest.approx(2.1136, abs=5e-5)
    assert d.p == pytest.approx(0.1066, abs=5e-5)
    assert d.en is None
    assert not d.shown


@pytest.mark.parametrize(
    ("first", "second", "t", "p", "dof"),
    [
        # Welch against another program, printed with the tests of scipy.
        ((1.0, 2.0, 3.0), (1.1, 2.9, 4.2), 0.686495127356, 0.536194907531, 3.410444),
        # Student's sleep data by Welch (answers from memory).
        (SLEEP_1, SLEEP_2, 1.8608, 0.07939, 17.776),
    ],
)
def test_welch_as_published(
    first: tuple[float, ...], second: tuple[float, ...], t: float, p: float, dof: float
) -> None:
    d = welch(first, second)
    assert d.value / d.u == pytest.approx(t, rel=1e-4)
    assert d.p == pytest.approx(p, rel=1e-4)
    assert d.dof == pytest.approx(dof, rel=1e-4)


def test_student_s_sleep_data_in_pairs() -> None:
    """t = 4.0621 with 9 degrees of freedom, p = 0.00283 (answers from memory)."""
    d = paired(SLEEP_1, SLEEP_2)
    assert d.value == pytest.approx(1.58)
    assert d.value / d.u == pytest.approx(4.0621, abs=5e-5)
    assert d.dof == 9
    assert d.p == pytest.approx(0.002833, abs=5e-7)
    assert d.k == pytest.approx(2.2622, abs=5e-5)
    assert d.shown


@given(runs, runs)
def test_welch_as_scipy_has_it(first: list[float], second: list[float]) -> None:
    assume(min(np.ptp(first), np.ptp(second)) > 0.1)
    d = welch(first, second)
    theirs = stats.ttest_ind(second, first, equal_var=False)
    assert d.p == pytest.approx(theirs.pvalue, rel=1e-6, abs=1e-12)
    assert d.dof == pytest.approx(theirs.df, rel=1e-6)
    interval = theirs.confidence_interval(0.95)
    assert (d.low, d.high) == pytest.approx((interval.low, interval.high), rel=1e-6, abs=1e-6)


@given(runs)
def test_pairs_as_scipy_has_them(first: list[float]) -> None:
    second = [x + 1 + 0.3 * i for i, x in enumerate(first)]
    d = paired(first, second)
    theirs = stats.ttest_rel(second, first)
    assert d.p == pytest.approx(theirs.pvalue, rel=1e-6, abs=1e-12)
    assert d.dof == len(first) - 1


def test_a_shift_of_all_runs_changes_no_pair() -> None:
    shifted = paired([x + 50 for x in SLEEP_1], [x + 50 for x in SLEEP_2])
    assert shifted.value == pytest.approx(paired(SLEEP_1, SLEEP_2).value)
    assert shifted.u == pytest.approx(paired(SLEEP_1, SLEEP_2).u)


def test_runs_that_cannot_be_compared() -> None:
    with pytest.raises(ValueError, match="two runs of each are the least"):
        welch([81.2], [84.0, 85.0])
    with pytest.raises(ValueError, match="pairs need as many runs after as before"):
        paired([81.2, 82.0], [84.0])
    with pytest.raises(ValueError, match="pairs need as many runs after as before"):
        paired([81.2], [84.0])
    with pytest.raises(ValueError, match="the runs have no spread"):
        welch([81.2, 81.2], [84.0, 84.0])
    with pytest.raises(ValueError, match="the runs have no spread"):
        paired([81.0, 82.0], [84.0, 85.0])


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ((0.1, 0.2, 0.3), (0.2, 0.3, 0.4)),
        ((81.2, 84.1, 79.5), (81.3, 84.2, 79.6)),
    ],
)
def test_noise_of_binary_fractions_is_no_spread(
    first: tuple[float, ...], second: tuple[float, ...]
) -> None:
    """Every pair differs by exactly 0.1: there is no scatter to judge by, only rounding."""
    with pytest.raises(ValueError, match="the runs have no spread"):
        paired(first, second)


def test_one_set_without_spread_leaves_the_freedom_of_the_other() -> None:
    d = welch([1.0, 2.0, 3.0], [5.0, 5.0])
    assert d.dof == pytest.approx(2)


# --- power ---------------------------------------------------------------------------------------


def test_how_many_runs_would_show_it() -> None:
    """Spread of the six runs above: 2.03. 3.5 points need seven of each, 2.8 points ten."""
    spread = spread_of_runs(BEFORE, AFTER, in_pairs=False)
    assert spread == pytest.approx(2.028, abs=5e-4)
    assert power(3.5, spread, 7, in_pairs=False) == pytest.approx(0.84, abs=0.005)
    assert power(3.5, spread, 6, in_pairs=False) == pytest.approx(0.77, abs=0.005)
    assert runs_needed(3.5, spread, in_pairs=False) == 7
    assert runs_needed(2.8, spread, in_pairs=False) == 10
    assert runs_needed(-2.8, spread, in_pairs=False) == 10


@pytest.mark.parametrize("in_pairs", [False, True])
@pytest.mark.parametrize(("gain", "n"), [(0.5, 5), (1.0, 3), (1.0, 17), (2.5, 4)])
def test_power_as_the_noncentral_t_of_scipy(gain: float, n: int, *, in_pairs: bool) -> None:
    dof = n - 1 if in_pairs else 2 * n - 2
    delta = gain * math.sqrt(n if in_pairs else n / 2)
    t = stats.t.ppf(0.975, dof)
    expected = float(stats.nct.sf(t, dof, delta) + stats.nct.cdf(-t, dof, delta))
    assert power(gain, 1.0, n, in_pairs=in_pairs) == pytest.approx(expected, abs=1e-8)


def test_power_by_simulation() -> None:
    """Ten runs of each show a gain of 2.8 with a spread of 2.03 about four times in five."""
    rng = np.random.default_rng(7)
    before, after = rng.normal(80, 2.028, (2000, 10)), rng.normal(82.8, 2.028, (2000, 10))
    shown = [welch(b, a).shown for b, a in zip(before.tolist(), after.tolist(), strict=True)]
    assert np.mean(shown) == pytest.approx(power(2.8, 2.028, 10, in_pairs=False), abs=0.03)


@given(st.floats(0.2, 5), st.booleans())
def test_the_runs_needed_are_the_fewest(gain: float, in_pairs: bool) -> None:  # noqa: FBT001  drawn
    found = runs_needed(gain, 1.0, in_pairs=in_pairs)
    if found is None:
        assert power(gain, 1.0, MOST_RUNS, in_pairs=in_pairs) < PLANNED_POWER
    else:
        assert power(gain, 1.0, found, in_pairs=in_pairs) >= PLANNED_POWER
        if found > 2:
            assert power(gain, 1.0, found - 1, in_pairs=in_pairs) < PLANNED_POWER


def test_no_number_of_runs_shows_nothing() -> None:
    assert runs_needed(0.0, 1.0, in_pairs=True) is None
    assert runs_needed(0.01, 1.0, in_pairs=False) is None
    assert power(0.0, 1.0, 5, in_pairs=False) == pytest.approx(0.05, abs=1e-9)


def test_spread_of_runs() -> None:
    assert spread_of_runs([1.0, 3.0], [10.0, 10.0], in_pairs=False) == pytest.approx(1.0)
    assert spread_of_runs([1.0, 2.0, 3.0], [2.0, 4.0, 6.0], in_pairs=True) == pytest.approx(1.0)


@pytest.mark.parametrize(
    # J. Cohen, Statistical Power Analysis (1988), table 2.4.1: runs of each of two groups for
    # power 0.80 at 5 % on both sides (from memory).
    ("effect", "runs_of_each"),
    [(0.5, 64), (0.8, 26)],
)
def test_runs_of_the_tables_of_power(effect: float, runs_of_each: int) -> None:
    assert runs_needed(effect, 1.0, in_pairs=False) == runs_of_each


def test_a_higher_power_needs_more_runs() -> None:
    found = [runs_needed(2.8, 2.03, in_pairs=False, planned=p) for p in (0.5, 0.8, 0.9, 0.95)]
    assert found == sorted(found)  # type: ignore[type-var]  # none is None
    assert len(set(found)) == 4


@pytest.mark.parametrize("dof", [1, 2, 4, 10, 100])
def test_the_bound_of_a_spread_as_scipy_has_it(dof: int) -> None:
    assert spread_bound(2.0, dof) == pytest.approx(2 * math.sqrt(dof / stats.chi2.ppf(0.10, dof)))
    low, high = spread_interval(2.0, dof)
    assert low == pytest.approx(2 * math.sqrt(dof / stats.chi2.ppf(0.975, dof)))
    assert high == pytest.approx(2 * math.sqrt(dof / stats.chi2.ppf(0.025, dof)))


def test_the_true_spread_lies_below_its_bound_nine_times_in_ten() -> None:
    rng = np.random.default_rng(5)
    spreads = rng.normal(0, 1, (4000, 5)).std(axis=1, ddof=1)
    below = [spread_bound(s, 4) >= 1 for s in spreads.tolist()]
    assert np.mean(below) == pytest.approx(0.90, abs=0.015)


# --- limits of ISO 5725-6 ------------------------------------------------------------------------


def test_single_results_have_the_limits_r_and_capital_r() -> None:
    assert critical_difference_one_laboratory(0.1, 1, 1) == pytest.approx(0.28)
    assert critical_difference_two_laboratories(0.1, 0.25, 1, 1) == pytest.approx(0.7)


def test_critical_differences_of_means() -> None:
    assert critical_difference_one_laboratory(0.1, 2, 4) == pytest.approx(0.28 * math.sqrt(0.375))
    expected = math.sqrt(0.7**2 - 0.28**2 * (1 - 1 / 4 - 1 / 8))
    assert critical_difference_two_laboratories(0.1, 0.25, 2, 4) == pytest.approx(expected)


@given(st.floats(0.01, 1), st.floats(1, 10), st.integers(1, 50), st.integers(1, 50))
def test_two_laboratories_differ_no_less_than_one(
    s_r: float, ratio: float, n_1: int, n_2: int
) -> None:
    one = critical_difference_one_laboratory(s_r, n_1, n_2)
    two = critical_difference_two_laboratories(s_r, ratio * s_r, n_1, n_2)
    assert one <= two * (1 + 1e-12)
    assert two <= critical_difference_two_laboratories(s_r, ratio * s_r, 1, 1) * (1 + 1e-12)


def test_many_results_leave_what_lies_between_the_laboratories() -> None:
    between = 2.8 * math.sqrt(0.25**2 - 0.1**2)
    found = critical_difference_two_laboratories(0.1, 0.25, 10**9, 10**9)
    assert found == pytest.approx(between, rel=1e-6)


def test_spread_between_laboratories_holds_that_within_one() -> None:
    with pytest.raises(ValueError, match="cannot be below"):
        critical_difference_two_laboratories(0.2, 0.1, 1, 1)


@pytest.mark.parametrize(
    # ISO 5725-6:1994, table 1 (from memory): f(n) of the critical range.
    ("n", "f"),
    [(2, 2.8), (3, 3.3), (4, 3.6), (5, 3.9), (6, 4.0), (7, 4.2), (8, 4.3)],
)
def test_critical_range(n: int, f: float) -> None:
    assert critical_range(0.1, n) == pytest.approx(0.1 * f, abs=0.0051)
    assert critical_range(0.1, n, 9) > critical_range(0.1, n)
