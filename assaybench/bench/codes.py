"""A code that a reader sends as keys where none is asked for.

A reader types an id and Enter faster than anybody works: on the tray or at the balance its digits
would choose steps or make a reading. So what came in one go since the last pause is taken back,
and the page goes to the sample instead. Letters and a digit in one go are a code already: keys
behind them do nothing.
"""

from copy import copy
from typing import Protocol, runtime_checkable

from assaybench.bench.page import Outcome, Page

QUICK_SECONDS = 0.1
"""The longest pause between two keys of one code."""
_LEAST_KNOWN, _LEAST_SIGNS, _LEAST_LETTERS = 3, 4, 2
"""Signs of a code with a letter in it that the run knows; of any other; and letters of one that the
run does not know."""


@runtime_checkable
class ByCode(Protocol):
    """A page that goes to a sample by its code."""

    def scanned(self, code: str) -> Outcome | None:
        """Go to the sample of a code; None when this run has no such sample."""

    def not_known(self, code: str) -> Outcome:
        """Say that this run has no sample of that code."""


class Burst:
    """The signs typed since the last pause, and the pages as they were before."""

    def __init__(self) -> None:
        self._text = ""
        self._before: list[Page] = []
        self._last: float | None = None

    def key(self, sign: str | None, at: float | None, pages: list[Page], *, words: bool) -> bool:
        """One key that is not Enter; whether it belongs to a code, so that it does nothing.

        Args:
            sign: the sign it makes, None when it makes none.
            at: seconds of a clock that only goes on; None where nobody keeps the time.
            pages: that lie open, before the key does anything.
            words: whether letters are typed there: a code is then no more than what is asked for.
        """
        quick = at is not None and self._last is not None and at - self._last <= QUICK_SECONDS
        self._last = at
        if at is None or sign is None:
            self._text, self._before = "", []
        elif quick and self._before:
            self._text += sign
            digits = any(one.isdigit() for one in self._text)
            return digits and not words and _letters(self._text) >= _LEAST_LETTERS
        elif not words and isinstance(pages[-1], ByCode):
            self._text, self._before = sign, [*pages[:-1], copy(pages[-1])]
        else:
            self._text, self._before = "", []
        return False

    def ended(self, at: float | None, pages: list[Page], *, words: bool) -> Outcome | None:
        """What an Enter comes to that ends a code: pages as before it; None when it ends none.

        Args:
            at: as for a key.
            pages: that lie open; those of before the code lie there again when it is one.
            words: whether letters are typed there now.
        """
        text, before, last = self._text, self._before, self._last
        self._text, self._before, self._last = "", [], at
        if at is None or last is None or at - last > QUICK_SECONDS or not before:
            return None
        page = before[-1]
        if not isinstance(page, ByCode):
            return None
        letters = _letters(text)
        if len(text) < (_LEAST_KNOWN if letters else _LEAST_SIGNS):
            return None
        outcome = page.scanned(text)
        looks_so = letters >= _LEAST_LETTERS and len(text) >= _LEAST_SIGNS
        if outcome is None and looks_so and not words:
            outcome = page.not_known(text)
        if outcome is not None:
            pages[:] = before
        return outcome


def _letters(text: str) -> int:
    return sum(sign.isalpha() for sign in text)
