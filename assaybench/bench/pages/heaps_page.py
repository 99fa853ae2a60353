"""Tailings heaps: what every circuit test saved, what is left in each, which one to run first.

Read from all circuit tests of the logbook; nothing is stored. `s` supposes what a next stage would
catch of them.
"""

from collections.abc import Iterator
from itertools import islice

from assaybench.bench.amounts import in_percent
from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import cells, cut
from assaybench.bench.desk import Desk
from assaybench.bench.interval_lines import Interval, Scale, axis, drawn, scale_over
from assaybench.bench.page import UP_DOWN, Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Still
from assaybench.bench.result_remarks import one_line
from assaybench.bench.set_lines import in_words, led
from assaybench.bench.sheet import Line, Sheet, Span, line
from assaybench.bench.words_file import write_words
from assaybench.circuit import heaps
from assaybench.circuit.heaps import Amount, Heap
from assaybench.logbook.faults import NotDone
from assaybench.logbook.heap_logs import HeapBook, circuit_logs, heap_book
from assaybench.messages import say
from assaybench.metrology.uncertain import Sources, nominal
from assaybench.report.heaps_view import (
    amount_text,
    disagreeing,
    first_heap,
    left_out,
    not_counted,
    rivals,
    ways,
)
from assaybench.units import parse, write

_KEYS = ("enter.suppose", "arrows", "words", "help", "back")
_NAME = 12
_BELOW = 7
"""Lines below the table."""


