"""Who goes on: the initials that the entries from here on carry."""

from assaybench.bench.asking import ANSWER_KEYS, Asking
from assaybench.bench.desk import Desk
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Still
from assaybench.bench.sheet import Sheet
from assaybench.messages import say


class InitialsPage(Still):
    """Asks for initials; the first person is not logged out of anything, since nobody logs in."""

    name = "initials"

    def __init__(self, desk: Desk, left: str) -> None:
        """Make the page.

        Args:
            desk: who works here is changed in it.
            left: the left end of the running head.
        """
        self.desk, self._left = desk, left
        self._asking = Asking(say("ask_initials"), self._answer, "id")

    def _answer(self, text: str) -> Outcome:
        self.desk.switch(text)
        return Back()

    def sheet(self, room: Room) -> Sheet:
        """The question."""
        margin = [*self._asking.margin]
        if self.desk.by:
            margin.append(say("initials_now", by=self.desk.by))
        people = self.desk.settings.people
        if people:
            known = ", ".join(f"{by} {name}" for by, name in people.items())
            margin.append(say("initials_known", list=known))
        return Sheet(
            left=self._left,
            title=say("title_initials"),
            right=self.desk.who_and_when(),
            block=(),
            margin=(*margin, say("about_initials")),
            promise=say("promise_initials"),
            keys=ANSWER_KEYS,
            typing=self._asking.typing,
            about=(say("about_initials"),),
        )

    def act(self, action: str) -> Outcome:
        """Enter takes the initials, Esc leaves everything as it was."""
        if action != "enter":
            return Back() if action == "back" else Bell()
        answer = self._asking.enter()
        if isinstance(answer, Asking):
            self._asking = answer
            return Stay()
        return answer

    def typed(self, key: str, character: str) -> Outcome:
        """A letter of the initials."""
        return self._asking.typed(key, character)
