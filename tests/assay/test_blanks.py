"""Blanks: mean and scatter of a lot, what they take off, and what can be told from them."""

import math
from fractions import Fraction
from statistics import stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaybench.assay.blanks import Blank, BlankCharge, Use, blank_in, blank_of_lot, lines, merged
from assaybench.assay.levels import levels, report
from assaybench.assay.net import Mass, levels_of, mass_of, net_of_blank
from assaybench.metrology.figure import Flag
from assaybench.metrology.special import detection_factor, t_quantile
from assaybench.metrology.uncertain import Sources, nominal
from assaybench.metrology.weighing import Balance, Reading, weigh

MASSES = (0.003, 0.009, 0.0, 0.008)


def charges(
    masses: tuple[float, ...], *, run: str = "R-1", reagent: float = 30.0, u0: float = 0.001
) -> list[BlankCharge]:
    return [BlankCharge(f"{run}-{i}", run, reagent, m, u0) for i, m in enumerate(masses)]


def known_blank(spread: float = 0.004, u0: float = 0.001, n: int = 4) -> Blank:
    """A blank with s_B, u0 and n given, of 30 g of lead."""
    sources = Sources()
    u_mean = spread / math.sqrt(n)
    return Blank(
        lot="L-1",
        metal="gold",
        unit="g",
        reagent=30.0,
        mean_mg=sources.variable("b", 0.005, u_mean),
        n=n,
        spread_mg=spread,
        own_mg=math.sqrt(max(0.0, spread**2 - u0**2)),
        u_mean_mg=u_mean,
        dof=n - 1,
    )


@pytest.mark.parametrize(("n", "sigma"), [(1, 0.004472), (5, 0.013266), (10, 0.023473)])
def test_sigma_of_charges_weighed_together(n: int, sigma: float) -> None:
    """Method version 1, test vectors: s_B .004, u0 .001, four blanks, N charges in one weighing."""
    uses = [Use(known_blank(), 30.0, f"charge {i}") for i in range(n)]
    found = levels([0.001], uses)
    assert found.sigma == pytest.approx(sigma, abs=5e-7)
    assert found.dof == 3
    assert found.critical == pytest.approx(t_quantile(0.95, 3) * found.sigma)
    # δ(3) = 4.46 of method version 1, section 2
    assert found.detection == pytest.approx(4.46 * found.sigma, rel=2e-3)
    assert found.tenfold == pytest.approx(10 * found.sigma)


def test_separate_weighings_each_bring_their_spread() -> None:
    uses = [Use(known_blank(), 30.0, f"charge {i}") for i in range(5)]
    together = levels([0.001], uses).sigma
    apart = levels([0.001] * 5, uses).sigma
    assert apart**2 - together**2 == pytest.approx(4 * 0.001**2)


def test_mean_and_scatter_of_a_lot() -> None:
    sources = Sources()
    found = blank_of_lot(sources, "L-1", "gold", charges(MASSES))
    s_b = stdev(MASSES)
    assert nominal(found.mean_mg) == pytest.approx(0.005)
    assert found.spread_mg == pytest.approx(s_b)
    assert found.own_mg == pytest.approx(math.sqrt(s_b**2 - 0.001**2))
    assert sources.doubt(found.mean_mg).u == pytest.approx(s_b / 2)
    assert (found.n, found.dof, found.flags) == (4, 3, ())
    assert found.rate == pytest.approx(0.005 / 30)


def test_the_scatter_is_never_below_the_weighing() -> None:
    sources = Sources()
    found = blank_of_lot(sources, "L-1", "gold", charges((0.004, 0.004, 0.0041)))
    assert found.spread_mg == 0.001
    assert found.own_mg == 0.0


@pytest.mark.parametrize("n", [2, 3, 6])
def test_weighing_and_scatter_of_a_blank_together_have_the_dof_of_its_spread(n: int) -> None:
    """A charge like the blank: u² = s_B²(1 + 1/n), all of it known by the n blanks.

    The weighing of the charge and of the blanks is of one balance with 9 degrees.
    """
    sources = Sources()
    blanks = [
        BlankCharge(f"B{i}", "R-1", 30.0, 0.004 * (i % 2) + 0.002 * i, 0.001, 9, "spread of fine")
        for i in range(n)
    ]
    found = blank_of_lot(sources, "L-1", "gold", blanks)
    read = sources.variable("gold of A1", 0.3, 0.001, dof=9, spread="spread of fine")
    doubt = sources.doubt(read - blank_in(sources, [Use(found, 30.0, "A1")]))
    assert found.spread_mg is not None
    assert found.spread_mg > 0.002
    assert doubt.u == pytest.approx(found.spread_mg * math.sqrt(1 + 1 / n))
    assert doubt.dof == pytest.approx(n - 1)


