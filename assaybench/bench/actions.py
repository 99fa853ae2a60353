"""Which key does what on a page: the table of actions, with the keys that the user gave."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from assaybench.logbook.settings_keys import ACTIONS, EVERYWHERE, Action, keys_of, shown
from assaybench.messages import BadInput

MOST_KEYS = 7
EXACT = ("initials", "lost", "repeat", "drives", "blick", "out", "frozen")
"""What no capital letter does: a code that is scanned where none is asked for changes nobody, and
marks and stores nothing."""
AT_ONCE = (
    "initials", "repeat", "switch", "drives", "blick", "out", "frozen",
    "practice", "guide", "print", "words", "file", "drop",
)  # fmt: skip
"""What stores, writes or changes something without a question: its key waits a moment, in which
the rest of a code that is scanned would come."""


class Keymap(NamedTuple):
    """Which key does what: the table, with the keys that the user gave.

    Attributes:
        keys: key by what a page is given.
        faults: one line for each key of the settings that could not be taken.
        table: the actions.
    """

    keys: Mapping[str, str]
    faults: tuple[str, ...] = ()
    table: tuple[Action, ...] = ACTIONS

    @property
    def twins(self) -> set[str]:
        """Second keys, which are actions also while a text is typed."""
        return {action.twin for action in self.table if action.twin}

    def action(self, page: str, key: str) -> str | None:
        """What a key does on a page: the action a page is given; None when it is no action.

        Args:
            page: name of the page.
            key: the sign of the key, or the name of one without a sign.
        """
        here = self.of_page(page)
        found = next((a.does for a in here if self.keys[a.does] == key), None)
        return found or next((a.does for a in here if a.twin == key), None)

    def of_page(self, page: str) -> list[Action]:
        """Actions of a page, its own ones first, each once."""
        own = [a for a in self.table if page in a.pages]
        every = [a for a in self.table if a.pages == EVERYWHERE]
        return list({a.does: a for a in (*every, *own)}.values())

    def entry(self, identity: str, *, typing: bool = False) -> str:
        """An entry of the key line: key, blank, word.

        Args:
            identity: of the action.
            typing: whether letters are typed: then the second key stands there, and an action
                that only a letter does gives nothing.

        Raises:
            KeyError: for an id that is not in the table.
        """
        action = {a.id: a for a in self.table}[identity]
        key = self.keys[action.does]
        if typing and len(key) == 1:
            key = action.twin
        return f"{shown(key)} {action.word}" if key else ""

    def line(self, identities: Iterable[str]) -> str:
        """The key line: at most seven entries."""
        return "   ".join(self.entry(i) for i in tuple(identities)[:MOST_KEYS])


def keymap(wanted: Mapping[str, str], table: tuple[Action, ...] = ACTIONS) -> Keymap:
    """The keys of all actions, with those of the user; one that cannot be taken is told.

    Args:
        wanted: key by action, as the settings have it.
        table: the actions.
    """
    keys, faults = keys_of(wanted, table)
    return Keymap(keys, BadInput(faults).named("keys").lines, table)
