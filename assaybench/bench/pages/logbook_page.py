"""The logbook: every log by its number, newest first; what the registers tell stands in the margin.

The list comes from the index, which is only a cache: a log that is opened is read from the disk.
"""

from collections.abc import Callable
from datetime import date, datetime
from typing import NamedTuple

from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on, typed_into
from assaybench.bench.characters import cells, cut
from assaybench.bench.desk import Desk
from assaybench.bench.jobs import Job, Post, Start, only_reading
from assaybench.bench.log_filter import wanted_of
from assaybench.bench.page import Back, Bell, Open, Outcome, Page, Room, Stay
from assaybench.bench.sheet import Line, Sheet, Span, line
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import LogName
from assaybench.logbook.index_tables import Row, Wanted
from assaybench.logbook.survey import Finding
from assaybench.messages import BadInput, say

_KEYS = ("enter.look", "arrows", "filter", "details", "verify", "help", "back")
_MOST_FINDINGS = 3
_STATE_WIDTH = 8
_HEADS = 2
"""Lines of the text block that are no log: the heading, and how many there are."""


class _Found(NamedTuple):
    """A page of the list, how many logs there are on all, and what the registers tell."""

    rows: tuple[Row, ...]
    total: int
    findings: tuple[Finding, ...]


class Ways(NamedTuple):
    """The pages that the logbook leads to.

    Attributes:
        go_on: goes on with an open log; raises BadInput or NotDone.
        log: opens one log with what can be done with it.
        verify: verifies the whole logbook.
    """

    go_on: Callable[[LogName], Page]
    log: Callable[[LogName], Page]
    verify: Callable[[], Page]


