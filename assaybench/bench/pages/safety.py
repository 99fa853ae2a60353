"""The safety line of a step: read once in a run and noted in the log; the long text behind `?`.

The program never says that conditions are without danger; local rules and licensed practice decide.
"""

from assaybench.bench.run_log import RunLog
from assaybench.bench.tray import Step
from assaybench.messages import say

LINES: dict[Step, str] = {
    "weigh-in": "safety_pulp",
    "charge": "safety_flux",
    "fire": "safety_fire",
    "beads": "safety_beads",
    "parting": "safety_parting",
}
"""The code of the line of each step; it stands in the log."""


def unread(run: RunLog, step: Step) -> list[str]:
    """The safety line of a step when nobody has read it in this run."""
    code = LINES.get(step)
    read = {entry.text("line") for entry in run.state.of("safety_read")}
    return [] if code is None or code in read else [say(code)]


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
