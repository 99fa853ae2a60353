"""The guided path: two catches of gold and a cheap scale, one plain question after another.

For somebody who never did this. Every answer is stored when it is given, as the entries that the
editor and the balance page would make, so nothing is lost and everything can be looked at there.
"""

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import NamedTuple

from assaybench.bench import guided_words
from assaybench.bench.amounts import in_percent, with_unit
from assaybench.bench.asking import Asking, go_on
from assaybench.bench.characters import cells, leader
from assaybench.bench.circuit_model import CATCHES, SCALE, Model, Spot, rows_for
from assaybench.bench.minutes import Minute
from assaybench.bench.page import Back, Bell, Instead, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Still
from assaybench.bench.pages.caught import CaughtPage
from assaybench.bench.result_remarks import one_line
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.logbook.faults import NotDone
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, quoted, say
from assaybench.record import check, slips
from assaybench.record.kinds import BY_NAME
from assaybench.units import parse, table

_ENOUGH = 2
_KEYS = ("enter.take", "up.earlier", "help", "back")
_OVER_KEYS = ("enter.caught", "up.earlier", "help", "back")
_CIRCUIT = BY_NAME["circuit"].by_name
_STEP = BY_NAME["balance"].by_name["step"]
_USUAL = "5 %"
_FAR_STEPS = 5
"""Steps that an empty scale may show without a question; our own bound."""


class _Given(NamedTuple):
    """An answer that can be typed anew.

    Attributes:
        label: what it is.
        told: as it stands.
        again: takes it anew.
    """

    label: str
    told: str
    again: Callable[[str], None]


