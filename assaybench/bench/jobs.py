"""Work that takes longer than a key: done in a thread of its own, looked at by the page.

The thread touches no page and no terminal; it only posts how far it is, and what it came to. The
page reads that at every look, so whatever it shows was changed by the page alone.
"""

from collections.abc import Callable
from threading import Thread
from typing import Generic, TypeVar

from assaybench.logbook.faults import NotDone, WrongPassphrase
from assaybench.messages import BadInput

T = TypeVar("T")
Post = Callable[[int, int], object]
"""Called by the work with how much is done, and of how much; raises `GivenUp` when it is to end."""
Start = Callable[[Callable[[], None]], None]


class GivenUp(Exception):
    """Nobody waits for this work any more; it ends where it is."""


SHORT_SECONDS = 0.05
"""Work that takes no longer is waited for, so that its page comes whole at once."""


def in_a_thread(run: Callable[[], None]) -> None:
    """Begin work in a thread; the program does not end before it, so nothing is left half."""
    _begun(Thread(target=run, name="bench job"))


def only_reading(run: Callable[[], None]) -> None:
    """Begin work that changes nothing of the record in a thread; the program may end before it."""
    _begun(Thread(target=run, name="bench reading", daemon=True))


def _begun(thread: Thread) -> None:
    thread.start()
    thread.join(SHORT_SECONDS)


class Job(Generic[T]):
    """One piece of work.

    Attributes:
        done: how much is done, and of how much; (0, 0) as long as nothing was posted.
        over: whether it came to an end.
        faults: why it could not be done, one line each; none when it was done.
        again: whether only the passphrase was wrong, so that it may be typed again.
    """

    def __init__(self, work: Callable[[Post], T], start: Start = in_a_thread) -> None:
        """Begin it.

        Args:
            work: what is done; it is given a way to post how far it is.
            start: how it is begun: in a thread, unless said.
        """
        self.done = (0, 0)
        self.over = False
        self.faults: tuple[str, ...] = ()
        self.again = False
        self._given_up = False
        self._found: list[T] = []
        self._broken: BaseException | None = None
        self._work: Callable[[Post], T] | None = work
        start(self._run)

    def _run(self) -> None:
        work, self._work = self._work, None
        try:
            if work is not None:
                self._found.append(work(self._post))
        except GivenUp:
            pass
        except (BadInput, NotDone) as fault:
            self.faults, self.again = fault.lines, isinstance(fault, WrongPassphrase)
        except Exception as fault:  # noqa: BLE001  a fault of the program is raised where it is seen
            self._broken = fault
        finally:
            del work
            self.over = True

    def _post(self, done: int, total: int) -> None:
        self.done = (done, total)
        if self._given_up:
            raise GivenUp

    def give_up(self) -> None:
        """Ask the work to end at its next post; what it wrote before stays."""
        self._given_up = True

    def result(self) -> T | None:
        """What it came to; None as long as it goes on, and when it could not be done.

        Raises:
            Exception: a fault of the program that ended it.
        """
        if self._broken is not None:
            raise self._broken
        return self._found[0] if self.over and self._found else None
