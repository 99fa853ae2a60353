"""The native fineness of a sample: how much of its own metal is gold.

It follows from gold and silver, which a seal holds, and is worked out where it is shown; no part of
what is sealed.
"""

from assaybench.assay.silver import native_fineness
from assaybench.metrology.figure import Figure
from assaybench.record.results import Results, SampleResult
from assaybench.record.sample_grades import ROLES

NAME = "native_fineness"
UNIT = "‰"


def figures_with_fineness(found: Results, sample: SampleResult) -> dict[str, Figure]:
    """The figures of a sample, its native fineness behind them where both metals were measured.

    Gold per 1000 parts of the gold and silver of the sample, without the silver added; left out
    where gold was not told from nothing or silver is not determined. Method version 1, section 3.
    """
    figure = fineness_of(found, sample)
    return {**sample.figures} if figure is None else {**sample.figures, NAME: figure}


def fineness_of(found: Results, sample: SampleResult) -> Figure | None:
    """The native fineness alone, ‰; None where it is left out."""
    parts, gold = sample.parts, sample.figures.get("gold")
    if sample.role not in ROLES or parts is None or parts.gold is None or parts.silver is None:
        return None
    fineness = native_fineness(parts.gold, parts.silver)
    if fineness is None or gold is None or gold.status != "measured":
        return None
    return found.sources.figure(fineness, UNIT, layer="assay", basis=gold.basis)
