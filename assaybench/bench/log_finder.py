"""Finds logs by the first letters of their words and numbers, beside the page that asks.

They come from the index of the logbook: also those that are sealed or void, of every bench.
"""

from collections.abc import Callable
from typing import NamedTuple

from assaybench.bench.desk import Desk
from assaybench.bench.jobs import Job, Post, Start, only_reading
from assaybench.logbook.index_tables import Page as Listed
from assaybench.logbook.index_tables import Progress
from assaybench.messages import say

MOST = 40
"""Logs that are given; more letters leave fewer."""


class Looked(NamedTuple):
    """What was found for some letters, and what there is to say of it."""

    letters: str = ""
    found: Listed = Listed((), 0)
    said: tuple[str, ...] = ()


class LogFinder:
    """Looks for logs in a thread; what was found last stays until the next is there."""

    def __init__(self, desk: Desk, start: Start = only_reading) -> None:
        """Nothing is looked for yet.

        Args:
            desk: where.
            start: how the looking is begun.
        """
        self._desk, self._start = desk, start
        self._job: Job[Listed] | None = None
        self._letters = ""
        self._told = ""
        self._last = Looked()

    @property
    def working(self) -> bool:
        """Whether it is being looked for."""
        return self._job is not None

    def look(self, letters: str) -> None:
        """Look for the logs whose words begin with these letters; for none, for no log."""
        words = letters.casefold().split()
        if words == self._letters.split():
            return
        self.give_up()
        self._letters = " ".join(words)
        if not words:
            self._last = Looked()
            return
        self._told = say("index_looking")
        self._job = Job(self._work(words), self._start)
        self.take()

    def give_up(self) -> None:
        """Nobody waits for it any more."""
        if self._job is not None:
            self._job.give_up()
            self._job = None

    def take(self) -> Looked:
        """What was found, as far as it is there."""
        job = self._job
        if job is not None and job.over:
            self._job, found = None, job.result()
            self._last = Looked(self._letters, found or Listed((), 0), job.faults)
        if self._job is not None:
            return self._last._replace(said=(self._told,))
        return self._last

    def _work(self, words: list[str]) -> Callable[[Post], Listed]:
        desk = self._desk

        def work(post: Post) -> Listed:
            from assaybench.logbook.index import Index, with_index

            def watch(progress: Progress) -> None:
                if progress.what == "logs":
                    self._told = say("index_reading_n", n=progress.done, of=progress.total)
                post(progress.done, progress.total)

            def job(index: Index) -> Listed:
                index.update("new", watch)
                post(0, 0)
                return index.beginning(words, MOST)

            return with_index(desk.book, desk.files, desk.cache_folder(), job)

        return work
