"""A log that is being written says after every entry what a replay of all entries says."""

from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assaybench.messages import BadInput
from assaybench.record.entries import Entry
from assaybench.record.kinds import KINDS
from assaybench.record.live import Live
from assaybench.record.replay import replay
from assaybench.record.results import Results, SampleResult, results
from assaybench.record.wholes import wholes
from tests.record.trays import FINE, PULP, Honest, Row, entries_of, place, reading, sample

NAMES = ("A", "B", "C", "D")
LOT: Row = ("reagent_lot", {"lot": "L", "material": "litharge"})
EARLIER: Row = (
    "reagent_lot",
    {
        "lot": "L",
        "material": "litharge",
        "gold_per_gram": "0.00005 ‰",
        "gold_spread": "0.00003 ‰",
        "blank_count": 7,
    },
)
CALIBRATED: Row = ("balance", {**FINE[1], "calibration": "0.03 %", "weighs": ["silver"]})

texts = st.integers(1, 3000).map(lambda n: f"{n / 1000:.3f}")
names = st.sampled_from(NAMES)


@st.composite
def samples(draw: st.DrawFn) -> Row:
    more: dict[str, object] = {"lead": "30 g"}
    role = draw(st.sampled_from(("sample", "sample", "duplicate", "reference", "blank", "proof")))
    if draw(st.booleans()):
        more["lots"] = ["L"]
    if role == "duplicate":
        more["of"] = draw(names)
    if role == "proof":
        more |= {"gold_known": "1.000 mg", "silver_known": "2.000 mg"}
    if role == "reference":
        more["value"] = "12 ± 1 g/t"
    silver = draw(st.sampled_from(("none", "unknown", "2.000 mg", "3.000 mg")))
    return sample(draw(names), role, **{"silver": silver, **more})


def readings() -> st.SearchStrategy[Row]:
    what = st.sampled_from(("bead", "gold", "charge"))
    return st.builds(reading, what, texts, names)


def corrections() -> st.SearchStrategy[Row]:
    entry = st.integers(1, 20)
    changed = st.one_of(
        texts.map(lambda text: {"text": text}),
        st.sampled_from(("blank", "sample", "proof")).map(lambda role: {"role": role}),
        st.sampled_from(("none", "1.000 mg")).map(lambda silver: {"silver": silver}),
    )
    return st.one_of(
        st.builds(lambda n: ("withdrawn", {"entry": n, "reason": "slip"}), entry),
        st.builds(lambda n, c: ("amendment", {"entry": n, "reason": "slip", **c}), entry, changed),
    )


others = st.one_of(
    st.sampled_from(
        (
            LOT,
            EARLIER,
            CALIBRATED,
            FINE,
            PULP,
            ("method", {"item": "aim", "value": "5 %"}),
            ("method", {"item": "proof", "value": "ratio"}),
            ("session", {"program": "x"}),
            ("note", {"text": "x"}),
        )
    ),
    st.builds(lambda name: place(name, "A1"), names),
    st.builds(lambda name: ("left_out", {"sample": name, "reason": "spilt"}), names),
    st.builds(
        lambda name, water: ("moisture", {"sample": name, "water": f"{water} %", "basis": "wet"}),
        names,
        st.integers(1, 40),
    ),
)
zeros = st.integers(-9, 9).map(lambda n: reading("zero", f"{n / 1000:.3f}"))
rows = st.lists(st.one_of(readings(), samples(), zeros, others, corrections()), max_size=24)


def told(one: SampleResult) -> dict[str, Any]:
    """Everything a sample says, every sentence and share worked out."""
    return {
        **one._asdict(),
        "figures": dict(one.figures),
        "budget": dict(one.budget),
        "verdicts": {name: (v.code, v.text, v.reason) for name, v in one.verdicts.items()},
        "parts": None,
    }


def all_told(found: Results) -> Any:
    return (
        [told(one) for one in found.samples],
        [(grade.id, grade.figure, grade.budget, grade.grade.flags) for grade in found.grades],
        [(whole.id, dict(whole.figures), whole.flags) for whole in wholes(found)],
    )


def from_scratch(entries: Sequence[Entry]) -> Any:
    """What a replay says, or the fault of its entries."""
    try:
        return all_told(results(replay(entries)))
    except BadInput as fault:
        return fault.lines


def live_says(live: Live) -> Any:
    try:
        return all_told(live.results())
    except BadInput as fault:
        return fault.lines


def holds(more: list[Row]) -> None:
    """Whether after every entry, and in samples not touched, it says what a replay says."""
    entries = entries_of([FINE, PULP, *more])
    live = Live(entries[:2])
    before: dict[str, Any] = {}
    for entry in entries[2:]:
        try:
            touched = live.add(entry)
        except BadInput:
            with pytest.raises(BadInput):
                replay([*live.entries, entry])
            continue
        now = from_scratch(live.entries)
        assert live_says(live) == now
        told_now = {one["id"]: one for one in now[0]} if isinstance(now[0], list) else {}
        changed = {name for name in told_now if told_now[name] != before.get(name)}
        assert changed <= set(touched)
        before = told_now


