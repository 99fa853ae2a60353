"""What a page says, first in its margin, of what the last key came to; a refusal rings the bell.

One home for the step that every page takes: do it, or say why not and stay.
"""

from collections.abc import Callable

from assaybench.bench.page import Bell, Outcome, Stay
from assaybench.logbook.faults import NotDone
from assaybench.messages import BadInput


class Saying:
    """A page that says what came of the last key."""

    _said: tuple[str, ...] = ()
    """Sentences, the first one first; a page lets them go with the next key."""

    def _tell(self, *said: str) -> Outcome:
        """Say what was done, and stay."""
        self._said = said
        return Stay()

    def _refuse(self, *said: str) -> Outcome:
        """Say why nothing was done, and ring the bell."""
        self._said = said
        return Bell()

    def _try(self, work: Callable[[], Outcome]) -> Outcome:
        """What work comes to; what it raises for a person is said, and nothing else happens.

        Args:
            work: may raise BadInput for what is not accepted, NotDone for what could not be done.
        """
        try:
            return work()
        except (BadInput, NotDone) as fault:
            return self._refuse(*fault.lines)
