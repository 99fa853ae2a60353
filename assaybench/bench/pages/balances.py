"""Balances: which there are, what is known of each, and today's check.

A check and a spread are guided: zero and weight are typed in turn, and every one of those readings
stays in the log. Everything goes to the log that is open.
"""

from collections.abc import Callable, Sequence
from datetime import datetime
from fractions import Fraction
from functools import partial
from statistics import stdev

from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on, typed_into
from assaybench.bench.characters import cut, leader
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.run_log import RunLog
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, say
from assaybench.metrology.weights import CLASSES
from assaybench.metrology.weights import weight as class_weight
from assaybench.record import check
from assaybench.record.kinds import BY_NAME, WHAT
from assaybench.record.scales import check_weight
from assaybench.record.suspect import last_check, suspects
from assaybench.record.told import scale_told
from assaybench.record.typed import without_doubt
from assaybench.units import parse, table, write
from assaybench.units.table import MILLIGRAM

REPEATS = 10
"""Readings behind a spread: common practice."""
_KEYS = ("enter.check", "arrows", "add", "spread", "help", "back")
_USUAL: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("mg", ("bead", "gold", "silver")),
    ("g", ("charge", "product", "portion", "total", "plus", "minus")),
)
"""What a new balance weighs, by the unit of its display, where nothing is described for it yet."""


