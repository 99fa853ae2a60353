"""The one table of commands: name, where it lives, and its line in the help."""

from typing import NamedTuple


class Entry(NamedTuple):
    """One command.

    Attributes:
        name: as typed.
        module: file in this folder that holds it, loaded only when the command runs.
        help: its line in the list of commands.
        figures: whether its arguments are figures; others, such as the names of samples, are taken
            as they stand, also where one looks like a unit.
    """

    name: str
    module: str
    help: str
    figures: bool = True


COMMANDS = (
    Entry("weigh", "weigh", "What a reading is worth: mass, doubt and verdict."),
    Entry("grade", "grade", "One bead to gold, silver and grade."),
    Entry("metallics", "metallics", "Grade of a pulp with coarse metal, screened apart."),
    Entry("compare", "compare", "Two results, a cut-off, or runs before and after: is it shown?"),
    Entry("recovery", "recovery", "What a gravity circuit catches and loses, by size."),
    Entry("sampling", "sampling", "What chance does to few grains, and how much to take."),
    Entry("value", "value", "What metal is worth, what a loss costs, whether a gain pays."),
    Entry("heaps", "heaps", "Saved tailings: what is left in each, and which to run again first."),
    Entry("results", "results", "Grades, verdicts, checks and recovery of a hand sheet or a log."),
    Entry("convert", "convert", "A figure in other units, exactly."),
    Entry("sieves", "sieves", "Sieve series, their openings and tolerances."),
    Entry(
        "open",
        "open_log",
        "A new log of a furnace run or a circuit test, by number.",
        figures=False,
    ),
    Entry("enter", "enter", "One entry into a log: a reading, a sample, a note.", figures=False),
    Entry(
        "correct",
        "correct",
        "Keys of an entry given anew; the old ones stay, struck.",
        figures=False,
    ),
    Entry(
        "leave-out", "leave_out", "A determination out of the mean, with a reason.", figures=False
    ),
    Entry("void", "void", "A number that holds no result; it stays taken.", figures=False),
    Entry(
        "show", "show", "The entries of a log, in order, with what was corrected.", figures=False
    ),
    Entry(
        "logbook",
        "logbook_list",
        "The logs, newest first; by sample, state, date, bench or title.",
        figures=False,
    ),
    Entry("seal", "seal", "A log is closed and signed; all of it is shown first.", figures=False),
    Entry(
        "countersign",
        "countersign",
        "Your own signed statement about a sealed log.",
        figures=False,
    ),
    Entry("reissue", "reissue", "A log that replaces a sealed one, with a reason.", figures=False),
    Entry("signers", "signers", "Whose keys sign here: list, make, name, retire.", figures=False),
    Entry(
        "verify",
        "verify",
        "Links, signatures, register, marks and figures: as they were signed?",
        figures=False,
    ),
    Entry(
        "report",
        "report",
        "A log as a report: results, all determinations, corrections, seal.",
        figures=False,
    ),
    Entry(
        "export",
        "export",
        "A sealed log for a client, with all that it takes to check it.",
        figures=False,
    ),
    Entry("settings", "settings", "Your settings: all, one, or KEY=VALUE anew.", figures=False),
    Entry(
        "selftest",
        "selftest",
        "The published cases, worked out here: does this program agree?",
        figures=False,
    ),
    Entry("import", "import_sheet", "A hand sheet becomes a log.", figures=False),
    Entry("demo", "demo", "The hand sheets of an invented operation, worked out."),
)
BY_NAME = {entry.name: entry for entry in COMMANDS}
