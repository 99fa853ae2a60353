"""Balances: which there are, what is known of each, and today's check.

Everything goes to the log that is open.
"""

from collections.abc import Sequence

from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.characters import cut, leader
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Still
from assaybench.bench.pages.guided_check import GuidedCheck
from assaybench.bench.pages.new_balance import ask_balance
from assaybench.bench.run_log import RunLog
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.messages import say
from assaybench.record.suspect import last_check, suspects
from assaybench.units import write

_KEYS = ("enter.check", "arrows", "add", "spread", "help", "back")


class BalancesPage(Saying, Asks, Still):
    """The balances of the open log.

    Attributes:
        run: the log.
    """

    name = "balances"

    def __init__(self, run: RunLog) -> None:
        self.run = run
        self._at = 0
        self._asking: Asking | None = None

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

    def _calibration(self, name: str, declared: str) -> list[str]:
        """What the scale rests on: as declared, else on the checks."""
        if declared:
            return [say("balance_calibration", u=declared)]
        scale = self.run.state.scales.get(name)
        if scale is None:
            return [say("balance_calibration_none")]
        told = say("balance_calibration_checked", u=write.percent(scale.u), weight=scale.weight)
        return [cut(told, BLOCK_WIDTH - 2)]

    @property
    def _guided(self) -> GuidedCheck:
        """The guided check of the balance under the pointer."""
        return GuidedCheck(self.run, self._names[self._at], self._tell)

    def _added(self, name: str) -> Outcome:
        """A balance was described: the pointer goes to it."""
        self._at = self._names.index(name)
        return self._tell(say("stored_balance", name=name))

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
                self._asking = ask_balance(self.run, self._added)
            case "enter":
                self._asking = self._guided.check() if names else ask_balance(self.run, self._added)
            case "spread" if names:
                self._asking = self._guided.spread()
            case "back":
                return Back()
            case _:
                return Bell()
        return Stay()
