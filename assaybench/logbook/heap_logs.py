"""The heaps of a logbook: what its circuit tests saved, and which of it was run again since.

Every circuit test is read; a number that is void, a log that another one replaces, and practice do
not count. A log that cannot be read or worked out is told, never passed over in silence.
"""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import NamedTuple

from assaybench.circuit import heaps
from assaybench.circuit.heaps import Heap
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.history import history
from assaybench.logbook.index import Index, with_index
from assaybench.logbook.index_tables import Row, Wanted
from assaybench.logbook.reading import read_log
from assaybench.messages import BadInput, say
from assaybench.metrology.uncertain import Sources, nominal
from assaybench.record.entries import Entry
from assaybench.record.reissue import joined
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.saved import fed_with, saved_tailings

_EVERY = 1_000_000_000


class Source(NamedTuple):
    """One circuit test, from a log or a hand sheet.

    Attributes:
        name: of the log or sheet.
        bench: whose balances it was weighed on.
        day: when it was opened, or the date on the paper.
        entries: its entries.
    """

    name: str
    bench: str
    day: str
    entries: Sequence[Entry]


class Unread(NamedTuple):
    """A log that is not in the list, and why."""

    name: str
    why: str


class HeapBook(NamedTuple):
    """The heaps, oldest first.

    Attributes:
        heaps: each of them.
        unread: logs that were left out.
        sources: the sources of doubt that all heaps are in.
    """

    heaps: tuple[Heap, ...]
    unread: tuple[Unread, ...]
    sources: Sources


def circuit_logs(
    book: Logbook,
    files: Files,
    cache: Path,
    bench: str = "",
    tell: Callable[[int], None] = lambda _n: None,
) -> tuple[list[Source], list[Unread]]:
    """Every circuit test of a logbook that counts, oldest first.

    Args:
        book: the logbook.
        files: the disk.
        cache: folder of the indexes.
        bench: only this bench; all when empty.
        tell: called with the number of logs when many must be read for it.

    Raises:
        NotDone: when the logbook cannot be read.
    """

    def job(index: Index) -> list[Row]:
        index.update("all")
        replaced = index.replaced_by()
        rows = index.page(Wanted(bench=bench, log="circuit test"), _EVERY, 1).rows
        return [
            row
            for row in reversed(rows)
            if row.name not in replaced and not row.void and not row.practice
        ]

    found: list[Source] = []
    unread: list[Unread] = []
    for row in with_index(book, files, cache, job, tell=tell):
        name = row.name.spelled
        try:
            path = book.log(row.name)
            own, verdict = read_log(files, path)
            entries = joined(history(files, path, own))
        except NotDone as fault:
            unread.append(Unread(name, fault.lines[0]))
            continue
        if verdict.state == "damaged" or verdict.newer:
            why = say("log_newer") if verdict.newer else say("held_damaged")
            unread.append(Unread(name, why))
            continue
        found.append(Source(name, row.bench, _day(own, row.day), entries))
    return found, unread


def _day(entries: Sequence[Entry], opened: str) -> str:
    """The date on the paper where a log was entered from it, else when it was opened."""
    paper = str(entries[0].values.get("paper_date", "")) if entries else ""
    try:
        return date.fromisoformat(paper).isoformat()
    except ValueError:
        return opened


def heap_book(tests: Iterable[Source], unread: Iterable[Unread] = ()) -> HeapBook:
    """The heaps of these circuit tests, the oldest test first.

    Args:
        tests: in any order; those of one day as they were run.
        unread: what was left out before.
    """
    shared = Sources()
    found: list[Heap] = []
    left_out = [*unread]
    for test in sorted(tests, key=lambda test: test.day):
        try:
            made = results(replay(test.entries))
            fed = fed_with(made)
            saved = saved_tailings(made)
        except BadInput as fault:
            left_out.append(Unread(test.name, fault.lines[0]))
            continue
        found = [
            heap._replace(rerun_in=test.name)
            if not heap.rerun_in and (heap.name in fed or heap.log in fed)
            else heap
            for heap in found
        ]
        if saved is None:
            continue
        # two sheets may bear one title
        own = f"{test.name} {len(found)}"
        left = heaps.moved(saved.sources, shared, saved.left, own, test.bench)
        dry = saved.dry_t
        if dry is not None:
            doubt = saved.sources.doubt(dry)
            value = nominal(dry)
            dry = shared.variable(f"dry mass, {own}", value, doubt.u, dof=doubt.dof)
        name = saved.name or test.name
        heap = Heap(name, test.name, test.day, dry, left, not_rerun=saved.not_rerun)
        found.append(heap._replace(disagree=saved.disagree))
    return HeapBook(tuple(found), tuple(left_out), shared)
