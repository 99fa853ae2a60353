"""The trial of an entry before it is stored: the table of kinds, the log before it, its names.

A log never loses an entry, so one that would leave the log without results is refused beforehand:
a name that stands for nothing or for two things, a reading on a balance nobody described.
"""

from collections.abc import Iterable, Sequence

from assaybench.messages import BadInput, quoted, say
from assaybench.record import strict
from assaybench.record.entries import Effective, Entry, effective
from assaybench.record.frame import Chain
from assaybench.record.kinds import BY_NAME
from assaybench.record.replay import replay

GIVES = {
    "sample": ("id", "samples"),
    "pool": ("id", "samples"),
    "balance": ("name", "balances"),
    "weight": ("name", "weights"),
    "reagent_lot": ("lot", "lots"),
}
"""Kinds that give a name: their key, and the group of the name."""
ASKS = {"sample": "samples", "samples": "samples", "of": "samples", "balance": "balances",
        "weight": "weights", "lots": "lots"}  # fmt: skip
"""Keys that ask for a name, and its group."""
ONCE = ("sample", "pool")
"""Kinds whose name is given once; a balance or a lot may be described anew."""

Known = dict[str, set[str]]
"""Names by their group."""


def chain_of(entries: Iterable[Entry]) -> Chain:
    """The chain behind these entries, as far as a check of the next one needs it."""
    chain = Chain(BY_NAME)
    for entry in entries:
        chain.step(entry.kind, "")
    return chain


def must_fit(entries: Sequence[Entry], trial: Entry, faults: Sequence[str] = ()) -> None:
    """Refuse an entry that may not follow these.

    Args:
        entries: all entries of the log.
        trial: the next one.
        faults: faults found before.

    Raises:
        BadInput: one line for each fault.
    """
    found = [*faults, *strict.faults(chain_of(entries), trial.by, trial.kind, trial.values)]
    if not found:
        # what was amiss before is no fault of this entry
        before = set(_amiss(entries))
        found = [line for line in _amiss([*entries, trial]) if line not in before]
    if found:
        raise BadInput(found)


def _amiss(entries: Sequence[Entry]) -> list[str]:
    """What stands in the way of results: names without a thing, and what replay refuses."""
    lines = names_amiss([e for e in effective(entries) if e.withdrawn is None])
    try:
        replay(entries)
    except BadInput as fault:
        return lines or [*fault.lines]
    return lines


def names_amiss(entries: Sequence[Effective], known: Known | None = None) -> list[str]:
    """Names that stand for nothing, or for two things: one line for each.

    Args:
        entries: those that hold; a name may be given after it is asked for.
        known: names given before them; what they give is added. Left out: none.
    """
    known = {group: set() for _, group in GIVES.values()} if known is None else known
    lines: list[str] = []
    for entry in entries:
        if entry.kind in GIVES:
            key, group = GIVES[entry.kind]
            name = entry.text(key)
            if entry.kind in ONCE and name in known[group]:
                lines.append(_at(entry, key, say("name_twice", x=quoted(name))))
            known[group].add(name)
    for entry in entries:
        for key, group in ASKS.items():
            for name in [entry.text(key), *entry.texts(key)]:
                if name and name not in known[group]:
                    said = say("name_not_in_log", x=quoted(name), group=group)
                    lines.append(_at(entry, key, said))
    return lines


def _at(entry: Effective, key: str, line: str) -> str:
    return f"entry {entry.n}, {key}: {line}"
