"""The settings: one line each; what is changed is stored at once and counts from then on.

Tables and lists, such as keys and people, are changed in the file, which is for people to read.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from assaybench.bench.asking import Asking
from assaybench.bench.characters import leader
from assaybench.bench.desk import Desk
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.pages.beginning import Keep
from assaybench.bench.sheet import Line, Sheet, Span, line
from assaybench.logbook.settings_fields import FIELDS, Field
from assaybench.messages import BadInput, say

_BY_FILE = ("table", "list")
_NEXT_START = ("logbook", "bench", "palette", "ascii")
_WORDS = {"yes": True, "no": False}


class SettingsPage:
    """The settings of this user."""

    name = "settings"

    def __init__(self, desk: Desk, keep: Keep, left: str) -> None:
        """Make the page.

        Args:
            desk: its settings count, and are changed.
            keep: stores changes; raises BadInput or NotDone.
            left: the left end of the running head.
        """
        self.desk, self._keep, self._left = desk, keep, left
        self._pointer = 0
        self._asking: Asking | None = None

    @property
    def _field(self) -> Field:
        return FIELDS[self._pointer]

    def _value(self, field: Field) -> str:
        value = getattr(self.desk.settings, field.name)
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, Mapping | tuple) and field.type in _BY_FILE:
            return str(len(value))
        return str(value)

    def sheet(self, room: Room) -> Sheet:
        """All settings, with the pointer."""
        field = self._field
        block: list[Line] = [()]
        for i, one in enumerate(FIELDS):
            mark = "> " if i == self._pointer else "  "
            text = leader(mark + one.name, self._value(one) or "-", room.block_width)
            block.append(line(Span(text, "bold" if i == self._pointer else "plain")))
        margin = [say("setting_now", name=field.name, help=field.help)]
        if field.type in _BY_FILE:
            margin.append(say("setting_by_file"))
        elif field.choices:
            margin.append(say("setting_choices", choices=" / ".join(field.choices)))
        if field.name in _NEXT_START:
            margin.append(say("setting_from_next"))
        if self._asking is not None:
            margin = [*self._asking.margin, *margin]
        return Sheet(
            left=self._left,
            title=say("title_settings"),
            right=self.desk.who_and_when(),
            block=tuple(block),
            margin=(*margin, say("about_settings")),
            promise=say("promise_setting", name=field.name),
            keys=("enter.change", "arrows", "index", "help", "back"),
            typing=self._asking.typing if self._asking else None,
            about=(say("about_settings"),),
        )

    def act(self, action: str) -> Outcome:
        """Enter changes the setting under the pointer."""
        if self._asking is not None:
            return self._asked(action)
        match action:
            case "up" | "down":
                step = 1 if action == "down" else -1
                self._pointer = max(0, min(self._pointer + step, len(FIELDS) - 1))
                return Stay()
            case "enter" if self._field.type not in _BY_FILE:
                value = self._value(self._field)
                prompt = say("ask_setting", name=self._field.name, value=value or "-")
                self._asking = Asking(prompt, self._answer)
                return Stay()
            case "back":
                return Back()
        return Bell()

    def _asked(self, action: str) -> Outcome:
        asking = self._asking
        if asking is None or action not in ("enter", "back"):
            return Bell()
        answer = asking.enter() if action == "enter" else Stay()
        if not isinstance(answer, Asking):
            self._asking = None
            return answer
        return Stay()

    def _answer(self, text: str) -> Outcome:
        field = self._field
        if not text:
            return Stay()
        given: object = text
        if field.type == "yes or no":
            if text.casefold() not in _WORDS:
                raise BadInput.of("setting_choices", choices=" / ".join(_WORDS))
            given = _WORDS[text.casefold()]
        value = field.read(field, given)
        self._keep({field.name: given})
        changed: dict[str, Any] = {field.name: value}
        self.desk.settings = self.desk.settings._replace(**changed)
        if field.name == "initials":
            self.desk.by = str(value)
        return Stay()

    def typed(self, key: str, character: str) -> Outcome:
        """A letter of the answer."""
        if self._asking is None:
            return Bell() if character else Stay()
        self._asking.typed(key, character)
        return Stay()

    def tick(self, now: datetime) -> bool:
        """Nothing here changes by itself."""
        return False

    def come_back(self) -> None:
        """Nothing was open on top."""
