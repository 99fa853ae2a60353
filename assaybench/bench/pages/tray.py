"""The tray: a plan of the muffle that serves every step; arrows move the bracket, Enter acts.

Steps are done for the whole tray, as in the laboratory. Only the upper line of each place changes
with the step. Nothing here weighs; the balance page does, and comes back to the next place.
"""

from collections.abc import Mapping
from datetime import datetime
from functools import partial

from assaybench.bench import frame, plan_lines, tray_remarks
from assaybench.bench.actions import Keymap, keymap
from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.minutes import Minute
from assaybench.bench.page import ARROWS, Back, Bell, Door, Open, Outcome, Room, Stay
from assaybench.bench.pages import charge, firing, losing, places, safety, tray_words, weigh_in
from assaybench.bench.pages.amend import AmendPage
from assaybench.bench.pages.balance import BalancePage
from assaybench.bench.pages.balances import BalancesPage
from assaybench.bench.pages.looks import LooksPage
from assaybench.bench.plan import Place, Plan
from assaybench.bench.plan_lines import Bracket
from assaybench.bench.printing import as_printed, print_page
from assaybench.bench.run_log import RunLog
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import Beside, Line, Sheet, Span, line
from assaybench.bench.timer import Timer
from assaybench.bench.tray import STEPS, Board, Step, where
from assaybench.bench.tray_remarks import Remark
from assaybench.logbook.settings_keys import ACTIONS
from assaybench.messages import quoted, say

_KEYS: dict[Step, tuple[str, ...]] = {
    "weigh-in": ("arrows", "find", "move", "print", "help", "back"),
    "charge": ("arrows", "charge", "lost", "print", "help", "back"),
    "fire": ("drives", "blick", "out", "frozen", "lost", "help", "back"),
    "beads": ("arrows", "look", "lost", "print", "help", "back"),
    "parting": ("arrows", "look", "lost", "print", "help", "back"),
}
"""The key line of each step behind Enter, whose word is that of what it does now."""
_SAME_AS_ENTER = {"in": "out", "drives": "drives", "out": "out"}
"""In the fire, the letter that gives way to Enter: it does the same, or cannot be done yet."""
_AROUND = 12
"""Lines of a printed page beside those of the rows."""


