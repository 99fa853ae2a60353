"""The minute that the head of a page shows."""

from datetime import datetime


class Minute:
    """Whether a minute went by on the clock, for a page that is drawn again then."""

    def __init__(self) -> None:
        self._shown = ""

    def passed(self, now: datetime) -> bool:
        """Whether the clock shows another minute than at the last look."""
        shown, self._shown = self._shown, f"{now:%H:%M}"
        return shown != self._shown
