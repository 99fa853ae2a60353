"""The words of the guided path: the welcome, what the two catches tell, what the scale cannot.

Plain English, no word of the trade unexplained, figures in grams and in parts of 100. What a cheap
scale cannot feel is said before anything is concluded from it.
"""

import math
from collections.abc import Iterator, Sequence

from assaybench.bench.characters import wrapped
from assaybench.bench.circuit_model import CATCHES, Model
from assaybench.bench.run_log import RunLog, Seen
from assaybench.bench.sheet import BLOCK_WIDTH, Line, line
from assaybench.circuit.recovery import Part
from assaybench.messages import BadInput, say
from assaybench.record.circuit_run import Circuit, circuit_of
from assaybench.units import write
from assaybench.units.table import MILLIGRAM

_SAFE_AT = {"kind": "guided_safety_heat", "scale": "guided_safety"}
_FEW_STEPS = 50
_COARSE = 20.0
"""Points between the two ends from which on a scale is called too coarse; our own bound."""


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
        weighed = {name: _seen(run, name) for name in CATCHES.values()}
        names = [name for name, seen in weighed.items() if seen and not _felt(seen)]
        why = [said for name in weighed if (said := apart(run, name))]
        why = why or [say("guided_first_unseen", name=name) for name in names[:1]]
        return _paragraphs([say("guided_none"), *(why or fault.lines)])
    if not isinstance(found, Circuit):
        return _paragraphs([say("guided_none")])
    return _paragraphs([*_told(found.result.total, run), *_next_steps(run)])


def apart(run: RunLog, name: str) -> str:
    """That a catch was weighed twice and the scale showed two things; empty when it did not."""
    seen = _seen(run, name)
    if seen is None or seen.weighing.agrees:
        return ""
    read = [r.entry for r in run.state.readings if r.sample == name]
    shown = ", ".join(f"{entry.text('text')} {entry.text('unit')}" for entry in read)
    return say("guided_apart", name=name, shown=shown)


def _told(total: Part, run: RunLog) -> Iterator[str]:
    first, second = (_seen(run, name) for name in CATCHES.values())
    if first is not None and second is not None:
        yield say("guided_caught", a=_caught(run, first), b=_caught(run, second))
    most, alike = total.by("at most"), total.by("equal stages")
    if most is None or most.figure.value is None:
        yield say("guided_none")
        return
    if most.figure.status == "at least":
        yield say("guided_second_unseen", x=_parts(most.figure.value))
        return
    low = None if alike is None or alike.figure.value is None else alike.figure.low
    ends = None if low is None or most.figure.high is None else (low, most.figure.high)
    coarse = ends is not None and ends[1] - ends[0] > _COARSE
    if ends is not None and coarse:
        yield say("guided_too_coarse", lo=_parts(ends[0]), hi=_parts(ends[1]))
    yield say("guided_most", x=_parts(most.figure.value))
    if alike is None or alike.figure.value is None:
        yield say("guided_not_alike")
        return
    yield say("guided_alike", x=_parts(alike.figure.value))
    if ends is not None and not coarse:
        why = say("guided_why_both" if Model(run.state).unparted else "guided_why_scale")
        yield say("guided_between", lo=_parts(ends[0]), hi=_parts(ends[1]), why=why)


def _next_steps(run: RunLog) -> Iterator[str]:
    second = _seen(run, "second catch")
    few = second is not None and second.weighing.net_mg < _FEW_STEPS * _step_mg(second)
    yield say("guided_next_finer" if few else "guided_next")


def scale(run: RunLog, names: Sequence[str]) -> list[str]:
    """What the scale cannot show, with the figures of this very scale; for the margin."""
    seen = [found for found in (_seen(run, name) for name in names) if found is not None]
    if not seen:
        return []
    said = [say("guided_scale_step", step=_shown(run, _step_mg(seen[0]), seen[0]))]
    unseen = max(seen, key=lambda found: found.limits.detection_mg)
    said.append(say("guided_scale_unseen", x=_shown(run, unseen.limits.detection_mg, unseen)))
    for name, found in zip(names, (_seen(run, name) for name in names), strict=True):
        if found is None:
            continue
        net, reach = found.weighing.net_mg, found.doubt.k * found.doubt.u
        steps = write.at_place(net / _step_mg(found), 0)
        if not found.weighing.agrees:
            continue  # no mean is taken of readings that do not agree
        if not _felt(found):
            said.append(say("guided_scale_none", name=name))
        else:
            low, high = max(net - reach, 0.0), net + reach
            ends = {"lo": _shown(run, low, found), "hi": _shown(run, high, found)}
            said.append(say("guided_scale_catch", name=name, steps=steps, **ends))
    measured = all(found.balance.spread_mg is not None for found in seen)
    return [*said, say("guided_scale_grains" if measured else "guided_scale_spread")]


def _seen(run: RunLog, name: str) -> Seen | None:
    return run.seen(name, "gold") or run.seen(name, "bead")


def _step_mg(seen: Seen) -> float:
    return float(seen.balance.step_mg)


def _felt(seen: Seen) -> bool:
    """Whether a catch is more than its scale shows of nothing."""
    return seen.weighing.net_mg >= seen.limits.critical_mg


def _shown(run: RunLog, mass_mg: float, seen: Seen) -> str:
    """A mass in the unit of its scale, to a tenth of its step."""
    unit = run.unit_of(seen.balance.name)
    each = float(unit.size / MILLIGRAM.size)
    place = math.floor(math.log10(_step_mg(seen) / each)) - 1
    number = write.at_place(mass_mg / each, place)
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {unit.symbol}"


def _caught(run: RunLog, seen: Seen) -> str:
    return _shown(run, seen.weighing.net_mg, seen) if _felt(seen) else say("guided_unfelt")


def _parts(per_cent: float) -> str:
    return write.at_place(per_cent, 0)


def _paragraphs(texts: Sequence[str]) -> list[Line]:
    rows: list[Line] = []
    for text in texts:
        rows += [(), *(line(f"  {part}") for part in wrapped(text.replace("\n", " "), _WIDTH))]
    return rows


_WIDTH = BLOCK_WIDTH - 4
