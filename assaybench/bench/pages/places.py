"""Going to a place by an id that is typed or scanned, and giving a sample another place."""

from collections.abc import Callable

from assaybench.bench.asking import Asking
from assaybench.bench.page import Outcome
from assaybench.bench.plan import Place, place_of
from assaybench.bench.run_log import RunLog
from assaybench.bench.tray import Step
from assaybench.messages import BadInput, quoted, say


def find(run: RunLog, step: Step, then: Callable[[Place], Outcome]) -> Asking:
    """Asks where to go: an id, its last signs, or a place.

    Args:
        run: the log.
        step: gives the plan.
        then: what the page does with the place.
    """

    def answer(text: str) -> Outcome:
        board = run.board()
        plan, place = board.plan(step), place_of(text)
        part = "" if text in plan.of else board.first_part(text)
        found = part or board.find(step, text)
        if found:
            return then(plan.of[found])
        if place is None or not plan.holds(place):
            raise BadInput.of("sample_not_found", x=quoted(text))
        return then(place)

    return Asking(say("ask_find"), answer, hint=(say("ask_find_hint"),))


def move(run: RunLog, step: Step, sample: str, then: Callable[[str], Outcome]) -> Asking:
    """Asks for another place of a sample and notes it; a place that is taken is refused.

    Args:
        run: the log.
        step: gives the plan.
        sample: who moves.
        then: what the page does afterwards, given the sentence that says what was stored.
    """

    def answer(text: str) -> Outcome:
        plan, place = run.board().plan(step), place_of(text)
        if place is None:
            raise BadInput.of("place_unknown", x=quoted(text))
        if not plan.holds(place):
            size = f"{plan.rows} x {plan.columns}"
            raise BadInput.of("place_outside", place=place.name, size=size)
        other = plan.at.get(place)
        if other not in (None, sample):
            raise BadInput.of("place_taken", place=place.name, sample=other)
        which = "cups" if step == "parting" else "muffle"
        run.append("position", {"sample": sample, "place": place.name, "plan": which})
        return then(say("stored_move", sample=sample, place=place.name))

    return Asking(say("ask_move", sample=sample), answer)
