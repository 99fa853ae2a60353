"""How a gold figure is corrected for cupel loss: two sorts never share a column or a mean.

Method version 1, section 3. Corrected is what proofs of the run, or its own cupel treated again,
made up for; slag treated again adds a metal that other figures do not hold, so it is a sort of its
own as well.
"""

from collections.abc import Collection, Iterable
from functools import lru_cache

from assaybench.messages import say

CORRECTED, WITH_SLAG = "sort_corrected", "sort_corrected_slag"
IN_PART = "sort_part"
UNCORRECTED, UNCORRECTED_WITH_SLAG = "sort_uncorrected", "sort_uncorrected_slag"
ORDER = (CORRECTED, WITH_SLAG, IN_PART, UNCORRECTED, UNCORRECTED_WITH_SLAG)
"""As they stand below each other. Where one mean alone can be used, it is the first there is."""


def sort_of(*, by_proofs: bool, again: Collection[str] = ()) -> str:
    """The sort of a gold.

    Args:
        by_proofs: whether the loss that proofs showed was made up for.
        again: what of slag and cupel was treated again and added.
    """
    if by_proofs or "cupel" in again:
        return WITH_SLAG if "slag" in again else CORRECTED
    return UNCORRECTED_WITH_SLAG if "slag" in again else UNCORRECTED


@lru_cache(maxsize=8)
def words(sort: str) -> str:
    """A sort in words; empty for none."""
    return say(sort) if sort else ""


def in_short(sort: str) -> str:
    """A sort in few words, for a sentence that has several: corrected, not corrected."""
    return words(sort).replace(" for cupel loss", "")


def joined(sorts: Iterable[str]) -> str:
    """The sort of a sum of metals: theirs, or in part; empty for none."""
    found = set(sorts)
    return IN_PART if len(found) > 1 else next(iter(found), "")


def present(sorts: Iterable[str]) -> tuple[str, ...]:
    """The sorts that there are, in order; what has none is left out."""
    found = set(sorts)
    return tuple(sort for sort in ORDER if sort in found)