@settings(max_examples=60, deadline=None)
@given(rows)
def test_it_says_what_a_replay_says_whatever_the_order_of_the_entries(more: list[Row]) -> None:
    holds(more)


@pytest.mark.long
@settings(max_examples=5000, deadline=None)
@given(rows)
def test_it_says_what_a_replay_says_in_many_orders(more: list[Row]) -> None:
    holds(more)


def test_a_whole_tray_says_the_same_after_every_reading() -> None:
    import random

    entries = entries_of(Honest(random.Random(3)).rows())
    live = Live()
    for entry in entries:
        live.add(entry)
        if entry.n % 9 == 0:
            assert all_told(live.results()) == all_told(results(replay(live.entries)))
    assert all_told(live.results()) == all_told(results(replay(entries)))


TRAY = [FINE, PULP, sample("A"), sample("B"), sample("N", "blank"), reading("gold", "0.300", "A")]


def after(rows: list[Row], last: Row) -> tuple[str, ...]:
    *first, entry = entries_of([*rows, last])
    return Live(first).add(entry)


def test_a_reading_touches_its_own_sample_alone() -> None:
    assert after(TRAY, reading("gold", "0.400", "B")) == ("B",)


def test_a_zero_touches_what_was_weighed_since_the_zero_before() -> None:
    assert after(TRAY, reading("zero", "0.001")) == ("A",)
    weighed = [*TRAY, reading("zero", "0.000"), reading("gold", "0.400", "B")]
    assert after(weighed, reading("zero", "0.001")) == ("B",)


@pytest.mark.parametrize(
    "last",
    [
        reading("gold", "0.004", "N"),
        sample("P", "proof", gold_known="1.000 mg"),
        sample("N"),
        sample("A", silver="3.000 mg"),
        LOT,
        CALIBRATED,
        ("method", {"item": "aim", "value": "5 %"}),
        ("amendment", {"entry": 6, "reason": "slip", "text": "0.310"}),
        ("withdrawn", {"entry": 6, "reason": "slip"}),
        ("left_out", {"sample": "N", "reason": "spilt"}),
    ],
)
def test_what_a_run_shares_touches_every_sample(last: Row) -> None:
    assert {"A", "B", "N"} <= set(after(TRAY, last))


def test_a_sample_that_is_not_touched_is_not_worked_out_again() -> None:
    *first, entry = entries_of([*TRAY, reading("gold", "0.400", "B")])
    live = Live(first)
    known, other = live.sample("A"), live.sample("B")
    live.add(entry)
    assert live.sample("A") is known
    assert live.sample("B") is not other


def test_an_entry_that_cannot_be_applied_leaves_all_as_it_was() -> None:
    *first, entry = entries_of([*TRAY, reading("gold", "0.400", "B", balance="nobody's")])
    live = Live(first)
    before = all_told(live.results())
    with pytest.raises(BadInput, match="nobody's"):
        live.add(entry)
    assert list(live.entries) == first
    assert all_told(live.results()) == before


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_no_kind_of_entry_changes_a_sample_that_it_does_not_touch(kind: str) -> None:
    values: dict[str, object] = {"sample": "A", "entry": 6, "reason": "x", "text": "0.310"}
    values |= {"name": "fine", "step": "0.01 mg", "id": "B", "lot": "L", "item": "aim"}
    values |= {"value": "5 %", "balance": "fine", "unit": "mg", "what": "bead", "water": "5 %"}
    *first, entry = entries_of([*TRAY, (kind, values)])
    live = Live(first)
    before = {name: told(live.sample(name)) for name in ("A", "B", "N")}
    touched = live.add(entry)
    now = from_scratch([*first, entry])
    assert live_says(live) == now
    assert {one["id"] for one in now[0] if one != before.get(one["id"])} <= set(touched)


def test_figures_of_wholes_and_grades_may_be_asked_for_again_and_again() -> None:
    rows = [FINE, PULP, sample("A"), sample("A2", "duplicate", of="A")]
    for name, charge, gold in (("A", "30.00", "0.300"), ("A2", "30.02", "0.390")):
        rows += [reading("charge", charge, name), reading("gold", gold, name)]
    more = [sample("A3", "duplicate", of="A"), reading("charge", "30.01", "A3")]
    entries = entries_of([*rows, *more, reading("gold", "0.310", "A3")])
    live = Live(entries[: len(rows)])
    first = live.results().grades[0]
    for entry in entries[len(rows) :]:
        live.add(entry)
        assert all_told(live.results()) == all_told(results(replay(live.entries)))
    assert len(live.results().grades[0].grade.every) == len(first.grade.every) + 1
