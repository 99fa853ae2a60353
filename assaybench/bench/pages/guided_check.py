"""The guided check of one balance, and its spread: zero and weight are typed in turn.

Every one of those readings stays in the log, whatever they come to.
"""

from collections.abc import Callable
from fractions import Fraction
from functools import partial
from statistics import stdev

from assaybench.bench.asking import Asking
from assaybench.bench.page import Outcome
from assaybench.bench.run_log import RunLog
from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput, say
from assaybench.metrology.weights import CLASSES
from assaybench.metrology.weights import weight as class_weight
from assaybench.record import check
from assaybench.record.kinds import BY_NAME
from assaybench.record.scales import check_weight
from assaybench.record.suspect import last_check
from assaybench.record.told import scale_told
from assaybench.record.typed import without_doubt
from assaybench.units import parse, table, write
from assaybench.units.table import MILLIGRAM

REPEATS = 10
"""Readings behind a spread: common practice."""
Weighed = Callable[[str, list[str], list[str]], Outcome]
"""Takes the name of the check weight, the zeros and the readings of the weight."""


class GuidedCheck:
    """Asks for the readings of a check or of a spread, then stores them.

    Attributes:
        run: the log.
        name: the balance.
    """

    def __init__(self, run: RunLog, name: str, tell: Callable[..., Outcome]) -> None:
        """Make it.

        Args:
            run: the log.
            name: the balance.
            tell: says, on the page, what was stored and what it shows.
        """
        self.run, self.name, self._tell = run, name, tell

    def check(self) -> Asking:
        """One check with a weight, held to the limit of the check before it or to a new one."""
        before = last_check(self.run.state, self.name)
        limit = before[0].text("tolerance") if before is not None else ""
        if limit:
            return self._ask_weight(1, self._checked(limit))

        def answer(text: str) -> Asking:
            if text:
                check.value(BY_NAME["balance_check"].by_name["tolerance"], text)
            return self._ask_weight(1, self._checked(text))

        return Asking(say("ask_limit", name=self.name), answer, hint=(say("ask_limit_hint"),))

    def _checked(self, limit: str) -> Weighed:
        def then(weight: str, zeros: list[str], texts: list[str]) -> Outcome:
            self.run.append_all([self._check_row(weight, zeros, texts, limit)])
            found = last_check(self.run.state, self.name)
            good = found[1] if found is not None else None
            code = {True: "check_good", False: "check_bad", None: "check_no_limit"}[good]
            return self._tell(say(code, name=self.name), *self._calibrated())

        return then

    def spread(self) -> Asking:
        """One small weight, ten times, each with its zero: the spread of one net weighing."""

        def then(weight: str, zeros: list[str], texts: list[str]) -> Outcome:
            unit = self.run.unit_of(self.name)
            spread = stdev(float(net) for net in _nets(zeros, texts))
            entry = self.run.balance_entry(self.name)
            values = dict(entry.values) if entry is not None else {}
            step = float(parse.figure(str(values["step"]), table.MASS).exact(MILLIGRAM))
            per_mg = float(MILLIGRAM.size / unit.size)
            # readings that never differ say that the spread is hidden below the steps
            shown = (
                write.significant(spread, 2) if spread else write.significant(step * per_mg / 10, 1)
            )
            values |= {"spread": f"{shown} {unit.symbol}", "repeats": len(texts)}
            limit = last_check(self.run.state, self.name)
            kept = limit[0].text("tolerance") if limit is not None else ""
            self.run.append_all([self._check_row(weight, zeros, texts, kept), ("balance", values)])
            stored = say("stored_spread", name=self.name, s=shown, unit=unit.symbol)
            return self._tell(stored, *self._calibrated())

        return self._ask_weight(REPEATS, then)

    # --- what is asked ---------------------------------------------------------------------------

    def _ask_weight(self, readings: int, then: Weighed) -> Asking:
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
        then: Weighed,
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
        """The net readings that were typed so far."""
        nets = " ".join(write.short(net, 7) for net in _nets(zeros, texts))
        return [say("check_so_far", list=nets)] if nets else []

    # --- what is stored --------------------------------------------------------------------------

    @property
    def _declared(self) -> str:
        """The calibration that was declared of the balance, as typed."""
        entry = self.run.balance_entry(self.name)
        return "" if entry is None else entry.text("calibration")

    def _calibrated(self) -> list[str]:
        """What a check says of the scale; nothing where the calibration was declared."""
        return scale_told(self.run.state, self.run.state.balances[self.name])

    def _check_row(self, weight: str, zeros: list[str], texts: list[str], limit: str) -> Row:
        values: dict[str, object] = {
            "balance": self.name,
            "weight": weight,
            "texts": texts,
            "zeros": zeros,
            "unit": self.run.unit_of(self.name).symbol,
        }
        return ("balance_check", {**values, "tolerance": limit} if limit else values)


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
