"""Paper for the furnace: the plan as it stands, and a blank sheet to weigh on with the same places.

Both go into one text file in the reports of the logbook; the page shows its path.
"""

from pathlib import Path

from assaybench.bench.run_log import RunLog
from assaybench.bench.tray import Step
from assaybench.logbook.store import replace
from assaybench.messages import say

_COLUMNS = (6, 14, 8, 13, 13, 13)
WIDTH = 79


def file_of(run: RunLog, step: Step) -> Path:
    """Where the print of a step goes."""
    desk = run.desk
    if run.name is None:
        return desk.practice_folder() / f"{run.file.path.stem}-{step}.txt"
    return desk.book.reports / f"{run.name.spelled}-{step}.txt"


def print_page(run: RunLog, step: Step, page: str) -> Path:
    """Write the page and a blank weighing sheet; gives the file.

    Args:
        run: the log.
        step: the step that is printed.
        page: the page as text.

    Raises:
        NotDone: the disk refused.
    """
    path = file_of(run, step)
    run.desk.files.make_folder(path.parent)
    text = page + "\n" + weighing_sheet(run, step)
    if run.practice:
        text = "".join(f"{say('bench_practice_mark')} {one}\n" for one in text.splitlines())
    replace(run.desk.files, path, text.encode(), mark="print")
    return path


def weighing_sheet(run: RunLog, step: Step) -> str:
    """A blank sheet: one line for each place, to be filled in with a pen."""
    board = run.board()
    plan = board.plan(step)
    heads = [say(f"print_{name}") for name in ("place", "sample", "is", "zero", "one", "two")]
    rule = "-" * WIDTH
    rows = [
        say("print_sheet", run=run.title, step=step),
        say("print_hand"),
        rule,
        _row(heads),
        rule,
    ]
    for place in sorted(plan.at):
        sample = plan.at[place]
        rows.append(_row([place.name, sample, board.word(step, sample), *["." * 11] * 3]))
    return "\n".join([*rows, rule]) + "\n"


def _row(parts: list[str]) -> str:
    cells = (part[: width - 1].ljust(width) for part, width in zip(parts, _COLUMNS, strict=True))
    return "".join(cells).rstrip()
