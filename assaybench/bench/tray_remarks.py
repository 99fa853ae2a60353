"""What the margin says of the tray, most important first, and how much of it there is room for."""

from collections.abc import Iterator
from typing import NamedTuple

from assaybench.bench import plan_lines
from assaybench.bench.characters import wrapped
from assaybench.bench.plan import Place
from assaybench.bench.remarks import heavier
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import Beside
from assaybench.bench.tray import STEPS, WEIGHS, Board, Step
from assaybench.messages import say
from assaybench.record.suspect import suspects

SEEN = ("not_detected", "detected_rough", "readings_disagree", "below_zero")
"""Verdicts of a weighing that the tray names."""


class Remark(NamedTuple):
    """A remark, and the place it speaks of; None for one about the whole tray."""

    text: str
    place: Place | None = None


def fitting(
    first: list[str], remarks: list[Remark], counts: str, width: int, lines: int
) -> list[Remark]:
    """All of the first ones and the counts; of the remarks between as many as there is room for.

    Args:
        first: what is said first.
        remarks: in the order of their places.
        counts: what is said last, empty for nothing.
        width, lines: of the margin.
    """
    last = [counts] if counts else []
    used = sum(len(wrapped(text, width)) + 1 for text in (*first, *last))
    kept = []
    for remark in remarks:
        used += len(wrapped(remark.text, width)) + 1
        if used - 1 > lines:
            break
        kept.append(remark)
    return [*map(Remark, first), *kept, *map(Remark, last)]


def beside(
    board: Board, step: Step, remarks: list[Remark], counts: str, lines: int
) -> tuple[str | Beside, ...]:
    """Each remark beside the row that it speaks of; the counts beside the door.

    Args:
        board, step: which plan is drawn.
        remarks: in their order.
        counts: the one among them that counts the places.
        lines: of the text block.
    """
    found: list[str | Beside] = []
    for text, place in remarks:
        row = board.plan(step).rows if text == counts else place and place.row
        at = None if row is None else plan_lines.row_line(board, step, lines, row)
        found.append(text if at is None else Beside(at, text))
    return tuple(found)


def standing(run: RunLog, step: Step) -> list[str]:
    """What keeps a step from being done: a seal, or that no balance weighs what it weighs."""
    if run.closed:
        return [run.closed]
    what = WEIGHS.get(step, "")
    if what and not run.balance_for(what):
        return [say("tray_no_balance", what=what)]
    return []


def nothing_waits(step: Step) -> str:
    """That the step is done, and which one is next."""
    following = STEPS.index(step) + 1
    return say("tray_margin_none", n=following + 1, step=STEPS[following])


def of_tray(run: RunLog, step: Step) -> list[Remark]:
    """Remarks of a step, place by place; suspect weighings come before all others."""
    board = run.board()
    found = [Remark(suspect.flag.text) for suspect in suspects(run.state)]
    plan = board.plan(step)
    run.look_at_all()
    for place in sorted(plan.at):
        told = _of_place(run, board, step, plan.at[place], place.name)
        found += [Remark(text, place) for text in told]
    return found


def _of_place(run: RunLog, board: Board, step: Step, sample: str, place: str) -> Iterator[str]:
    entry = run.state.samples[sample]
    of, why = entry.text("of"), entry.text("lost")
    if why:
        hand = next((e for e in reversed(run.state.of("furnace_mark"))
                     if e.text("sample") == sample and e.text("mark") == "lost"), None)  # fmt: skip
        if hand is None:
            yield say("margin_lost", place=place, why=why)
        else:
            made = hand.entry
            fields = {"place": place, "why": why, "by": made.by, "t": f"{made.at:%H:%M}"}
            yield say("margin_lost_by", **fields)
        return
    if step in WEIGHS:
        yield from _weighed(run, board, step, sample, place)
    parted = run.state.of_sample("parting", sample)
    if step == "parting" and parted is not None and parted.text("result") == "not parted":
        yield say("margin_not_parted", place=place)
    look = run.state.of_sample("bead_look", sample)
    if step == "beads" and look is not None and look.text("look") != "round":
        yield say("margin_look", place=place, look=look.text("look"))
    if entry.text("part"):
        yield say("margin_part_of", place=place, part=entry.text("part"), of=of)
    elif of and of in board.plan(step).of:
        yield say("margin_repeats_of", place=place, of=board.plan(step).named(of))


def _weighed(run: RunLog, board: Board, step: Step, sample: str, place: str) -> Iterator[str]:
    seen = run.seen(sample, WEIGHS[step])
    if seen is None:
        return
    entry = run.state.samples[sample]
    code = seen.verdict.code
    if entry.text("role") == "blank":
        alone = step == "parting" or entry.text("silver") == "none"
        if alone and code not in ("not_detected", "below_zero"):
            yield say("margin_blank_holds", place=place)
        return
    if code in SEEN:
        m = board.cell(step, sample).text
        unit = run.unit_of(seen.balance.name).symbol
        div = round(seen.weighing.net_mg / seen.balance.step_mg)
        yield say(f"margin_tray_{code}", place=place, m=m, unit=unit, div=div)
    under = {"parting": "bead", "beads": "charge"}.get(step)
    known = run.seen(sample, under) if under else None
    if known is not None and heavier(seen, known):
        yield say(f"margin_{seen.raw.what}_heavier", place=place)
