"""What two parties settle at, with or without an umpire: by the rule of their contract, typed.

No rule is built in as the usual one: contracts differ, and the figure that counts with them. What
is settled at is a number of the contract; its ± says how well that number tells the metal.
"""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from assaybench.messages import say
from assaybench.metrology.figure import Figure, Flag, flag, plain
from assaybench.metrology.uncertain import Sources, Uncertain, nominal

Rule = Literal["umpire", "middle", "nearer", "mean"]
RULES: tuple[Rule, ...] = ("umpire", "middle", "nearer", "mean")
Party = Literal["first", "second", "umpire"]


class Award(NamedTuple):
    """What an umpire's assay leads to.

    Attributes:
        settled: the figure that counts, with its doubt where those it is made of have theirs.
        nearer: `first`, `second` or `both`: whose figure lies nearer to the umpire's.
        of: whose figures the settled one is made of.
    """

    settled: Uncertain
    nearer: Literal["first", "second", "both"]
    of: tuple[Party, ...]


def award(first: Uncertain, second: Uncertain, umpire: Uncertain, rule: Rule) -> Award:
    """The figure two parties settle at.

    Which figures count is decided by their values alone. The doubt of the figure that a rule picks
    is that of this one; that the rule might have picked another is not in it.

    Args:
        first, second: the figures exchanged; without doubt where none was stated.
        umpire: the umpire's figure, in the same unit.
        rule: of the contract. `umpire`: the umpire's figure alone; `middle`: the middle one of
            the three; `nearer`: the mean of the umpire's figure and the nearer party's, when both
            are as near the umpire's own; `mean`: the mean of all three.

    Source: rules met in published terms of sale; common practice, no source for any as the usual.
    """
    figures: dict[Party, Uncertain] = {"first": first, "second": second, "umpire": umpire}
    value = {party: nominal(figure) for party, figure in figures.items()}
    far_1, far_2 = (abs(value[party] - value["umpire"]) for party in ("first", "second"))
    # figures are typed in decimal: what is as near on paper is as near here
    same = abs(far_1 - far_2) <= 1e-9 * max(map(abs, value.values()))
    nearer: Literal["first", "second", "both"] = (
        "both" if same else "first" if far_1 < far_2 else "second"
    )
    of: tuple[Party, ...] = ("umpire",)
    if rule == "middle":
        of = (sorted(figures, key=lambda party: value[party])[1],)
    elif rule == "mean":
        of = ("first", "second", "umpire")
    elif rule == "nearer" and nearer != "both":
        of = (nearer, "umpire")
    return Award(sum(figures[party] for party in of) / len(of), nearer, of)


def settled_figure(
    sources: Sources, settled: Uncertain, of: Mapping[str, Uncertain], unit: str
) -> tuple[Figure, tuple[Flag, ...]]:
    """What is settled at as a figure, and what is said where its ± is not known.

    One figure without its ± among those it is made of leaves the ± of the settled one unknown: it
    is not taken as nought.

    Args:
        sources: the sources of doubt of the figures.
        settled: the figure that counts.
        of: the figures it is made of, by what they are called.
        unit: symbol of their unit.
    """
    return _figure(sources, settled, of, unit, "settled_without_doubt", basis="settled")


def difference_figure(
    sources: Sources, difference: Uncertain, of: Mapping[str, Uncertain], unit: str, basis: str
) -> Figure:
    """How far apart two figures are that were exchanged, with ± where both have theirs."""
    return _figure(sources, difference, of, unit, "difference_without_doubt", basis=basis)[0]


def _figure(
    sources: Sources,
    value: Uncertain,
    of: Mapping[str, Uncertain],
    unit: str,
    code: str,
    *,
    basis: str,
) -> tuple[Figure, tuple[Flag, ...]]:
    bare = [name for name, figure in of.items() if sources.doubt(figure).u == 0]
    if not bare:
        return sources.figure(value, unit, layer="assay", basis=basis), ()
    missing = flag(code, who=" and ".join(bare))
    why = missing.text.split("\n")[0]
    known = plain(nominal(value), unit, digits=6, layer="assay", basis=basis, why=why)
    return known._replace(text=say("doubt_not_known", figure=known.text)), (missing,)
