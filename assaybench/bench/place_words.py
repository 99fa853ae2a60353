"""Who lives in a place of the tray, in a word that fits: the lower line of its plan."""

import re

from assaybench.bench.plan import Plan
from assaybench.messages import say
from assaybench.record.due import WITHOUT_CHARGE
from assaybench.record.replay import State

_PARTS = {"plus": "+", "minus": "-"}
"""Parts of a screened pulp, as a place has room for them."""


def prefix_of(state: State) -> str:
    """What the ids of all samples begin with, up to a sign between words: `KV-`."""
    ids = [name for name, entry in state.samples.items() if entry.text("role") == "sample"]
    if len(ids) < 2:
        return ""
    least, most = min(ids), max(ids)
    same = next((i for i, a in enumerate(least) if i >= len(most) or most[i] != a), len(least))
    match = re.match(r".*[^A-Za-z0-9]", least[:same])
    return match[0] if match else ""


def word_of(state: State, plan: Plan, sample: str, prefix: str, most: int) -> str:
    """Who lives there, in a word that fits: `025`, `blank`, `proof`, `known`, `as A2`, `120-1`."""
    entry = state.samples[sample]
    role, of = entry.text("role"), entry.text("of")
    if role == "reference":
        return say("bench_known")
    if role in WITHOUT_CHARGE:
        return role
    if of and of in plan.of and not entry.text("part"):
        place = plan.of[of].name
        said = say("bench_as", place=place)
        return said if len(said) <= most else place
    own = sample.removeprefix(prefix)
    sign = _PARTS.get(entry.text("part"), "")
    return tail_of(re.sub(r" *\b(plus|minus) *", sign, own) if sign else own, most)


def tail_of(name: str, most: int) -> str:
    """A name that fits its place: its last words, whole; of one long word the end, and that it is.

    Args:
        name: an id, or what is left of it behind what all have in common.
        most: signs there is room for.
    """
    starts = [0, *(match.end() for match in re.finditer(r"[^A-Za-z0-9]+", name))]
    whole = [name[at:] for at in starts if at < len(name) and len(name) - at <= most]
    return whole[0] if whole else ("…" + name[1 - most :] if name else "")
