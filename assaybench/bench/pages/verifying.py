"""Verify on the page: how far it is, then the verdict and everything that was found.

The work goes on in a thread; Esc gives it up. Nothing in the logbook is changed by it.
"""

from collections.abc import Iterator

from assaybench.bench.characters import capital, cells, leader, wrapped
from assaybench.bench.desk import Desk
from assaybench.bench.jobs import Job, Post, Start, only_reading
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Still, Works
from assaybench.bench.paging import Paged
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.bench.writing import write_new
from assaybench.logbook.checked import Checked, checked_file, note_checked
from assaybench.logbook.faults import NotDone
from assaybench.logbook.folder import LogName
from assaybench.logbook.verify import Ask, Verified, verify_book
from assaybench.logbook.verify_book import LogFound
from assaybench.logbook.verify_found import Level
from assaybench.logbook.verify_keys import Named
from assaybench.messages import say
from assaybench.report.answer import Answer, Style, text_of
from assaybench.report.verify_view import (
    LEVELS,
    LOGS,
    LOGS_NOT_GOOD,
    MOST_SHOWN,
    OUTCOMES,
    answer_of,
)

_KEYS = ("enter.more", "arrows", "file", "help", "back")
_TURNS = ("enter", "up", "down", "left", "right")
_PROCESSES = 1
"""The terminal is this process's own: no other is begun beside it."""
_INDENT = 2
_AMISS = tuple(title for level, title in LEVELS if level != "note")


