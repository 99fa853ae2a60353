"""A plan of places, rows by columns: the muffle, or the parting cups; and who lives where."""

import re
from typing import NamedTuple

from assaybench.bench.in_parts import without_cupel
from assaybench.logbook.settings_fields import Tray
from assaybench.record.replay import State

_PLACE = re.compile(r"([A-Z]{1,2})([1-9][0-9]?)")
_LETTERS = 26


class Place(NamedTuple):
    """A place of a plan: row and column, from 0."""

    row: int
    column: int

    @property
    def name(self) -> str:
        """As it is written: B6."""
        return f"{row_name(self.row)}{self.column + 1}"


def row_name(row: int) -> str:
    """The letters of a row: A to Z, then AA."""
    first, last = divmod(row, _LETTERS)
    return (chr(ord("A") + first - 1) if first else "") + chr(ord("A") + last)


def place_of(text: str) -> Place | None:
    """The place that is written `B6` or `b6`; None for anything else."""
    match = _PLACE.fullmatch(text.strip().upper())
    if match is None:
        return None
    row = 0
    for letter in match[1]:
        row = row * _LETTERS + ord(letter) - ord("A") + 1
    return Place(row - 1, int(match[2]) - 1)


class Plan(NamedTuple):
    """Who lives where.

    Attributes:
        rows, columns: its size; a place that was noted outside the plan of the settings widens it.
        at: sample by place.
        of: place by sample.
    """

    rows: int
    columns: int
    at: dict[Place, str]
    of: dict[str, Place]

    def places(self) -> list[Place]:
        """All places, in order: row by row from the back, each from the left."""
        return [Place(row, column) for row in range(self.rows) for column in range(self.columns)]

    def holds(self, place: Place) -> bool:
        """Whether a place lies on the plan."""
        return place.row < self.rows and place.column < self.columns

    def first_free(self) -> Place | None:
        """The first place where nobody lives."""
        return next((place for place in self.places() if place not in self.at), None)

    def samples(self) -> list[str]:
        """Samples in the order of their places."""
        return [self.at[place] for place in sorted(self.at)]

    def named(self, sample: str) -> str:
        """Name of the place of a sample; the sample itself when it has none."""
        place = self.of.get(sample)
        return place.name if place is not None else sample


def plan_of(state: State, size: Tray, which: str = "muffle") -> Plan:
    """The plan of the muffle or of the parting cups.

    A sample lives where its last `position` says. One without stands, in the cups, where it stood
    in the muffle; then comes the first free place, in the order of the log, in a row more where the
    tray is full. Of two noted for one place the later one has it. A sample that is assayed only in
    its parts has none.
    """
    at: dict[Place, str] = {}
    of: dict[str, Place] = {}
    apart = without_cupel(state)
    noted = _noted(state, which)
    if which == "cups":
        noted = {**_noted(state, "muffle"), **noted}
    for sample, place in noted.items():
        if sample not in state.samples or sample in apart:
            continue
        other = at.get(place)
        if other is not None:
            del of[other]
        at[place], of[sample] = sample, place
    rows = max([size.rows, *(place.row + 1 for place in at)])
    columns = max([size.columns, *(place.column + 1 for place in at)])
    homeless = [s for s in state.samples if s not in of and s not in apart]
    while rows * columns < len(at) + len(homeless):
        rows += 1  # nobody is out of sight because the tray is full
    every = (Place(row, column) for row in range(rows) for column in range(columns))
    free = (place for place in every if place not in at)
    for sample, place in zip(homeless, free, strict=False):
        at[place], of[sample] = sample, place
    return Plan(rows, columns, at, of)


def _noted(state: State, which: str) -> dict[str, Place]:
    """Places as they were noted, in the order of the entries."""
    found: dict[str, Place] = {}
    for entry in state.of("position"):
        place = place_of(entry.text("place"))
        if place is not None and (entry.text("plan") or "muffle") == which:
            found.pop(entry.text("sample"), None)
            found[entry.text("sample")] = place
    return found
