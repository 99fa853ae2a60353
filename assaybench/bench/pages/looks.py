"""How a bead looked, and how it parted: a list of words, each with what it usually means.

The meanings are common practice (textbooks of assaying tell most of them); none is a rule, and the
word that is stored says only what was seen.
"""

from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import wrapped
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Still
from assaybench.bench.pages import safety
from assaybench.bench.run_log import RunLog
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.bench.tray import Step
from assaybench.logbook.faults import NotDone
from assaybench.messages import BadInput, quoted, say
from assaybench.record.kinds import BY_NAME, LOOKS

PARTED = BY_NAME["parting"].by_name["result"].choices
_KEYS = ("arrows", "help", "back")


class LooksPage(Saying, Still):
    """Chooses one word for a bead, or for how it parted.

    Attributes:
        run: the log.
        sample: whose bead.
        words: the words to choose from.
    """

    name = "looks"

    def __init__(self, run: RunLog, step: Step, sample: str) -> None:
        self.run, self.step, self.sample = run, step, sample
        self.words = PARTED if step == "parting" else LOOKS
        self._at = 0
        self._asking: Asking | None = None

    def sheet(self, room: Room) -> Sheet:
        """The words, the pointer, and what the word under it usually means."""
        parting = self.step == "parting"
        place = self.run.board().plan(self.step).named(self.sample)
        rows: list[Line] = [line(say("looks_of", place=place, sample=self.sample)), ()]
        rows += [self._row(i, word) for i, word in enumerate(self.words)]
        if parting:
            rows += [(), *map(line, wrapped(say("looks_parting_steps"), BLOCK_WIDTH))]
        word = self.words[self._at]
        margin = self._said or (say(f"look_{word.replace(' ', '_')}"),)
        return Sheet(
            left=self.run.title,
            title=say("title_parted" if parting else "title_looks"),
            right=self.run.desk.who_and_when(),
            block=tuple(rows),
            margin=margin if self._asking is None else self._asking.margin,
            promise=self.run.promise(
                "promise_parted" if parting else "promise_look", word=word, place=place
            ),
            keys=("enter.ask" if parting else "enter.store", *_KEYS)
            if self._asking is None
            else ANSWER_KEYS,
            typing=self._asking.typing if self._asking is not None else None,
            about=(say("about_looks"), *safety.about(self.step)),
        )

    def _row(self, i: int, word: str) -> Line:
        known = self.run.state.of_sample(self._kind, self.sample)
        chosen = known is not None and known.text(self._key) == word
        text = f"{'>' if i == self._at else ' '} {i + 1}  {word}"
        stored = f"   {say('looks_stored')}" if chosen else ""
        return line(Span(text, "bold" if i == self._at else "plain"), stored)

    @property
    def _kind(self) -> str:
        return "parting" if self.step == "parting" else "bead_look"

    @property
    def _key(self) -> str:
        return "result" if self.step == "parting" else "look"

    def act(self, action: str) -> Outcome:
        """Arrows move, Enter stores the word under the pointer."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        match action:
            case "up" | "left":
                self._at = (self._at - 1) % len(self.words)
            case "down" | "right":
                self._at = (self._at + 1) % len(self.words)
            case "enter":
                return self._enter()
            case "back":
                return Back()
            case _:
                return Bell()
        self._said = ()
        return Stay()

    def _enter(self) -> Outcome:
        if self.step == "parting":
            self._asking = Asking(
                say("ask_parting_steps"), self._parted, hint=(say("ask_parting_hint"),)
            )
            return Stay()
        return self._store({"sample": self.sample, "look": self.words[self._at]})

    def _parted(self, steps: str) -> Outcome:
        values: dict[str, object] = {"sample": self.sample, "result": self.words[self._at]}
        return self._store({**values, "steps": steps} if steps else values)

    def _store(self, values: dict[str, object]) -> Outcome:
        rows = self.run.cup_row(self.sample) if self.step == "parting" else []
        try:
            self.run.append_all([*rows, (self._kind, values)])
        except (BadInput, NotDone) as fault:
            self._said, self._asking = fault.lines, None
            return Bell()
        return Back()

    def typed(self, key: str, character: str) -> Outcome:
        """A digit chooses its word."""
        if self._asking is not None:
            return self._asking.typed(key, character)
        if character.isdigit() and 1 <= int(character) <= len(self.words):
            self._at = int(character) - 1
            return Stay()
        first = next((i for i, w in enumerate(self.words) if character and w[0] == character), None)
        if first is None:
            return Bell()
        self._at = first
        return Stay()

    def scanned(self, code: str) -> Outcome | None:
        """No code leads away from here: a look is stored or given up first."""
        return self.not_known(code) if code.isdigit() else None

    def not_known(self, code: str) -> Outcome:
        """A code chooses no word."""
        return self._refuse(say("looks_no_code", x=quoted(code)))
