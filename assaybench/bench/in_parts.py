"""Samples assayed in parts, at the bench: a screened pulp or a bar, and the masses of the whole.

The whole has no cupel: it stands nowhere in the muffle, and its masses are weighed in with the
first of its parts.
"""

from assaybench.record.kinds import TREATED_AGAIN
from assaybench.record.replay import State

MASSES: dict[str, tuple[str, ...]] = {
    "plus": ("total", "plus", "minus"),
    "minus": ("total", "plus", "minus"),
    "piece": ("product",),
}
"""What is weighed of the whole, in this order, by the part that tells what the whole is."""
OF_WHOLE = frozenset(what for masses in MASSES.values() for what in masses)
MAY_BE_LEFT = {"total": "plus", "product": "charge"}
"""A mass that a result can do without no longer waits once this, which comes later, is weighed."""
_CUPELLED = frozenset({"charge", "bead", "gold"})


def wholes(state: State) -> dict[str, list[str]]:
    """The parts of every sample that was assayed in parts, in the order of the log."""
    found: dict[str, list[str]] = {}
    for name, entry in state.samples.items():
        if entry.text("part") in MASSES and entry.text("of") in state.samples:
            found.setdefault(entry.text("of"), []).append(name)
    return found


def masses_of(state: State, parts: list[str]) -> tuple[str, ...]:
    """What is weighed of the whole that these are parts of."""
    return MASSES[state.samples[parts[0]].text("part")]


def without_cupel(state: State) -> frozenset[str]:
    """Wholes of which nothing was cupelled under their own name."""
    found = wholes(state)
    if not found:
        return frozenset()
    own = {record.sample for record in state.readings if record.what in _CUPELLED}
    return frozenset(name for name in found if name not in own)


def treated_again(state: State, sample: str) -> bool:
    """Whether a sample is the slag or the cupel of another, of which no charge is weighed."""
    return state.samples[sample].text("part") in TREATED_AGAIN
