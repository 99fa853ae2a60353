"""A code that a reader sends as keys where none is asked for.

A reader types an id and Enter faster than anybody works: on the tray or at the balance its digits
would choose steps or make a reading, and its letters would act. So what came in one go since the
last pause is taken back, and the page goes to the sample instead, or says that there is none.
What acts at once, without a question, waits until it is sure that no code follows.
"""

from copy import copy
from typing import NamedTuple, Protocol, runtime_checkable

from assaybench.bench.page import Outcome, Page

QUICK_SECONDS = 0.1
"""The longest pause between two keys of one code."""
_LEAST_SIGNS, _LEAST_DIGITS, _LEAST_LETTERS = 3, 4, 2
"""Signs of a code with a letter in it, and of one of digits alone; letters without any digit."""
_MARKS = ".,"


@runtime_checkable
class ByCode(Protocol):
    """A page that goes to a sample by its code."""

    def scanned(self, code: str) -> Outcome | None:
        """Go to the sample of a code; None when this run has no such sample."""

    def not_known(self, code: str) -> Outcome:
        """Say that this run has no sample of that code."""


class Key(NamedTuple):
    """A key that makes a sign.

    Attributes:
        key: its name.
        sign: the sign.
    """

    key: str
    sign: str


class Burst:
    """The signs typed since the last pause, and the pages as they were before.

    Attributes:
        text: the signs.
        held: those of them that were not yet acted upon.
        asked: what stood typed on line 23 before them, None when nothing was asked.
    """

    def __init__(self) -> None:
        self.text = ""
        self.held: list[Key] = []
        self.asked: str | None = None
        self._before: list[Page] = []
        self._last: float | None = None

    def follows(self, at: float | None) -> bool:
        """Whether a key at this moment came in one go with the last one."""
        quick = at is not None and self._last is not None and at - self._last <= QUICK_SECONDS
        return quick and bool(self._before)

    def begin(self, sign: str, at: float | None, pages: list[Page], asked: str | None) -> None:
        """The first sign after a pause; its pages are kept as they are now."""
        self.over()
        self._last = at
        if at is not None:
            top = pages[-1]
            self.text, self.asked = sign, asked
            # only a page that knows codes changes by the digits of one
            self._before = [*pages[:-1], copy(top) if isinstance(top, ByCode) else top]

    def add(self, sign: str, at: float | None) -> None:
        """One more sign in the same go."""
        self._last, self.text = at, self.text + sign

    def over(self) -> None:
        """The signs were acted upon, or given up."""
        self.text, self.held, self.asked, self._before, self._last = "", [], None, [], None

    @property
    def looks_so(self) -> bool:
        """Whether it must be a code, of whatever sample: nobody types so much in one go.

        A key with a figure behind it, such as `r0.107`, is no code.
        """
        letters = sum(sign.isalpha() for sign in self.text)
        digits = any(sign.isdigit() for sign in self.text)
        figure = letters == 1 and any(mark in self.text for mark in _MARKS)
        enough = letters >= (1 if digits else _LEAST_LETTERS)
        return len(self.text) >= _LEAST_SIGNS and enough and not figure

    @property
    def may_be_known(self) -> bool:
        """Whether it is long enough for the code of a sample that the run has."""
        letters = any(sign.isalpha() for sign in self.text)
        return len(self.text) >= (_LEAST_SIGNS if letters else _LEAST_DIGITS)

    def taken_back(self, pages: list[Page]) -> None:
        """The pages lie open again as they did before its first sign."""
        pages[:] = self._before

    @property
    def page(self) -> Page | None:
        """The page that was in sight before its first sign, as it was."""
        return self._before[-1] if self._before else None
