"""Long plain text on the pages of the bench: turned by whole pages, or moved line by line."""

from collections.abc import Sequence
from typing import NamedTuple

from assaybench.bench.sheet import Line


class Paged(NamedTuple):
    """A long text and the line at its top.

    Attributes:
        lines: all lines.
        top: the first line in sight.
        room: lines of a page.
    """

    lines: Sequence[Line]
    top: int = 0
    room: int = 19

    @property
    def seen(self) -> tuple[Line, ...]:
        """The lines in sight."""
        return tuple(self.lines[self.top : self.top + self.room])

    @property
    def left(self) -> int:
        """Lines below those in sight."""
        return max(len(self.lines) - self.top - self.room, 0)

    @property
    def place(self) -> tuple[int, int, int]:
        """First and last line in sight, and how many there are, counted from 1."""
        last = min(self.top + self.room, len(self.lines))
        return min(self.top + 1, last), last, len(self.lines)

    def moved(self, action: str) -> "Paged":
        """The same text after an arrow, or Enter, which turns the page and begins anew at the end.

        Args:
            action: up, down, left, right or enter.
        """
        if action == "enter" and not self.left:
            return self._replace(top=0)
        by = {"up": -1, "down": 1, "left": -self.room, "right": self.room, "enter": self.room}
        most = max(len(self.lines) - self.room, 0)
        return self._replace(top=max(0, min(self.top + by.get(action, 0), most)))

    def set_in(self, lines: Sequence[Line], room: int) -> "Paged":
        """Another text, or another room, at the same line as far as there is one."""
        return Paged(lines, min(self.top, max(len(lines) - room, 0)), room)
