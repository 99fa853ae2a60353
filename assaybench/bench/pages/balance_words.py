"""What the balance page promises: what Enter does now, with the figure and the place in it.

And its other keys, and how it writes figures: with the decimal mark of who weighs.
"""

from typing import NamedTuple

from assaybench.bench.in_parts import OF_WHOLE
from assaybench.bench.page import Enter
from assaybench.bench.run_log import RunLog
from assaybench.bench.tray import Board, Step, Thing
from assaybench.bench.typing import Typing
from assaybench.messages import quoted, say

ASKED_KEYS = ("enter.store", "help", "back")
"""The key line while a slip is suspected: only what is seen now counts."""
_CLOSED_KEYS = ("help", "back")
_KEYS = ("repeat", "zero", "look", "lost", "help", "back")
_OF_BEAD = ("look", "lost")
_WEIGH_IN_KEYS = ("repeat", "zero", "switch", "lost", "help", "back")


class Weighed(NamedTuple):
    """What the balance page is at.

    Attributes:
        place: what is on the pan, in words.
        unit: of the display.
        text: the reading as typed so far.
        zeroing: whether it is a reading of zero.
        done: whether there is a reading and no other is wanted.
        following: the next thing that waits at this step, in words; empty for none.
    """

    place: str
    unit: str
    text: str
    zeroing: bool
    done: bool
    following: str


def enter(run: RunLog, at: Weighed) -> Enter:
    """What Enter does now."""
    if run.closed:
        return Enter(run.promise("promise_closed_back"))
    fields = {"x": at.text, "unit": at.unit, "place": at.place, "next": at.following}
    if at.zeroing:
        return Enter(run.promise("promise_zero", **fields), "enter.store")
    if at.text:
        code = "promise_store" if at.following else "promise_store_last"
        return Enter(run.promise(code, **fields), "enter.store")
    if at.done and at.following:
        return Enter(run.promise("promise_next", place=at.following), "enter.next")
    if at.done:
        return Enter(run.promise("promise_all_weighed"), "enter.back")
    return Enter(run.promise("promise_type", place=at.place), "enter.store")


def key_line(run: RunLog, step: Step, what: str, enter: str) -> tuple[str, ...]:
    """The key line, behind what Enter does."""
    return _CLOSED_KEYS if run.closed else (enter, *_keys(run, step, what))


def has(run: RunLog, step: Step, what: str, action: str) -> bool:
    """Whether there is an action here: only what looks like a bead is looked at, or lost."""
    return action not in _OF_BEAD or action in _keys(run, step, what)


def _keys(run: RunLog, step: Step, what: str) -> tuple[str, ...]:
    """Keys beside Enter; the mass of a whole has no bead that looks, and no cupel to lose.

    A charge can go on one of several balances, and no bead looks like anything yet.
    """
    hidden = _OF_BEAD if what in OF_WHOLE else ()
    several = step == "weigh-in" and len(run.state.balances) > 1
    return tuple(key for key in (_WEIGH_IN_KEYS if several else _KEYS) if key not in hidden)


def typing(text: str, unit: str, *, asked: bool, zero: bool) -> Typing | None:
    """What line 23 asks for; None while it promises what Enter does.

    Args:
        text: the reading as typed so far.
        unit: of the display.
        asked: whether a slip is suspected.
        zero: whether it is a reading of zero.
    """
    if asked:
        return Typing(say("ask_look_again"), text, "reading")
    if zero and not text:
        return Typing(say("ask_zero", unit=unit), "", "reading")
    if text and not is_figure(text):
        return Typing(say("ask_reading"), text, "reading")
    return None


def is_figure(text: str) -> bool:
    """Whether what was typed is a figure yet."""
    return any(sign.isdigit() for sign in text)


def no_letters(run: RunLog, balance: str, letter: str) -> tuple[str, ...]:
    """Why a letter behind a reading is not taken: the unit is that of the display."""
    return (say("balance_no_letters", unit=run.unit_of(balance).symbol, x=quoted(letter)),)


def thing_of(board: Board, step: Step, code: str) -> Thing | None:
    """What goes on the pan for the code of a sample; None when no sample of the run has it.

    A code of digits alone is a reading here, whatever sample bears it.
    """
    if not any(sign.isalpha() for sign in code):
        return None
    sample = board.first_part(code) or code
    return board.first_thing(step, sample) if sample in board.state.samples else None


def comma(run: RunLog, text: str) -> bool:
    """Whether figures have a decimal comma: as set, or as the reading was typed last.

    Args:
        run: the log.
        text: the reading as typed so far.
    """
    wanted = run.desk.settings.decimal_mark
    if wanted != "as typed":
        return wanted == "comma"
    last = run.state.readings[-1:] if not text else []
    return "," in (last[0].entry.text("text") if last else text)
