"""Suspect weighings: those around a check of their balance that was not good.

Method version 1, section 1: every weighing between the last good check and the next good one, and
all before the first. Nothing is changed; the weighings are named beside the results.
"""

from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from assaybench.messages import say
from assaybench.metrology.figure import Flag
from assaybench.record.entries import Effective
from assaybench.record.replay import State
from assaybench.units import parse, table, write
from assaybench.units.table import MILLIGRAM

_FINEST = -9
"""Decimal exponent of mg below which no balance shows anything."""


class Suspect(NamedTuple):
    """Weighings of one balance around a check that was not good.

    Attributes:
        balance: its name.
        check: number of the entry of the check.
        samples: ids of the samples weighed, each once, in order.
        readings: how many readings.
        flag: the sentence that tells it.
    """

    balance: str
    check: int
    samples: tuple[str, ...]
    readings: int
    flag: Flag


class _Checked(NamedTuple):
    """One check worked out: mean net reading and reference, mg, and whether it is good."""

    entry: Effective
    found: Fraction
    mass: Fraction
    tolerance: Fraction
    good: bool


def suspects(state: State) -> list[Suspect]:
    """Every group of suspect weighings of a log, in the order of its checks."""
    found = []
    for balance in state.balances:
        checks = [c for c in (_checked(state, e) for e in _checks_of(state, balance)) if c]
        for i, check in enumerate(checks):
            if check.good:
                continue
            before = max((c.entry.n for c in checks[:i] if c.good), default=0)
            after = min((c.entry.n for c in checks[i:] if c.good), default=None)
            suspect = _between(state, balance, check, before, after)
            if suspect is not None:
                found.append(suspect)
    return found


def last_check(state: State, balance: str) -> tuple[Effective, bool | None] | None:
    """The last check of a balance and whether it is good; None without a check.

    Where the weight or the tolerance is not known, nobody can say: then it is neither.
    """
    checks = _checks_of(state, balance)
    if not checks:
        return None
    found = _checked(state, checks[-1])
    return checks[-1], None if found is None else found.good


def _checks_of(state: State, balance: str) -> list[Effective]:
    return [e for e in state.of("balance_check") if e.text("balance") == balance]


def _checked(state: State, entry: Effective) -> _Checked | None:
    """A check against its weight; None where the weight or the tolerance is not known."""
    weight = next((w for w in state.of("weight") if w.text("name") == entry.text("weight")), None)
    if weight is None or not entry.text("tolerance"):
        return None
    unit = parse.unit(entry.text("unit"), table.MASS)
    per_mg = unit.size / MILLIGRAM.size
    found = (_mean(entry.texts("texts")) - _mean(entry.texts("zeros"))) * per_mg
    mass = parse.figure(weight.text("mass"), table.MASS).exact(MILLIGRAM)
    tolerance = parse.figure(entry.text("tolerance"), table.MASS).exact(MILLIGRAM)
    return _Checked(entry, found, mass, tolerance, abs(found - mass) <= tolerance)


def _mean(texts: list[str]) -> Fraction:
    numbers = [Fraction(parse.number(parse.clean(text))) for text in texts]
    return sum(numbers, Fraction(0)) / max(len(numbers), 1)


def _told(check: _Checked) -> str:
    """The mean reading of a check: a place finer than its tolerance, or until it shows why."""
    place = Decimal(float(check.tolerance)).adjusted() - 1 if check.tolerance else _FINEST
    for at in range(place, _FINEST, -1):
        text = write.at_place(check.found, at)
        if abs(Fraction(text) - check.mass) > check.tolerance:
            return text.rstrip("0").rstrip(".") if "." in text else text
    return write.short(check.found, 7)


def _between(
    state: State, balance: str, check: _Checked, before: int, after: int | None
) -> Suspect | None:
    records = [
        record
        for record in state.readings
        if record.balance.name == balance
        and record.what != "zero"
        and record.entry.n > before
        and (after is None or record.entry.n < after)
    ]
    if not records:
        return None
    samples = tuple(dict.fromkeys(record.sample for record in records))
    text = say(
        "balance_suspect" if len(records) > 1 else "balance_suspect_one",
        W=write.short(check.mass),
        x=_told(check),
        tol=write.short(check.tolerance),
        n=len(records),
        balance=balance,
    )
    return Suspect(balance, check.entry.n, samples, len(records), Flag("balance_suspect", text))
