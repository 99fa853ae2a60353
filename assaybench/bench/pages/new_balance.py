"""A new balance: its name, one division of its display, and what it weighs."""

from collections.abc import Callable

from assaybench.bench.asking import Asking
from assaybench.bench.page import Outcome
from assaybench.bench.run_log import RunLog
from assaybench.messages import BadInput, say
from assaybench.record import check
from assaybench.record.kinds import BY_NAME, WHAT
from assaybench.units import parse, table

_USUAL: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("mg", ("bead", "gold", "silver")),
    ("g", ("charge", "product", "portion", "total", "plus", "minus")),
)
"""What a new balance weighs, by the unit of its display, where nothing is described for it yet."""


def ask_balance(run: RunLog, added: Callable[[str], Outcome]) -> Asking:
    """Name, step and what it weighs; then the balance is described in the log.

    Args:
        run: the log.
        added: takes the name of the balance that was described.
    """

    def name(text: str) -> Asking:
        check.value(BY_NAME["balance"].by_name["name"], text)
        if text in run.state.balances:
            raise BadInput.of("balance_there", name=text)
        return Asking(say("ask_step"), lambda step: _ask_weighs(run, text, step, added),
                      hint=(say("ask_step_hint"),))  # fmt: skip

    return Asking(say("ask_balance"), name, "text", hint=(say("ask_balance_hint"),))


def _ask_weighs(run: RunLog, name: str, step: str, added: Callable[[str], Outcome]) -> Asking:
    typed = parse.figure(step, table.MASS, example="0.001 mg")
    check.value(BY_NAME["balance"].by_name["step"], step)
    taken = run.state.weighs
    usual = dict(_USUAL).get(typed.unit.symbol, ())
    offered = [what for what in usual if what not in taken]

    def answer(text: str) -> Outcome:
        weighs = text.replace(",", " ").split() if text else offered
        values: dict[str, object] = {"name": name, "step": step}
        run.append("balance", {**values, "weighs": weighs} if weighs else values)
        return added(name)

    shown = ", ".join(offered) or say("ask_weighs_none")
    hint = (say("ask_weighs_hint", list=shown), ", ".join(WHAT[1:]))
    return Asking(say("ask_weighs"), answer, hint=hint)