def test_scatter_is_pooled_within_runs() -> None:
    sources = Sources()
    blanks = [*charges((0.001, 0.003)), *charges((0.011, 0.013), run="R-2")]
    found = blank_of_lot(sources, "L-1", "gold", blanks)
    assert found.spread_mg == pytest.approx(math.sqrt(2) * 0.001)
    assert found.dof == 2


def test_history_of_other_runs_serves_the_scatter_only() -> None:
    sources = Sources()
    past = [charges((0.1, 0.104, 0.108), run="R-0", reagent=60.0)]
    found = blank_of_lot(sources, "L-1", "gold", charges((0.006,)), history=past)
    assert nominal(found.mean_mg) == 0.006
    assert found.spread_mg == pytest.approx(0.002)
    assert found.dof == 2
    assert found.flags == ()


def test_one_blank_in_each_run_takes_the_scatter_over_the_runs_and_says_so() -> None:
    sources = Sources()
    blanks = [b for i, m in enumerate(MASSES) for b in charges((m,), run=f"R-{i}")]
    found = blank_of_lot(sources, "L-1", "gold", blanks)
    assert found.spread_mg == pytest.approx(stdev(MASSES))
    assert found.dof == 3
    assert found.assumptions == (
        "No fire held two blanks: their scatter is taken from fire to fire.",
    )


def test_a_single_blank_says_that_its_scatter_is_unknown() -> None:
    sources = Sources()
    (one,) = charges((0.004,))
    found = blank_of_lot(sources, "L-1", "gold", [one._replace(u0_dof=9)])
    assert found.dof == 9
    assert [flag.code for flag in found.flags] == ["blank_scatter_unknown"]
    assert found.spread_mg is None
    seen = levels([0.001], [Use(found, 60.0, "A1")], u0_dof=9)
    assert seen.sigma == pytest.approx(0.001 * math.sqrt(1 + 2**2))
    assert seen.dof == 9


def test_without_a_blank_only_the_weighing_stands() -> None:
    sources = Sources()
    found = blank_of_lot(sources, "L-1", "gold", [])
    assert [flag.code for flag in found.flags] == ["blank_not_run"]
    seen = levels([0.001], [Use(found, 30.0, "A1")])
    assert seen.sigma == 0.001
    assert blank_in(sources, [Use(found, 30.0, "A1")]) == 0.0


def test_a_blank_without_reagent_is_refused() -> None:
    with pytest.raises(ValueError, match="L-1 holds no reagent"):
        blank_of_lot(Sources(), "L-1", "gold", charges((0.004,), reagent=0.0))


def test_blanks_of_unlike_amounts_are_brought_to_one() -> None:
    sources = Sources()
    blanks = [*charges((0.002,), reagent=20.0), *charges((0.004,), reagent=40.0)]
    found = blank_of_lot(sources, "L-1", "gold", blanks)
    assert found.reagent == 30.0
    assert nominal(found.mean_mg) == pytest.approx(0.003)
    # alike once scaled: what is left is the weighing, 0.001 mg, scaled by 1.5 and by 0.75
    assert found.spread_mg == pytest.approx(0.001 * math.sqrt((1.5**2 + 0.75**2) / 2))


def test_the_mean_blank_is_one_variable_for_all_samples_of_the_lot() -> None:
    sources = Sources()
    lot = blank_of_lot(sources, "L-1", "gold", charges(MASSES))
    first = blank_in(sources, [Use(lot, 30.0, "A1")])
    second = blank_in(sources, [Use(lot, 60.0, "A2")])
    assert sources.covariance(first, second) == pytest.approx(2 * sources.doubt(lot.mean_mg).u ** 2)


def test_u_of_a_net_mass_is_sigma_where_only_spread_is_in_it() -> None:
    sources = Sources()
    lot = blank_of_lot(sources, "L-1", "gold", charges(MASSES))
    uses = [Use(lot, 24.0, "A1"), Use(lot, 33.0, "A2")]
    net = net_of_blank(sources, "A", Mass(sources.variable("bead", 0.3, 0.001), (0.001,)), uses)
    assert sources.doubt(net.mg).u == pytest.approx(net.levels.sigma)
    assert nominal(net.mg) == pytest.approx(0.3 - (24 + 33) / 30 * 0.005)
    assert net.blank_mg == pytest.approx((24 + 33) / 30 * 0.005)


