"""One weighing: u0 by its cases, shared zeros, linearity, drift."""

import math
from fractions import Fraction

import pytest

from assaybench.metrology.freedom import coverage_factor
from assaybench.metrology.uncertain import Sources
from assaybench.metrology.weighing import (
    Balance,
    Reading,
    Weighing,
    mean,
    u0,
    weigh,
)
from tests.metrology.readings_of import UNKNOWN, WELL_KNOWN, D, reading, readings


def budget_of(sources: Sources, weighing: Weighing) -> dict[str, float]:
    return {share.source: share.share for share in sources.doubt(weighing.net).budget}


# --- u0, method version 1, section 1 -------------------------------------------------------------


@pytest.mark.parametrize(
    ("spread", "loads", "zeros", "expected"),
    [
        # s >= 0.6 d: u0² = (s²/2)(1/n_L + 1/n_Z)
        (2 * D, 1, 1, 2 * D),
        (2 * D, 4, 1, 2 * D * math.sqrt(5 / 8)),
        (2 * D, 1, 2, 2 * D * math.sqrt(3 / 4)),
        (2 * D, 5, 5, 2 * D / math.sqrt(5)),
        (0.6 * D, 4, 4, 0.3 * D),
        # between 0.41 d and 0.6 d: s itself, repeats do not help
        (0.59 * D, 1, 1, 0.59 * D),
        (0.59 * D, 20, 20, 0.59 * D),
        (0.41 * D, 9, 9, 0.41 * D),
        # below 0.41 d: USP <41> replaces it by 0.41 d
        (0.4 * D, 1, 1, 0.41 * D),
        (0.0, 20, 20, 0.41 * D),
        # not measured: two roundings, d/√6 (GUM F.2.2.1)
        (None, 1, 1, D / math.sqrt(6)),
        (None, 20, 20, D / math.sqrt(6)),
    ],
)
def test_u0(spread: float | None, loads: int, zeros: int, expected: float) -> None:
    balance = Balance("b", D, spread)
    assert u0(balance, loads, zeros) == pytest.approx(expected, rel=1e-12)
    sources = Sources()
    weighing = weigh(
        sources,
        balance,
        [Reading(f"l{i}", Fraction(5), "5") for i in range(loads)],
        [Reading(f"z{i}", Fraction(0), "0") for i in range(zeros)],
    )
    assert weighing.u0_mg == pytest.approx(expected, rel=1e-12)
    assert sources.doubt(weighing.net).u == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("spread", "dof"),
    [(2 * D, 9), (0.59 * D, 9), (0.41 * D, 9), (0.4 * D, math.inf), (None, math.inf)],
)
def test_freedom_is_that_of_the_spread_unless_rounding_rules(
    spread: float | None, dof: float
) -> None:
    sources = Sources()
    balance = Balance("b", D, spread, spread_dof=9)
    weighing = weigh(sources, balance, readings("load", "5.00", "5.01"))
    assert balance.dof == weighing.dof == dof
    assert sources.doubt(weighing.net).dof == pytest.approx(dof, rel=1e-9)
    assert sources.doubt(weighing.net).k == coverage_factor(dof)


def test_three_readings_of_one_spread_have_its_freedom_not_three_times_it() -> None:
    sources = Sources()
    balance = Balance("b", D, 2 * D, spread_dof=10)
    weighing = weigh(sources, balance, readings("load", "5.00", "5.01"), readings("zero", "0.00"))
    assert sources.doubt(weighing.net).dof == pytest.approx(10, rel=1e-12)


def test_net_is_mean_of_loads_less_mean_of_zeros() -> None:
    loads = readings("load", "5.01", "5.02", "5.05")
    zeros = readings("zero", "-0.01", "0.02")
    weighing = weigh(Sources(), WELL_KNOWN, loads, zeros)
    assert mean(loads) == Fraction("15.08") / 3
    assert mean(zeros) == Fraction("0.005")
    assert weighing.net_mg == pytest.approx(15.08 / 3 - 0.005, rel=1e-14)
    assert mean([]) == 0
    assert (weighing.loads, weighing.zeros) == (tuple(loads), tuple(zeros))