class LogbookPage:
    """The list of logs.

    Attributes:
        desk: where.
        wanted: which logs are shown.
    """

    name = "logbook"

    def __init__(self, desk: Desk, left: str, ways: Ways, start: Start = only_reading) -> None:
        """Open the list at the newest log.

        Args:
            desk: where.
            left: the left end of the running head.
            ways: the pages it leads to.
            start: how the reading is begun.
        """
        self.desk, self._left, self._ways, self._start = desk, left, ways, start
        self.wanted = Wanted()
        self._filter = ""
        self._asking: Asking | None = None
        self._found = _Found((), 0, ())
        self._faults: tuple[str, ...] = ()
        self._at = 0
        self._page = 1
        self._lines = Room().block_lines - _HEADS
        self._job: Job[_Found] | None = None
        self._read()

    # --- reading --------------------------------------------------------------------------------

    @property
    def working(self) -> bool:
        """Whether the list is being read."""
        return self._job is not None

    def _read(self) -> None:
        """Read the page of the list that is in sight, in a thread: an index may have to be made."""
        if self._job is not None:
            self._job.give_up()
        desk, wanted, lines, page = self.desk, self.wanted, self._lines, self._page
        self._job = Job(lambda post: _listed(desk, wanted, lines, page, post), self._start)
        self._take()

    def _take(self) -> bool:
        """Take what was read, when it was."""
        job = self._job
        if job is None or not job.over:
            return False
        self._job = None
        self._faults = job.faults
        found = job.result()
        if found is not None:
            self._found = found
            self._at = max(min(self._at, len(found.rows) - 1), 0)
            if not found.rows and found.total and self._page > 1:
                self._page = self._pages
                self._read()
        return True

    @property
    def _pages(self) -> int:
        return max(-(-self._found.total // self._lines), 1)

    @property
    def row(self) -> Row | None:
        """The log under the pointer."""
        rows = self._found.rows
        return rows[min(self._at, len(rows) - 1)] if rows else None

    # --- what is shown --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """One page of the list."""
        lines = room.block_lines - _HEADS
        if lines != self._lines:
            first = (self._page - 1) * self._lines + self._at
            self._lines = lines
            self._page, self._at = first // lines + 1, first % lines
            self._read()
        row = self.row
        promise = say("promise_log", name=row.name.spelled) if row else say("promise_no_log")
        if row is not None and self._goes_on(row):
            promise = say("promise_log_open", name=row.name.spelled)
        return Sheet(
            left=self._left,
            title=say("title_logbook"),
            right=self.desk.who_and_when(),
            block=tuple(self._block(room)),
            margin=tuple(self._margin()),
            promise=promise,
            keys=ANSWER_KEYS if self._asking else _KEYS,
            typing=self._asking.typing if self._asking else None,
            about=(say("about_logbook"),),
        )

    def _block(self, room: Room) -> list[Line]:
        rows = self._found.rows
        wide = max([len(row.name.spelled) for row in rows] + [len(say("logbook_number"))])
        heads = (say("logbook_number"), say("logbook_opened"), say("logbook_state"))
        number, opened, state = heads
        top = f"  {number:{wide}}  {opened:11}  {state:{_STATE_WIDTH}}  {say('logbook_title')}"
        block = [line(Span(top, "dim"))]
        for i, row in enumerate(rows):
            here = i == self._at
            text = "> " if here else "  "
            text += f"{row.name.spelled:{wide}}  {_day(row.day):11}  {row.state:{_STATE_WIDTH}}  "
            text += _short(row.title or row.log, room.block_width - cells(text))
            block.append(line(Span(text, "bold" if here else "plain")))
        block += [()] * (room.block_lines - 1 - len(block))
        first = (self._page - 1) * self._lines
        if rows:
            fields = {"first": first + 1, "last": first + len(rows), "total": self._found.total}
            code = "logbook_shown_filter" if self._filter else "logbook_shown"
            block.append(line(Span(say(code, **fields), "dim")))
        return block

    def _margin(self) -> list[str]:
        if self._asking is not None:
            return list(self._asking.margin)
        said = list(self._faults)
        if self._job is not None:
            n = self._job.done[1]
            said.append(say("logbook_reading_n", n=n) if n else say("logbook_reading"))
        elif not self._found.total:
            said.append(say("logbook_none_filter" if self._filter else "logbook_none"))
        findings = self._found.findings
        said += [finding.sentence for finding in findings[:_MOST_FINDINGS]]
        if len(findings) > _MOST_FINDINGS:
            said.append(say("logbook_more_findings", n=len(findings) - _MOST_FINDINGS))
        if self._filter:
            said.append(say("logbook_filter", x=self._filter))
        return said + ([_told(self.row)] if self.row else [])

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Enter opens the log under the pointer, left and right turn the page."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        row = self.row
        match action:
            case "up" | "down":
                return self._move(1 if action == "down" else -1)
            case "left" | "right":
                return self._turn(1 if action == "right" else -1)
            case "enter" if row is not None and self._goes_on(row):
                return self._go_on(row.name)
            case "enter" | "details" if row is not None:
                return Open(self._ways.log(row.name))
            case "filter":
                self._asking = self._ask_filter()
            case "verify":
                return Open(self._ways.verify())
            case "back":
                return self._left_behind()
            case _:
                return Bell()
        return Stay()

    def _goes_on(self, row: Row) -> bool:
        """Whether Enter goes on with it: an open log of this bench."""
        return row.state in ("open", "torn") and row.bench == self.desk.bench and not row.practice

    def _go_on(self, name: LogName) -> Outcome:
        try:
            return Open(self._ways.go_on(name))
        except (BadInput, NotDone) as fault:
            self._faults = fault.lines
            return Bell()

    def _left_behind(self) -> Outcome:
        if self._job is not None:
            self._job.give_up()
        return Back()

    def _move(self, step: int) -> Outcome:
        at = self._at + step
        if 0 <= at < len(self._found.rows):
            self._at = at
            return Stay()
        return self._turn(step)

    def _turn(self, step: int) -> Outcome:
        if self._job is not None or not 1 <= self._page + step <= self._pages:
            return Bell()
        self._page += step
        self._at = 0 if step > 0 else self._lines - 1
        self._read()
        return Stay()

    def _ask_filter(self) -> Asking:
        def answer(text: str) -> Outcome:
            self.wanted, self._filter = wanted_of(text), text
            self._page, self._at = 1, 0
            self._read()
            return Stay()

        return Asking(say("ask_filter"), answer, "text", (say("ask_filter_hint"),))

    def typed(self, key: str, character: str) -> Outcome:
        """A letter of the filter."""
        return typed_into(self._asking, key, character)

    def tick(self, now: datetime) -> bool:
        """Take what was read."""
        working = self.working
        self._take()
        return working

    def come_back(self) -> None:
        """A log may have been sealed, made void or begun: read again."""
        self._read()


def _listed(desk: Desk, wanted: Wanted, lines: int, page: int, post: Post) -> _Found:
    from assaybench.logbook.index import Index, with_index

    def job(index: Index) -> _Found:
        index.update(wanted.look)
        found = index.page(wanted, lines, page)
        return _Found(found.rows, found.total, tuple(index.findings()))

    def tell(n: int) -> None:
        post(0, n)

    return with_index(desk.book, desk.files, desk.cache_folder(), job, tell=tell)


def _day(text: str) -> str:
    try:
        at = date.fromisoformat(text)
    except ValueError:
        return text
    return f"{at.day:2} {at:%b %Y}"


def _short(text: str, width: int) -> str:
    return text if cells(text) <= width else cut(text, width - 1) + "…"


def _told(row: Row) -> str:
    """What is known of the log under the pointer."""
    by = say("logbook_by", by=row.by) if row.by else ""
    parts = [say("logbook_row", name=row.name.spelled, log=row.log or say("logbook_kind"), by=by)]
    if row.title:
        parts.append(row.title)
    if row.samples:
        parts.append(say("logbook_samples", n=row.samples))
    if row.sealed:
        parts.append(say("logbook_sealed", day=_day(row.sealed).strip()))
    if row.void:
        parts.append(say("logbook_void", why=row.void))
    if row.replaces:
        parts.append(say("logbook_replaces", old=LogName(row.bench, row.replaces).spelled))
    return "\n".join(parts)
