"""The logbook: every log by its number, newest first; what the registers tell stands in the margin.

The list comes from the index, which is only a cache: a log that is opened is read from the disk.
"""

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import cells, shortened
from assaybench.bench.desk import Desk
from assaybench.bench.jobs import Job, Post, Start, only_reading
from assaybench.bench.log_filter import wanted_of
from assaybench.bench.page import Back, Bell, Open, Outcome, Page, Room, Stay
from assaybench.bench.page_habits import Asks, Works
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import Line, Sheet, Span, line
from assaybench.logbook.folder import LogName
from assaybench.logbook.index_tables import Progress, Row, Wanted
from assaybench.logbook.survey import Finding
from assaybench.messages import say

if TYPE_CHECKING:
    from assaybench.logbook.index import Index

_KEYS = ("enter.look", "arrows", "filter", "details", "verify", "help", "back")
_EMPTY_KEYS = ("filter", "verify", "help", "back")
_MOST_FINDINGS = 3
_STATE_WIDTH = 8
_HEADS = 2
"""Lines of the text block that are no log: the heading, and how many there are."""


class _Found(NamedTuple):
    """A page of the list, how many logs there are on all, and what the registers tell.

    It is not whole as long as an index is being filled.
    """

    rows: tuple[Row, ...]
    total: int
    findings: tuple[Finding, ...]
    whole: bool = True


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


class LogbookPage(Saying, Asks, Works):
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
        self._at = 0
        self._page = 1
        self._back_to: LogName | None = None
        self._lines = Room().block_lines - _HEADS
        self._job: Job[_Found] | None = None
        self._reading = _Reading(desk, self.wanted, self._lines, self._page)
        self._read()

    # --- reading --------------------------------------------------------------------------------

    def _read(self) -> None:
        """Read the page of the list that is in sight, in a thread: an index may have to be made."""
        if self._job is not None:
            self._job.give_up()
        reading = _Reading(self.desk, self.wanted, self._lines, self._page)
        self._reading, self._job = reading, Job(reading.found, self._start)
        self._take()

    def _take(self) -> bool:
        """Take what was read, when it was."""
        job = self._job
        if job is None or not job.over:
            if self._reading.early is not None:
                self._found, self._reading.early = self._reading.early, None
            return False
        self._job = None
        self._said = job.faults
        found = job.result()
        if found is not None:
            self._found = found
            names = [row.name for row in found.rows]
            if self._back_to in names:  # a log that came in above it must not move the pointer
                self._at = names.index(self._back_to)
            self._back_to = None
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
            keys=ANSWER_KEYS if self._asking else _KEYS if row else _EMPTY_KEYS,
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
            text += shortened(row.title or row.log, room.block_width - cells(text))
            block.append(line(Span(text, "bold" if here else "plain")))
        block += [()] * (room.block_lines - 1 - len(block))
        first = (self._page - 1) * self._lines
        if rows:
            fields = {"first": first + 1, "last": first + len(rows), "total": self._found.total}
            code = "logbook_shown_filter" if self._filter else "logbook_shown"
            code = code if self._found.whole else "logbook_shown_early"
            block.append(line(Span(say(code, **fields), "dim")))
        return block

    def _margin(self) -> list[str]:
        if self._asking is not None:
            return list(self._asking.margin)
        said = list(self._said)
        if self._job is not None:
            said.append(self._reading.told)
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
        return self._try(lambda: Open(self._ways.go_on(name)))

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

    def come_back(self) -> None:
        """A log may have been sealed, made void or begun: read again."""
        self._back_to = None if self.row is None else self.row.name
        self._read()


class _Reading:
    """One page of the list being read, beside the page that shows it.

    Attributes:
        told: how far it is, in words.
        early: the newest logs as soon as they are read, while an index is filled; the page takes
            them from here.
    """

    def __init__(self, desk: Desk, wanted: Wanted, lines: int, page: int) -> None:
        self._desk, self._wanted, self._lines, self._page = desk, wanted, lines, page
        self.told = say("logbook_reading")
        self.early: _Found | None = None
        self._shown: set[tuple[str, str]] = set()

    def found(self, post: Post) -> _Found:
        """Bring the index up to date and ask it; ends early when nobody waits any more."""
        from assaybench.logbook.index import Index, with_index

        def job(index: Index) -> _Found:
            def watch(progress: Progress) -> None:
                self.told = _how_far(progress)
                if progress.what != "register" and progress[:2] not in self._shown:
                    self._shown.add(progress[:2])
                    self._look_early(index)
                post(progress.done, progress.total)

            index.update(self._wanted.look, watch)
            found = index.page(self._wanted, self._lines, self._page)
            return _Found(found.rows, found.total, tuple(index.findings()))

        desk = self._desk
        return with_index(desk.book, desk.files, desk.cache_folder(), job)

    def _look_early(self, index: "Index") -> None:
        """The newest logs are read first: their page is right long before the others are."""
        if self._wanted == Wanted() and self._page == 1:
            found = index.page(self._wanted, self._lines, 1)
            self.early = _Found(found.rows, found.total, (), whole=False)


def _how_far(progress: Progress) -> str:
    done, total = progress.done, progress.total
    if progress.what != "logs":
        share = min(100 * done // max(total, 1), 100) if progress.what == "register" else 0
        return say("logbook_reading_register", bench=progress.bench, share=share)
    return say("logbook_reading_n", n=done, of=total)


def _day(text: str) -> str:
    try:
        at = date.fromisoformat(text)
    except ValueError:
        return text
    return f"{at.day:2} {at:%b %Y}"


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
