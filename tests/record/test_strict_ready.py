"""What the strict check refuses is never stored: the short way of storing holds for every kind."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assaybench.messages import BadInput
from assaybench.record import method_items, strict
from assaybench.record.frame import Chain
from assaybench.record.kinds import BY_NAME, Key, Kind
from assaybench.record.register_kinds import REGISTER_BY_NAME
from assaybench.record.signed_kinds import MARK_BY_NAME, STATEMENT_BY_NAME

TABLES = (BY_NAME, REGISTER_BY_NAME, STATEMENT_BY_NAME, MARK_BY_NAME)
DIGEST = "0" * 64
AT = datetime(2026, 6, 9, 12, tzinfo=UTC)
GOOD: Mapping[str, tuple[object, ...]] = {
    "whole": (1, 3), "yes_no": (True, False), "time": (AT,), "sha256": ("ab" * 32,),
    "figures": ([{"name": "gold", "text": "1.2"}],), "id": ("KV-017", " fine "),
    "initials": ("KB",), "text": ("a note", " dore\u0301 "), "unit": ("mg", "g"),
    "reading": ("1.372", "0,310"), "mass": ("30 g", "2.000 mg"), "length": ("250 um",),
    "mass_or_word": ("none", "8 mg"), "fraction": ("3.2 g/t", "912 \u2030"),
    "share": ("8 %", "2.5 %"),
}  # fmt: skip
BAD: tuple[object, ...] = (
    "", " ", "-1 mg", "x\n", "\u202e", "a" * 600, "1e999", "\u00df", "no", 0, -1, 10**13, True,
    1.5, None, AT.replace(tzinfo=None), [], ["a"], [1], [[]], {}, [{"a": 1}], b"a",
)  # fmt: skip
CORRECTIONS = ("amendment", "withdrawn")
SPECIAL = (*CORRECTIONS, "method")
METHOD = ("1 %", "none", "ratio", "25", "yes", *method_items.BY_NAME)
ITEM_VALUES = [
    (item, value)
    for item in method_items.BY_NAME
    for value in METHOD
    if not method_items.faults({"item": item, "value": value})
]


class Trial(NamedTuple):
    """An entry that is to follow those of a chain."""

    table: Mapping[str, Kind]
    before: list[str]
    by: str
    kind: str
    values: dict[str, object]

    @property
    def chain(self) -> Chain:
        chain = Chain(self.table)
        for kind in self.before:
            chain.step(kind, DIGEST)
        return chain


def good_of(draw: st.DrawFn, key: Key) -> object:
    good = draw(st.sampled_from(key.choices or GOOD[key.type]))
    return [good] if key.many else good


def good_values(draw: st.DrawFn, kind: Kind, target: Kind | None, named: int) -> dict[str, object]:
    """Values that the table of kinds allows, some of the keys that may be left out with them."""
    keys = {**(target.by_name if target else {}), **kind.by_name}
    needed = {key.name for key in kind.keys if key.required}
    values: dict[str, object] = {
        key.name: good_of(draw, key)
        for key in keys.values()
        if key.name in needed or draw(st.integers(0, 2)) == 0
    }
    if kind.name in CORRECTIONS:
        values["entry"] = named
        if draw(st.integers(0, 3)):
            values = {k: v for k, v in values.items() if k not in ("log", "entry_kind")}
    if kind.name == "method":
        either = st.sampled_from(ITEM_VALUES) | st.tuples(*[st.sampled_from(METHOD)] * 2)
        values["item"], values["value"] = draw(either)
    return values


def spoilt(draw: st.DrawFn, trial: Trial) -> Trial:
    """The same with a fault in it, mostly."""
    values, kinds = {**trial.values}, st.sampled_from([*trial.table, "newer"])
    match draw(st.sampled_from(["value", "key", "entry", "more", "by", "before", "kind"])):
        case "value" if values:
            values[draw(st.sampled_from([*values]))] = draw(st.sampled_from(BAD))
        case "key" if values:
            del values[draw(st.sampled_from([*values]))]
        case "entry":
            values["entry"] = draw(st.sampled_from([0, 1, 2, 99]))
        case "by":
            return trial._replace(by=draw(st.sampled_from(["", "K B", "1"])))
        case "before":
            return trial._replace(before=draw(st.lists(kinds, max_size=4)))
        case "kind":
            return trial._replace(kind=draw(kinds))
        case _:
            values["of_a_newer_program"] = "x"
    return trial._replace(values=values)


@st.composite
def trials(draw: st.DrawFn) -> Trial:
    """An entry that may be written, as often as one with a fault or two in it."""
    table = draw(st.sampled_from(TABLES))
    first = next(iter(table))
    special = [name for name in SPECIAL if name in table] or [*table]
    kind = table[draw(st.sampled_from([*table]) | st.sampled_from(special))]
    others = st.sampled_from([name for name in table if name not in strict.STAY] or [*table])
    before = [] if kind.name == first else [first, *draw(st.lists(others, max_size=3))]
    named = draw(st.integers(min(2, len(before)), len(before))) if before else 1
    target = table[before[named - 1]] if kind.name == "amendment" else None
    values = good_values(draw, kind, target, named)
    trial = Trial(table, before, "KB", kind.name, values)
    for _ in range(draw(st.sampled_from([0, 0, 1, 2]))):
        trial = spoilt(draw, trial)
    return trial


def stored(chain: Chain, trial: Trial) -> object:
    """What is stored, or the lines that refuse it."""
    try:
        return strict.ready(chain, trial.by, trial.kind, trial.values)
    except BadInput as fault:
        return list(fault.lines)


@settings(max_examples=400)
@given(trials())
def test_what_is_refused_is_never_ready_and_what_is_not_is(trial: Trial) -> None:
    lines = strict.faults(trial.chain, trial.by, trial.kind, trial.values)
    chain = trial.chain
    found = stored(chain, trial)
    if lines:
        assert found == lines
    else:
        assert isinstance(found, dict)
        assert [*found] == [*trial.values]
        # stored values are as the check itself would leave them
        assert strict.ready(trial.chain, trial.by, trial.kind, found) == found
    # words that were found good once do not let others through, nor change what is stored
    assert stored(chain, trial) == found


@given(trials(), trials())
def test_a_chain_that_took_entries_before_judges_the_next_alike(one: Trial, two: Trial) -> None:
    chain = Chain(two.table)
    for kind in two.before:
        chain.step(kind, DIGEST)
    if one.table is two.table:
        stored(chain, one)
    assert stored(chain, two) == stored(two.chain, two)


@pytest.mark.parametrize("table", TABLES)
def test_every_kind_is_ready_when_it_is_good(table: Mapping[str, Kind]) -> None:
    """The property above would hold of a check that refused all; so every kind passes once."""
    first = next(iter(table))
    for kind in table.values():
        before = [] if kind.name == first else [first]
        if kind.name in CORRECTIONS:
            before = [first, "note"]
        values: dict[str, object] = {}
        for key in kind.keys:
            if key.required:
                good = (key.choices or GOOD[key.type])[0]
                values[key.name] = [good] if key.many else good
        if kind.name in CORRECTIONS:
            values |= {"entry": 2} | ({"text": "else"} if kind.name == "amendment" else {})
        if kind.name == "method":
            values |= {"item": "aim", "value": "1 %"}
        trial = Trial(table, before, "KB", kind.name, values)
        assert strict.faults(trial.chain, "KB", kind.name, values) == []
        found = strict.ready(trial.chain, "KB", kind.name, values)
        assert found.keys() == values.keys()
