"""The one table of commands: name, where it lives, and its line in the help."""

from typing import NamedTuple


class Entry(NamedTuple):
    """One command.

    Attributes:
        name: as typed.
        module: file in this folder that holds it, loaded only when the command runs.
        help: its line in the list of commands.
    """

    name: str
    module: str
    help: str


COMMANDS = (
    Entry("weigh", "weigh", "What a reading is worth: mass, doubt and verdict."),
    Entry("grade", "grade", "One bead to gold, silver and grade."),
    Entry("metallics", "metallics", "Grade of a pulp with coarse metal, screened apart."),
    Entry("compare", "compare", "Two results, a cut-off, or runs before and after: is it shown?"),
    Entry("recovery", "recovery", "What a gravity circuit catches and loses, by size."),
    Entry("results", "results", "Grades, verdicts, checks and recovery of a hand sheet."),
    Entry("convert", "convert", "A figure in other units, exactly."),
    Entry("sieves", "sieves", "Sieve series, their openings and tolerances."),
    Entry("demo", "demo", "The hand sheets of an invented operation, worked out."),
)
BY_NAME = {entry.name: entry for entry in COMMANDS}
