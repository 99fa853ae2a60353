"""Storing what was typed of a circuit test: what stood before stays in the log, with a reason."""

from collections.abc import Callable, Mapping, Sequence

from assaybench.bench.asking import Asking
from assaybench.bench.circuit_model import changes, rows_for
from assaybench.bench.page import Outcome
from assaybench.bench.run_log import RunLog
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, say
from assaybench.record import check
from assaybench.record.entries import Effective


def with_reason(
    run: RunLog,
    kind: str,
    entry: Effective | None,
    values: Mapping[str, object],
    then: Callable[[], Outcome],
    before: list[Row] | None = None,
) -> Asking | Outcome:
    """Store what was typed with one write; where it changes what stood, ask why first."""

    def store(reason: str) -> Outcome:
        rows = [*(before or []), *rows_for(entry, kind, values, reason)]
        if rows:
            run.append_all(rows)
        return then()

    def answer(text: str) -> Outcome:
        if not text:
            raise BadInput.of("hint_why")
        return store(check.text(text))

    if not changes(entry, values):
        return store(say("circuit_added"))
    return Asking(say("ask_why"), answer, hint=(say("hint_why"),))


def take_out(
    run: RunLog, what: str, entries: Sequence[int], then: Callable[[str], Outcome]
) -> Asking:
    """Asks why something that stands goes; it is withdrawn, and the log keeps it.

    Args:
        run: the log.
        what: it is, in words.
        entries: their numbers.
        then: what the page does afterwards, given the sentence that says what went.
    """

    def answer(reason: str) -> Outcome:
        if not reason:
            raise BadInput.of("hint_why")
        why = check.text(reason)
        run.append_all([("withdrawn", {"entry": n, "reason": why}) for n in entries])
        return then(say("stored_taken_out", what=what))

    return Asking(say("ask_why_out", what=what), answer, hint=(say("hint_why"),))
