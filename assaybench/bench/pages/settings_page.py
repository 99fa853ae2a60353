"""The settings: one line each; what is changed is stored at once and counts from then on.

Tables and lists open as pages of their own, and so do the signing keys.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import leader
from assaybench.bench.desk import Desk
from assaybench.bench.page import Back, Bell, Do, Open, Outcome, Page, Room, Stay
from assaybench.bench.page_habits import Asks, Still
from assaybench.bench.pages.beginning import Keep
from assaybench.bench.pages.table_page import TablePage
from assaybench.bench.sheet import Line, Sheet, Span, line
from assaybench.logbook import keys
from assaybench.logbook.faults import NotDone
from assaybench.logbook.settings import checked
from assaybench.logbook.settings_fields import FIELDS, Field
from assaybench.logbook.settings_typed import ALONE, ROWS, accepted, given_of, shown
from assaybench.messages import say

_KEYS = ("arrows", "index", "help", "back")
_NEXT_START = ("logbook", "bench")


class _More(NamedTuple):
    """A line below the fields."""

    code: str
    key: str
    go: Callable[[], Outcome]


class SettingsPage(Asks, Still):
    """The settings of this user."""

    name = "settings"

    def __init__(
        self,
        desk: Desk,
        keep: Keep,
        left: str,
        signing: Callable[[], Page] | None = None,
        fresh: Callable[[], None] = lambda: None,
    ) -> None:
        """Make the page.

        Args:
            desk: its settings count, and are changed.
            keep: stores changes; raises BadInput or NotDone.
            left: the left end of the running head.
            signing: makes the page of the signing keys.
            fresh: takes the settings onto the desk as they are stored now.
        """
        self.desk, self._keep, self._left, self._fresh = desk, keep, left, fresh
        self._pointer = 0
        self._asking: Asking | None = None
        self._more: tuple[_More, ...] = (
            _More("settings_practice", "enter.begin", lambda: Do("practice")),
        )
        if signing is not None:
            self._more = (
                _More("settings_signing", "enter.open", lambda: Open(signing())),
                *self._more,
            )

    @property
    def _field(self) -> Field | None:
        """The field under the pointer; None on the lines below them."""
        return FIELDS[self._pointer] if self._pointer < len(FIELDS) else None

    def _value(self, field: Field) -> str:
        return shown(field, getattr(self.desk.settings, field.name))

    # --- what is shown --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """All settings, with the pointer."""
        texts = [(one.name, self._value(one)) for one in FIELDS]
        texts += [(say(more.code), "") for more in self._more]
        first = max(0, self._pointer - room.block_lines + 2)
        block: list[Line] = [()]
        for i, (name, value) in list(enumerate(texts))[first : first + room.block_lines - 1]:
            here = i == self._pointer
            mark = "> " if here else "  "
            text = leader(mark + name, value, room.block_width) if value else mark + name
            block.append(line(Span(text, "bold" if here else "plain")))
        margin = self._margin()
        return Sheet(
            left=self._left,
            title=say("title_settings"),
            right=self.desk.who_and_when(),
            block=tuple(block),
            margin=(*margin, *([say("about_settings")] if self._field is not None else [])),
            promise=self._promise(),
            keys=ANSWER_KEYS if self._asking else (self._enter_key, *_KEYS),
            typing=self._asking.typing if self._asking else None,
            about=(say("about_settings"),),
        )

    @property
    def _enter_key(self) -> str:
        """The word for what Enter does with the line under the pointer."""
        field = self._field
        if field is None:
            return self._more[self._pointer - len(FIELDS)].key
        return "enter.open" if field.type in ROWS else "enter.change"

    def _promise(self) -> str:
        field = self._field
        if field is None:
            return say(f"promise_{self._more[self._pointer - len(FIELDS)].code}")
        code = "promise_setting_table" if field.type in ROWS else "promise_setting"
        return say(code, name=field.name)

    def _margin(self) -> list[str]:
        field = self._field
        if field is None:
            return [say(f"about_{self._more[self._pointer - len(FIELDS)].code}")]
        margin = [] if self._asking is None else list(self._asking.margin)
        margin.append(say("setting_now", name=field.name, help=field.help))
        if field.choices or field.type == "yes or no":
            margin.append(say("setting_choices", choices=accepted(field)))
        elif field.type not in ROWS and getattr(self.desk.settings, field.name) != field.default:
            margin.append(say("setting_alone", x=ALONE))
        if field.name in _NEXT_START:
            margin.append(say("setting_from_next"))
        if field.name == "signing_key" and self.desk.settings.signing_key:
            margin += self._key_faults()
        return margin

    def _key_faults(self) -> tuple[str, ...]:
        """Why the key file that is named cannot sign; a name that is not there is told at once."""
        try:
            keys.public_of(self.desk.files, self.desk.signing_key())
        except NotDone as fault:
            return fault.lines
        return ()

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Enter changes the setting under the pointer, or opens its table."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        match action:
            case "up" | "down":
                step = 1 if action == "down" else -1
                last = len(FIELDS) + len(self._more) - 1
                self._pointer = max(0, min(self._pointer + step, last))
                return Stay()
            case "enter":
                return self._enter()
            case "back":
                return Back()
        return Bell()

    def _enter(self) -> Outcome:
        field = self._field
        if field is None:
            return self._more[self._pointer - len(FIELDS)].go()
        if field.type in ROWS:
            self._fresh()
            return Open(TablePage(self.desk, field, self._store, self._left, self._fresh))
        value = self._value(field)
        prompt = say("ask_setting", name=field.name, value=value)
        self._asking = Asking(prompt, lambda text: self._answer(field, text))
        return Stay()

    def _answer(self, field: Field, text: str) -> Outcome:
        if text:
            self._store(field, given_of(field, text))
        return Stay()

    def _store(self, field: Field, given: object) -> None:
        """Check a setting, store it, and let it count.

        Raises:
            BadInput: for what it cannot be; the old one stays.
            NotDone: when it could not be stored.
        """
        value = checked(field.name, given)
        self._keep({field.name: given})
        changed: dict[str, Any] = {field.name: value}
        self.desk.settings = self.desk.settings._replace(**changed)
        if field.name == "initials":
            self.desk.by = str(value)
