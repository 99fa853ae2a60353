"""The index: find any action or log by its first letters."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import NamedTuple

from assaybench.bench.actions import Action, Keymap, shown
from assaybench.bench.characters import leader
from assaybench.bench.page import Back, Bell, Do, Outcome, Room, Stay
from assaybench.bench.sheet import Line, Sheet, Span, line
from assaybench.bench.typing import Typing
from assaybench.messages import say

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


class IndexPage:
    """The index.

    Attributes:
        typing: the letters so far.
    """

    name = "index"

    def __init__(self, finds: Sequence[Find], left: str) -> None:
        """Make the index.

        Args:
            finds: everything it can lead to.
            left: the left end of the running head.
        """
        self.typing = Typing(say("ask_index"), accepts="pick")
        self._finds, self._left = tuple(finds), left
        self._pointer = 0

    @property
    def found(self) -> list[Find]:
        """What begins with the letters, in any of its words; every word typed must begin one."""
        typed = self.typing.text.casefold().split()
        return [f for f in self._finds if all(_begins(f.label, word) for word in typed)]

    def sheet(self, room: Room) -> Sheet:
        """What was found, with the pointer."""
        found = self.found
        pointer = min(self._pointer, max(len(found) - 1, 0))
        first = max(0, pointer - room.block_lines + 1)
        shown_now = found[first : first + room.block_lines]
        block: list[Line] = []
        for i, find in enumerate(shown_now, start=first):
            mark = "> " if i == pointer else "  "
            text = leader(mark + find.label, find.end, room.block_width)
            block.append(line(Span(text, "bold" if i == pointer else "plain")))
        margin = [say("about_index")]
        if not found:
            margin.insert(0, say("index_none"))
        if len(found) > len(shown_now):
            margin.append(say("index_more", n=len(found) - len(shown_now)))
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
        return Back()

    def typed(self, key: str, character: str) -> Outcome:
        """A letter, or one taken back."""
        self.typing, self._pointer = self.typing.with_key(key, character or None), 0
        return Stay()

    def tick(self, now: datetime) -> bool:
        """Nothing here changes by itself."""
        return False

    def come_back(self) -> None:
        """Nothing was open on top."""


def _begins(label: str, letters: str) -> bool:
    return any(word.startswith(letters) for word in label.casefold().replace(":", " ").split())
