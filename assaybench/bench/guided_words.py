"""The words of the guided path: the welcome, what the two catches tell, what the scale cannot.

Plain English, no word of the trade unexplained, figures in grams and in parts of 100. What a cheap
scale cannot feel is said before anything is concluded from it.
"""

from collections.abc import Iterator, Sequence

from assaybench.bench.characters import wrapped
from assaybench.bench.run_log import RunLog, Seen
from assaybench.bench.sheet import BLOCK_WIDTH, Line, line
from assaybench.circuit.recovery import Part
from assaybench.messages import BadInput, say
from assaybench.record.circuit_run import Circuit, circuit_of
from assaybench.units import write
from assaybench.units.table import GRAM, MILLIGRAM

_PER_GRAM = float(GRAM.size / MILLIGRAM.size)
_SAFE_AT = {"kind": "guided_safety_heat", "scale": "guided_safety"}
_FEW_STEPS = 50


def welcome() -> list[Line]:
    """What it is for and what is needed, before the first answer."""
    return _paragraphs([say(f"guided_welcome_{i}") for i in range(1, 5)])


def safety(question: str) -> tuple[str, ...]:
    """The usual safety words, at the questions where gold may be heated."""
    code = _SAFE_AT.get(question)
    return () if code is None else (say(code),)


def result(run: RunLog) -> list[Line]:
    """What the two catches tell, then what would tell more."""
    try:
        found = circuit_of(run.results())
    except BadInput as fault:
        return _paragraphs([say("guided_none"), *fault.lines])
    if not isinstance(found, Circuit):
        return _paragraphs([say("guided_none")])
    return _paragraphs([*_told(found.result.total, run), *_next_steps(run)])


def _told(total: Part, run: RunLog) -> Iterator[str]:
    first, second = (_seen(run, name) for name in ("first catch", "second catch"))
    if first is not None and second is not None:
        yield say("guided_caught", a=_grams(first), b=_grams(second))
    most, alike = total.by("at most"), total.by("equal stages")
    if most is None or most.figure.value is None:
        yield say("guided_none")
        return
    if most.figure.status == "at least":
        yield say("guided_second_unseen", x=_parts(most.figure.value))
        return
    yield say("guided_most", x=_parts(most.figure.value))
    if alike is not None and alike.figure.value is not None:
        yield say("guided_alike", x=_parts(alike.figure.value))
        low, high = alike.figure.low, most.figure.high
        if low is not None and high is not None:
            yield say("guided_between", lo=_parts(low), hi=_parts(high))
    else:
        yield say("guided_not_alike")


def _next_steps(run: RunLog) -> Iterator[str]:
    second = _seen(run, "second catch")
    few = second is not None and second.weighing.net_mg < _FEW_STEPS * _step_mg(second)
    yield say("guided_next_finer" if few else "guided_next")


def scale(run: RunLog, names: Sequence[str]) -> list[str]:
    """What the scale cannot show, with the figures of this very scale; for the margin."""
    seen = [found for found in (_seen(run, name) for name in names) if found is not None]
    if not seen:
        return []
    said = [say("guided_scale_step", step=_mg(_step_mg(seen[0])))]
    unseen = max(found.limits.detection_mg for found in seen)
    said.append(say("guided_scale_unseen", x=_mg(unseen)))
    for name, found in zip(names, (_seen(run, name) for name in names), strict=True):
        if found is None:
            continue
        net, reach = found.weighing.net_mg, found.doubt.k * found.doubt.u
        steps = write.short(net / _step_mg(found), 2)
        if net < found.limits.critical_mg:
            said.append(say("guided_scale_none", name=name))
        else:
            ends = {"lo": _mg(max(net - reach, 0.0)), "hi": _mg(net + reach)}
            said.append(say("guided_scale_catch", name=name, steps=steps, **ends))
    if any(found.balance.spread_mg is None for found in seen):
        said.append(say("guided_scale_spread"))
    return said


def _seen(run: RunLog, name: str) -> Seen | None:
    return run.seen(name, "gold") or run.seen(name, "bead")


def _step_mg(seen: Seen) -> float:
    return float(seen.balance.step_mg)


def _mg(mass: float) -> str:
    return f"{write.short(mass, 2)} mg"


def _grams(seen: Seen) -> str:
    return f"{write.short(seen.weighing.net_mg / _PER_GRAM, 3)} g"


def _parts(per_cent: float) -> str:
    return write.at_place(per_cent, 0)


def _paragraphs(texts: Sequence[str]) -> list[Line]:
    rows: list[Line] = []
    for text in texts:
        rows += [(), *(line(f"  {part}") for part in wrapped(text.replace("\n", " "), _WIDTH))]
    return rows


_WIDTH = BLOCK_WIDTH - 4
