"""What two parties settle at when an umpire has assayed: by the rule of their contract, typed.

No rule is built in as the usual one: contracts differ, and the figure that counts with them.
"""

from typing import Literal, NamedTuple

Rule = Literal["umpire", "middle", "nearer", "mean"]
RULES: tuple[Rule, ...] = ("umpire", "middle", "nearer", "mean")


class Award(NamedTuple):
    """What an umpire's assay leads to.

    Attributes:
        settled: the figure that counts.
        nearer: `first`, `second` or `both`: whose figure lies nearer to the umpire's.
    """

    settled: float
    nearer: Literal["first", "second", "both"]


def award(first: float, second: float, umpire: float, rule: Rule) -> Award:
    """The figure two parties settle at.

    Args:
        first, second: the figures exchanged.
        umpire: the umpire's figure, in the same unit.
        rule: of the contract. `umpire`: the umpire's figure alone; `middle`: the middle one of
            the three; `nearer`: the mean of the umpire's figure and the nearer party's, when both
            are as near the umpire's own; `mean`: the mean of all three.

    Source: rules met in published terms of sale; common practice, no source for any as the usual.
    """
    far_1, far_2 = abs(first - umpire), abs(second - umpire)
    # figures are typed in decimal: what is as near on paper is as near here
    same = abs(far_1 - far_2) <= 1e-9 * max(abs(first), abs(second), abs(umpire))
    nearer: Literal["first", "second", "both"] = (
        "both" if same else "first" if far_1 < far_2 else "second"
    )
    if rule == "umpire":
        settled = umpire
    elif rule == "middle":
        settled = sorted((first, second, umpire))[1]
    elif rule == "mean":
        settled = (first + second + umpire) / 3
    elif same:
        settled = umpire
    else:
        settled = (umpire + (first if nearer == "first" else second)) / 2
    return Award(settled, nearer)