def test_a_tared_zero_counts_as_nothing_and_keeps_its_rounding() -> None:
    sources = Sources()
    tared = weigh(sources, UNKNOWN, readings("load", "5.01"))
    assert tared.net_mg == 5.01
    assert tared.zeros == ()
    assert budget_of(sources, tared) == {"readings of the load": 0.5, "zero, tared": 0.5}
    zeroed = weigh(sources, UNKNOWN, readings("other", "5.01"), readings("zero", "0.00"))
    assert sources.doubt(tared.net).u == sources.doubt(zeroed.net).u
    assert "readings of the zero" in budget_of(sources, zeroed)


def test_tared_beads_share_no_zero() -> None:
    sources = Sources()
    one = weigh(sources, WELL_KNOWN, [reading("bead 1", "5.01")])
    two = weigh(sources, WELL_KNOWN, [reading("bead 2", "3.01")])
    assert sources.covariance(one.net, two.net) == 0.0


@pytest.mark.parametrize(
    ("balance", "u_zero"), [(WELL_KNOWN, 2 * D / math.sqrt(2)), (UNKNOWN, D / math.sqrt(12))]
)
def test_beads_with_one_zero_share_it(balance: Balance, u_zero: float) -> None:
    sources = Sources()
    zero = readings("zero", "0.01")
    one = weigh(sources, balance, [reading("bead 1", "5.01")], zero)
    two = weigh(sources, balance, [reading("bead 2", "3.01")], zero)
    assert sources.covariance(one.net, two.net) == pytest.approx(u_zero**2, rel=1e-12)
    apart = math.hypot(sources.doubt(one.net).u, sources.doubt(two.net).u)
    assert sources.doubt(one.net - two.net).u == pytest.approx(apart / math.sqrt(2), rel=1e-12)


def test_neighbours_share_the_zero_between_them() -> None:
    """Zero, bead, zero, bead, zero: half of a zero's variance each, s²/2 · 1/4."""
    sources = Sources()
    zeros = readings("zero", "0.00", "0.01", "0.00")
    one = weigh(sources, WELL_KNOWN, [reading("bead 1", "5.01")], zeros[:2])
    two = weigh(sources, WELL_KNOWN, [reading("bead 2", "3.01")], zeros[1:])
    assert sources.covariance(one.net, two.net) == pytest.approx((2 * D) ** 2 / 8, rel=1e-12)


# --- linearity, residue, calibration -------------------------------------------------------------


@pytest.mark.parametrize(("enters", "factor"), [(0, 0.0), (1, 1 / 3), (2, 2 / 3)])
def test_linearity_enters_as_often_as_the_limit_does(enters: int, factor: float) -> None:
    """a²/3 zeroed empty, 2a²/3 with gross and tare on the pan, nothing beside a check weight."""
    balance = Balance("b", D, 2 * D, linearity_mg=0.15, linearity_readings=enters)
    assert balance.u_linearity_mg**2 == pytest.approx(factor * 0.15**2, rel=1e-12)
    sources = Sources()
    weighing = weigh(sources, balance, readings("load", "5.01"))
    expected = math.hypot(2 * D, balance.u_linearity_mg)
    assert sources.doubt(weighing.net).u == pytest.approx(expected, rel=1e-12)
    assert weighing.u_shared_mg == balance.u_linearity_mg
    assert ("linearity" in budget_of(sources, weighing)) is (enters > 0)


def test_linearity_of_quam_a2() -> None:
    """QUAM example A2: ±0.15 mg counted twice is 0.12 mg."""
    twice = Balance("b", D, linearity_mg=0.15, linearity_readings=2)
    assert twice.u_linearity_mg == pytest.approx(0.122474, abs=1e-6)


def test_linearity_is_shared_by_like_beads_and_does_not_average() -> None:
    balance = Balance("b", D, 0.02, linearity_mg=0.15)
    sources = Sources()
    weighings = [weigh(sources, balance, [reading(f"bead {i}", f"5.0{i}")]) for i in range(4)]
    together = sum(w.net for w in weighings) / 4
    u_lin = balance.u_linearity_mg
    assert sources.doubt(together).u == pytest.approx(math.hypot(0.01, u_lin), rel=1e-12)
    difference = sources.doubt(weighings[0].net - weighings[1].net)
    assert difference.u == pytest.approx(0.02 * math.sqrt(2), rel=1e-12)
    far = weigh(sources, balance, [reading("heavy", "25.00")])
    assert sources.covariance(far.net, weighings[0].net) == 0.0


