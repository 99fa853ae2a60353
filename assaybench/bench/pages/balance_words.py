"""What the balance page promises: what Enter does now, with the figure and the place in it.

And how it writes figures: with the decimal mark of who weighs.
"""

from typing import NamedTuple

from assaybench.bench.page import Enter
from assaybench.bench.run_log import RunLog


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
