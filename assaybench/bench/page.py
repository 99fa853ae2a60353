"""What a page is to the app: a sheet to draw, and answers to keys.

A page knows no terminal. It is drawn again after every key; what it shows is a pure function of
what it holds, so tests call `sheet`, `act` and `typed` without an app.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple, Protocol

from assaybench.bench.sheet import BLOCK_WIDTH, Sheet

if TYPE_CHECKING:
    from assaybench.bench.run_log import RunLog

UP_DOWN = {"up": -1, "down": 1}
"""Rows that an arrow goes on, in a list."""
ARROWS = {"up": (-1, 0), "down": (1, 0), "left": (0, -1), "right": (0, 1)}
"""Rows and columns that an arrow goes on, on a plan."""


class Room(NamedTuple):
    """How much place a page has.

    Attributes:
        block_lines: lines of the text block; a page with a step line has one less.
        margin_width: columns of the margin.
        block_width: columns of the text block.
        ascii: whether only plain signs are drawn; the frame maps them, a page rarely asks.
    """

    block_lines: int = 19
    margin_width: int = 20
    block_width: int = BLOCK_WIDTH
    ascii: bool = False


@dataclass(frozen=True, slots=True)
class Stay:
    """The page stays; it is drawn again."""


@dataclass(frozen=True, slots=True)
class Open:
    """Another page is opened on top; Esc comes back to this one."""

    page: "Page"


@dataclass(frozen=True, slots=True)
class Instead:
    """Another page takes the place of this one; Esc there goes where it went here."""

    page: "Page"


@dataclass(frozen=True, slots=True)
class Back:
    """This page is left; at the contents the book is closed."""


@dataclass(frozen=True, slots=True)
class Do:
    """This page is left, and the one beneath is given an action.

    When that page does not have the action, all pages down to the contents are left.
    """

    action: str


@dataclass(frozen=True, slots=True)
class Close:
    """The book is closed; everything is stored already."""


@dataclass(frozen=True, slots=True)
class Bell:
    """The bell rings, and the page stays; the word is for a terminal without sound."""

    word: str = ""


Outcome = Stay | Open | Instead | Back | Do | Close | Bell


class Enter(NamedTuple):
    """What Enter does now: the sentence that promises it, and its entry in the key line.

    Attributes:
        promise: the sentence.
        key: id of the action, with the word for it; empty where Enter does nothing.
    """

    promise: str
    key: str = ""


class Page(Protocol):
    """One page of the bench."""

    @property
    def name(self) -> str:
        """Its name in the table of actions; a page may have another name at another step."""

    def sheet(self, room: Room) -> Sheet:
        """What it shows now."""

    def act(self, action: str) -> Outcome:
        """What an action of the table does: also `enter`, `up`, `down`, `left`, `right`, `back`.

        `back` is given here first: a page that is typing gives up what is typed, others answer
        `Back()`.
        """

    def typed(self, key: str, character: str) -> Outcome:
        """A key that is no action here: digits, `backspace`, letters while a text is typed."""

    def tick(self, now: datetime) -> bool:
        """Once a second; whether the page changed."""

    def come_back(self) -> None:
        """The page on top was left, or somebody else may have written: look again."""


Door = Callable[["RunLog"], Page]
"""Makes another page of the same log."""