def test_a_negative_mean_blank_is_taken_off_too() -> None:
    sources = Sources()
    lot = blank_of_lot(sources, "L-1", "gold", charges((-0.004, -0.002)))
    net = net_of_blank(
        sources, "A", Mass(sources.variable("bead", 0.1, 0.001), (0.001,)), [Use(lot, 30.0, "A1")]
    )
    assert nominal(net.mg) == pytest.approx(0.103)


def test_reagents_of_one_charge_and_lot_are_one_use() -> None:
    lot = known_blank()
    uses = merged([Use(lot, 20.0, "A1"), Use(lot, 10.0, "A1"), Use(lot, 5.0, "A2")])
    assert [(use.charge, use.reagent) for use in uses] == [("A1", 30.0), ("A2", 5.0)]
    assert [line.metal_mg for line in lines(uses)] == pytest.approx([0.005, 0.005 / 6])


def test_two_lots_are_taken_off_apart() -> None:
    sources = Sources()
    lead = blank_of_lot(sources, "lead", "gold", charges(MASSES))
    wire = blank_of_lot(sources, "wire", "gold", charges((0.001, 0.003), reagent=8.0), unit="mg")
    uses = [Use(lead, 30.0, "A1"), Use(wire, 16.0, "A1")]
    assert nominal(blank_in(sources, uses)) == pytest.approx(0.005 + 2 * 0.002)
    s_lead, s_wire = stdev(MASSES), math.sqrt(2) * 0.001
    expected = (
        0.001**2
        + (s_lead**2 - 1e-6) + s_lead**2 / 4
        + 4 * ((s_wire**2 - 1e-6) + s_wire**2 / 2)
    )  # fmt: skip
    assert levels([0.001], uses).sigma == pytest.approx(math.sqrt(expected))


def test_a_trace_of_reagent_does_not_rule_the_degrees_of_freedom() -> None:
    blank = known_blank(n=2)
    assert levels([0.001], [Use(blank, 30.0, "A1")]).dof == 1
    assert levels([0.001], [Use(blank, 1.0, "A1")]).dof > 20


@given(
    st.floats(0.0005, 0.02),
    st.floats(0.0005, 0.02),
    st.integers(2, 8),
    st.lists(st.floats(0.1, 3.0), min_size=1, max_size=6),
)
def test_degrees_of_freedom_never_fall_below_those_of_the_blanks(
    spread: float, u0: float, n: int, amounts: list[float]
) -> None:
    blank = known_blank(max(spread, u0), u0, n)
    found = levels([u0], [Use(blank, 30 * q, f"c{i}") for i, q in enumerate(amounts)])
    assert found.dof >= n - 1
    assert found.critical < found.detection


def mass(sources: Sources, mg: float, u0: float = 0.001) -> Mass:
    return Mass(sources.variable(f"bead {mg}", mg, u0), (u0,))


@pytest.mark.parametrize(
    ("bead", "code", "word"),
    [
        (0.014, "like_the_blank", "like the blank"),
        (0.03, "above_the_blank_rough", "above the blank"),
        (0.3, "above_the_blank", "above the blank"),
        (-0.02, "far_below_blank", "below zero"),
    ],
)
def test_verdicts_after_the_blank(bead: float, code: str, word: str) -> None:
    sources = Sources()
    lot = blank_of_lot(sources, "L-1", "gold", charges(MASSES))
    net = net_of_blank(sources, "A", mass(sources, bead), [Use(lot, 30.0, "A1")])
    assert (net.verdict.code, net.verdict.word) == (code, word)
    assert (net.refusal is not None) == (code == "far_below_blank")


def test_verdicts_without_a_blank() -> None:
    sources = Sources()
    codes = [
        net_of_blank(sources, "A", mass(sources, mg), []).verdict.code
        for mg in (0.001, 0.1, -0.0029, -0.0031)
    ]
    assert codes == ["not_detected", "blank_not_run", "not_detected", "below_zero"]
    assert net_of_blank(sources, "A", mass(sources, 0.1), []).flags[0].code == "blank_not_run"


def test_an_unmeasured_spread_makes_the_verdict_at_best() -> None:
    sources = Sources()
    lot = blank_of_lot(sources, "L-1", "gold", charges(MASSES))
    bead = Mass(sources.variable("bead", 0.3, 0.001), (0.001,), spread_known=False)
    net = net_of_blank(sources, "A", bead, [Use(lot, 30.0, "A1")])
    assert net.verdict.text == "at best: above the blank"


