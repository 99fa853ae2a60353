"""The ways from the contents into the logbook: its line there, and the pages that open from it.

A page, and with it what reads the index, verifies or signs, is loaded when it is opened first.
"""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from assaybench.bench.desk import Desk
from assaybench.bench.open_logs import OpenLogs
from assaybench.bench.page import Page
from assaybench.logbook.folder import LogName
from assaybench.messages import say

if TYPE_CHECKING:
    from assaybench.bench.log_work import Log
    from assaybench.bench.run_log import RunLog


class BookWays:
    """What the contents say of the logbook, and the logbook's pages."""

    def __init__(
        self,
        desk: Desk,
        left: str,
        go_on: Callable[[LogName], Page],
        results: Callable[["RunLog"], Page],
        seal: Callable[["RunLog"], Page],
    ) -> None:
        """Note the ways; nothing is loaded.

        Args:
            desk: where.
            left: the left end of the running head.
            go_on: goes on with an open log.
            results: makes the page of what a log found.
            seal: makes the page of a log's seal.
        """
        self._desk, self._left = desk, left
        self._go_on, self._results, self._seal = go_on, results, seal
        self._told: tuple[OpenLogs | None, str] = (None, "")

    def text(self, logs: OpenLogs) -> str:
        """The line of the contents: `logbook: 146 sealed, 1 void; checked 8 June`.

        Args:
            logs: what the register says. As long as they are only named, which is for the first
                paint, the note of the last check is not looked for.
        """
        if self._told[0] is not logs:
            self._told = (logs, self._text(logs))
        return self._told[1]

    def _text(self, logs: OpenLogs) -> str:
        counts = []
        if logs.sealed:
            counts.append(say("contents_counts_sealed", n=logs.sealed))
        if logs.void:
            counts.append(say("contents_counts_void", n=logs.void))
        said = ", ".join(counts)
        checked = self._checked() if logs.read else ""
        said = "; ".join(part for part in (said, checked) if part)
        return say("contents_logbook_counts", counts=said) if said else say("contents_logbook")

    def _checked(self) -> str:
        from assaybench.logbook.checked import checked_file, last_checked

        desk = self._desk
        if desk.files.stat(desk.book.root) is None:
            return ""
        found = last_checked(desk.files, checked_file(desk.book, desk.cache_folder()))
        if found is None:
            return ""
        at, now = found.at.astimezone(desk.clock().tzinfo), desk.clock()
        day = f"{at.day} {at:%B}" + ("" if at.year == now.year else f" {at.year}")
        return say("contents_checked_bad" if found.status else "contents_checked", day=day)

    def page(self) -> Page:
        """The list of logs."""
        from assaybench.bench.pages.logbook_page import LogbookPage, Ways

        return LogbookPage(self._desk, self._left, Ways(self._go_on, self.log, self._verify))

    def log(self, name: LogName) -> Page:
        """One log with what can be done with it."""
        from assaybench.bench.pages.log_page import Doors, LogPage

        doors = Doors(
            self._read_results,
            self._entries,
            partial(self._verify, only=name),
            self._countersign,
            self._seal_on,
        )
        return LogPage(self._desk, name, self._left, doors)

    def _read_results(self, log: "Log") -> Page:
        from assaybench.bench.reading_run import read_run

        return self._results(read_run(self._desk, log.read))

    def _seal_on(self, log: "Log") -> Page:
        from assaybench.bench.reading_run import read_run

        return self._seal(read_run(self._desk, log.read))

    def _entries(self, log: "Log") -> Page:
        from assaybench.bench.pages.entries import EntriesPage

        return EntriesPage(self._desk, log.read, self._left)

    def _verify(self, only: LogName | None = None) -> Page:
        from assaybench.bench.pages.verifying import VerifyPage

        return VerifyPage(self._desk, self._left, only)

    def _countersign(self, log: "Log") -> Page:
        from assaybench.bench.pages.countersigning import CountersignPage

        return CountersignPage(self._desk, log, self._left)
