"""The hand sheet: what it accepts, how every fault is named, and 2,000 malformed ones."""

from datetime import date

import pytest

from assaybench.messages import BadInput
from assaybench.record.handsheet import LARGEST_BYTES, read
from assaybench.record.replay import replay, weighings
from assaybench.record.results import results
from tests.spoilt_sheets import GOOD, spoilt


def faults(text: str) -> list[str]:
    with pytest.raises(BadInput) as caught:
        read(text.encode())
    return list(caught.value.lines)


def test_a_sheet_becomes_entries_of_the_same_kinds_as_a_log() -> None:
    sheet = read(GOOD.encode())
    assert (sheet.title, sheet.date) == ("Grey Heron, run of 9 June", date(2026, 6, 9))
    kinds = [entry.kind for entry in sheet.entries]
    assert kinds[:5] == ["opened", "method", "person", "balance", "balance"]
    assert kinds.count("reading") == 8
    assert kinds[-1] == "note"
    assert [entry.n for entry in sheet.entries] == list(range(1, len(kinds) + 1))


def test_readings_make_weighings_with_the_zeros_around_them() -> None:
    found = weighings(replay(read(GOOD.encode()).entries))
    bead, gold = found["KV-016", "bead"], found["KV-016", "gold"]
    assert [r.text for r in bead.loads] == ["2.298 mg", "2.299 mg"]
    assert [r.text for r in gold.zeros] == ["0.000 mg", "-0.001 mg"]
    assert gold.balance.spread_mg == 0.002
    assert found["KV-016", "charge"].balance.name == "pulp"


def test_a_byte_order_mark_and_windows_line_ends_are_read() -> None:
    windows = b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode()
    assert read(windows).entries == read(GOOD.encode()).entries


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ('"30.00 g"', "30.00", 'samples[1] (KV-016).charge: "30.0" is not text.'),
        ('"2.298 mg", ', '"2.298 oz", ', 'samples[1] (KV-016).bead[1]: "oz" is not clear.'),
        ('text = "0.261 mg"', 'text = "0.261"', 'samples[1] (KV-016).readings[2]: "0.261" has no'),
        ('what = "gold"', 'what = "golf"', 'samples[1] (KV-016).readings[2]: "golf" is not a'),
        ('of = "KV-016"', 'of = "KV-17"', 'samples[2] (KV-016 b).of: "KV-17" is not among'),
        ('lots = ["L7"]', 'lots = ["L8"]', 'samples[1] (KV-016).lots: "L8" is not among the lots'),
        ('role = "duplicate"', 'role = "twin"', 'samples[2] (KV-016 b).role: "twin" is not a'),
        ('id = "KV-016 b"', 'id = "KV-016"', 'samples[2]: "KV-016" is there already'),
        ('id = "KV-016 b"\n', "", "samples[2]: id is missing: its number."),
        ('step = "0.001 mg"\n', "", "balances[1]: step is missing: readability, one division."),
        ('weighs = ["charge"]', "", "samples[1] (KV-016).charge: no balance is named. Add balance"),
        ("repeats = 10", "repeats = -1", 'balances[1].repeats: "-1" is not a whole number'),
        ("repeats = 10", "repeets = 10", 'balances[1]: "repeets" is not known here. Known are'),
        ("date = 2026-06-09", 'date = "9.6."', 'sheet.date: "9.6." is not a date.'),
        ("date = 2026-06-09\n", "", "sheet: date is missing: the day on the paper, 2026-06-09."),
        ("[sheet]", "[shet]", '"shet" is not known here. Known are sheet, method, samples'),
        ('by = "KB"', 'by = "K.B."', 'sheet.by: "K.B." is not initials: 1 to 6 letters.'),
        ('aim = "1 %"', "aim = 1", 'method.aim.value: "1" is not text.'),
        ('silver = "unknown"', 'silver = "some"', 'samples[2] (KV-016 b).silver: "some" is not'),
        ('moisture = "8.0 %"', 'moisture = "108 %"', 'samples[1] (KV-016).moisture.water: "108 %"'),
        ('"8.0 %"', '"8 %"\nmoisture_basis = "all"', 'samples[1] (KV-016).moisture.basis: "all"'),
        ('moisture = "8.0 %"', 'moisture_basis = "dry"', "samples[1] (KV-016).moisture: water is"),
        ("[[notes]]", "[notes]", "notes: notes is a list of tables. Write [[notes]] above each."),
        ('sample = "KV-016"\n', 'sample = "X"\n', 'notes[1].sample: "X" is not among the samples'),
        ("[sheet]", "[sheet", "not TOML: Expected ']' at the end of a table declaration"),
    ],
)  # fmt: skip
def test_every_fault_is_one_line_with_its_place(old: str, new: str, line: str) -> None:
    assert old in GOOD
    found = faults(GOOD.replace(old, new, 1))
    assert any(fault.startswith(line) for fault in found), found
    assert all(fault.isprintable() for fault in found)


def test_all_faults_are_told_at_once() -> None:
    text = GOOD.replace('"30.00 g"', '"x"').replace('"30.01 g"', '"y"').replace('"KB"', '"1"', 1)
    assert len(faults(text)) == 3


def test_limits_of_size_and_encoding() -> None:
    with pytest.raises(BadInput, match="at most 4000000 are accepted"):
        read(b"#" * (LARGEST_BYTES + 1))
    with pytest.raises(BadInput, match="not UTF-8 text from byte 3 on"):
        read(b"abc\xff")
    for hostile in (b"a = " + b"[" * 100_000, b"a = " + b"9" * 10_000, b"a." * 5000 + b"b = 1"):
        with pytest.raises(BadInput):
            read(hostile)


def clear(line: str) -> bool:
    """One printable line that says something, and not too much."""
    return line.isprintable() and 0 < len(line) < 600


def test_two_thousand_malformed_sheets_give_entries_or_clear_lines() -> None:
    refused, unclear = 0, []
    for seed in range(2000):
        try:
            sheet = read(spoilt(seed))
        except BadInput as fault:
            refused += 1
            unclear += [(seed, line) for line in fault.lines or ("",) if not clear(line)]
        else:
            weighings(replay(sheet.entries))
    assert unclear == []
    assert refused > 1500


@pytest.mark.parametrize(
    ("keys", "basis"),
    [
        ('moisture = "8.0 %"', "wet"),
        ('moisture = "8.0 %"\nmoisture_basis = "wet"', "wet"),
        ('moisture = "8.0 %"\nmoisture_basis = "dry"', "dry"),
    ],
)
def test_moisture_is_of_the_wet_mass_unless_the_sheet_says_dry(keys: str, basis: str) -> None:
    sheet = read(GOOD.replace('moisture = "8.0 %"', keys).encode())
    (water,) = (entry.values for entry in sheet.entries if entry.kind == "moisture")
    assert water == {"sample": "KV-016", "water": "8.0 %", "basis": basis}


@pytest.mark.parametrize("water", ["100 %", "99.99 %"])
def test_a_moisture_that_leaves_no_rock_is_named_with_its_sample(water: str) -> None:
    sheet = read(GOOD.replace("8.0 %", water).encode())
    with pytest.raises(BadInput) as caught:
        results(replay(sheet.entries))
    (line,) = caught.value.lines
    assert line == (
        f'KV-016, moisture: "{water}" is out of range: moisture on wet basis is from 0 % to 99 %.'
    )
