"""What most pages do alike: letters go into the question that is asked; nothing moves by itself."""

from datetime import datetime

from assaybench.bench.asking import Asking, typed_into
from assaybench.bench.page import Outcome


class Asks:
    """A page where only the answer to a question is typed, and nothing while none is asked."""

    _asking: Asking | None = None
    """The question that is asked now."""

    def typed(self, key: str, character: str) -> Outcome:
        """What is asked for is typed; nothing else is."""
        return typed_into(self._asking, key, character)


class Still:
    """A page that changes by its own keys alone, and on which nothing lies but help."""

    def tick(self, now: datetime) -> bool:
        """Nothing here runs by itself."""
        return False

    def come_back(self) -> None:
        """What was shown stays as it was."""
