"""At the balance: one object, one reading, its verdict; Enter stores it and goes on to the next.

A reading is typed as it is displayed. A suspected slip is asked about before anything is stored,
and both what was typed and what was seen then stay in the log. Impossible readings are stored too:
only what would follow from them is held back.
"""

from collections.abc import Callable, Mapping
from datetime import datetime

from assaybench.bench import balance_lines, remarks, timer
from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.in_parts import OF_WHOLE
from assaybench.bench.page import Back, Bell, Enter, Open, Outcome, Room, Stay
from assaybench.bench.pages import balance_words, losing, safety
from assaybench.bench.pages.amend import AmendPage
from assaybench.bench.pages.balance_words import is_figure
from assaybench.bench.pages.balances import BalancesPage
from assaybench.bench.pages.looks import LooksPage
from assaybench.bench.run_log import RunLog, Seen
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import Sheet
from assaybench.bench.tray import Board, Step, Thing, shown_mean
from assaybench.bench.typing import Typing
from assaybench.logbook.faults import NotDone
from assaybench.messages import BadInput, quoted, say
from assaybench.record import slips
from assaybench.record.slip_words import Question
from assaybench.report.page import with_comma


class BalancePage(Saying):
    """One object on the pan.

    Attributes:
        run: the log.
        step: weigh-in, beads or parting.
        thing: what is on the pan, and of which sample: the whole, for one assayed in parts.
        text: the reading as typed so far.
    """

    name = "balance"

    def __init__(self, run: RunLog, step: Step, sample: str) -> None:
        self.run, self.step = run, step
        self.thing = run.board().first_thing(step, sample)
        self.text = ""
        # what is typed is a zero
        self._zeroing = False
        # another reading of this thing is wanted: now, or once what is typed is stored
        self._again = self._staying = False
        # slips that are suspected, and the reading that was typed before they were asked about
        self._asked: list[Question] = []
        self._first: Mapping[str, object] | None = None
        self._asking: Asking | None = None
        self._timer = timer.Timer(run)

    # --- what it shows --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """The place and the reading, large; the beam; the verdict in the margin."""
        seen, does = self._see(), self._does()
        return Sheet(
            left=self.run.title,
            title=say("title_balance"),
            right=self.run.desk.who_and_when(),
            block=tuple(
                balance_lines.block(
                    self.run,
                    self.step,
                    self.thing,
                    seen,
                    self._shown(seen),
                    typed=bool(self.text),
                    comma=self._comma,
                )
            ),
            margin=tuple(map(with_comma if self._comma else str, self._margin(seen))),
            promise=does.promise,
            keys=self._key_line(does.key),
            typing=self._typing(),
            about=(say("about_balance"), *safety.about(self.step)),
        )

    @property
    def sample(self) -> str:
        """Whose object is on the pan."""
        return self.thing.sample

    @property
    def what(self) -> str:
        """What is weighed."""
        return self.thing.what

    def _key_line(self, enter: str) -> tuple[str, ...]:
        """Enter with the word of what it does; while something is asked, what answers it."""
        if self._asking is not None:
            return ANSWER_KEYS
        if self._asked:
            return balance_words.ASKED_KEYS
        return balance_words.key_line(self.run, self.step, self.what, enter)

    @property
    def _balance(self) -> str:
        return self.run.balance_for(self.what)

    @property
    def _board(self) -> Board:
        return self.run.board()

    @property
    def _place(self) -> str:
        return self._named(self.thing)

    def _named(self, thing: Thing) -> str:
        """A thing in words: its place, or which mass of the whole it is."""
        if thing.what in OF_WHOLE:
            return say("balance_of_whole", what=thing.what, sample=thing.sample)
        return self._board.plan(self.step).named(thing.sample)

    @property
    def _comma(self) -> bool:
        return balance_words.comma(self.run, self.text)

    def _see(self) -> Seen | None:
        """The weighing with what is typed; without it where that is no figure yet."""
        candidate = "" if self._zeroing else self.text
        if self._balance:
            for text in (candidate, ""):
                try:
                    return self.run.seen(self.sample, self.what, text, self._balance)
                except BadInput:
                    continue
        return None

    def _shown(self, seen: Seen | None) -> str:
        """The reading in large figures: what is typed, else what is stored.

        Of readings that disagree it is the last one: a mean of them was never displayed.
        """
        if self.text or self._zeroing:
            return self.text
        read = self._board.readings(*self.thing)
        apart = seen is not None and not seen.weighing.agrees
        return shown_mean(read[-1:] if apart else read) if read else ""

    # --- the margin -----------------------------------------------------------------------------

    def _margin(self, seen: Seen | None) -> list[str]:
        if self._asking is not None:
            return list(self._asking.margin)
        if self._asked:
            first = self._asked[0]
            return [*(asked.seen for asked in self._asked), first.sentence.split("\n")[1]]
        found = list(dict.fromkeys(line for line in (self.run.closed, *self._said) if line))
        due = self._timer.due(self.run.desk.clock())
        if due:
            found.insert(0, due)
        if not self._balance:
            return [*found, say("balance_none_described", what=self.what)]
        return [*found, *remarks.of_thing(self.run, self.step, self.thing, seen)]

    def _typing(self) -> Typing | None:
        if self._asking is not None:
            return self._asking.typing
        unit = self.run.unit_of(self._balance).symbol
        return balance_words.typing(self.text, unit, asked=bool(self._asked), zero=self._zeroing)

    def _does(self) -> Enter:
        """What Enter does now."""
        if not self._balance:
            return Enter(self.run.promise("promise_balances"), "enter.balances")
        following = self._next()
        at = balance_words.Weighed(
            self._place, self.run.unit_of(self._balance).symbol, self.text, self._zeroing,
            done=self._has_reading() and not self._again,
            following="" if following is None else self._named(following),
        )  # fmt: skip
        return balance_words.enter(self.run, at)

    def _has_reading(self) -> bool:
        return bool(self._board.readings(*self.thing))

    def _next(self) -> Thing | None:
        """The next thing that waits at this step, None when this one is the last."""
        return self._board.next_thing(self.step, self.thing)

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """What an action does; letters are free for actions, digits are the reading."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        if self._asked:
            return self._act_asked(action)
        walks = {"up": -1, "left": -1, "down": 1, "right": 1}
        if action in walks:
            return Bell() if self.text else self._walk(walks[action])
        has = balance_words.has(self.run, self.step, self.what, action)
        does = self._deeds.get(action) if has else None
        return does() if does is not None else Bell()

    @property
    def _deeds(self) -> dict[str, Callable[[], Outcome]]:
        """What each action does."""
        return {
            "enter": self._enter,
            "back": self._back,
            "repeat": self._repeat,
            "zero": self._zero,
            "look": lambda: Open(LooksPage(self.run, self.step, self.sample)),
            "lost": lambda: self._ask(losing.lost),
            "note": lambda: self._ask(losing.note),
            "amend": self._amend,
            "balances": lambda: Open(BalancesPage(self.run)),
            "switch": self._switch,
        }

    def _zero(self) -> Outcome:
        """What is typed, or will be, is a zero; once more, and it is the object again."""
        self._zeroing = not self._zeroing
        return Stay()

    def _switch(self) -> Outcome:
        """Another balance weighs this from now on."""
        name = self.run.switch_balance(self.what)
        described = self.run.balance_entry(name)
        if described is None:
            return self._refuse(say("balance_only_one"))
        self._said = (say("balance_switched", name=name, step=described.text("step")),)
        self._again = self._has_reading()
        return Stay()

    def _ask(self, what: Callable[[RunLog, str, str, losing.Then], Asking]) -> Outcome:
        self._asking = what(self.run, self.sample, self._place, self._stored)
        return Stay()

    def _act_asked(self, action: str) -> Outcome:
        """A slip was suspected: only what is seen now counts; Esc gives up what was typed."""
        if action == "back":
            self._asked, self._first, self.text, self._staying = [], None, "", False
            return Stay()
        if action == "enter" and is_figure(self.text) and self._first is not None:
            return self._store(slips.rows(self._first, self._asked, self.text))
        return Bell()

    def typed(self, key: str, character: str) -> Outcome:
        """Digits, one mark and backspace make the reading."""
        if self._asking is not None:
            return self._asking.typed(key, character)
        typing = Typing("", self.text, "reading").with_key(key, character or None)
        if typing.text == self.text:
            if self.text and character.isalpha() and self._balance:
                self._said = balance_words.no_letters(self.run, self._balance, character)
            return Bell()
        self.text = typing.text
        if not self._asked:
            self._said = ()
        return Stay()

    def scanned(self, code: str) -> Outcome | None:
        """The sample whose code was scanned goes on the pan; one with nothing to weigh does not."""
        thing = balance_words.thing_of(self._board, self.step, code)
        if thing is None:
            return None
        if self._asked or thing not in self._board.things(self.step):
            return self._refuse(say("balance_no_scan", x=code))
        self.thing, self.text, self._asking, self._said = thing, "", None, ()
        self._zeroing = self._again = False
        return Stay()

    def not_known(self, code: str) -> Outcome:
        """A code that no sample of the run has; it is no reading."""
        return self._refuse(say("code_not_known", x=quoted(code)))

    def tick(self, now: datetime) -> bool:
        """The timer of the fire goes on while beads of another tray are weighed."""
        return self._timer.tick(now)

    def rings(self, now: datetime) -> bool:
        """Whether the bell rings: the time in the fire is over."""
        return self._timer.rings(now)

    def come_back(self) -> None:
        """A page on top was left: what is typed stays."""
        self._said = ()

    # --- what the keys do -----------------------------------------------------------------------

    def _enter(self) -> Outcome:
        if not self._balance:
            return Open(BalancesPage(self.run))
        if self.text:
            return self._offer()
        if self._zeroing or self._again or not self._has_reading():
            return self._refuse(say("balance_type_first", place=self._place))
        return self._on()

    def _values(self) -> dict[str, object]:
        balance, what = self._balance, "zero" if self._zeroing else self.what
        unit = self.run.unit_of(balance).symbol
        values: dict[str, object] = {"what": what, "text": self.text, "unit": unit}
        values["balance"] = balance
        return values if self._zeroing else {**values, "sample": self.sample}

    def _offer(self) -> Outcome:
        """Hold the reading against what is known, then store it or ask."""
        if not is_figure(self.text):
            return self._refuse(say("balance_no_figure", x=self.text))
        values = self._values()
        self._asked = self.run.questions(values)
        if self._asked:
            self._first, self.text = values, ""
            return Bell(say("bell_look_again"))
        return self._store([("reading", values)])

    def _store(self, rows: list[tuple[str, Mapping[str, object]]]) -> Outcome:
        kept, self._asked, self._first = self.text, [], None
        self._again, self._staying = self._staying, False
        try:
            if self.step == "parting" and not self._zeroing:
                rows = [*self.run.cup_row(self.sample), *rows]
            stored = self.run.append_all(rows)[-1]
        except (BadInput, NotDone) as fault:
            self.text, self._said = kept, fault.lines
            return Bell()
        place, unit = self._place, str(stored.values["unit"])
        self.text = ""
        if self._zeroing:
            self._zeroing = False
            return self._tell(say("stored_zero", x=kept, unit=unit, by=stored.by))
        self._said = (say("stored_reading", place=place, x=kept, unit=unit, by=stored.by),)
        if self._again or self._contradicts():
            return Stay()
        return self._on()

    def _contradicts(self) -> bool:
        """Whether the page must stay for its verdict: readings that disagree, impossible ones."""
        seen = self.run.seen(self.sample, self.what)
        return seen is not None and remarks.amiss(self.run, seen, self.sample)

    def _on(self) -> Outcome:
        following = self._next()
        if following is None:
            return Back()
        self.thing, self._again = following, False
        return Stay()

    def _repeat(self) -> Outcome:
        """Another reading of the same bead: store what is typed and stay."""
        if not self.text and not self._has_reading():
            return Bell()
        if self.text:
            self._staying = True
            return self._offer()
        self._again = True
        return Stay()

    def _walk(self, by: int) -> Outcome:
        """To the place before or after, weighed or not."""
        things = self._board.things(self.step)
        if self.thing in things:
            self.thing = things[(things.index(self.thing) + by) % len(things)]
            self._said, self._again = (), False
        return Stay()

    def _amend(self) -> Outcome:
        """Amend the last reading of this bead, else the last reading that was stored."""
        read = self._board.readings(self.sample, self.what)
        last = read or [r.entry for r in self.run.state.readings if r.what != "zero"]
        return Open(AmendPage(self.run, last[-1].n)) if last else Bell()

    def _back(self) -> Outcome:
        if self.text:
            self.text = ""
            return Stay()
        if self._zeroing or self._again:
            self._zeroing = self._again = False
            return Stay()
        return Back()

    def _stored(self, said: str) -> Outcome:
        """After a word was stored that ends the work on this bead, or does not."""
        self._said = (said,)
        if self._board.lost(self.sample):
            return self._on()
        return Stay()
