"""What is left open on a bench whose register is long: asked of the index, not read anew each time.

The index reads a register on from where it was left, so only the first time takes long. It gives
the newest numbers that are neither sealed nor void; the logs themselves are read from the disk.
"""

from typing import NamedTuple

from assaybench.bench.desk import Desk
from assaybench.bench.jobs import Post
from assaybench.logbook.index_tables import Progress, RegisterCounts
from assaybench.logbook.survey import read_register
from assaybench.record.register_kinds import Allotted

LONG_BYTES = 500_000
"""From this size on a register is not read while somebody waits: some 2,000 logs."""
MOST_NAMED = 2_000
"""Logs left open that are named, the newest numbers; others are only counted."""


class LongRegister(NamedTuple):
    """What a register says.

    Attributes:
        left: the numbers that are neither sealed nor void, the newest first, at most `MOST_NAMED`.
        counts: how many there are of each.
    """

    left: tuple[Allotted, ...]
    counts: RegisterCounts


def is_long(desk: Desk) -> bool:
    """Whether the register of the desk's bench takes long to read; one that is not there is not."""
    try:
        status = desk.files.stat(desk.book.register(desk.bench))
    except OSError:
        return False
    return status is not None and status.size > LONG_BYTES


def long_register(desk: Desk, post: Post) -> LongRegister:
    """What the register of the desk's bench says.

    Args:
        desk: where.
        post: told how far it is, in bytes.

    Raises:
        NotDone: when it cannot be read.
    """
    from assaybench.logbook.index import Index, with_index

    def watch(progress: Progress) -> None:
        post(progress.done, progress.total)

    def job(index: Index) -> LongRegister | None:
        if not index.read_register(desk.bench, watch):
            return None
        left, counts = index.left_open(desk.bench, MOST_NAMED)
        return LongRegister(tuple(left), counts)

    found = with_index(desk.book, desk.files, desk.cache_folder(), job)
    return found or _read_whole(desk)


def _read_whole(desk: Desk) -> LongRegister:
    """The same of a register with which something is amiss, from the file alone."""
    state = read_register(desk.files, desk.book.register(desk.bench)).state
    numbers = state.numbers.values()
    left = sorted((a for a in numbers if a.seal is None and not a.void), reverse=True,
                  key=lambda a: a.number)  # fmt: skip
    void = sum(bool(a.void) for a in numbers)
    counts = RegisterCounts(len(left), len(state.numbers) - len(left) - void, void)
    return LongRegister(tuple(left[:MOST_NAMED]), counts)
