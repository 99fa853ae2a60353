"""One grade opened: what its ± is made of, in parts of 100, and its sum on one line.

A grade is 1000·Au/M with Au = (G - b) + D or (G - b)·F. The variance of every source (GUM 5.1.3)
is counted where a person can do something about it: the weighing of the gold, the blank, the
proofs, the weighing of the sample, its moisture. The shares add to one.
"""

import math
from typing import NamedTuple

from assaybench.assay.grade import MG_PER_G, grade
from assaybench.assay.metal import Gold
from assaybench.assay.moisture import SampleMass
from assaybench.bench.remarks import NUMBER_WORDS
from assaybench.messages import say
from assaybench.metrology.figure import Budget
from assaybench.metrology.uncertain import COVARIANCE, Uncertain, nominal, total
from assaybench.record.results import Results, SampleResult
from assaybench.units import write
from assaybench.units.table import GRAM, MILLIGRAM

_TO_GRAMS = float(MILLIGRAM.size / GRAM.size)
_DIGITS = ((6, 6), (5, 5), (4, 4), (3, 3), (3, 2))
"""Digits of the readings and of what is added for loss, the most that the line has room for."""
_MG_PLACES, _G_PLACES = 3, 2
CANCELLED = 1e-9
"""A share this small is the rounding of terms that cancel."""


class Part(NamedTuple):
    """What a part of the ± comes from.

    Attributes:
        kind: gold, blank, proofs, charge, moisture, or other.
        label: in words, with its number.
        share: of the variance, a share of one.
    """

    kind: str
    label: str
    share: float


def grade_of(sample: SampleResult) -> Uncertain | None:
    """The gold grade of a sample with its doubt, g/t; None where there is none."""
    parts = sample.parts
    if parts is None or parts.gold is None or parts.mass is None or parts.gold.mg is None:
        return None
    return grade(parts.gold.mg, parts.mass.g) if nominal(parts.mass.g) > 0 else None


def parts_of_grade(found: Results, sample: SampleResult) -> tuple[Part, ...]:
    """What the ± of a gold grade is made of, the largest share first; none where there is no grade.

    Args:
        found: the results it belongs to.
        sample: one of them.
    """
    parts, g = sample.parts, grade_of(sample)
    read, charge = (found.run.weighing(sample.id, what) for what in ("gold", "charge"))
    if g is None or parts is None or parts.gold is None or parts.mass is None:
        return ()
    if read is None or charge is None:
        return ()
    gold, dry, sources = parts.gold, parts.mass.g, found.sources
    wet = total((_TO_GRAMS, charge[0].net))
    # a source belongs to what it is read or known for, wherever else it comes in
    homes = {
        **dict.fromkeys(sources.parts(g), "proofs"),
        **dict.fromkeys(sources.parts(dry), "moisture"),
        **dict.fromkeys(sources.parts(gold.net.mg), "blank"),
        **dict.fromkeys(sources.parts(wet), "charge"),
        **dict.fromkeys(sources.parts(read[0].net), "gold"),
    }
    variance = sources.doubt(g).u ** 2
    shares: dict[str, float] = {}
    for name, part in sources.parts(g).items():
        shares[homes[name]] = shares.get(homes[name], 0.0) + part * part
    shares["other"] = variance - math.fsum(shares.values())
    told = _told(gold, nominal(wet), 1 - nominal(dry) / nominal(wet))
    made = [
        Part(kind, told[kind], part / variance)
        for kind, part in shares.items()
        if abs(part) > CANCELLED * variance
    ]
    return tuple(sorted(made, key=lambda part: -part.share))


def _told(gold: Gold, wet_g: float, water: float) -> dict[str, str]:
    """What each part is called, with its number."""
    correction = gold.correction
    told = {
        "gold": say("part_gold"),
        "blank": say("part_blank", b=write.short(gold.net.blank_mg, 2)),
        "charge": say("part_charge", m=write.significant(wet_g, 4)),
        "moisture": say("part_moisture", w=write.percent(water)),
        "other": COVARIANCE,
    }
    count = counted(correction.n)
    if correction.form == "ratio":
        change = f"× {write.at_place(nominal(correction.factor), -3)}"
    else:
        shift = nominal(correction.shift_mg)
        change = f"{'-' if shift < 0 else '+'} {write.short(abs(shift), 2)} mg"
    told["proofs"] = say("part_proofs", n=count, change=change)
    return told


