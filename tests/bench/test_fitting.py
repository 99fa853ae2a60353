"""The trial at the bench refuses what the full trial refuses, word for word."""

import random
from datetime import datetime

import pytest

from assaybench.bench.fitting import try_rows
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput
from assaybench.record.entries import Entry
from assaybench.record.replay import replay
from assaybench.record.trial import must_fit

AT = datetime.fromisoformat("2026-06-09T14:31:00.000+02:00")
OPENED = {"log": "furnace run", "number": 1, "bench": "MAIN", "method_version": 1, "program": "t"}
NAMES = ("A", "B", "C")


def any_row(draws: random.Random) -> Row:
    """An entry with names that may stand for something, for nothing, or for two things."""
    name, other = draws.choice(NAMES), draws.choice(NAMES)
    reading = {"what": "bead", "text": "0.3", "unit": "mg", "balance": other}
    rows: tuple[Row, ...] = (
        ("sample", {"id": name, "role": "sample"}),
        ("sample", {"id": name, "role": "duplicate", "of": other, "lots": [other]}),
        ("balance", {"name": name, "step": "0.001 mg"}),
        ("weight", {"name": name, "mass": "10 mg"}),
        ("reagent_lot", {"lot": name, "material": "lead"}),
        ("pool", {"id": name, "samples": [other], "what": "bead"}),
        ("reading", {**reading, "sample": name}),
        ("reading", {**reading, "what": "zero"}),
        ("balance_check", {"balance": name, "weight": other, "texts": ["1"], "unit": "mg"}),
        ("note", {"text": "x", "sample": name}),
        ("position", {"sample": name, "place": "A1"}),
        ("withdrawn", {"entry": draws.randint(2, 5), "reason": "x"}),
        ("amendment", {"entry": draws.randint(2, 5), "text": "0.4", "reason": "x"}),
    )
    return draws.choice(rows)


def told(entries: list[Entry], row: Row) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What the full trial and the quick one say."""
    said: list[tuple[str, ...]] = [(), ()]
    try:
        must_fit(entries, Entry(len(entries) + 1, AT, "KB", *row))
    except BadInput as fault:
        said[0] = fault.lines
    try:
        try_rows(entries, replay(entries), "KB", [row])
    except BadInput as fault:
        said[1] = fault.lines
    return said[0], said[1]


@pytest.mark.parametrize("seed", range(40))
def test_the_quick_trial_is_the_full_one(seed: int) -> None:
    draws = random.Random(seed)
    entries = [Entry(1, AT, "KB", "opened", OPENED)]
    refused = 0
    for _ in range(25):
        row = any_row(draws)
        full, quick = told(entries, row)
        assert set(full) == set(quick), row
        refused += bool(full)
        if not full:
            entries.append(Entry(len(entries) + 1, AT, "KB", *row))
    assert 0 < refused < 25


def test_rows_of_one_write_may_name_each_other_in_order() -> None:
    entries = [Entry(1, AT, "KB", "opened", OPENED)]
    sample: Row = ("sample", {"id": "A", "role": "sample"})
    position: Row = ("position", {"sample": "A", "place": "A1"})
    try_rows(entries, replay(entries), "KB", [sample, position])
    with pytest.raises(BadInput):
        try_rows(entries, replay(entries), "KB", [position, sample])
