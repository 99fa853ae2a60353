"""Metal of a size far below zero: refused there, and not hidden in the sums of all sizes."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assaybench.circuit.products import CircuitTest, SizeRow
from assaybench.circuit.recovery import recover
from assaybench.circuit.tailings import Tailings
from assaybench.metrology.uncertain import Sources
from tests.circuit.builders import FINE, R_09, by_size, figures, one_size, way


def test_a_size_far_below_zero_does_not_hide_in_the_sum_of_all() -> None:
    """-0.5 mg of the fine size beside 33.6 mg: the sum alone would look well."""
    sources = Sources()
    masses = {**R_09, FINE: (58.3, -0.5)}
    feed = sources.variable("feed", 10.0, 0.1)
    rows = by_size(sources, masses)
    found = recover(
        sources,
        CircuitTest(rows, dry_feed_kg=feed, head_g_t=sources.variable("head", 50.0, 1.0)),
        second_stage=0.9,
        second_stage_least=0.5,
    )
    assert {r.figure.status for r in found.total.recoveries} == {"not determinable"}
    assert way(found.total, "at most").sentence.startswith(f"{FINE}: -0.5 mg is more than")
    assert found.losses[-1].found.status == "not determinable"
    assert {loss.share for loss in found.losses} == {None}
    assert found.look_at == ""
    assert found.head is not None
    assert (found.head.status, found.head_gap) == ("not determinable", None)
    # the other sizes keep what is theirs
    assert way(found.sizes[0], "at most").figure.value is not None


def test_tailings_of_a_size_far_below_zero_refuse_only_what_holds_them() -> None:
    sources = Sources()
    rows = tuple(
        SizeRow(row.concentrate, row.rerun, Tailings(sources.variable(f"t {row.size}", mg, 0.1)))
        for row, mg in zip(by_size(sources), (2.0, 5.0, -1.0), strict=True)
    )
    found = recover(sources, CircuitTest(rows))
    closed = way(found.total, "closed")
    assert closed.figure.status == "not determinable"
    assert closed.sentence.startswith(f"{FINE}: -1 mg")
    assert way(found.total, "both stages").figure.status == "not determinable"
    assert way(found.total, "at most").figure.value is not None


def test_a_size_with_a_mass_far_below_zero_has_no_closed_recovery_nor_a_loss() -> None:
    """10 mg of tailings would hide a re-run of -1 ± 0.1 mg."""
    sources = Sources()
    rows = tuple(
        SizeRow(row.concentrate, row.rerun, Tailings(sources.variable(f"t {row.size}", 10.0, 0.2)))
        for row in by_size(sources, {**R_09, FINE: (58.3, -1.0)}, u=0.1)
    )
    found = recover(sources, CircuitTest(rows))
    for name in ("at most", "closed", "both stages", "equal stages"):
        assert way(found.sizes[-1], name).figure.status == "not determinable"
    assert way(found.sizes[0], "closed").figure.value is not None
    lost = {loss.size: loss for loss in found.losses}
    assert lost[FINE].found.status == lost["all"].found.status == "not determinable"
    assert lost["+1.0 mm"].found.value is not None


@pytest.mark.parametrize("rerun", [(-0.00346, 0.2056), (0.0042, 0.2), (-0.1, 0.3)])
def test_a_rerun_of_mere_noise_beside_a_light_concentrate_gives_no_alike_stages(
    rerun: tuple[float, float],
) -> None:
    """Where B reads below zero, of the B that can be too many lie above A: no loss is printed."""
    sources = Sources()
    found = recover(sources, one_size(sources, (0.3937, 0.0756), rerun))
    alike = way(found.total, "equal stages")
    assert alike.figure.status == "not determinable"
    assert "may have caught as much" in alike.sentence
    assert found.losses[0].alike.status == "not determinable"
    assert way(found.total, "at most").figure.status == "at least"


@given(
    st.floats(0.2, 50), st.floats(-2.9, 0), st.floats(0.01, 1), st.floats(0.3, 50),
    st.floats(0.01, 0.2),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_both_stages_catch_no_less_than_the_first_where_noise_took_the_second_below_zero(
    caught: float, deviations: float, u: float, left: float, u_rel: float
) -> None:
    sources = Sources()
    tailings = Tailings(sources.variable("T", left, u_rel * left))
    rerun = (deviations * u * 0.1, u * 0.1)
    test = one_size(sources, (caught, 0.02 * caught), rerun, tailings)
    found = recover(sources, test).total
    first, both = (way(found, name).figure for name in ("closed", "both stages"))
    assert first.value is not None
    assert both.value is not None
    assert both.value >= first.value - 1e-6


def test_mats_far_below_zero_are_not_hidden_by_the_rerun() -> None:
    sources = Sources()
    mats = sources.variable("mats", -1.0, 0.1)
    found = recover(sources, one_size(sources, (12.0, 0.1), (3.0, 0.1), mats=mats))
    assert {figure.status for figure in figures(found)[-2:]} == {"not determinable"}
    assert "mats+middlings: -1 mg" in way(found.total, "at most").sentence
