"""The safety line of a step: read once in a run and noted in the log; the long text behind `?`.

The program never says that conditions are without danger; local rules and licensed practice decide.
"""

from assaybench.bench.run_log import RunLog
from assaybench.bench.tray import Step
from assaybench.logbook.faults import NotDone
from assaybench.messages import BadInput, say

LINES: dict[Step, str] = {
    "weigh-in": "safety_pulp",
    "charge": "safety_flux",
    "fire": "safety_fire",
    "beads": "safety_beads",
    "parting": "safety_parting",
}
"""The code of the line of each step; it stands in the log."""
_AFTER_READING = ("charge", "drives", "blick", "out", "frozen", "look")
"""Actions that do the work of a step."""
_READS = ("arrows", "back", "balances", "find", "help", "print")
"""Actions that store nothing: with a log that takes no entries only these are left."""


def unread(run: RunLog, step: Step) -> list[str]:
    """The safety line of a step when nobody has read it in this run; none where no work follows."""
    if run.closed:
        return []
    code = LINES.get(step)
    read = {entry.text("line") for entry in run.state.of("safety_read")}
    return [] if code is None or code in read else [say(code)]


def first(run: RunLog, step: Step, action: str) -> None:
    """Nothing is done at a step before its line was read; what went wrong may be noted.

    Raises:
        BadInput: when the line must be read first.
        NotDone: for what stores an entry, when the log takes none.
    """
    if run.closed and action not in _READS:
        raise NotDone([run.closed])
    if action in _AFTER_READING and unread(run, step):
        raise BadInput.of("safety_first")


def keys(run: RunLog, step: Step, line: tuple[str, ...]) -> tuple[str, ...]:
    """A key line without those keys that wait until the line of the step was read."""
    if run.closed:
        return tuple(key for key in line if key in _READS)
    if not unread(run, step):
        return line
    return tuple(key for key in line if key not in _AFTER_READING)


def read(run: RunLog, step: Step) -> None:
    """Note that the line of a step was read.

    Raises:
        BadInput, NotDone: as `RunLog.append`.
    """
    run.append("safety_read", {"line": LINES[step]})


def about(step: Step) -> tuple[str, ...]:
    """The long text of a step, for the help page."""
    code = LINES.get(step)
    return () if code is None else (say(code), say(f"{code}_more"), say(f"{code}_most"))