class GuidedPage(Asks, Still):
    """The questions that are still open, one at a time; then what follows, in plain words.

    Attributes:
        run: the log.
    """

    name = "guided"

    def __init__(self, run: RunLog) -> None:
        """Find the first question that is open.

        Args:
            run: the log.
        """
        self.run = run
        self._skipped: set[str] = set()
        self._back = 0
        self._asking: Asking | None = self._next()
        self._said: tuple[str, ...] = ()
        self._minute = Minute()

    # --- which question is open -----------------------------------------------------------------

    @property
    def _balance(self) -> str:
        return self.run.balance_for("bead" if Model(self.run.state).unparted else "gold")

    @property
    def _what(self) -> str:
        return "bead" if Model(self.run.state).unparted else "gold"

    def _read(self, product: str) -> int:
        """How often a catch was weighed."""
        return sum(r.sample == CATCHES[product] for r in self.run.state.readings)

    @property
    def _elsewhere(self) -> bool:
        """Whether the gold was typed in another way already."""
        model = Model(self.run.state)
        return any(
            model.typed(spot) and model.sample_of(spot) != CATCHES[spot.product]
            for spot in model.spots()
        )

    def _next(self) -> Asking | None:
        """The first question that has no answer yet; None when all have."""
        if self._elsewhere:
            return None
        if not self._balance:
            return self._ask_scale()
        begun = self._read("concentrate") > 0
        if not (begun or Model(self.run.state).unparted or "kind" in self._skipped):
            return self._ask_kind()
        feed = Model(self.run.state).entry(Spot("feed"))
        weighed = feed is not None and (feed.text("mass") or feed.text("wet_mass"))
        if not (begun or weighed or "feed" in self._skipped):
            return self._ask_feed()
        if self.run.last_zero(self._balance) is None and "zero" not in self._skipped:
            return self._ask_zero()
        for product in CATCHES:
            times = self._read(product)
            if times == 0:
                return self._ask_catch(product)
            if times < _ENOUGH and product not in self._skipped:
                return self._ask_again(product)
        return None

    # --- the questions --------------------------------------------------------------------------

    def _ask_scale(self) -> Asking:
        def answer(text: str) -> Outcome:
            if not text:
                raise BadInput.of("guided_hint_scale")
            step = self._step(text)
            values = {"name": SCALE, "step": step, "weighs": ["gold", "bead"]}
            self.run.append("balance", values)
            return Stay()

        return self._asks("scale", answer)

    def _ask_kind(self) -> Asking:
        def answer(text: str) -> Asking | Outcome:
            if text.lower() in ("p", "y", "yes", say("guided_parted")):
                self._skipped.add("kind")
                return Stay()
            if text.lower() not in ("", "n", "no"):
                raise BadInput.of("guided_kind_which", x=quoted(text))
            return self._asks("fineness", self._fineness)

        return self._asks("kind", answer)

    def _fineness(self, text: str) -> Outcome:
        share = in_percent(text or _USUAL)
        self._feed({"fineness_spread": check.value(_CIRCUIT["fineness_spread"], share)})
        return Stay()

    def _ask_feed(self) -> Asking:
        def answer(text: str) -> Outcome:
            if not text:
                self._skipped.add("feed")
                return Stay()
            mass = with_unit(parse.clean(text), "kg")
            self._feed({"mass": self._mass(mass, text)})
            return Stay()

        return self._asks("feed", answer)

    def _feed(self, more: dict[str, object]) -> None:
        """More of the feed; it has one entry."""
        entry = Model(self.run.state).entry(Spot("feed"))
        standing = {"product": "feed"} if entry is None else dict(entry.values)
        self.run.append_all(rows_for(entry, "circuit", {**standing, **more}, say("circuit_added")))

    def _ask_zero(self) -> Asking:
        def answer(text: str) -> Asking | Outcome:
            if not text:
                self._skipped.add("zero")
                return Stay()
            values = self._reading("zero", text)
            if self._far_from_zero(str(values["text"])):
                x = f"{values['text']} {values['unit']}"
                return Asking(say("guided_look_again"), kept, hint=(say("guided_zero_far", x=x),))
            return kept(text)

        def kept(text: str) -> Outcome:
            self.run.append("reading", self._reading("zero", text))
            return Stay()

        return self._asks("zero", answer)

    def _far_from_zero(self, shown: str) -> bool:
        """Whether an empty scale shows more than a few of its steps."""
        entry = self.run.balance_entry(self._balance)
        step = parse.figure(entry.text("step"), table.MASS).value if entry is not None else 0
        return abs(parse.number(parse.clean(shown))) > _FAR_STEPS * step

    def _reading(self, what: str, text: str) -> dict[str, object]:
        """A reading of the scale, as displayed."""
        unit = self.run.unit_of(self._balance).symbol
        shown = text.strip().removesuffix(unit).strip()
        self._plain(lambda: parse.number(parse.clean(shown)), "guided_number", text, unit=unit)
        return {"what": what, "text": shown, "unit": unit, "balance": self._balance}

    @staticmethod
    def _plain(take: Callable[[], object], code: str, text: str, **fields: str) -> object:
        """What is taken; one that will not do is told in the plain words of this page."""
        try:
            return take()
        except BadInput as fault:
            raise BadInput.of(code, x=quoted(text), **fields) from fault

    def _step(self, text: str) -> str:
        step = with_unit(text, "g")
        return str(self._plain(lambda: check.value(_STEP, step), "guided_step", text))

    def _mass(self, mass: str, text: str) -> object:
        return self._plain(lambda: check.value(_CIRCUIT["mass"], mass), "guided_mass", text)

    def _ask_catch(self, product: str) -> Asking:
        def answer(text: str) -> Asking | Outcome:
            if not text:
                raise BadInput.of("guided_hint_catch")
            return self._weighed(product, text)

        return self._asks("catch", answer, product)

    def _ask_again(self, product: str) -> Asking:
        def answer(text: str) -> Asking | Outcome:
            if text:
                return self._weighed(product, text)
            self._skipped.add(product)
            return Stay()

        return self._asks("again", answer, product)

    def _weighed(self, product: str, text: str) -> Asking | Outcome:
        """A catch on the scale; a slip that is suspected is asked about before it is stored."""
        values = {**self._reading(self._what, text), "sample": CATCHES[product]}
        before = self._made(product)
        asked = [] if before else self.run.questions(values)
        if not asked:
            self.run.append_all([*before, ("reading", values)])
            self._said = tuple(filter(None, [guided_words.apart(self.run, CATCHES[product])]))
            return Stay()

        def answer(seen: str) -> Outcome:
            self.run.append_all(slips.rows(values, asked, seen))
            return Stay()

        hint = tuple(question.sentence.replace("\n", " ") for question in asked)
        return Asking(say("guided_look_again"), answer, hint=hint)

    def _made(self, product: str) -> list[Row]:
        """The sample of a catch and its product, where they are not there yet."""
        name = CATCHES[product]
        if name in self.run.state.samples:
            return []
        silver = {"silver": "none"} if Model(self.run.state).unparted else {}
        return [
            ("sample", {"id": name, "role": "sample", **silver}),
            ("circuit", {"product": product, "sample": name}),
        ]

    def _asks(
        self, name: str, answer: Callable[[str], Asking | Outcome], product: str = ""
    ) -> Asking:
        which = say(f"guided_{product}") if product else ""
        unit = self.run.unit_of(self._balance).symbol
        hint = (say(f"guided_hint_{name}"), *guided_words.safety(name))
        return Asking(say(f"guided_{name}", which=which, unit=unit), answer, hint=hint)

    # --- an answer before -----------------------------------------------------------------------

    def _given(self) -> list[_Given]:
        """The answers that stand, in order."""
        found = []
        entry = self.run.balance_entry(self._balance) if self._balance else None
        if entry is not None:
            found.append(_Given(say("guided_list_scale"), entry.text("step"), self._step_anew))
        mass = self._fed()
        if mass:
            found.append(_Given(say("guided_list_feed"), mass, self._feed_anew))
        for record in self.run.state.readings:
            told = f"{record.entry.text('text')} {record.entry.text('unit')}"
            name = record.sample or say("guided_list_zero")
            found.append(_Given(name, told, partial(self._read_anew, record.entry.n)))
        return found

    def _fed(self) -> str:
        feed = Model(self.run.state).entry(Spot("feed"))
        return "" if feed is None else feed.text("mass") or feed.text("wet_mass")

    def _amended(self, n: int, values: dict[str, object]) -> None:
        reason = say("guided_anew_reason")
        self.run.append("amendment", {"entry": n, **values, "reason": reason})

    def _step_anew(self, text: str) -> None:
        step = self._step(text)
        entry = self.run.balance_entry(self._balance)
        if entry is not None:
            self._amended(entry.n, {"step": step})

    def _feed_anew(self, text: str) -> None:
        self._feed({"mass": self._mass(with_unit(parse.clean(text), "kg"), text)})

    def _read_anew(self, n: int, text: str) -> None:
        self._amended(n, {"text": self._reading("", text)["text"]})

    def _earlier(self) -> Outcome:
        """Go back to the answer before; Enter alone leaves it as it is."""
        given = self._given()
        if self._back >= len(given) or self._elsewhere:
            self._said = (say("guided_no_earlier"),)
            return Bell()
        self._back += 1
        one = given[-self._back]

        def answer(text: str) -> Outcome:
            if text:
                one.again(text)
            self._back = 0
            return Stay()

        prompt = say("guided_anew", what=one.label, now=one.told)
        self._asking = Asking(prompt, answer, hint=(say("guided_hint_anew"),))
        return Stay()

    # --- what it shows --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """What was answered so far, or what follows from it."""
        over = self._asking is None
        block = guided_words.result(self.run) if over else self._answered()
        return Sheet(
            left=self.run.title,
            title=say("title_guided"),
            right=self.run.desk.who_and_when(),
            block=tuple(block[: room.block_lines]),
            margin=self._margin(),
            promise=self.run.promise("promise_guided"),
            keys=_OVER_KEYS if over else _KEYS,
            typing=None if self._asking is None else self._asking.typing,
            about=(say("about_guided"), say("about_guided_back"), say("about_guided_safety")),
        )

    def _margin(self) -> tuple[str, ...]:
        if self._asking is not None:
            said = [*self._asking.margin]
        elif self._elsewhere:
            said = [say("guided_elsewhere")]
        else:
            said = guided_words.scale(self.run, list(CATCHES.values()))
        return tuple(map(one_line, (*self._said, *said)))

    def _answered(self) -> list[Line]:
        """Everything that is stored, as a list that grows."""
        rows: list[Line] = [(), line(Span(say("guided_so_far"), "bold"))]
        rows += [_led(one.label, one.told) for one in self._given()]
        return rows if len(rows) > 2 else guided_words.welcome()

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Enter answers; Esc leaves, and what was answered stays."""
        if action == "back":
            return Back()
        self._said = ()
        if action == "up":
            return self._earlier()
        if self._asking is None:
            return Instead(CaughtPage(self.run)) if action == "enter" else Bell()
        try:
            self._asking, outcome = go_on(self._asking, action)
            if self._asking is None:
                self._asking = self._next()
        except (BadInput, NotDone) as fault:
            self._said = fault.lines
            return Bell()
        return outcome

    def tick(self, now: datetime) -> bool:
        """A minute went by on the clock."""
        return self._minute.passed(now)


def _led(label: str, text: str) -> Line:
    if cells(label) + cells(text) > BLOCK_WIDTH - 6:
        return line(f"  {label}  {text}")
    return line(leader(f"  {label}", text, BLOCK_WIDTH))
