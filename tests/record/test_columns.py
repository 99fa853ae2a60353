"""Samples in columns beside a hand sheet: the same entries, faults by line and column."""

import csv
import io
import random
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from assaybench.messages import BadInput
from assaybench.record import columns, handsheet

SHEET = Path(__file__).parents[2] / "demo" / "furnace-run.toml"
HEAD = b"""\
[sheet]
log = "furnace run"
title = "Monday"
date = 2026-06-09
by = "KB"

[[balances]]
name = "fine"
step = "0.001 mg"
weighs = ["bead", "gold"]

[[balances]]
name = "pulp"
step = "0.01 g"
weighs = ["charge"]

[[lots]]
lot = "K-31"
material = "litharge"

[[lots]]
lot = "K-32"
material = "silver"
"""


def parted(text: str, tree: dict[str, Any]) -> tuple[bytes, bytes]:
    """A hand sheet as samples in columns and a head."""
    names = list(dict.fromkeys(name for row in tree["samples"] for name in row))
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(names)
    for row in tree["samples"]:
        cells = [row.get(name, "") for name in names]
        writer.writerow([" | ".join(c) if isinstance(c, list) else c for c in cells])
    head, inside = [], False
    for line in text.split("\n"):
        if line.startswith("["):
            inside = line == "[[samples]]"
        if not inside:
            head.append(line)
    return out.getvalue().encode(), "\n".join(head).encode()


def test_a_hand_sheet_and_its_columns_give_the_same_entries() -> None:
    text = SHEET.read_text("utf-8")
    tree = tomllib.loads(text)
    for row in tree["samples"]:  # readings with zeros between have no column
        row.pop("readings", None)
    assert len(tree["samples"]) >= 24
    assert columns.read(*parted(text, tree)) == handsheet.of_tree(tree)


def test_units_stand_over_columns_and_repeats_and_lots_are_parted() -> None:
    table = (
        b"id;role;silver;lots;charge g;gold mg;moisture\r\n"
        b"T-1;;none;K-31 | K-32;30,00;0,261 | 0,262;8 %\r\n"
        b"\r\n"
        b"B-1;blank;none;K-31;;0,001;\r\n"
    )
    entries = columns.read(table, HEAD).entries
    said = [(e.kind, e.values.get("text"), e.values.get("unit")) for e in entries]
    assert [row for row in said if row[0] == "reading"] == [
        ("reading", "30,00", "g"),
        ("reading", "0,261", "mg"),
        ("reading", "0,262", "mg"),
        ("reading", "0,001", "mg"),
    ]
    samples = [e.values for e in entries if e.kind == "sample"]
    assert samples[0]["lots"] == ["K-31", "K-32"]
    assert samples[1]["role"] == "blank"


def test_a_column_says_of_which_mass_the_water_is() -> None:
    table = b"id,moisture,moisture_basis\nT-1,25 %,dry\nT-2,20 %,\n"
    water = [e.values["basis"] for e in columns.read(table, HEAD).entries if e.kind == "moisture"]
    assert water == ["dry", "wet"]


@pytest.mark.parametrize(
    ("table", "faults"),
    [
        (b"id,weight\nT-1,3\n", ['"weight" is no column. Columns are']),
        (b"id,gold pinch\nT-1,3\n", ['"pinch" behind gold is no unit']),
        (b"id,gold,gold mg\nT-1,3 mg,3\n", ['"gold" stands over two columns']),
        (b"id,gold mg\nT-1,0,261\n", ["line 2: 3 cells, where 2 columns have a name."]),
        (b'id,gold mg\n"T-1,0.261\n', ["line 2: its quotes do not close"]),
        (b'id,foo\n"T-1,0.261\n', ['"foo" is no column', "line 2: its quotes do not close"]),
        (
            b"id,silver,gold mg\nT-1,none,0.261\nT-2,some,heavy\n",
            ['line 3, silver: "some"', 'line 3, gold: "heavy"'],
        ),
        (b"id,gold mg\nT-1,0.261\n\n\nT-1,0.262\n", ['line 5: "T-1"']),
        (b"id,client_mark\nT-1," + b"x" * 3000 + b"\n", ["line 2, client_mark: A cell holds"]),
        (b"\xff\xfe", ["not UTF-8 text from byte 0 on"]),
        (b"", ["no columns in the first line."]),
        (b" ,\nT-1,3\n", ["no columns in the first line."]),
        (b"id,gold mg\n\n", ["no sample below the names of the columns."]),
        (
            b"id,charge g,gold mg\nT-1,30.00 g,0.261|0.262mg\n",
            ['line 2, charge: "30.00 g": the unit', 'line 2, gold: "0.261|0.262mg": the unit'],
        ),
        (b"id,gold mg\nT-1,0.261\n(T-2),heavy\n", ["line 3, id: ", 'line 3, gold: "heavy"']),
    ],
    ids=range(15),
)
def test_faults_name_line_and_column(table: bytes, faults: list[str]) -> None:
    with pytest.raises(BadInput) as found:
        columns.read(table, HEAD)
    assert len(found.value.lines) == len(faults)
    for line, start in zip(found.value.lines, faults, strict=True):
        assert line.startswith(start), line


def test_the_head_has_no_samples_of_its_own() -> None:
    with pytest.raises(BadInput, match="--head FILE describes the rest"):
        columns.read(b"id\nT-1\n", HEAD + b'[[samples]]\nid = "T-9"\n')


def test_garbage_is_refused_in_lines() -> None:
    chance = random.Random(20260609)
    for _ in range(500):
        table = bytearray(b"id,role,silver,charge g,gold mg\nT-1,sample,none,30.00,0.261\n" * 3)
        for _ in range(chance.randrange(1, 9)):
            table[chance.randrange(len(table))] = chance.randrange(256)
        lines: Sequence[str] = ["read"]
        try:
            columns.read(bytes(table), HEAD)
        except BadInput as fault:
            lines = fault.lines
        assert lines
        assert all(line and "\n" not in line for line in lines)
