"""Samples in columns: a CSV file of a spreadsheet beside a hand sheet that describes the rest.

One line a sample; the columns are the keys of a sample in a hand sheet. A column may give its unit
behind the key, `gold mg`, and its cells are numbers then. Cells of one line that hold several
things, repeats or lots, part them by `|`. An empty cell says nothing. Columns are parted by commas,
semicolons or tabs, whichever the first line has; decimal commas need one of the latter two.
"""

import csv
import io
import re
from collections.abc import Iterator
from typing import Any

from assaybench.messages import BadInput, quoted, say
from assaybench.record import handsheet
from assaybench.record.handsheet import SAMPLE_KNOWN, Sheet
from assaybench.record.kinds import BY_NAME
from assaybench.units.table import BY_SPELLING

COLUMNS = tuple(sorted(SAMPLE_KNOWN - {"readings"}))
"""The columns that are known; a column may be left out."""
WHOLE = frozenset(k.name for k in BY_NAME["sample"].keys if k.type == "whole")
MANY = frozenset(k.name for k in BY_NAME["sample"].keys if k.many)
PARTED_BY = "\t;,"
BETWEEN = "|"
LONGEST_CELL = 2000
MOST_SAMPLES = 2000
"""Far more than a run has; a file of anything else is told soon."""
_OF_NUMBERS = "0123456789.,+-−() "
_PLACE = re.compile(r"samples\[([0-9]+)\](?: \([^)]*\))?\.?")


def read(content: bytes, head: bytes) -> Sheet:
    """The sheet of samples in columns.

    Args:
        content: the bytes of the CSV file.
        head: a hand sheet of everything but these samples.

    Raises:
        BadInput: one line for each fault; those of a sample are led by its line and column.
    """
    tree = handsheet.parsed(head)
    own = tree.get("samples", [])
    if not isinstance(own, list) or own:
        raise BadInput.of("columns_head_samples")
    rows = list(_rows(handsheet.text_of(content)))
    tree["samples"] = [row for _, row in rows]
    try:
        return handsheet.of_tree(tree)
    except BadInput as fault:
        lines = [number for number, _ in rows]
        raise BadInput([_led_by_line(line, lines) for line in fault.lines]) from fault


def _led_by_line(fault: str, lines: list[int]) -> str:
    """`samples[3] (T-31).gold: …` as `line 4, gold: …`: a person sees lines and columns."""
    found = _PLACE.match(fault)
    if found is None:
        return fault
    rest = fault[found.end() :]
    return f"line {lines[int(found[1]) - 1]}{rest if rest.startswith(':') else f', {rest}'}"


def _rows(text: str) -> Iterator[tuple[int, dict[str, Any]]]:
    """Every sample with the line it begins on.

    Raises:
        BadInput: for columns nobody knows, or cells without a column.
    """
    first = text.partition("\n")[0]
    mark = max(PARTED_BY, key=first.count)
    reader = csv.reader(io.StringIO(text), delimiter=mark, strict=True)
    faults: list[str] = []
    found: list[tuple[int, dict[str, Any]]] = []
    columns: list[tuple[str, str]] = []
    try:
        heads = next(reader, [])
        if not any(head.strip() for head in heads):
            raise BadInput.of("columns_none")
        columns = [*_columns(heads, faults)]
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            place = f"line {reader.line_num}"
            if len(cells) > len(columns):
                faults.append(f"{place}: {say('columns_cells', n=len(cells), most=len(columns))}")
            found.append((reader.line_num, _row(place, columns, cells, faults)))
            if max(len(found), len(faults)) > MOST_SAMPLES:
                raise BadInput.of("columns_many", most=MOST_SAMPLES)
    except csv.Error as fault:
        # what csv says of it is about its own options; where it is helps more
        broken = say("columns_broken", line=reader.line_num)
        raise BadInput([*faults, broken]) from fault
    if faults:
        raise BadInput(faults)
    if not found:
        raise BadInput.of("columns_no_lines")
    yield from found


def _row(
    place: str, columns: list[tuple[str, str]], cells: list[str], faults: list[str]
) -> dict[str, Any]:
    """The sample of one line."""
    row: dict[str, Any] = {}
    for (name, unit), cell in zip(columns, cells, strict=False):
        if len(cell) > LONGEST_CELL:
            faults.append(f"{place}, {name}: {say('columns_long', most=LONGEST_CELL)}")
        elif unit and _has_unit(cell):
            twice = say("columns_unit_twice", x=quoted(cell.strip()))
            faults.append(f"{place}, {name}: {twice}")
        elif cell.strip():
            row[name] = _value(name, unit, cell.strip())
    return row


def _columns(names: list[str], faults: list[str]) -> Iterator[tuple[str, str]]:
    """Key and unit of each column."""
    seen: set[str] = set()
    for text in names:
        name, _, unit = text.strip().partition(" ")
        name, unit = name.casefold(), unit.strip().strip("()[]")
        if name not in COLUMNS:
            choices = ", ".join(COLUMNS)
            faults.append(say("columns_unknown", x=quoted(text.strip()), choices=choices))
        elif unit and unit not in BY_SPELLING:
            faults.append(say("columns_unit", x=quoted(unit), column=name))
        elif name in seen:
            faults.append(say("columns_twice", x=quoted(name)))
        seen.add(name)
        yield name, unit


def _value(name: str, unit: str, cell: str) -> object:
    """What a cell says, as a hand sheet would have it."""
    if name in WHOLE and cell.isascii() and cell.isdigit():
        return int(cell)
    parts = [part.strip() for part in cell.split(BETWEEN)]
    texts = [f"{part} {unit}" if unit and _is_number(part) else part for part in parts]
    return texts if name in MANY or len(texts) > 1 else texts[0]


def _has_unit(cell: str) -> bool:
    """Whether a number of a cell has a unit behind it."""
    parts = [part.strip() for part in cell.split(BETWEEN)]
    return any(_is_number(part) and part.lstrip(_OF_NUMBERS) in BY_SPELLING for part in parts)


def _is_number(text: str) -> bool:
    return text[:1].isdigit() or text[:1] in "-+.,−"
