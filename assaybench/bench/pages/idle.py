"""Nobody at the bench: names of clients and samples are hidden, timers go on, any key comes back.

It is no lock: who wants to keep others out locks the computer. It keeps a page from being read by
everybody who walks past.
"""

from datetime import datetime

from assaybench.bench.characters import wrapped
from assaybench.bench.figures import large
from assaybench.bench.page import Outcome, Page, Room, Stay
from assaybench.bench.page_habits import Still
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, line
from assaybench.bench.timer import Timer
from assaybench.messages import say


class IdlePage(Still):
    """The page that lies on top while nobody types.

    Attributes:
        beneath: the page that any key comes back to.
    """

    name = "idle"

    def __init__(self, beneath: Page, run: RunLog | None, now: datetime) -> None:
        """Cover a page.

        Args:
            beneath: it.
            run: the furnace run that is open, whose timer goes on.
            now: the time now.
        """
        self.beneath = beneath
        self._timer = None if run is None else Timer(run)
        self._now = now

    @property
    def working(self) -> bool:
        """Whether the page beneath waits for work."""
        return bool(getattr(self.beneath, "working", False))

    def sheet(self, room: Room) -> Sheet:
        """The time, and how long the tray has been in the fire."""
        figures = large(f"{self._now:%H.%M}", BLOCK_WIDTH)
        block: list[Line] = [(), *(line(row) for row in figures), ()]
        for text in self._fire():
            block += [line(part) for part in wrapped(text, BLOCK_WIDTH)]
        margin = [say("idle_hidden"), say("idle_goes_on")]
        if self.working:
            margin.insert(0, say("idle_working"))
        return Sheet(
            left="AssayBench",
            title=say("title_idle"),
            right=f"{self._now:%H:%M}",
            block=tuple(block),
            margin=tuple(margin),
            promise=say("promise_idle"),
            keys=(),
            about=(say("idle_hidden"),),
        )

    def _fire(self) -> list[str]:
        """How long the tray has been in the fire, and that its time is over."""
        if self._timer is None:
            return []
        told = (self._timer.running(self._now), self._timer.due(self._now))
        return [text for text in told if text]

    def act(self, action: str) -> Outcome:
        """The stack comes back at any key, before it is handed to this page."""
        return Stay()

    def typed(self, key: str, character: str) -> Outcome:
        """As `act`."""
        return Stay()

    def tick(self, now: datetime) -> bool:
        """The clock goes on, and so does the page beneath."""
        minute, self._now = self._now, now
        self.beneath.tick(now)
        return (minute.hour, minute.minute) != (now.hour, now.minute)

    def rings(self, now: datetime) -> bool:
        """Whether the timer rings: the time in the fire is over."""
        return self._timer is not None and self._timer.rings(now)