class BalancesPage:
    """The balances of the open log.

    Attributes:
        run: the log.
    """

    name = "balances"

    def __init__(self, run: RunLog) -> None:
        self.run = run
        self._at = 0
        self._asking: Asking | None = None
        self._said: tuple[str, ...] = ()

    @property
    def _names(self) -> list[str]:
        return list(self.run.state.balances)

    def sheet(self, room: Room) -> Sheet:
        """One line for each balance, and what is known of the one under the pointer."""
        names = self._names
        block: list[Line] = [line(say("balances_heading")), ()]
        for i, name in enumerate(names):
            here = i == self._at
            left, right = f"{'>' if here else ' '} {name} ", f" {self.state_word(name)}"
            text = leader(left.rstrip(), right.strip(), room.block_width)
            block.append(line(Span(text, "bold" if here else "plain")))
        if names:
            block += [(), *(line(f"  {fact}") for fact in self._facts(names[self._at]))]
        return Sheet(
            left=self.run.title,
            title=say("title_balances"),
            right=self.run.desk.who_and_when(),
            block=tuple(block),
            margin=self._margin(),
            promise=self._promise(),
            keys=self._keys(names),
            typing=self._asking.typing if self._asking is not None else None,
            about=(say("about_balances"),),
        )

    def _keys(self, names: Sequence[str]) -> tuple[str, ...]:
        if self._asking is not None:
            return ANSWER_KEYS
        return _KEYS if names else ("enter.add", "help", "back")

    def _promise(self) -> str:
        if not self._names:
            return self.run.promise("promise_add_balance")
        return self.run.promise("promise_check", name=self._names[self._at])

    def _margin(self) -> tuple[str, ...]:
        if self._asking is not None:
            return (*self._asking.margin, *self._said)
        said = [*self._said]
        said += [suspect.flag.text for suspect in suspects(self.run.state)]
        if not self._names:
            return (*said, say("balances_none"))
        balance = self.run.state.balances[self._names[self._at]]
        if balance.spread_mg is None:
            said.append(say("balances_spread_unknown"))
        unchecked = self.state_word(self._names[self._at]) == say("balance_word_unchecked")
        return (*said, *([say("balances_margin")] if unchecked else ()))

    def state_word(self, name: str) -> str:
        """Today's state in a few words: `good at 08:05`, `not checked today`."""
        now = self.run.desk.clock()
        found = last_check(self.run.state, name)
        if found is None or found[0].entry.at.astimezone(now.tzinfo).date() != now.date():
            return say("balance_word_unchecked")
        code = {True: "balance_word_good", False: "balance_word_bad", None: "balance_word_checked"}
        return say(code[found[1]], t=f"{found[0].entry.at.astimezone(now.tzinfo):%H:%M}")

    def _facts(self, name: str) -> list[str]:
        """Step, spread, calibration and use of a balance, as described."""
        entry = self.run.balance_entry(name)
        if entry is None:
            return []
        facts = [say("balance_step", step=entry.text("step"))]
        if entry.text("spread"):
            facts.append(say("balance_spread", s=entry.text("spread")))
        if entry.whole("repeats"):
            facts.append(say("balance_repeats", n=entry.whole("repeats")))
        facts += self._calibration(name, entry.text("calibration"))
        if entry.texts("weighs"):
            facts.append(say("balance_weighs", list=", ".join(entry.texts("weighs"))))
        return facts

    @property
    def _declared(self) -> str:
        """The calibration that was declared of the balance under the pointer, as typed."""
        entry = self.run.balance_entry(self._names[self._at])
        return "" if entry is None else entry.text("calibration")

    def _calibration(self, name: str, declared: str) -> list[str]:
        """What the scale rests on: as declared, else on the checks."""
        if declared:
            return [say("balance_calibration", u=declared)]
        scale = self.run.state.scales.get(name)
        if scale is None:
            return [say("balance_calibration_none")]
        told = say("balance_calibration_checked", u=write.percent(scale.u), weight=scale.weight)
        return [cut(told, BLOCK_WIDTH - 2)]

    # --- adding ---------------------------------------------------------------------------------

    def _add(self) -> Asking:
        """Name, step and what it weighs; then it is described."""

        def name(text: str) -> Asking:
            check.value(BY_NAME["balance"].by_name["name"], text)
            if text in self.run.state.balances:
                raise BadInput.of("balance_there", name=text)
            return Asking(say("ask_step"), lambda step: self._ask_weighs(text, step),
                          hint=(say("ask_step_hint"),))  # fmt: skip

        return Asking(say("ask_balance"), name, "text", hint=(say("ask_balance_hint"),))

    def _ask_weighs(self, name: str, step: str) -> Asking:
        typed = parse.figure(step, table.MASS, example="0.001 mg")
        check.value(BY_NAME["balance"].by_name["step"], step)
        taken = self.run.state.weighs
        usual = dict(_USUAL).get(typed.unit.symbol, ())
        offered = [what for what in usual if what not in taken]

        def answer(text: str) -> Outcome:
            weighs = text.replace(",", " ").split() if text else offered
            values: dict[str, object] = {"name": name, "step": step}
            self.run.append("balance", {**values, "weighs": weighs} if weighs else values)
            self._at = self._names.index(name)
            return self._done(say("stored_balance", name=name))

        shown = ", ".join(offered) or say("ask_weighs_none")
        hint = (say("ask_weighs_hint", list=shown), ", ".join(WHAT[1:]))
        return Asking(say("ask_weighs"), answer, hint=hint)

    # --- checking -------------------------------------------------------------------------------

    def _ask_weight(self, readings: int, then: Callable[[str, list[str], list[str]], Outcome]
                    ) -> Asking:  # fmt: skip
        """Which check weight, then its zeros and readings in turn.

        Args:
            readings: how many readings of the weight.
            then: takes the weight's name, the zeros and the readings.
        """
        weights = {w.text("name"): w for w in reversed(self.run.state.of("weight"))}
        known = [w.text("name") for w in self.run.state.of("weight")]

        def answer(text: str) -> Asking:
            name = text or (known[-1] if known else "")
            if not name:
                raise BadInput.of("ask_weight_hint")
            go = partial(self._ask_reading, name, readings, [], [], then)
            if name not in known:
                return self._ask_mass(name, go)
            weight = weights[name]
            if check_weight(weight) is None and not self._declared:
                return self._ask_class(name, weight.text("mass"), go, weight.n)
            return go()

        hint = (say("ask_weight_known", list=", ".join(known)),) if known else ()
        return Asking(say("ask_weight"), answer, hint=(*hint, say("ask_weight_hint")))

    def _ask_mass(self, name: str, then: Callable[[], Asking]) -> Asking:
        def answer(text: str) -> Asking:
            check.value(BY_NAME["weight"].by_name["mass"], text)
            if without_doubt(text, MILLIGRAM):
                return self._ask_class(name, text, then, None)
            self.run.append("weight", {"name": name, "mass": text})
            return then()

        return Asking(say("ask_weight_mass", name=name), answer,
                      hint=(say("ask_weight_mass_hint"),))  # fmt: skip

    def _ask_class(
        self, name: str, mass: str, then: Callable[[], Asking], entry: int | None
    ) -> Asking:
        """The class of a nominal weight, which says how good it is.

        Args:
            name: of the weight.
            mass: as typed.
            then: what is asked behind it.
            entry: number of its entry where it is described already; its class is added there.
        """

        def answer(text: str) -> Asking:
            given: dict[str, object] = {"accuracy_class": _class_of(text, mass)} if text else {}
            if entry is None:
                self.run.append("weight", {"name": name, "mass": mass, **given})
            elif given:
                why = say("weight_class_given")
                self.run.append("amendment", {"entry": entry, **given, "reason": why})
            return then()

        hint = say("ask_weight_class_hint", classes=", ".join(CLASSES))
        return Asking(say("ask_weight_class", name=name), answer, hint=(hint,))

    def _ask_reading(
        self,
        weight: str,
        wanted: int,
        zeros: list[str],
        texts: list[str],
        then: Callable[[str, list[str], list[str]], Outcome],
    ) -> Asking:
        """Zero and weight in turn, until there are enough of both."""
        zero = len(zeros) == len(texts)
        code = "ask_check_zero" if zero else "ask_check_reading"
        n = len(texts) + 1

        def answer(text: str) -> Asking | Outcome:
            parse.number(parse.clean(text))
            more = ([*zeros, text], texts) if zero else (zeros, [*texts, text])
            if len(more[1]) == wanted:
                return then(weight, *more)
            return self._ask_reading(weight, wanted, *more, then)

        hint = (say("ask_check_hint"), *self._so_far(zeros, texts))
        return Asking(say(code, n=n, of=wanted, weight=weight), answer, "reading", hint=hint)

    def _so_far(self, zeros: list[str], texts: list[str]) -> list[str]:
        nets = _nets(zeros, texts)
        return (
            [say("check_so_far", list=" ".join(write.short(net, 7) for net in nets))]
            if (nets)
            else []
        )

    def _check(self) -> Asking:
        """One check with a weight, held to the limit of the check before it or to a new one."""
        name = self._names[self._at]
        before = last_check(self.run.state, name)
        limit = before[0].text("tolerance") if before is not None else ""
        if limit:
            return self._ask_weight(1, self._checked(name, limit))

        def answer(text: str) -> Asking:
            if text:
                check.value(BY_NAME["balance_check"].by_name["tolerance"], text)
            return self._ask_weight(1, self._checked(name, text))

        return Asking(say("ask_limit", name=name), answer, hint=(say("ask_limit_hint"),))

    def _checked(self, name: str, limit: str) -> Callable[[str, list[str], list[str]], Outcome]:
        def then(weight: str, zeros: list[str], texts: list[str]) -> Outcome:
            self.run.append_all([self._check_row(name, weight, zeros, texts, limit)])
            found = last_check(self.run.state, name)
            good = found[1] if found is not None else None
            code = {True: "check_good", False: "check_bad", None: "check_no_limit"}[good]
            self._said = (say(code, name=name), *self._calibrated(name))
            return Stay()

        return then

    def _calibrated(self, name: str) -> list[str]:
        """What a check says of the scale; nothing where the calibration was declared."""
        return scale_told(self.run.state, self.run.state.balances[name])

    def _check_row(
        self, name: str, weight: str, zeros: list[str], texts: list[str], limit: str
    ) -> Row:
        values: dict[str, object] = {
            "balance": name,
            "weight": weight,
            "texts": texts,
            "zeros": zeros,
            "unit": self.run.unit_of(name).symbol,
        }
        return ("balance_check", {**values, "tolerance": limit} if limit else values)

    # --- spread ---------------------------------------------------------------------------------

    def _spread(self) -> Asking:
        """One small weight, ten times, each with its zero: the spread of one net weighing."""
        name = self._names[self._at]

        def then(weight: str, zeros: list[str], texts: list[str]) -> Outcome:
            unit = self.run.unit_of(name)
            spread = stdev(float(net) for net in _nets(zeros, texts))
            entry = self.run.balance_entry(name)
            values = dict(entry.values) if entry is not None else {}
            step = float(parse.figure(str(values["step"]), table.MASS).exact(MILLIGRAM))
            per_mg = float(MILLIGRAM.size / unit.size)
            # readings that never differ say that the spread is hidden below the steps
            shown = (
                write.significant(spread, 2) if spread else write.significant(step * per_mg / 10, 1)
            )
            values |= {"spread": f"{shown} {unit.symbol}", "repeats": len(texts)}
            limit = last_check(self.run.state, name)
            kept = limit[0].text("tolerance") if limit is not None else ""
            self.run.append_all(
                [self._check_row(name, weight, zeros, texts, kept), ("balance", values)]
            )
            stored = say("stored_spread", name=name, s=shown, unit=unit.symbol)
            self._said = (stored, *self._calibrated(name))
            return Stay()

        return self._ask_weight(REPEATS, then)

    def _done(self, said: str) -> Outcome:
        self._said = (said,)
        return Stay()

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """Arrows choose a balance; Enter checks it."""
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        self._said = ()
        names = self._names
        match action:
            case "up" | "down" | "left" | "right" if names:
                self._at = (self._at + (-1 if action in ("up", "left") else 1)) % len(names)
            case "add":
                self._asking = self._add()
            case "enter":
                self._asking = self._check() if names else self._add()
            case "spread" if names:
                self._asking = self._spread()
            case "back":
                return Back()
            case _:
                return Bell()
        return Stay()

    def typed(self, key: str, character: str) -> Outcome:
        """What is asked for is typed; nothing else is."""
        return typed_into(self._asking, key, character)

    def tick(self, now: datetime) -> bool:
        """Nothing here runs by itself."""
        return False

    def come_back(self) -> None:
        """Nothing lies on top of this page but help."""


def _class_of(text: str, mass: str) -> str:
    """The class that was typed of a weight of this mass.

    Raises:
        BadInput: for another class, or a mass that no weight of a class has.
    """
    try:
        return class_weight(text, parse.figure(mass, table.MASS).exact(MILLIGRAM)).weight_class
    except ValueError as fault:
        raise BadInput([str(fault)]) from fault


def _nets(zeros: list[str], texts: list[str]) -> list[Fraction]:
    """Net readings: each weight less the zero before it."""
    pairs = zip(texts, zeros, strict=False)
    return [Fraction(parse.number(parse.clean(a)) - parse.number(parse.clean(b))) for a, b in pairs]
