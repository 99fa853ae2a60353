"""A page of a few figures that are typed, and of what follows from them below.

Arrows move the mark over the fields, Enter asks for the one under it.
"""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import NamedTuple, Protocol

from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import cut
from assaybench.bench.desk import Desk
from assaybench.bench.interval_lines import Interval, Scale, axis, drawn
from assaybench.bench.minutes import Minute
from assaybench.bench.page import UP_DOWN, Back, Bell, Open, Outcome, Page, Room, Stay
from assaybench.bench.page_habits import Asks, Still
from assaybench.bench.result_remarks import one_line
from assaybench.bench.saying import Saying
from assaybench.bench.set_lines import in_words
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.bench.words_file import write_words
from assaybench.logbook.faults import NotDone
from assaybench.messages import BadInput, say
from assaybench.units import parse

_KEYS = ("enter.type", "arrows", "words", "help", "back")
_ON_KEYS = ("enter.open", *_KEYS[1:])
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
        go: makes the page that this line leads to instead of asking; None for a figure.
    """

    label: str
    told: str
    prompt: str
    hint: str
    take: Callable[[str], None]
    go: Callable[[], Page] | None = None


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


class Drawing(NamedTuple):
    """Lines on one rule.

    Attributes:
        scale: the rule.
        intervals: what stands on it; its numbers stand in the lines above.
        said: the same in words.
    """

    scale: Scale
    intervals: tuple[Interval, ...]
    said: tuple[str, ...]

    @property
    def lines(self) -> list[Line]:
        """The rule, and what stands on it."""
        rows = [drawn(interval, scale=self.scale) for interval in self.intervals]
        return [line(axis(self.scale)), *map(line, rows)]


class Form(Protocol):
    """What such a page is of."""

    @property
    def name(self) -> str:
        """Its name in the table of actions."""

    @property
    def title(self) -> str:
        """In capitals."""

    @property
    def stem(self) -> str:
        """What a file of its words is called by."""

    @property
    def about(self) -> tuple[str, ...]:
        """For the help page."""

    def fields(self) -> Sequence[FormField]:
        """The figures, in order."""

    def lines(self) -> list[Line]:
        """What follows from them; raises BadInput when nothing does."""

    def drawing(self) -> Drawing | None:
        """What is drawn of it, on which rule; None where nothing is."""

    def remarks(self) -> list[str]:
        """The margin, the most important first."""


class FormPage(Saying, Asks, Still):
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
        """The figures, then what follows, then what is drawn of it where there is room."""
        fields = self._form.fields()
        rows = [self._line(i, field) for i, field in enumerate(fields)]
        try:
            found, drawing, remarks = self._found()
            rows += [(), *found]
            more = [] if drawing is None else drawing.lines
            spare = room.block_lines - len(rows) - len(more)
            rows += [(), *more] if spare > 0 and more else more if spare == 0 else []
        except BadInput as fault:
            remarks = [*fault.lines]
        asking = self._asking
        return Sheet(
            left=self._left,
            title=self._form.title,
            right=self.desk.who_and_when(),
            block=tuple(rows[: room.block_lines]),
            margin=tuple(map(one_line, asking.margin if asking else (*self._said, *remarks))),
            promise=self._promise(fields[self._at]),
            keys=ANSWER_KEYS if asking else _KEYS if fields[self._at].go is None else _ON_KEYS,
            typing=None if asking is None else asking.typing,
            about=(*self._form.about, *self._words()),
        )

    def _found(self) -> tuple[list[Line], Drawing | None, list[str]]:
        """What follows from the figures; raises BadInput when nothing does."""
        return self._form.lines(), self._form.drawing(), self._form.remarks()

    def _words(self) -> list[str]:
        """Every number of the page as a sentence."""
        typed = [f"{field.label}: {field.told}." for field in self._form.fields() if field.told]
        try:
            found, drawing, _ = self._found()
        except BadInput:
            return typed
        return [*typed, *filter(None, map(in_words, found)), *(drawing.said if drawing else ())]

    def _write(self) -> Outcome:
        """The whole page in plain words, into a new file."""
        head = say("words_head", run=self._left, title=self._form.title.lower())
        try:
            remarks = self._found()[2]
            said = write_words(self.desk, self._form.stem, head, self._words(), remarks)
        except (BadInput, NotDone) as fault:
            return self._refuse(*fault.lines)
        return self._tell(said)

    def _promise(self, field: FormField) -> str:
        code = "promise_circuit" if field.go is None else "promise_page"
        return say(code, what=field.label)

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
                if field.go is not None:
                    return Open(field.go())
                self._asking = Asking(field.prompt, self._answer(field), hint=(field.hint,))
                return Stay()
            case "words":
                return self._write()
        return Bell()

    def _answer(self, field: FormField) -> Callable[[str], Outcome]:
        def answer(text: str) -> Outcome:
            field.take(text)
            self._at = self._next(min(self._at + 1, len(self._form.fields()) - 1))
            return Stay()

        return answer

    def tick(self, now: datetime) -> bool:
        """A minute went by on the clock."""
        return self._minute.passed(now)