class HeapsPage(Asks, Still):
    """The heaps of the logbook, as they were when the page was opened.

    Attributes:
        desk: where.
        catch: what a next stage is supposed to catch, a share of one; None when nothing is.
    """

    name = "heaps"

    def __init__(self, desk: Desk, left: str) -> None:
        """Read every circuit test.

        Args:
            desk: where.
            left: the left end of the running head.
        """
        self.desk, self._left = desk, left
        self.catch: float | None = None
        self._at = 0
        self._asking: Asking | None = None
        self._faults: tuple[str, ...] = ()
        self._said: tuple[str, ...] = ()
        self._book = HeapBook((), (), Sources())
        try:
            tests, unread = circuit_logs(desk.book, desk.files, desk.cache_folder())
            self._book = heap_book(tests, unread)
        except NotDone as fault:
            self._faults = fault.lines

    @property
    def heap(self) -> Heap | None:
        """The one under the mark; None where there is none."""
        return self._book.heaps[self._at] if self._book.heaps else None

    # --- what it shows --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """The heaps, and the one under the mark below them."""
        return Sheet(
            left=self._left,
            title=say("title_heaps"),
            right=self.desk.who_and_when(),
            block=tuple(self._block(room.block_lines)),
            margin=tuple(map(one_line, self._margin())),
            promise=say("promise_heaps" if self._book.heaps else "promise_heaps_none"),
            keys=ANSWER_KEYS if self._asking else _KEYS if self._book.heaps else ("help", "back"),
            typing=self._asking.typing if self._asking is not None else None,
            about=(say("about_heaps"), *self._words()),
        )

    def _block(self, lines: int) -> list[Line]:
        found = self._book.heaps
        if not found:
            return [(), line(f"  {say('heaps_page_none')}")]
        most = max(lines - _BELOW - 2, 1)
        first = min(max(self._at - most // 2, 0), max(len(found) - most, 0))
        heads = [say(f"heaps_head_{name}") for name in ("name", "dry", "left", "grade")]
        rows: list[Line] = [(), line(_set("  ", *heads))]
        rows += [self._row(i) for i in range(len(found))][first : first + most]
        block = [*rows, (), *self._below(found[self._at])]
        more = self._drawn(range(first, min(first + most, len(found))))
        return [*block, *(more if len(block) + len(more) <= lines else [])]

    def _drawn(self, shown: range) -> list[Line]:
        """The gold left in each heap from end to end, all on one rule; its numbers stand above."""
        known = [(i, m) for i in shown if (m := self._book.heaps[i].left.metal_g) is not None]
        ends = [end for _, metal in known for end in (metal.low, metal.high) if end is not None]
        if not any(ends):
            return []
        scale = scale_over(ends, say("heaps_unit"))
        rows = [
            drawn(self._interval(i, metal, scale), "> "[i != self._at], scale) for i, metal in known
        ]
        return [(), line(axis(scale)), *map(line, rows)]

    def _interval(self, i: int, metal: Amount, scale: Scale) -> Interval:
        high = scale.marks[-1] if metal.high is None else metal.high
        name = self._book.heaps[i].name
        return Interval(name, max(metal.low, 0.0), high, open=metal.high is None)

    def _words(self) -> Iterator[str]:
        """Every number of the page as a sentence."""
        for heap in self._book.heaps:
            mass = "?" if heap.dry_t is None else write.short(nominal(heap.dry_t), 3)
            left, grade = self._text(heap.left.metal_g), self._text(heap.per_tonne)
            yield say("words_heap", name=heap.name, t=mass, g=left, grade=grade)
            yield from (in_words(row) for row in islice(self._below(heap), 1, None))

    def _write(self) -> Outcome:
        """The page in plain words, into a new file."""
        head = say("words_head", run=self._left, title=say("title_heaps").lower())
        try:
            said = write_words(self.desk, "heaps", head, self._words(), self._margin())
        except NotDone as fault:
            self._said = fault.lines
            return Bell()
        self._said = (said,)
        return Stay()

    def _row(self, i: int) -> Line:
        heap, here = self._book.heaps[i], i == self._at
        mass = "?" if heap.dry_t is None else write.short(nominal(heap.dry_t), 3)
        parts = (mass, self._text(heap.left.metal_g), self._text(heap.per_tonne))
        return line(
            Span(_set("> " if here else "  ", heap.name, *parts), "bold" if here else "plain")
        )

    def _text(self, amount: Amount | None) -> str:
        """An amount without its unit."""
        return "?" if amount is None else amount_text(amount, self._book.sources)

    def _below(self, heap: Heap) -> Iterator[Line]:
        """Where the chosen heap is from, how it is known, what a next stage would get."""
        yield line(say("heaps_of", name=heap.name))
        yield led(say("heaps_log"), f"{heap.log}, {heap.day}")
        yield led(say("heaps_way"), say(f"heaps_way_{heap.left.way.replace(' ', '_')}"))
        if heap.rerun_in:
            yield led(say("heaps_rerun_in"), heap.rerun_in)
        metal = heap.left.metal_g
        if self.catch is not None and metal is not None:
            found = heaps.caught(self._book.sources, metal, self.catch)
            yield led(say("heaps_gets"), f"{self._text(found)} g")

    def _margin(self) -> list[str]:
        if self._asking is not None:
            return [*self._asking.margin]
        choice = heaps.first(self._book.heaps)
        told = rivals(choice)
        for heap in self._book.heaps:
            told += [*not_counted(heap), *disagreeing(heap)]
        told += left_out(self._book.unread)
        said = [
            *self._said,
            *self._faults,
            first_heap(choice).reason,
            *(flag.text for flag in told),
        ]
        if "equal stages" in ways(self._book.heaps):
            said.append(say("heaps_alike"))
        return said

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Arrows move; Enter and `s` suppose what a next stage catches."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        self._said = ()
        if action == "back":
            return Back()
        if action in UP_DOWN:
            at = self._at + UP_DOWN[action]
            if not 0 <= at < len(self._book.heaps):
                return Bell()
            self._at = at
            return Stay()
        if action in ("enter", "suppose") and self._book.heaps:
            hint = (say("hint_heaps"),)
            self._asking = Asking(say("ask_heaps"), self._suppose, "share", hint)
            return Stay()
        return self._write() if action == "words" and self._book.heaps else Bell()

    def _suppose(self, text: str) -> Outcome:
        share = parse.share(in_percent(text), say("heaps_catch_what"), 0.1, 100) if text else None
        self.catch = None if share is None else float(share)
        return Stay()


def _set(mark: str, name: str, dry: str, left: str, grade: str) -> str:
    name = cut(name, _NAME)
    return f"{mark}{name}{' ' * (_NAME - cells(name))}{dry:>8}{left:>17}{grade:>15}"
