"""What is due next in a furnace run that was left: the sample behind the last one weighed."""

from typing import NamedTuple

from assaybench.record.replay import State

WEIGHED_IN_TURN = ("charge", "bead", "gold")
WITHOUT_CHARGE = ("blank", "proof")
"""Roles whose charge holds no sample: nothing is weighed in for them."""


class Due(NamedTuple):
    """The next weighing: what, of which sample, and where that stands; empty when nobody said."""

    what: str
    sample: str
    place: str

    @property
    def text(self) -> str:
        """`gold of KV-012, B6`."""
        return f"{self.what} of {self.sample}{', ' if self.place else ''}{self.place}"


def next_due(state: State) -> Due | None:
    """The first sample behind the one weighed last that was not weighed like it yet.

    Samples are taken in the order of the log. None when nothing was weighed, or all behind it were.
    """
    last = next((r for r in reversed(state.readings) if r.sample in state.samples), None)
    if last is None or last.what not in WEIGHED_IN_TURN:
        return None
    done = {r.sample for r in state.readings if r.what == last.what}
    # what is weighed together with others is not due by itself
    pooled = (entry for entry in state.of("pool") if entry.text("what") == last.what)
    done |= {name for entry in pooled for name in entry.texts("samples")}
    names = list(state.samples)
    for name in names[names.index(last.sample) + 1 :]:
        entry = state.samples[name]
        weighed = last.what != "charge" or entry.text("role") not in WITHOUT_CHARGE
        if weighed and name not in done and not entry.text("lost"):
            place = state.of_sample("position", name)
            return Due(last.what, name, place.text("place") if place else "")
    return None
