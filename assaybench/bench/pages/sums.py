"""The whole sum of one sample, on as many pages as it needs; Enter turns them."""

from assaybench.bench.characters import wrapped
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Still
from assaybench.bench.result_rows import Row
from assaybench.bench.result_sums import blocks
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import Line, Sheet
from assaybench.bench.turning import turned, turned_by
from assaybench.messages import say
from assaybench.record.results import Results
from assaybench.report.answer import coverage_line

_KEYS = ("enter.more", "arrows", "help", "back")
_ONE_PAGE_KEYS = ("enter.back", "help", "back")


class SumsPage(Still):
    """Every step of one sample's sum, as the log stood when the page was opened."""

    name = "sums"

    def __init__(self, run: RunLog, found: Results, row: Row) -> None:
        """Work the lines out.

        Args:
            run: the log.
            found: its results.
            row: whose sum.
        """
        self.run, self._row = run, row
        self._blocks = blocks(found, row)
        self._turned = 0
        self._parts: list[list[Line]] = [[]]

    def sheet(self, room: Room) -> Sheet:
        """One page of it."""
        self._parts = turned(self._blocks, room.block_lines)
        at = self._turned % len(self._parts)
        more = len(self._parts) > 1
        count = say("page_of", n=at + 1, of=len(self._parts)) if more else ""
        return Sheet(
            left=self.run.title,
            title=say("title_sum", id=self._row.label),
            right=count,
            block=tuple(self._parts[at]),
            margin=self._margin(room, at),
            promise=say("promise_sums_more" if more else "promise_results_back"),
            keys=_KEYS if more else _ONE_PAGE_KEYS,
            about=(say("about_sums"),),
        )

    def _margin(self, room: Room, at: int) -> tuple[str, ...]:
        """Everything a reader must know, and what was taken as given; long ones go on."""
        sample, whole = self._row.sample, self._row.whole
        flags = sample.flags if sample is not None else whole.flags if whole is not None else ()
        given = sample.assumptions if sample is not None else ()
        said = [" ".join(f.text.split()) for f in flags] + [" ".join(g.split()) for g in given]
        if sample is not None and sample.factors:
            said.append(coverage_line(sample.factors))
        pages: list[list[str]] = [[]]
        used = 0
        for text in said:
            more = len(wrapped(text, room.margin_width)) + 1
            if pages[-1] and used + more - 1 > room.block_lines:
                pages.append([])
                used = 0
            pages[-1].append(text)
            used += more
        return tuple(pages[at % len(pages)])

    def act(self, action: str) -> Outcome:
        """Enter and the arrows turn the page."""
        if action == "back":
            return Back()
        if action == "enter" and len(self._parts) == 1:
            return Back()
        step = turned_by(action)
        self._turned += step
        return Stay() if step else Bell()

    def typed(self, key: str, character: str) -> Outcome:
        """Nothing is typed here."""
        return Bell()
