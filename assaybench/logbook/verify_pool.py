"""Looking at many logs on all cores: chunks out, what was seen back, in order, in flat memory.

Processes are spawned, which every system knows and threads of the bench do not disturb. A small
logbook stays in this process: starting others would take longer than the work.
"""

import os
from collections import deque
from collections.abc import Generator, Iterator, Sequence
from contextlib import suppress
from itertools import islice
from typing import TYPE_CHECKING

from assaybench.logbook.files import Files
from assaybench.logbook.verify_found import LogSeen
from assaybench.logbook.verify_log import LogJob, look

if TYPE_CHECKING:
    from concurrent.futures import Future, ProcessPoolExecutor

CHUNK, CHUNK_RECOMPUTED = 32, 8
ALONE, ALONE_RECOMPUTED = 1500, 200
"""Up to so many logs stay in this process: about a second of work."""
_AHEAD = 12
"""Chunks for each process that may wait, so that none is idle and few are held in memory."""


def cores() -> int:
    """How many processes this one may use at once."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def look_at_all(
    files: Files, jobs: Iterator[LogJob], count: int, *, recompute: bool, processes: int
) -> Generator[LogSeen, None, None]:
    """What each log is, in the order of the jobs.

    Args:
        files: the disk.
        jobs: the logs.
        count: how many there are.
        recompute: whether figures are worked out again, which takes ten times as long.
        processes: how many processes at most.
    """
    alone = ALONE_RECOMPUTED if recompute else ALONE
    if processes < 2 or count <= alone:
        for job in jobs:
            yield look(files, job)
        return
    chunks = _chunks(jobs, CHUNK_RECOMPUTED if recompute else CHUNK)
    yield from _spread(files, chunks, processes)


def _chunks(jobs: Iterator[LogJob], size: int) -> Iterator[list[LogJob]]:
    while chunk := list(islice(jobs, size)):
        yield chunk


def look_at_chunk(files: Files, chunk: Sequence[LogJob]) -> list[LogSeen]:
    """What each log of a chunk is."""
    return [look(files, job) for job in chunk]


def _spread(files: Files, chunks: Iterator[list[LogJob]], processes: int) -> Iterator[LogSeen]:
    from concurrent.futures import ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool
    from multiprocessing import active_children, get_context

    others, done = set(active_children()), False
    waiting: deque[tuple[list[LogJob], Future[list[LogSeen]] | None]] = deque()
    pool: ProcessPoolExecutor | None = None
    with suppress(OSError, NotImplementedError):
        # a system without semaphores has no pool: the work is done here
        pool = ProcessPoolExecutor(processes, get_context("spawn"), initializer=_quiet)
    try:
        for chunk in chunks:
            waiting.append((chunk, _submitted(pool, files, chunk)))
            if len(waiting) > processes * _AHEAD:
                yield from _result(files, *waiting.popleft(), BrokenProcessPool)
        while waiting:
            yield from _result(files, *waiting.popleft(), BrokenProcessPool)
        done = True
    finally:
        if pool is not None:
            # given up: one that hangs on a dead disk would never see that it is to end
            for child in set(active_children()) - others if not done else ():
                child.terminate()
            pool.shutdown(wait=True, cancel_futures=True)


def _result(
    files: Files,
    chunk: list[LogJob],
    future: "Future[list[LogSeen]] | None",
    broken: type[Exception],
) -> list[LogSeen]:
    """What a chunk came to; when its process was killed it is looked at here."""
    if future is not None:
        with suppress(broken):
            return future.result()
    return look_at_chunk(files, chunk)


def _submitted(
    pool: "ProcessPoolExecutor | None", files: Files, chunk: list[LogJob]
) -> "Future[list[LogSeen]] | None":
    """Hand a chunk on; None when there is nobody to take it.

    An interrupt is for this process alone, also while others begin: they inherit the mask.
    """
    import signal
    from concurrent.futures.process import BrokenProcessPool

    if pool is None:
        return None
    mask = getattr(signal, "pthread_sigmask", None)
    before = mask(signal.SIG_BLOCK, {signal.SIGINT}) if mask else None
    try:
        return pool.submit(look_at_chunk, files, chunk)
    except (BrokenProcessPool, OSError):
        return None
    finally:
        if mask:
            mask(signal.SIG_SETMASK, before)


def _quiet() -> None:
    """An interrupt ends the process that asked, which then ends this one."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
