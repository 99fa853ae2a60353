"""A table or a list of the settings, line by line: people, keys of actions, trusted signing keys.

Every change is checked by the field itself and stored at once; a bad one is told and not stored.
"""

from collections.abc import Callable, Mapping

from assaybench.bench.actions import keymap
from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import cells, leader, wrapped
from assaybench.bench.desk import Desk
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Still
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.logbook.faults import NotDone
from assaybench.logbook.settings import checked
from assaybench.logbook.settings_fields import Field
from assaybench.logbook.settings_keys import keys_of
from assaybench.messages import BadInput, say

Store = Callable[[Field, object], None]
Rows = list[tuple[str, str]]
_KEYS = ("enter.change", "arrows", "row", "drop", "help", "back")
_EMPTY_KEYS = ("row", "help", "back")


class TablePage(Saying, Asks, Still):
    """One table of the settings."""

    name = "table"

    def __init__(
        self,
        desk: Desk,
        field: Field,
        store: Store,
        left: str,
        fresh: Callable[[], None] = lambda: None,
    ) -> None:
        """Open a table.

        Args:
            desk: its settings have the table.
            field: which.
            store: checks and stores the whole table anew; raises BadInput or NotDone.
            left: the left end of the running head.
            fresh: takes the table onto the desk as it is stored now.
        """
        self.desk, self.field = desk, field
        self._store, self._left, self._fresh = store, left, fresh
        self._at = 0
        self._asking: Asking | None = None

    @property
    def _is_list(self) -> bool:
        return self.field.type == "list"

    @property
    def rows(self) -> Rows:
        """Its lines: a name and its value; of a list the value alone."""
        value = getattr(self.desk.settings, self.field.name)
        if isinstance(value, Mapping):
            return list(value.items())
        return [(str(one), "") for one in value]

    # --- what is shown --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """The lines of the table, with the pointer."""
        rows = self.rows
        self._at = max(min(self._at, len(rows) - 1), 0)
        first = max(0, self._at - room.block_lines + 2)
        block: list[Line] = [()]
        for i, (name, value) in enumerate(rows[first : first + room.block_lines - 1], start=first):
            here = i == self._at
            mark = "> " if here else "  "
            text = leader(mark + name, value, BLOCK_WIDTH) if value else mark + name
            parts = [text] if cells(text) <= BLOCK_WIDTH else wrapped(text, BLOCK_WIDTH)
            block += [line(Span(part, "bold" if here else "plain")) for part in parts]
        if self.field.name == "keys" and len(block) < room.block_lines - 2:
            block += self._actions(room.block_lines - len(block))
        margin = [say("setting_now", name=self.field.name, help=self.field.help)]
        if not rows:
            margin.insert(0, say("table_empty"))
        if self.field.name == "keys":
            margin.append(say("setting_from_next"))
        if self._asking is not None:
            margin = list(self._asking.margin)
        promise = say("promise_table_add")
        if rows:
            promise = say("promise_table", x=rows[self._at][0])
        if rows and self._is_list:
            promise = say("promise_table_list")
        return Sheet(
            left=self._left,
            title=say("title_table", name=self.field.name.upper()),
            right=self.desk.who_and_when(),
            block=tuple(block),
            margin=(*self._said, *margin),
            promise=promise,
            keys=ANSWER_KEYS if self._asking else _KEYS if rows else _EMPTY_KEYS,
            typing=self._asking.typing if self._asking else None,
            about=(say("about_table"),),
        )

    def _actions(self, lines: int) -> list[Line]:
        """The actions that can have another key, each behind the key that it has now."""
        now = keymap(dict(self.rows)).keys
        told = [f"{key}\N{NO-BREAK SPACE}{name}" for name, key in now.items() if len(key) == 1]
        parts = wrapped("   ".join(sorted(told)), BLOCK_WIDTH - 2)
        return [(), *(line(Span(f"  {part}", "dim")) for part in parts)][:lines]

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Enter changes the line under the pointer, other keys add one or take it out."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        self._said = ()
        rows = self.rows
        match action:
            case "up" | "down":
                step = 1 if action == "down" else -1
                self._at = max(0, min(self._at + step, len(rows) - 1))
            case "row":
                self._asking = self._ask_new()
            case "enter":
                self._asking = self._ask_value(rows[self._at][0]) if rows and not self._is_list \
                    else self._ask_new()  # fmt: skip
            case "drop" if rows:
                return self._dropped(rows[self._at][0])
            case "back":
                return Back()
            case _:
                return Bell()
        return Stay()

    def _ask_new(self) -> Asking:
        def answer(text: str) -> Asking | Outcome:
            if not text:
                return Stay()
            if self._is_list:
                self._put(lambda rows: [*(name for name, _ in rows), text])
                self._at = len(self.rows) - 1
                return Stay()
            # a name that cannot be is said before anybody types what stands behind it
            usual = keys_of({})[0].get(text, text)
            checked(self.field.name, {text: usual})
            return self._ask_value(text)

        code = f"ask_new_{self.field.name}"
        return Asking(say(code), answer, "text", (say("setting_now", name=self.field.name,
                                                      help=self.field.help),))  # fmt: skip

    def _ask_value(self, name: str) -> Asking:
        def answer(text: str) -> Outcome:
            if not text:
                return Stay()
            self._put(lambda rows: {**dict(rows), name: text})
            self._at = [row[0] for row in self.rows].index(name)
            return Stay()

        return Asking(say(f"ask_value_{self.field.name}", x=name), answer, "text")

    def _dropped(self, name: str) -> Outcome:
        def without(rows: Rows) -> object:
            left = [row for row in rows if row[0] != name]
            return [row[0] for row in left] if self._is_list else dict(left)

        try:
            self._put(without)
        except (BadInput, NotDone) as fault:
            return self._refuse(*fault.lines)
        return self._tell(say("table_dropped", x=name))

    def _put(self, change: Callable[[Rows], object]) -> None:
        """Store the table with a change; lines that another program wrote meanwhile stay."""
        self._fresh()
        self._store(self.field, change(self.rows))