def counted(n: int) -> str:
    """A small number as a word."""
    if n == 1:
        return say("results_one")
    return NUMBER_WORDS[n - 2] if 2 <= n < len(NUMBER_WORDS) + 2 else str(n)


def of_budget(budget: Budget) -> tuple[Part, ...]:
    """The rows of a budget as parts, for a figure that is no grade of gold."""
    return tuple(Part("other", share.source, share.share) for share in budget)


def hundreds(parts: tuple[Part, ...]) -> list[int]:
    """Shares in parts of 100 that add to 100: the largest remainders are rounded up."""
    exact = [part.share * 100 for part in parts]
    whole = [math.floor(share) for share in exact]
    missing = round(sum(exact)) - sum(whole)
    for i in sorted(range(len(exact)), key=lambda i: whole[i] - exact[i])[: max(missing, 0)]:
        whole[i] += 1
    return whole


def sum_line(found: Results, sample: SampleResult, width: int) -> str:
    """The sum on one line: `(1.198 - 0.004) mg × 1.005 / 30.00 g = 40.00 g/t`.

    Its numbers have as many digits as the line has room for, six at most, three at least; what is
    added for loss has two at least.

    Args:
        found: the results.
        sample: one of them.
        width: columns.
    """
    parts, figure = sample.parts, sample.figures.get("grade_gold")
    if parts is None or parts.gold is None or parts.mass is None or figure is None:
        return ""
    pair = found.run.weighing(sample.id, "gold")
    if parts.gold.mg is None or pair is None or figure.value is None:
        return ""
    lines = [_sum(parts.gold, parts.mass, *n) for n in _DIGITS]
    # a line that is cut would end in another number: then the gold alone, the rest behind Enter
    metal = _padded(write.short(nominal(parts.gold.mg), 5), _MG_PLACES)
    lines.append(_quotient(parts.gold, parts.mass, f"{metal} mg", 5))
    return next((one for one in lines if len(one) <= width), "")


def _sum(gold: Gold, mass: SampleMass, digits: int, of_loss: int) -> str:
    net, correction = gold.net, gold.correction
    terms = [_padded(write.short(net.read_mg, digits), _MG_PLACES)]
    if net.blank_mg:
        terms.append(_signed(-net.blank_mg, digits))
    factor = ""
    if correction.form == "additive":
        terms.append(_signed(nominal(correction.shift_mg), of_loss))
    elif correction.form == "ratio":
        factor = f" × {write.short(nominal(correction.factor), digits)}"
    won = [_signed(nominal(line.net.mg), digits) for line in gold.again]
    if factor and won:  # what was won back is not multiplied
        first = " ".join(terms)
        terms, factor = [(f"({first})" if len(terms) > 1 else first) + factor], ""
    terms += won
    metal = " ".join(terms)
    metal = f"({metal})" if len(terms) > 1 else metal
    return _quotient(gold, mass, f"{metal} mg{factor}", digits)


def _quotient(gold: Gold, mass: SampleMass, metal: str, digits: int) -> str:
    """A metal as written, over the sample."""
    grams = nominal(mass.g)
    dry = f" {mass.basis}" if mass.basis == "dry" else ""
    shown = _padded(write.short(grams, digits), _G_PLACES)
    result = write.significant(MG_PER_G * nominal(gold.mg) / grams, 4)
    return f"{metal} / {shown} g{dry} = {result} g/t"


def _signed(number: float, digits: int) -> str:
    shown = _padded(write.short(abs(number), digits), _MG_PLACES)
    return f"{'-' if number < 0 else '+'} {shown}"


def _padded(text: str, places: int) -> str:
    """A number with so many decimals at least, as a balance shows them."""
    whole, _, decimals = text.partition(".")
    return f"{whole}.{decimals:0<{places}}"
