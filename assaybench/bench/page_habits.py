"""What most pages do alike: letters go into a question, work is taken up when it is over."""

from abc import ABC, abstractmethod
from datetime import datetime
from typing import Any

from assaybench.bench.asking import Asking, typed_into
from assaybench.bench.jobs import Job
from assaybench.bench.page import Outcome


class Asks:
    """A page where only the answer to a question is typed, and nothing while none is asked."""

    _asking: Asking | None = None
    """The question that is asked now."""

    def typed(self, key: str, character: str) -> Outcome:
        """What is asked for is typed; nothing else is."""
        return typed_into(self._asking, key, character)


class Works(ABC):
    """A page with work that goes on beside it and is taken up at a look, once it is over."""

    _job: Job[Any] | None = None
    """The work; None while nothing goes on."""

    @property
    def working(self) -> bool:
        """Whether it goes on."""
        return self._job is not None

    @abstractmethod
    def _take(self) -> object:
        """Take up what the work came to, when it is over."""

    def tick(self, now: datetime) -> bool:
        """Look whether it is over."""
        working = self.working
        self._take()
        return working


class Still:
    """A page that changes by its own keys alone, and on which nothing lies but help.

    It stands last among the classes of a page, so that work of `Works` is looked at.
    """

    def tick(self, now: datetime) -> bool:
        """Nothing here runs by itself."""
        return False

    def come_back(self) -> None:
        """What was shown stays as it was."""
