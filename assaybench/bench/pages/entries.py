"""The entries of a log in order, as they were made; what was amended stands struck beside the new.

Nothing can be changed from here.
"""

import re
from collections.abc import Iterator

from assaybench.bench.characters import cells, cut, wrapped
from assaybench.bench.desk import Desk
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Still
from assaybench.bench.paging import Paged
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.bench.writing import write_new
from assaybench.logbook.faults import NotDone
from assaybench.logbook.whole_log import ReadLog
from assaybench.messages import say
from assaybench.record.entries import Effective, effective
from assaybench.record.gaps import Break, breaks_of
from assaybench.report import entry_lines

_KEYS = ("enter.more", "arrows", "file", "help", "back")
_INDENT = 6
_OLD = re.compile(r"( *[a-z_]+: struck )(.*?)((?:  .*)?)")
_TURNS = ("enter", "up", "down", "left", "right")


class EntriesPage(Asks, Still):
    """All entries of one log."""

    name = "entries"

    def __init__(self, desk: Desk, log: ReadLog, left: str) -> None:
        """Take up a log.

        Args:
            desk: where.
            log: the log as it was read.
            left: the left end of the running head.
        """
        self.desk, self.log, self._left = desk, log, left
        entries = effective(log.entries)
        self._count = len(log.entries)
        self._breaks = breaks_of(log.entries)
        self._lines = list(_lines(entries, self._breaks))
        self._paged = Paged(self._lines)
        self._said: tuple[str, ...] = ()

    def sheet(self, room: Room) -> Sheet:
        """The entries in sight."""
        self._paged = self._paged.set_in(self._lines, room.block_lines)
        first, last, total = self._paged.place
        back = sum(1 for gap in self._breaks.values() if gap.back)
        margin = [*self._said, *(flag.text for flag in self.log.flags)]
        margin += [say("clock_back", n=back)] if back else []
        margin += [say("entries_margin", n=self._count)]
        return Sheet(
            left=self._left,
            title=say("title_entries"),
            right=say("entries_lines", first=first, last=last, total=total),
            block=self._paged.seen,
            margin=tuple(margin),
            promise=say("promise_entries" if self._paged.left else "promise_entries_end"),
            keys=_KEYS,
            about=(say("about_entries"),),
        )

    def act(self, action: str) -> Outcome:
        """Arrows and Enter turn the pages."""
        if action in _TURNS:
            self._paged = self._paged.moved(action)
            return Stay()
        if action == "file":
            return self._write()
        return Back() if action == "back" else Bell()

    def _write(self) -> Outcome:
        """All entries into a text file."""
        rows = [entry_lines.lines(entry) for entry in effective(self.log.entries)]
        text = "\n".join([self.log.name.spelled, "", *(one for row in rows for one in row), ""])
        try:
            path = write_new(self.desk, f"{self.log.name.spelled}-entries", text.encode())
        except NotDone as fault:
            self._said = fault.lines
            return Bell()
        self._said = (say("written_to", path=path),)
        return Stay()


def _lines(entries: list[Effective], breaks: dict[int, Break]) -> Iterator[Line]:
    """Days as headings, then each entry: number, time, initials, kind, keys, what became of it."""
    day = ""
    for entry in entries:
        made = entry.entry
        own_day = entry_lines.day_of(made.at)
        if own_day != day:
            if day:
                yield ()
            yield line(Span(own_day, "bold"))
            day = own_day
        if made.n in breaks:
            for text in wrapped(breaks[made.n].sentence, BLOCK_WIDTH - _INDENT):
                yield line(Span(" " * _INDENT + text, "dim"))
        for text in entry_lines.lines(entry, BLOCK_WIDTH):
            for part in _pieces(text):
                yield _struck(part)


def _pieces(text: str) -> Iterator[str]:
    """A line in pieces that fit: a word longer than a line, such as a digest, is cut."""
    while cells(text) > BLOCK_WIDTH:
        head = cut(text, BLOCK_WIDTH)
        yield head
        text = " " * _INDENT + text[len(head) :]
    yield text


def _struck(text: str) -> Line:
    """A line whose old value, when it has one, is struck through."""
    found = _OLD.fullmatch(text)
    if found is None:
        return line(text)
    return line(found[1], Span(found[2], "struck"), found[3])
