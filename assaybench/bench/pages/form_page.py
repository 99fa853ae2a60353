"""A page of a few figures that are typed, and of what follows from them below.

Arrows move the mark over the fields, Enter asks for the one under it.
"""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import NamedTuple, Protocol

from assaybench.bench.asking import Asking, go_on, typed_into
from assaybench.bench.characters import cut
from assaybench.bench.desk import Desk
from assaybench.bench.minutes import Minute
from assaybench.bench.page import UP_DOWN, Back, Bell, Outcome, Room, Stay
from assaybench.bench.result_remarks import one_line
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.messages import BadInput, say
from assaybench.units import parse

_KEYS = ("enter.type", "arrows", "help", "back")
_LABEL = 19


class FormField(NamedTuple):
    """One figure of a form.

    Attributes:
        label: in front of it.
        told: as typed; empty before.
        prompt: the question on line 23.
        hint: what the margin says meanwhile.
        take: keeps an answer, which is empty for Enter alone; raises BadInput for one that will
            not do.
    """

    label: str
    told: str
    prompt: str
    hint: str
    take: Callable[[str], None]


def field_of(
    name: str, words: tuple[str, str, str], texts: dict[str, str], take: Callable[[str], str]
) -> FormField:
    """A figure whose text is kept beside those of the others.

    Args:
        name: of the figure.
        words: its label, the question and the hint.
        texts: of all figures by their names, as they are shown; an answer is kept here.
        take: keeps an answer; gives the text that is shown then.
    """
    label, prompt, hint = words

    def kept(text: str) -> None:
        texts[name] = take(parse.clean(text))

    return FormField(label, texts.get(name, ""), prompt, hint, kept)


class Form(Protocol):
    """What such a page is of."""

    @property
    def name(self) -> str:
        """Its name in the table of actions."""

    @property
    def title(self) -> str:
        """In capitals."""

    @property
    def about(self) -> tuple[str, ...]:
        """For the help page."""

    def fields(self) -> Sequence[FormField]:
        """The figures, in order."""

    def lines(self) -> list[Line]:
        """What follows from them; raises BadInput when nothing does."""

    def remarks(self) -> list[str]:
        """The margin, the most important first."""


class FormPage:
    """The page of one form."""

    def __init__(self, desk: Desk, left: str, form: Form) -> None:
        """Put the mark on the first figure that is not typed.

        Args:
            desk: who works, and when.
            left: the left end of the running head.
            form: what it is of.
        """
        self.desk, self._left, self._form = desk, left, form
        self._asking: Asking | None = None
        self._said: tuple[str, ...] = ()
        self._minute = Minute()
        self._at = self._next(0)

    @property
    def name(self) -> str:
        """Its name in the table of actions."""
        return self._form.name

    def _next(self, at: int) -> int:
        """The first figure from here on that is not typed; this one when all are."""
        fields = self._form.fields()
        return next((i for i in range(at, len(fields)) if not fields[i].told), at)

    def sheet(self, room: Room) -> Sheet:
        """The figures, then what follows."""
        fields = self._form.fields()
        rows = [self._line(i, field) for i, field in enumerate(fields)]
        remarks: list[str] = []
        try:
            rows += [(), *self._form.lines()]
            remarks = self._form.remarks()
        except BadInput as fault:
            remarks = [*fault.lines]
        if self._asking is not None:
            remarks = [*self._asking.margin]
        return Sheet(
            left=self._left,
            title=self._form.title,
            right=self.desk.who_and_when(),
            block=tuple(rows[: room.block_lines]),
            margin=tuple(map(one_line, (*self._said, *remarks))),
            promise=say("promise_circuit", what=fields[self._at].label),
            keys=_KEYS,
            typing=self._asking.typing if self._asking is not None else None,
            about=self._form.about,
        )

    def _line(self, i: int, field: FormField) -> Line:
        here = i == self._at
        text = f"{'> ' if here else '  '}{field.label:<{_LABEL}}{field.told or '.'}"
        return line(Span(cut(text, BLOCK_WIDTH), "bold" if here else "plain"))

    def act(self, action: str) -> Outcome:
        """Arrows move, Enter asks."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        self._said = ()
        fields = self._form.fields()
        if action in UP_DOWN:
            at = self._at + UP_DOWN[action]
            if not 0 <= at < len(fields):
                return Bell()
            self._at = at
            return Stay()
        match action:
            case "back":
                return Back()
            case "enter":
                field = fields[self._at]
                self._asking = Asking(field.prompt, self._answer(field), hint=(field.hint,))
                return Stay()
        return Bell()

    def _answer(self, field: FormField) -> Callable[[str], Outcome]:
        def answer(text: str) -> Outcome:
            field.take(text)
            self._at = self._next(min(self._at + 1, len(self._form.fields()) - 1))
            return Stay()

        return answer

    def typed(self, key: str, character: str) -> Outcome:
        """Signs of an answer."""
        return typed_into(self._asking, key, character)

    def tick(self, now: datetime) -> bool:
        """A minute went by on the clock."""
        return self._minute.passed(now)

    def come_back(self) -> None:
        """Nothing was open on top but help."""
