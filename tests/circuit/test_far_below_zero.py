"""Metal of a size far below zero: refused there, and not hidden in the sums of all sizes."""

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


def test_mats_far_below_zero_are_not_hidden_by_the_rerun() -> None:
    sources = Sources()
    mats = sources.variable("mats", -1.0, 0.1)
    found = recover(sources, one_size(sources, (12.0, 0.1), (3.0, 0.1), mats=mats))
    assert {figure.status for figure in figures(found)[-2:]} == {"not determinable"}
    assert "mats+middlings: -1 mg" in way(found.total, "at most").sentence
