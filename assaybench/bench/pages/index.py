"""The index: find any action or log by its first letters."""

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial
from typing import NamedTuple

from assaybench.bench.actions import Keymap
from assaybench.bench.characters import cells, leader, shortened
from assaybench.bench.log_finder import LogFinder, Looked
from assaybench.bench.page import Back, Bell, Do, Open, Outcome, Page, Room, Stay
from assaybench.bench.page_habits import Still
from assaybench.bench.sheet import Line, Sheet, Span, line
from assaybench.bench.typing import Typing
from assaybench.logbook.folder import LogName
from assaybench.logbook.index_tables import Row
from assaybench.logbook.settings_keys import Action, shown
from assaybench.messages import say

_LEAST_GAP = 4
"""Columns of the mark, and of the gap before what stands at the right."""
_NOT_LISTED = ("enter", "back", "arrows", "up", "down", "left", "right", "index")


class Find(NamedTuple):
    """Something the index leads to.

    Attributes:
        label: what it is called; any word of it is found by its first letters.
        end: what stands at the right: its key, or a remark.
        go: the way there.
    """

    label: str
    end: str
    go: Callable[[], Outcome]


def actions_of(keys: Keymap, pages: Sequence[str], exists: Callable[[str], bool]) -> list[Find]:
    """The actions of some pages, each once.

    Args:
        keys: the table of actions.
        pages: names of the pages, the one in sight first.
        exists: whether an action of the table leads anywhere now.
    """
    found: dict[str, Action] = {}
    for page in pages:
        for action in keys.of_page(page):
            if action.does not in _NOT_LISTED and exists(action.does):
                found.setdefault(action.does, action)
    finds = [_find(action, shown(keys.keys[name])) for name, action in found.items()]
    return sorted(finds, key=lambda find: find.label)


def _find(action: Action, key: str) -> Find:
    return Find(f"{action.word}: {action.help}", key, lambda: Do(action.does))


class Logs(NamedTuple):
    """The logs that are found in the logbook.

    Attributes:
        finder: looks for them.
        known: those that the index lists without a look.
        open: makes the page of one.
    """

    finder: LogFinder
    known: frozenset[LogName]
    open: Callable[[LogName], Page]

    def finds(self) -> list[Find]:
        """Those that were found, the newest first."""
        rows = [row for row in self.finder.take().found.rows if row.name not in self.known]
        return [Find(_label(row), row.state, partial(self._go, row.name)) for row in rows]

    def _go(self, name: LogName) -> Outcome:
        return Open(self.open(name))


def _label(row: Row) -> str:
    return f"{row.log or say('logbook_kind')} {row.number:04} {row.title}".rstrip()


class IndexPage(Still):
    """The index.

    Attributes:
        typing: the letters so far.
    """

    name = "index"

    def __init__(self, finds: Sequence[Find], left: str, logs: "Logs | None" = None) -> None:
        """Make the index.

        Args:
            finds: everything it can lead to without a look into the logbook.
            left: the left end of the running head.
            logs: finds the other logs; None for none.
        """
        self.typing = Typing(say("ask_index"), accepts="pick")
        self._finds, self._left, self._logs = tuple(finds), left, logs
        self._pointer = 0

    @property
    def working(self) -> bool:
        """Whether logs are being looked for."""
        return self._logs is not None and self._logs.finder.working

    @property
    def found(self) -> list[Find]:
        """What begins with the letters, in any of its words; every word typed must begin one."""
        typed = self.typing.text.casefold().split()
        own = [f for f in self._finds if all(_begins(f.label, word) for word in typed)]
        return [*own, *(self._logs.finds() if self._logs is not None else [])]

    def sheet(self, room: Room) -> Sheet:
        """What was found, with the pointer."""
        found = self.found
        pointer = min(self._pointer, max(len(found) - 1, 0))
        first = max(0, pointer - room.block_lines + 1)
        shown_now = found[first : first + room.block_lines]
        block: list[Line] = []
        for i, find in enumerate(shown_now, start=first):
            mark = "> " if i == pointer else "  "
            label = shortened(find.label, room.block_width - cells(find.end) - _LEAST_GAP)
            text = leader(mark + label, find.end, room.block_width)
            block.append(line(Span(text, "bold" if i == pointer else "plain")))
        looked = self._logs.finder.take() if self._logs is not None else Looked()
        margin = [*looked.said, say("about_index")]
        if not found and not self.working:
            margin.insert(0, say("index_none"))
        unseen = len(found) - len(shown_now) + looked.found.total - len(looked.found.rows)
        if unseen:
            margin.append(say("index_more", n=unseen))
        return Sheet(
            left=self._left,
            title=say("title_index"),
            right="",
            block=tuple(block),
            margin=tuple(margin),
            promise="",
            keys=("enter.go", "arrows", "back"),
            typing=self.typing,
            about=(say("about_index"),),
        )

    def act(self, action: str) -> Outcome:
        """Enter goes there, arrows move the pointer, Esc leaves."""
        found = self.found
        match action:
            case "enter":
                return found[min(self._pointer, len(found) - 1)].go() if found else Bell()
            case "up" | "down":
                step = 1 if action == "down" else -1
                self._pointer = max(0, min(self._pointer + step, len(found) - 1))
                return Stay()
        if self._logs is not None:
            self._logs.finder.give_up()
        return Back()

    def typed(self, key: str, character: str) -> Outcome:
        """A letter, or one taken back."""
        self.typing, self._pointer = self.typing.with_key(key, character or None), 0
        if self._logs is not None:
            self._logs.finder.look(self.typing.text)
        return Stay()

    def tick(self, now: datetime) -> bool:
        """Take the logs that were found."""
        working = self.working
        if self._logs is not None:
            self._logs.finder.take()
        return working


def _begins(label: str, letters: str) -> bool:
    words = label.casefold().replace(":", " ").split()
    bare = {word.lstrip("0") for word in words if word.isdigit()}
    return letters in bare or any(word.startswith(letters) for word in words)
