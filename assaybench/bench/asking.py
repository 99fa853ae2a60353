"""Questions asked one after another on line 23, each answered by typing and Enter.

A page keeps one `Asking` at a time. An answer that will not do leaves the question standing with
the reason in the margin; Esc gives it up, and nothing is stored before the last answer.
"""

from collections.abc import Callable
from dataclasses import dataclass

from assaybench.bench.page import Bell, Outcome, Stay
from assaybench.bench.typing import Accepts, Typing
from assaybench.logbook.faults import NotDone
from assaybench.messages import BadInput, quoted, say
from assaybench.record.check import LONGEST_TEXT

ANSWER_KEYS = ("enter.take", "back")
"""The key line while something is asked: letters are the answer."""
Answer = Callable[[str], "Asking | Outcome"]


@dataclass(slots=True)
class Asking:
    """One question on line 23.

    Attributes:
        prompt: what is asked for.
        answer: takes what was typed; gives the next question, or what the page does then. Raises
            BadInput for an answer that will not do, NotDone for one that could not be stored.
        accepts: what may be typed.
        hint: what the margin says meanwhile.
        text: what is typed so far.
        faults: why the last answer would not do.
    """

    prompt: str
    answer: Answer
    accepts: Accepts = "text"
    hint: tuple[str, ...] = ()
    text: str = ""
    faults: tuple[str, ...] = ()

    @property
    def typing(self) -> Typing:
        """The question with what is typed, as line 23 shows it."""
        return Typing(self.prompt, self.text, self.accepts)

    @property
    def margin(self) -> tuple[str, ...]:
        """What the margin says, once: why the last answer would not do, then the hint."""
        return tuple(dict.fromkeys((*self.faults, *self.hint)))

    def typed(self, key: str, character: str) -> Outcome:
        """One key of the answer; the page stays."""
        self.text = self.typing.with_key(key, character or None).text
        return Stay()

    def enter(self) -> "Asking | Outcome":
        """The answer is given: the next question, this one again, or what the page does."""
        try:
            return self.answer(self._given())
        except (BadInput, NotDone) as fault:
            empty = say("value_text", x=quoted(""), most=LONGEST_TEXT)
            self.faults = tuple(say("ask_empty") if x == empty else x for x in fault.lines)
            return self

    def _given(self) -> str:
        """What was typed; of a secret every sign counts, and nothing is kept here."""
        if self.accepts != "secret":
            return self.text.strip()
        given, self.text = self.text, ""
        return given


def go_on(asking: Asking, action: str) -> tuple[Asking | None, Outcome]:
    """What an action does while something is asked: the question that stands then, if any."""
    if action == "back":
        return None, Stay()
    if action != "enter":
        return asking, Bell()
    found = asking.enter()
    return (found, Stay()) if isinstance(found, Asking) else (None, found)


def typed_into(asking: Asking | None, key: str, character: str) -> Outcome:
    """A key on a page where only answers are typed: the bell for a sign that no question wants."""
    if asking is not None:
        return asking.typed(key, character)
    return Bell() if character else Stay()
