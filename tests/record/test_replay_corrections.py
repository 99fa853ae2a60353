"""Which amendments change a value, and which only give a key for the first time."""

from datetime import UTC, datetime

from assaybench.record.entries import Entry, effective

NOON = datetime(2026, 6, 9, 12, tzinfo=UTC)


def test_a_key_given_later_is_no_correction() -> None:
    rows: list[tuple[str, dict[str, object]]] = [
        ("sample", {"id": "T-1", "role": "sample"}),
        ("amendment", {"entry": 1, "reason": "charge step", "silver": "2 mg"}),
        ("amendment", {"entry": 1, "reason": "same again", "silver": "2 mg"}),
        ("amendment", {"entry": 1, "reason": "read wrong", "silver": "3 mg", "lead": "30 g"}),
    ]
    entries = [Entry(i, NOON, "KB", kind, values) for i, (kind, values) in enumerate(rows, 1)]
    assert [made.n for made in effective(entries)[0].corrections] == [4]
