"""Masses and balances as options give them: read once here for every command, faults collected."""

import math
from collections.abc import Sequence
from typing import Any

from assaybench.cli.options import Faults
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.weighing import Balance
from assaybench.units import parse
from assaybench.units.parse import Typed
from assaybench.units.table import MASS, MILLIGRAM, Unit


def option_of(name: str) -> str:
    """The option of a parameter: `--sample-readability` of `sample_readability`."""
    return f"--{name.replace('_', '-')}"


def positive_mass(faults: Faults, name: str, typed: dict[str, Any], what: str) -> Typed | None:
    """A mass above zero that an option gives; None where it is left out or a fault was kept."""
    text = typed.get(name)
    if text is None:
        return None
    place = option_of(name)
    found = faults.take(place, parse.plain_figure, text, MASS)
    if found is not None and found.value <= 0:
        faults.add(place, BadInput.of("number_not_positive", x=quoted(text), what=what))
        return None
    return found


def balance(faults: Faults, typed: dict[str, Any], name: str = "this balance") -> Balance:
    """The balance as far as the options describe it: step, spread, linearity, calibration."""
    step = positive_mass(faults, "readability", typed, "readability of a balance")
    if typed["readability"] is None:
        faults.add("--readability", BadInput.of("number_empty", example="0.01mg"))
    spread = positive_mass(faults, "repeatability", typed, "repeatability of a balance")
    repeats = None
    if typed.get("repeats") is not None:
        repeats = faults.take("--repeats", parse.whole, typed["repeats"], 2, 1000)
        if typed["repeatability"] is None:
            faults.add("", BadInput.of("option_needs", option="--repeats", other="--repeatability"))
    linearity = positive_mass(faults, "linearity", typed, "linearity of a balance")
    calibration = share(faults, "calibration", typed, "a calibration", 0.000001, 10)
    return Balance(
        name=name,
        step_mg=float(step.exact(MILLIGRAM)) if step else 1.0,
        spread_mg=float(spread.exact(MILLIGRAM)) if spread else None,
        spread_dof=repeats - 1 if repeats else math.inf,
        linearity_mg=float(linearity.exact(MILLIGRAM)) if linearity else 0.0,
        calibration=calibration,
    )


def share(
    faults: Faults, name: str, typed: dict[str, Any], what: str, least: float, most: float
) -> float | None:
    """A share that an option gives, as a number of one; None where it is left out."""
    text = typed.get(name)
    if text is None:
        return None
    found = faults.take(option_of(name), parse.share, text, what, least, most)
    return None if found is None else float(found)


def readings(faults: Faults, name: str, texts: Sequence[str]) -> list[Typed]:
    """Displayed values, several in one argument set off by blanks."""
    found = []
    for i, text in enumerate(texts, start=1):
        place = name if len(texts) == 1 else f"{name} {i}"
        typed = faults.take(place, parse.plain_figure, text, MASS)
        if typed is not None:
            found.append(typed)
    return found


def doubted_mass(
    faults: Faults,
    place: str,
    text: str,
    unit: Unit,
    step: Typed | None,
    said: list[str],
    *,
    example: str = "0.31 mg",
) -> tuple[float, float] | None:
    """A mass in `unit` and its standard uncertainty; None when a fault was kept.

    The doubt is that typed with it, of two readings of its balance (step/√6), or of the last typed
    place; which of the last two it was is added to `said`.
    """
    from assaybench.record.typed import typed_doubt  # `weigh` needs none of it

    typed = faults.take(place, parse.figure, text, MASS, example=example)
    if typed is None:
        return None
    if typed.below:
        faults.add(place, BadInput.of("uncertainty_below", x=quoted(text)))
        return None
    stated = typed.u is not None or typed.expanded is not None
    value = float(typed.exact(unit))
    if stated or step is None:
        u = typed_doubt(typed, unit)
    else:
        u = float(step.exact(unit)) / math.sqrt(6)
    if not stated:
        sentence = say("typed_without_doubt" if step is None else "typed_on_balance")
        if sentence not in said:
            said.append(sentence)
    return value, u
