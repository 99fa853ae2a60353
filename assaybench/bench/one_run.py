"""The log that lies open for writing: one at a time, and another takes its place.

What opens logs is loaded when the first one is opened: the contents are painted sooner.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING

from assaybench.bench.desk import Desk
from assaybench.bench.open_logs import OpenLog
from assaybench.logbook.register import LogHead, go_on

if TYPE_CHECKING:
    from assaybench.bench.run_log import RunLog


class OneRun:
    """Opens logs, and closes the one before.

    Attributes:
        run: the log that is open, None when none is.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self.run: RunLog | None = None

    def gone_on(self, log: OpenLog) -> "RunLog":
        """Go on with a log that was left open; one that is open here already stays as it is.

        Raises:
            BadInput: nobody said who weighs.
            NotDone: it is busy, void, or cannot be read.
        """
        if self.run is not None and self.run.name == log.name:
            return self.run
        return self._instead(lambda: self._opened(log))

    def begun(self, title: str, log: str) -> "RunLog":
        """Begin a furnace run, or a circuit test, under the next number.

        Raises:
            BadInput, NotDone: as `openings.new_run`.
        """
        from assaybench.bench.openings import new_run

        return self._instead(lambda: new_run(self._desk, title, log))

    def practised(self) -> "RunLog":
        """Begin a practice run.

        Raises:
            BadInput, NotDone: as `openings.practice_run`.
        """
        from assaybench.bench.openings import practice_run

        return self._instead(lambda: practice_run(self._desk))

    def close(self) -> None:
        """Close the log that is open; everything in it is stored."""
        run, self.run = self.run, None
        if run is not None:
            run.close()

    def _instead(self, make: Callable[[], "RunLog"]) -> "RunLog":
        self.close()
        self.run = make()
        return self.run

    def _opened(self, log: OpenLog) -> "RunLog":
        """Open it; a number that a power cut left without a log gets one first."""
        from assaybench.bench.openings import open_run
        from assaybench.record.handsheet import METHOD_VERSION

        if not log.there:
            head = LogHead(log.log, METHOD_VERSION, log.title)
            go_on(self._desk.book, log.name, self._desk.keeper(), head).close()
        return open_run(self._desk, log.name)
