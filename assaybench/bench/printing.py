"""Paper for the furnace: the plan as it stands, and a blank sheet with the same places for the pen.

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

WIDTH = 79
_PLACE, _ID, _IS, _PEN = 6, 14, 8, 11
"""Columns of place, id and what it is, and of what is filled in by pen, with a blank behind it."""
_BY_PEN: dict[Step, tuple[str, ...]] = {
    "charge": ("silver", "lead", "lots"),
    "fire": ("in", "drives", "blick", "out"),
}
_WEIGHED = ("zero", "one", "two")
"""What is filled in by pen at a step, and at one that weighs."""


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
    """Write the page and a blank sheet behind it; gives the file.

    Args:
        run: the log.
        step: the step that is printed.
        page: the page as text.

    Raises:
        NotDone: the disk refused.
    """
    path = file_of(run, step)
    run.desk.files.make_folder(path.parent)
    text = page + "\n" + pen_sheet(run, step)
    if run.practice:
        text = "".join(f"{say('bench_practice_mark')} {one}\n" for one in text.splitlines())
    replace(run.desk.files, path, text.encode(), mark="print")
    return path


def pen_sheet(run: RunLog, step: Step) -> str:
    """A blank sheet: one line for each place, to be filled in with a pen.

    Where something is weighed it asks for zero and readings, in the fire for times, at the charge
    for silver, lead and lots.
    """
    board, what = run.board(), WEIGHS.get(step)
    plan, by_pen = board.plan(step), _BY_PEN.get(step, _WEIGHED)
    room = WIDTH - _PLACE - _IS - (_PEN + 1) * len(by_pen)
    longest = max((len(sample) for sample in plan.of), default=0)
    columns = (_PLACE, min(max(_ID, longest + 1), room), _IS, *[_PEN + 1] * len(by_pen))
    fields = {"run": run.title, "step": step}
    head, hand = say("print_sheet", **fields), say("print_by")
    if what is not None:
        unit = run.unit_of(run.balance_for(what)).symbol
        head, hand = say("print_sheet_of", **fields, what=what, unit=unit), say("print_by_balance")
    rule = "-" * WIDTH
    heads = [say(f"print_{name}") for name in ("place", "sample", "is", *by_pen)]
    rows = [head, hand, rule, _row(heads, columns), rule]
    for place in sorted(plan.at):
        sample = plan.at[place]
        blanks = ["." * _PEN] * len(by_pen)
        word = board.word(step, sample)
        if board.lost(sample):
            word, blanks = say("bench_lost"), []
        elif step == "weigh-in" and board.no_charge(sample):
            blanks = [say("print_no_charge")]
        rows.append(_row([place.name, sample, word, *blanks], columns))
    return "\n".join([*rows, rule]) + "\n"


def _row(parts: list[str], columns: Sequence[int]) -> str:
    cells = (part[: width - 1].ljust(width) for part, width in zip(parts, columns, strict=False))
    return "".join(cells).rstrip()
