"""Words typed about a sample: why it was lost, with a repeat of it, and notes."""

from collections.abc import Callable

from assaybench.bench.asking import Asking
from assaybench.bench.page import Outcome
from assaybench.bench.run_log import RunLog
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, say
from assaybench.record import check
from assaybench.record.due import WITHOUT_CHARGE

Then = Callable[[str], Outcome]


def lost(run: RunLog, sample: str, place: str, then: Then) -> Asking:
    """Asks why a sample was lost, stores it, then offers a repeat of it.

    Args:
        run: the log.
        sample: the sample.
        place: how its place is called.
        then: what the page does afterwards, given the sentence that says what was stored.
    """

    def answer(why: str) -> Asking | Outcome:
        if not why:
            raise BadInput.of("ask_lost_why")
        run.append_all(lost_rows(run, sample, check.text(why)))
        said = say("margin_lost", place=place, why=why)
        if run.state.samples[sample].text("role") in WITHOUT_CHARGE:
            return then(said)
        return _repeat(run, sample, place, said, then)

    return Asking(say("ask_lost", place=place), answer, hint=(say("ask_lost_hint"),))


def lost_rows(run: RunLog, sample: str, why: str) -> list[Row]:
    """The moment it was lost, and the word for it beside the sample, where results look."""
    entry = run.state.samples[sample]
    return [
        ("furnace_mark", {"sample": sample, "mark": "lost", "reason": why}),
        ("amendment", {"entry": entry.n, "lost": why, "reason": why}),
    ]


def _repeat(run: RunLog, sample: str, place: str, said: str, then: Then) -> Asking:
    """Offers a repeat: its id is typed, or Enter alone for none."""

    def answer(identity: str) -> Outcome:
        if not identity:
            return then(said)
        run.append_all(repeat_rows(run, sample, identity))
        return then(say("stored_repeat", place=place, id=identity))

    return Asking(say("ask_repeat", place=place), answer, hint=(said, say("ask_repeat_hint")))


def repeat_rows(run: RunLog, sample: str, identity: str) -> list[Row]:
    """A repeat of a sample under an id of its own, in the first free place of the muffle."""
    entry = run.state.samples[sample]
    of = entry.text("of") or sample
    values: dict[str, object] = {"id": identity, "role": entry.text("role"), "of": of}
    if entry.text("part"):
        values["part"] = entry.text("part")
    rows: list[Row] = [("sample", values)]
    free = run.board().muffle.first_free()
    if free is not None:
        rows.append(("position", {"sample": identity, "place": free.name, "plan": "muffle"}))
    return rows


def note(run: RunLog, sample: str, place: str, then: Then) -> Asking:
    """Asks for a note about a sample and stores it; about the run when there is no sample."""

    def answer(text: str) -> Outcome:
        if not text:
            raise BadInput.of("ask_note_empty")
        values: dict[str, object] = {"text": text}
        run.append("note", {**values, "sample": sample} if sample else values)
        return then(say("stored_note"))

    return Asking(say("ask_note", place=place or run.title), answer)