class VerifyPage(Asks, Works, Still):
    """What verifying a logbook, or one log of it, came to."""

    name = "verify"

    def __init__(
        self, desk: Desk, left: str, only: LogName | None = None, start: Start = only_reading
    ) -> None:
        """Begin.

        Args:
            desk: where.
            left: the left end of the running head.
            only: the one log that is asked for; None for the whole logbook.
            start: how the work is begun.
        """
        self.desk, self._left, self._only = desk, left, only
        self._result: Verified | None = None
        self._faults: tuple[str, ...] = ()
        self._said: tuple[str, ...] = ()
        self._lines: list[Line] = []
        self._paged = Paged(self._lines)
        self._job: Job[Verified] | None = Job(self._verified, start)
        self._take()

    # --- the work -------------------------------------------------------------------------------

    def _verified(self, post: Post) -> Verified:
        desk = self.desk
        named = Named((), frozenset(desk.settings.trusted))
        result = Verified()
        only = None if self._only is None else {self._only}
        ask = Ask(processes=_PROCESSES, named=named)
        verify_book(desk.files, desk.book, ask, result=result, only=only, progress=post)
        if only is None:
            path = checked_file(desk.book, desk.cache_folder())
            checked = Checked(desk.clock(), result.total, result.status)
            note_checked(desk.files, path, checked)
        return result

    def _take(self) -> None:
        job = self._job
        if job is None or not job.over:
            return
        self._job, self._faults = None, job.faults
        self._result = job.result()
        if self._result is not None:
            self._lines = list(_lines(self._result, self._answer(self._result)))

    def _answer(self, result: Verified) -> Answer:
        where = str(self.desk.book.root) if self._only is None else self._only.spelled
        return answer_of(result, {}, where, recomputed=True)

    # --- what is shown --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """How far it is, or what was found."""
        self._paged = self._paged.set_in(self._lines, room.block_lines)
        promise = say("promise_verifying")
        if self._job is None:
            promise = say("promise_entries" if self._paged.left else "promise_entries_end")
        return Sheet(
            left=self._left,
            title=say("title_verify"),
            right=self.desk.who_and_when(),
            block=self._paged.seen if self._job is None else tuple(self._progress(self._job)),
            margin=tuple(self._margin()),
            promise=promise,
            keys=("help", "back") if self._job is not None else _KEYS,
            about=(say("about_verify"),),
        )

    def _progress(self, job: Job[Verified]) -> Iterator[Line]:
        done, total = job.done
        what = say("verify_all") if self._only is None else self._only.spelled
        yield ()
        yield line(Span(say("verify_of", what=what), "bold"))
        yield ()
        yield line(leader(say("verify_done"), f"{done} of {total}", BLOCK_WIDTH))
        filled = BLOCK_WIDTH * done // total if total else 0
        yield line("█" * filled)

    def _margin(self) -> Iterator[str]:
        yield from self._faults
        yield from self._said
        if self._job is not None:
            yield say("verify_goes_on")
        if self._result is None:
            return
        answer = self._answer(self._result)
        if answer.verdict is not None:
            yield capital(answer.verdict.text) + "."
            yield answer.verdict.reason.replace("\n", " ")
        yield from (flag.text.replace("\n", " ") for flag in answer.flags)

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Arrows and Enter turn the pages; Esc gives up or leaves."""
        if action == "back":
            if self._job is not None:
                self._job.give_up()
            return Back()
        if self._job is None and action in _TURNS:
            self._paged = self._paged.moved(action)
            return Stay()
        if action == "file" and self._result is not None:
            return self._write(self._result)
        return Bell()

    def _write(self, result: Verified) -> Outcome:
        """The whole answer into a text file, as the command prints it."""
        stem = "verify" if self._only is None else f"{self._only.spelled}-verify"
        text = text_of(self._answer(result), Style())
        try:
            path = write_new(self.desk, f"{stem}-{self.desk.clock():%Y%m%d}", text.encode())
        except NotDone as fault:
            self._said = fault.lines
            return Bell()
        self._said = (say("written_to", path=path),)
        return Stay()


def _lines(result: Verified, answer: Answer) -> Iterator[Line]:
    """Counts, keys, logs and findings, at the measure of the page."""
    for label, text in answer.rows:
        yield from _row(label, text, 0)
    levels = {title: level for level, title in LEVELS}
    # what is amiss stands before who signed
    for section in sorted(answer.sections, key=lambda s: s.title not in _AMISS):
        yield ()
        yield line(Span(section.title, "bold"))
        if section.title in (LOGS, LOGS_NOT_GOOD):
            bad = [log for log in result.logs if not log.good][:MOST_SHOWN]
            yield from map(_log, result.logs if section.title == LOGS else bad)
            continue
        if section.title in levels:
            yield from _findings(result, levels[section.title])
            continue
        for label, text in section.rows:
            yield from _row(label, text, _INDENT)


def _findings(result: Verified, level: Level) -> Iterator[Line]:
    """What was found on one level, each as one paragraph."""
    found = [finding for finding in result.findings if finding.level == level][:MOST_SHOWN]
    for finding in found:
        yield from _row(" ".join(finding.sentence.split()), "", _INDENT)
    left = result.levels.get(level, 0) - len(found)
    if left > 0:
        yield from _row(say("verify_more", n=left), "", _INDENT)


def _log(log: LogFound) -> Line:
    """One log: its name, its state, its figures, and whether it is as it should be."""
    words = [log.state, OUTCOMES[log.seen.recomputed], "" if log.good else say("verify_not_good")]
    said = ", ".join(word for word in words if word)
    text = leader(" " * _INDENT + log.seen.name.spelled, said, BLOCK_WIDTH)
    return line(Span(text, "plain" if log.good else "bold"))


def _row(label: str, text: str, indent: int) -> Iterator[Line]:
    """A label and its text; what is longer than a line goes on below."""
    start = " " * indent
    if text and cells(label) + cells(text) + indent + 4 <= BLOCK_WIDTH:
        yield line(leader(start + label, text, BLOCK_WIDTH))
        return
    parts = [p for t in (label, text) if t for p in wrapped(t, BLOCK_WIDTH - indent - _INDENT)]
    for i, part in enumerate(parts):
        yield line(start + (" " * _INDENT if i else "") + part)