def test_a_residue_of_the_zero_is_common_to_the_session() -> None:
    balance = Balance("b", D, 2 * D, zero_residue_mg=0.03)
    sources = Sources()
    one = weigh(sources, balance, [reading("bead 1", "5.01")])
    two = weigh(sources, balance, [reading("bead 2", "50.01")])
    u_zero = 0.03 / math.sqrt(3)
    assert one.u_shared_mg == pytest.approx(u_zero, rel=1e-12)
    assert sources.doubt(one.net).u == pytest.approx(math.hypot(2 * D, u_zero), rel=1e-12)
    assert sources.covariance(one.net, two.net) == pytest.approx(u_zero**2, rel=1e-12)
    share = sources.doubt(one.net / (one.net + two.net)).budget
    assert "residue of the zero" in {s.source for s in share}


@pytest.mark.parametrize("net", ["0.00", "-5.00", "5.00", "1000.00"])
def test_calibration_grows_with_the_mass(net: str) -> None:
    balance = Balance("b", D, 2 * D, spread_dof=10, calibration=0.001)
    sources = Sources()
    weighing = weigh(sources, balance, readings("load", net))
    assert weighing.net_mg == float(net)
    expected = math.hypot(2 * D, 0.001 * float(net))
    assert sources.doubt(weighing.net).u == pytest.approx(expected, rel=1e-12)
    assert weighing.u0_mg == 2 * D


def test_two_balances_share_nothing() -> None:
    sources = Sources()
    nets = [
        weigh(
            sources,
            Balance(name, D, 2 * D, linearity_mg=0.1, zero_residue_mg=0.1, calibration=0.01),
            [reading(f"bead on {name}", "5.01")],
        ).net
        for name in ("fine", "coarse")
    ]
    assert sources.covariance(*nets) == 0.0


# --- drift of the zero ---------------------------------------------------------------------------


def test_a_balance_described_anew_brings_sources_of_its_own() -> None:
    """One log may hold weighings before and after a balance was calibrated again."""
    sources = Sources()
    nets = [
        weigh(
            sources,
            Balance("B", 0.001, 0.002, linearity_mg=a, zero_residue_mg=a, calibration=a / 10),
            [Reading(f"load {a}", Fraction(2), "2.000")],
        ).net
        for a in (0.003, 0.005)
    ]
    apart, each = sources.doubt(nets[1] - nets[0]), [sources.doubt(net).u for net in nets]
    assert apart.u == pytest.approx(math.hypot(*each), rel=1e-12)


def test_a_zero_that_moved_is_flagged_and_adds_its_rectangle() -> None:
    sources = Sources()
    weighing = weigh(
        sources, WELL_KNOWN, readings("load", "5.00"), readings("zero", "0.00", "0.05")
    )
    assert [f.code for f in weighing.flags] == ["zero_moved"]
    assert weighing.flags[0].text == (
        "Zero moved by 0.05 mg between before and after; up to 0.039 is usual."
    )
    drift = 0.05 / math.sqrt(12)
    assert weighing.u_shared_mg == pytest.approx(drift, rel=1e-12)
    expected = math.hypot(u0(WELL_KNOWN, 1, 2), drift)
    assert sources.doubt(weighing.net).u == pytest.approx(expected, rel=1e-12)
    assert budget_of(sources, weighing)["zero that moved"] == pytest.approx((drift / expected) ** 2)


@pytest.mark.parametrize("after", ["0.00", "0.03", "-0.03"])
def test_a_zero_within_its_scatter_adds_nothing(after: str) -> None:
    """Up to 2.77·s/√2 = 0.0392 mg for s = 0.02 mg."""
    weighing = weigh(
        Sources(), WELL_KNOWN, readings("load", "5.00"), readings("zero", "0.00", after)
    )
    assert weighing.flags == ()
    assert weighing.u_shared_mg == 0.0


def test_the_drift_between_first_and_last_zero_counts() -> None:
    zeros = readings("zero", "0.00", "0.02", "0.04")
    weighing = weigh(Sources(), WELL_KNOWN, readings("load", "5.00"), zeros)
    assert weighing.u_shared_mg == pytest.approx(0.04 / math.sqrt(12), rel=1e-12)


def test_one_zero_cannot_show_a_drift() -> None:
    weighing = weigh(Sources(), WELL_KNOWN, readings("load", "5.00"), readings("zero", "9.00"))
    assert weighing.flags == ()
