"""What the tray page says of its bracket: who is meant, what Enter does, what is known there."""

from assaybench.bench.characters import capital
from assaybench.bench.page import Enter
from assaybench.bench.pages import charge, firing, safety
from assaybench.bench.plan import Plan, row_name
from assaybench.bench.plan_lines import Bracket
from assaybench.bench.run_log import RunLog
from assaybench.bench.tray import WEIGHS, Board, Step
from assaybench.messages import say


def samples(plan: Plan, bracket: Bracket) -> list[str]:
    """Who is meant by the bracket: one place, a whole row, or the whole tray."""
    return [
        plan.at[place]
        for place in sorted(plan.at)
        if bracket.row in (-1, place.row) and bracket.column in (-1, place.column)
    ]


def named(bracket: Bracket) -> str:
    """What the bracket stands on, in words."""
    if bracket.place is not None:
        return bracket.place.name
    if bracket.row < 0:
        return say("tray_whole")
    return say("tray_row", row=row_name(bracket.row))


def begun(bracket: Bracket) -> str:
    """The same at the beginning of a sentence."""
    return capital(named(bracket))


def enter(run: RunLog, step: Step, bracket: Bracket) -> Enter:
    """What Enter does now, with what stands under the bracket."""
    place, board = named(bracket), run.board()
    meant = samples(board.plan(step), bracket)
    if run.closed:
        return Enter(run.promise("promise_closed"))
    if safety.unread(run, step):
        return Enter(run.promise("promise_safety"), "enter.read")
    if step == "weigh-in" and not meant and bracket.place is not None:
        return Enter(run.promise("promise_write", place=place), "enter.write")
    if not meant:
        return Enter(run.promise("promise_nobody", place=place))
    if step != "charge" and all(map(board.lost, meant)):
        return Enter(run.promise("promise_lost", place=place))
    match step:
        case "weigh-in" if all(map(board.no_charge, meant)):
            return Enter(run.promise("promise_no_charge", place=place))
        case "charge":
            return _of_charge(run, meant, place)
        case "fire":
            mark = firing.next_mark(board, meant)
            frozen = firing.waiting(board, meant, "out") if mark == "none" else ()
            if frozen:
                fields = {"place": begun(bracket), "n": len(frozen)}
                return Enter(run.promise("promise_mark_frozen", **fields))
            key = "" if mark == "none" else "enter.mark"
            return Enter(run.promise(f"promise_mark_{mark}", place=place), key)
    return Enter(run.promise("promise_weigh", place=place), "enter.weigh")


def _of_charge(run: RunLog, meant: list[str], place: str) -> Enter:
    offer = charge.last_charge(run.state)
    if offer is None or not charge.due(run.board(), meant):
        # what is typed is of one charge, also where the bracket stands for many
        one = run.board().plan("charge").named(meant[0])
        return Enter(run.promise("promise_charge", place=one), "enter.ask")
    return Enter(run.promise("promise_same", place=place, charge=offer.text), "enter.give")


def entry(board: Board, step: Step, sample: str) -> int:
    """The entry that a step shows of a sample: its last reading or mark, else the sample itself."""
    marks = board.marks.get(sample) if step == "fire" else None
    if marks is not None:
        return marks.at[marks.last].n
    what = WEIGHS.get(step)
    read = board.readings(sample, what) if what else []
    return read[-1].n if read else board.state.samples[sample].n


def of_sample(board: Board, step: Step, sample: str) -> str:
    """Who lives under the bracket, and what is known of it at this step."""
    place = board.plan(step).named(sample)
    if step == "fire":
        told = firing.marks_told(board, sample)
    elif step == "charge":
        found = charge.charge_of(board.state, sample)
        told = found.text if found is not None else ""
    else:
        told = board.cell(step, sample).text.strip(".")
    return say("tray_of" if told else "tray_of_none", place=place, sample=sample, told=told)