def test_masses_are_made_of_weighings() -> None:
    sources = Sources()
    balance = Balance("B", 0.001, 0.002, spread_dof=9)
    first, second = (
        weigh(
            sources,
            balance,
            [Reading(f"load {x}", Fraction(x), x)],
            [Reading(f"zero {x}", Fraction(0), "0")],
        )
        for x in ("0.310", "0.205")
    )
    both = mass_of([first, second])
    assert nominal(both.mg) == pytest.approx(0.515)
    assert both.u0s_mg == (0.002, 0.002)
    assert both.dof == 9
    with pytest.raises(ValueError, match="one weighing at least"):
        mass_of([])


def test_levels_of_several_nets_count_all_their_weighings_and_charges() -> None:
    sources = Sources()
    lot = blank_of_lot(sources, "L-1", "gold", charges(MASSES))
    nets = [
        net_of_blank(sources, name, mass(sources, mg), [Use(lot, 30.0, name)])
        for name, mg in (("A1", 0.1), ("A2", 0.12))
    ]
    total = nets[0].mg + nets[1].mg
    assert levels_of(nets).sigma == pytest.approx(sources.doubt(total).u)


def test_below_the_critical_level_value_and_u_are_kept() -> None:
    sources = Sources()
    lot = blank_of_lot(sources, "L-1", "gold", charges(MASSES))
    net = net_of_blank(sources, "A", mass(sources, 0.002), [Use(lot, 30.0, "A1")])
    figure = report(sources, net.mg, net.levels, "mg", basis="gold")
    doubt = sources.doubt(net.mg)
    assert figure.status == "below L_D"
    assert figure.value == pytest.approx(-0.003)
    assert figure.u == pytest.approx(doubt.u)
    assert figure.high == pytest.approx(t_quantile(0.95, 3) * doubt.u)
    assert figure.low == 0.0
    assert figure.coverage_probability == 0.95
    assert figure.layer == "assay"
    assert figure.text.startswith("< 0.02")
    assert figure.text.endswith(" mg")


def test_the_upper_bound_starts_from_a_positive_reading() -> None:
    sources = Sources()
    found = levels([0.01])
    figure = report(sources, sources.variable("y", 0.009, 0.01), found, "mg")
    assert figure.high == pytest.approx(0.009 + 1.6448536 * 0.01)


def test_from_the_critical_level_on_there_is_an_interval_and_no_limit() -> None:
    sources = Sources()
    found = levels([0.01])
    figure = report(sources, sources.variable("y", 0.02, 0.01), found, "mg")
    assert found.critical < 0.02 < found.detection
    assert figure.status == "measured"
    assert "<" not in figure.text
    assert (figure.low, figure.high) == pytest.approx((0.0, 0.04))


def test_a_refused_result_is_not_determinable() -> None:
    figure = report(Sources(), -1.0, levels([0.01]), "mg", refusal=Flag("x", "because"))
    assert (figure.status, figure.value, figure.why) == ("not determinable", None, "because")


def test_a_coarse_balance_prints_a_barren_charge_as_below_its_limit() -> None:
    """Steps of 0.01 mg and 30 g: L_D is 0.45 g/t, one division 0.33 g/t (arithmetic)."""
    sources = Sources()
    balance = Balance("B", 0.01)
    weighed = weigh(sources, balance, [Reading("gold", Fraction("0.00"), "0.00")])
    bead = mass_of([weighed], spread_known=False)
    net = net_of_blank(sources, "tails", bead, [])
    found = net.levels.times(1000 / 30.0)
    figure = report(sources, net.mg * 1000 / 30.0, found, "g/t")
    assert figure.text == "< 0.45 g/t"
    assert net.verdict.text == "at best: not detected"
    assert balance.step_mg * 1000 / 30 == pytest.approx(0.333, abs=5e-4)


def test_levels_scale_with_the_unit() -> None:
    found = levels([0.003]).times(1000 / 30)
    assert found.sigma == pytest.approx(0.1)
    assert found.dof == math.inf
    assert found.critical == pytest.approx(0.1 * t_quantile(0.95, math.inf))
    assert found.detection == pytest.approx(0.1 * detection_factor(math.inf))
    assert found.tenfold == pytest.approx(1.0)


def test_a_blank_far_below_zero_gives_no_figure_and_says_so() -> None:
    sources = Sources()
    blank = blank_of_lot(sources, "L", "gold", [BlankCharge("B", "run", 30.0, -1.0, 0.002)])
    parted = Mass(sources.variable("gold", 0.5, 0.002), (0.002,))
    net = net_of_blank(sources, "gold", parted, [Use(blank, 30.0, "S")])
    assert net.refusal is not None
    assert net.refusal.code == net.verdict.code == "blank_below_zero"
    assert "-1 mg" in net.refusal.text
