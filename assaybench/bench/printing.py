"""Paper for the furnace: the plan as it stands, and a blank sheet to weigh on with the same places.

Both go into one text file in the reports of the logbook; the page shows its path.
"""

from collections.abc import Sequence
from pathlib import Path

from assaybench.bench import frame
from assaybench.bench.actions import Keymap
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import Line, Sheet
from assaybench.bench.tray import WEIGHS, Step
from assaybench.logbook.store import replace
from assaybench.messages import say

_COLUMNS = (6, 14, 8, 13, 13, 13)
WIDTH = 79
_LONGEST_ID = _COLUMNS[1] + WIDTH - sum(_COLUMNS)
"""Columns that an id may take; the others keep theirs."""


def file_of(run: RunLog, step: Step) -> Path:
    """Where the print of a step goes."""
    desk = run.desk
    if run.name is None:
        return desk.practice_folder() / f"{run.file.path.stem}-{step}.txt"
    return desk.book.reports / f"{run.name.spelled}-{step}.txt"


def as_printed(sheet: Sheet, keys: Keymap, blocks: Sequence[Sequence[Line]], height: int) -> str:
    """A page as text for paper, without its keys, its blocks one under another.

    Args:
        sheet: the page; its remarks stand beside the first block.
        keys: which key does what.
        blocks: the text blocks.
        height: lines of each.
    """
    texts: list[str] = []
    for block in blocks:
        page = sheet._replace(block=tuple(block), margin=() if texts else sheet.margin)
        lines = frame.set_page(page, keys, frame.LEAST_WIDTH, height, ascii=True)
        texts.append(frame.as_text(lines[:-2]))
    return "\n".join(texts)


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
    longest = max((len(sample) for sample in plan.of), default=0)
    columns = (_COLUMNS[0], min(max(_COLUMNS[1], longest + 1), _LONGEST_ID), *_COLUMNS[2:])
    head = say("print_sheet", run=run.title, step=step)
    what = WEIGHS.get(step)
    if what is not None:
        unit = run.unit_of(run.balance_for(what)).symbol
        head = say("print_sheet_of", run=run.title, step=step, what=what, unit=unit)
    rows = [head, say("print_hand"), rule, _row(heads, columns), rule]
    for place in sorted(plan.at):
        sample = plan.at[place]
        lost = bool(board.lost(sample))
        word = say("bench_lost") if lost else board.word(step, sample)
        blanks = [""] * 3 if lost else ["." * 11] * 3
        rows.append(_row([place.name, sample, word, *blanks], columns))
    return "\n".join([*rows, rule]) + "\n"


def _row(parts: list[str], columns: Sequence[int]) -> str:
    cells = (part[: width - 1].ljust(width) for part, width in zip(parts, columns, strict=True))
    return "".join(cells).rstrip()
