"""What the contents hold of the logs that are left open: named at once, read at the first look.

A long register is read beside the page, which says how far it is.
"""

from assaybench.bench.desk import Desk
from assaybench.bench.jobs import Job, only_reading
from assaybench.bench.long_register import is_long
from assaybench.bench.open_logs import OpenLogs, named_logs, open_logs
from assaybench.logbook.folder import LogName
from assaybench.messages import say


class LeftOpen:
    """The logs that are left open.

    Attributes:
        logs: as they were found last.
        unread: whether they are to be read at the next look.
    """

    def __init__(self, desk: Desk, *, later: bool) -> None:
        """Name them.

        Args:
            desk: where.
            later: whether they are only named at first.
        """
        self._desk = desk
        self._job: Job[OpenLogs] | None = None
        self.unread = later
        self.logs = named_logs(desk) if later else OpenLogs()

    @property
    def working(self) -> bool:
        """Whether a long register is being read."""
        return self._job is not None

    @property
    def waits(self) -> str:
        """How far a long register is read; empty when nothing waits for it."""
        if self._job is None and not (self.unread and is_long(self._desk)):
            return ""
        done, total = (0, 0) if self._job is None else self._job.done
        return say("bench_register_read", share=100 * done // max(total, 1))

    def look(self, mine: LogName | None) -> None:
        """Read them again; those of a long register come with `take`.

        Args:
            mine: the log that this program has open.
        """
        self.unread, desk = False, self._desk
        self.give_up()
        if is_long(desk):
            self._job = Job(lambda post: open_logs(desk, mine, post), only_reading)
            self.take()
            return
        self.logs = open_logs(desk, mine)

    def take(self) -> bool:
        """Take what was read of a long register, when it was."""
        job = self._job
        if job is None or not job.over:
            return False
        self._job, found = None, job.result()
        self.logs = OpenLogs(fault=" ".join(job.faults[:1])) if found is None else found
        return True

    def give_up(self) -> None:
        """Nobody waits for it any more."""
        if self._job is not None:
            self._job.give_up()
            self._job = None