class TrayPage(Saying):
    """The tray of one run.

    Attributes:
        run: the log.
        step: the step that is shown.
        bracket: where it stands.
    """

    def __init__(
        self, run: RunLog, doors: Mapping[str, Door] | None = None, keys: Keymap | None = None
    ) -> None:
        """Lay the tray out at the step and the place where the work was left.

        Args:
            run: the log.
            doors: the pages of other steps, by their step: results, seal.
            keys: which key does what, for the print.
        """
        self.run = run
        self._doors = dict(doors or {})
        self._keys = keys or keymap({}, ACTIONS)
        settings = run.desk.settings
        left = where(run.state, settings.tray, settings.cups)
        self.step: Step = left.step if left.step in _KEYS else "parting"
        self.bracket = Bracket(0, 0)
        self._asking: Asking | None = None
        self._timer = Timer(run)
        self._minute = Minute()
        self._writing = False
        broke = run.resumed()
        if broke is not None:
            self._said = (say("tray_resumed", gap=broke.sentence),)
        self._to(left.sample or None)

    @property
    def name(self) -> str:
        """Its name in the table of actions: the fire has letters of its own."""
        return "fire" if self.step == "fire" else "tray"

    @property
    def board(self) -> Board:
        """The tray at this state of the log."""
        return self.run.board()

    @property
    def plan(self) -> Plan:
        """The plan that is drawn."""
        return self.board.plan(self.step)

    @property
    def sample(self) -> str | None:
        """Who lives under the bracket; None for a free place, a letter, the notch."""
        place = self.bracket.place
        return None if place is None else self.plan.at.get(place)

    @property
    def samples(self) -> list[str]:
        """Who is meant by the bracket: one place, a whole row, or the whole tray."""
        return tray_words.samples(self.plan, self.bracket)

    def _to(self, sample: str | None) -> None:
        """The bracket goes to a sample; without one, to the first free place, or stays."""
        place = self.plan.of.get(sample) if sample else self.plan.first_free()
        if place is not None:
            self.bracket = Bracket(place.row, place.column)

    # --- what it shows --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """The plan with its bracket, remarks in the margin."""
        lines = room.block_lines - 1
        does = tray_words.enter(self.run, self.step, self.bracket)
        return Sheet(
            left=self.run.title,
            title=say("title_cups" if self.step == "parting" else "title_tray"),
            right=self.run.desk.who_and_when(),
            block=tuple(plan_lines.lines(self.board, self.step, self.bracket, lines)),
            margin=self._margin(room.margin_width, lines),
            promise=does.promise,
            keys=self._key_line(does.key) if self._asking is None else ANSWER_KEYS,
            steps=self._steps(),
            typing=self._asking.typing if self._asking is not None else None,
            about=(say("about_tray"), *safety.about(self.step)),
        )

    def _key_line(self, enter: str) -> tuple[str, ...]:
        hidden = ""
        if enter and self.step == "fire":
            hidden = _SAME_AS_ENTER.get(firing.next_mark(self.board, self.samples), "out")
        keys = (enter, *_KEYS[self.step]) if enter else _KEYS[self.step]
        return safety.keys(self.run, self.step, tuple(key for key in keys if key != hidden))

    def _steps(self) -> Line:
        parts: list[str | Span] = []
        for i, step in enumerate(STEPS, start=1):
            parts.append("   " if i > 1 else "")
            here = step == self.step
            parts.append(Span(f"[{i} {step.upper()}]", "bold") if here else f"{i} {step}")
        return line(*parts)

    def _margin(self, width: int, lines: int, *, paper: bool = False) -> tuple[str | Beside, ...]:
        if self._asking is not None:
            return self._asking.margin
        due = self._timer.due(self.run.desk.clock())
        first = [*([due] if due else []), *safety.unread(self.run, self.step), *self._said]
        first += tray_remarks.standing(self.run, self.step)
        if self.step == "fire" and not due:
            first.append(firing.told(self._timer, self.run.desk.clock()))
        following = self.board.next_due(self.step)
        if following is not None:
            fields = {"place": self.plan.named(following), "sample": following}
            first.append(say("tray_margin_next", **fields))
        elif self.run.state.samples:
            first.append(tray_remarks.nothing_waits(self.step))
        if self.sample is not None and self.sample != following:
            first.append(tray_words.of_sample(self.board, self.step, self.sample))
        remarks = tray_remarks.of_tray(self.run, self.step)
        counts = self.board.counts(self.step)
        part = plan_lines.in_part(self.board, self.step, self.bracket, lines)
        if part and not paper:  # on paper all of it is in sight
            remarks.append(Remark(part))
        kept = tray_remarks.fitting(first, remarks, counts, width, lines)
        return tray_remarks.beside(self.board, self.step, kept, counts, lines)

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """What an action does at this step."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        self._said = ()
        if action in ARROWS:
            return self._walk(*ARROWS[action])
        return self._try(lambda: self._do(action))

    def _do(self, action: str) -> Outcome:
        safety.first(self.run, self.step, action)
        match action:
            case "back":
                return Back()
            case "enter":
                return self._enter()
            case "find":
                self._asking = places.find(self.run, self.step, self._found)
            case "print":
                return self._print()
            case "minutes":
                self._asking = firing.ask_minutes(self.run, self._tell)
            case "drives" | "blick" | "out" | "frozen":
                return self._mark(action)
            case "balances":
                return Open(BalancesPage(self.run))
            case _:
                return self._do_place(action)
        return Stay()

    def _do_place(self, action: str) -> Outcome:
        """What is done with the sample under the bracket."""
        sample = self.sample
        if sample is None:
            return self._refuse(say("tray_no_sample"))
        place = self.plan.named(sample)
        match action:
            case "look":
                return Open(LooksPage(self.run, self.step, sample))
            case "lost":
                self._asking = losing.lost(self.run, sample, place, self._tell)
            case "note":
                self._asking = losing.note(self.run, sample, place, self._tell)
            case "charge":
                self._asking = charge.ask(self.run, sample, place, self._on)
            case "move":
                moved = partial(self._moved, sample)
                self._asking = places.move(self.run, self.step, sample, moved)
            case "amend":
                return Open(AmendPage(self.run, tray_words.entry(self.board, self.step, sample)))
            case _:
                return Bell()
        return Stay()

    def typed(self, key: str, character: str) -> Outcome:
        """A digit chooses a step; while something is asked, keys are its answer."""
        if self._asking is not None:
            return self._asking.typed(key, character)
        if character.isdigit() and 1 <= int(character) <= len(STEPS):
            return self._step(STEPS[int(character) - 1])
        return Bell()

    def scanned(self, code: str) -> Outcome | None:
        """The bracket goes to the sample whose code was scanned."""
        sample = self.board.first_part(code) or code
        if sample not in self.plan.of:
            # so many digits in one go choose no step
            return self.not_known(code) if code.isdigit() and self._asking is None else None
        self._asking, self._said = None, ()
        self._to(sample)
        return Stay()

    def not_known(self, code: str) -> Outcome:
        """A code that no sample of the run has."""
        return self._refuse(say("code_not_known", x=quoted(code)))

    def tick(self, now: datetime) -> bool:
        """A minute went by on the clock or on the timer."""
        passed = self._minute.passed(now)
        return self._timer.tick(now) or passed

    def rings(self, now: datetime) -> bool:
        """Whether the bell rings: the time in the fire is over."""
        return self._timer.rings(now)

    def come_back(self) -> None:
        """Back from the balance: the bracket goes to what waits now, or where to write next."""
        sample = self.sample
        if self._writing:
            self._writing = False
            self._to(None)
            return
        if sample is None or self.board.cell(self.step, sample).status != "to do":
            following = self.board.next_due(self.step)
            if following is not None or self.step == "weigh-in":
                self._to(following)

    # --- what the keys do -----------------------------------------------------------------------

    def _step(self, step: Step) -> Outcome:
        self._said = ()
        if step not in _KEYS:
            door = self._doors.get(step)
            if door is None:
                return self._refuse(say("tray_no_page", step=step))
            return Open(door(self.run))
        self.step = step
        following = self.board.next_due(step)
        if following is not None or step == "weigh-in":
            self._to(following)
        return Stay()

    def _walk(self, down: int, right: int) -> Outcome:
        """The bracket moves by one; left of the first place is the letter of the row."""
        row, column = self.bracket.row + down, self.bracket.column + right
        first = -1 if column < 0 else 0
        if not first <= row < self.plan.rows or not -1 <= column < self.plan.columns:
            return Bell()
        if row < 0 <= column:
            return Bell()
        self.bracket = Bracket(row, column)
        return Stay()

    def _enter(self) -> Outcome:
        if safety.unread(self.run, self.step):
            safety.read(self.run, self.step)
            return Stay()
        if self.step == "weigh-in":
            return self._enter_weigh_in()
        if not self.samples:
            return self._refuse(say("tray_no_sample"))
        match self.step:
            case "charge":
                return self._enter_charge()
            case "fire":
                return self._mark(firing.next_mark(self.board, self.samples))
        return self._weigh()

    def _enter_weigh_in(self) -> Outcome:
        place = self.bracket.place
        if place is not None and self.sample is None:
            self._asking = weigh_in.ask(self.run, place, self._written)
            return Stay()
        if self.sample is not None and self.board.no_charge(self.sample):
            return self._refuse(say("tray_no_charge"))
        return self._weigh()

    def _written(self, sample: str) -> Outcome:
        """A sample was written down: its charge is weighed now, or the next place waits."""
        if self.board.no_charge(sample):
            self._to(None)
            return self._tell(say("stored_sample", sample=sample))
        self._writing = True
        return Open(BalancePage(self.run, self.step, sample))

    def _weigh(self) -> Outcome:
        state = {s: self.board.cell(self.step, s).status for s in self.samples}
        waits = [s for s, status in state.items() if status == "to do"]
        some = waits or [s for s, status in state.items() if status != "none"]
        sample = self.sample or next(iter(some), None)
        if sample is None:
            return self._refuse(say("tray_no_sample"))
        if self.board.lost(sample):
            place, why = self.plan.named(sample), self.board.lost(sample)
            return self._refuse(say("margin_lost", place=place, why=why))
        return Open(BalancePage(self.run, self.step, sample))

    def _enter_charge(self) -> Outcome:
        offer = charge.last_charge(self.run.state)
        due = charge.due(self.board, self.samples)
        if offer is None or not due:
            sample = self.sample or self.samples[0]
            self._asking = charge.ask(self.run, sample, self.plan.named(sample), self._on)
            return Stay()
        charge.store(self.run, due, offer)
        place = tray_words.begun(self.bracket)
        return self._on(say("stored_charge", place=place, charge=offer.text))

    def _mark(self, mark: str) -> Outcome:
        if self.step != "fire":
            return Bell()
        n = firing.mark(self.run, self.samples, mark)
        told = say(f"stored_mark_{mark}", place=tray_words.begun(self.bracket), n=n)
        return self._tell(told) if n else self._refuse(told)

    def _found(self, place: Place) -> Outcome:
        self.bracket = Bracket(place.row, place.column)
        return Stay()

    def _moved(self, sample: str, said: str) -> Outcome:
        self._to(sample)
        return self._tell(said)

    def _print(self) -> Outcome:
        height = max(frame.DRAWN_HEIGHT, 3 * self.plan.rows + _AROUND)
        room = frame.room(frame.LEAST_WIDTH, height, ascii_only=True)
        blocks = plan_lines.in_bands(self.board, self.step, self.bracket, height)
        margin = self._margin(room.margin_width, room.block_lines - 1, paper=True)
        sheet = self.sheet(room)._replace(margin=margin)
        text = as_printed(sheet, self._keys, blocks, height)
        path = print_page(self.run, self.step, text)
        return self._tell(say("stored_print", path=path))

    def _on(self, said: str) -> Outcome:
        """Something was stored for the bracket: it goes to the next place that waits."""
        self._said = (said,)
        following = self.board.next_due(self.step, self.sample or "")
        if following is not None and self.bracket.column >= 0:
            self._to(following)
        return Stay()
