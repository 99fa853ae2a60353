"""The trial of an entry before it is stored: the table of kinds, the log before it, its names.

A log never loses an entry, so one that would leave the log without results is refused beforehand:
a name that stands for nothing or for two things, a reading on a balance nobody described.
"""

from collections.abc import Iterable, Sequence

from assaybench.messages import BadInput, quoted, say
from assaybench.record import method_items, strict
from assaybench.record.entries import AMENDMENT_KEYS, Effective, Entry, effective
from assaybench.record.frame import Chain
from assaybench.record.kinds import BY_NAME
from assaybench.record.replay import replay
from assaybench.units import money

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

MOST_LINEAR = 2
"""A weighing is the difference of two readings, so a limit of linearity enters it twice at most."""
WORKED_OUT = frozenset({"file", "size", "sha256"})
"""Keys of an attachment that its file gives: no correction can make them true of another."""

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
    found = found or _method_amiss(entries, trial) or _correction_amiss(entries, trial)
    if not found:
        # what was amiss before is no fault of this entry
        before = set(_amiss(entries))
        found = [line for line in _amiss([*entries, trial]) if line not in before]
    if found:
        raise BadInput(found)


def _method_amiss(entries: Sequence[Entry], trial: Entry) -> list[str]:
    """What is not accepted of a choice of the method as an amendment gives it anew."""
    if trial.kind != "amendment":
        return []
    named = trial.values.get("entry")
    amended = next((e for e in effective([*entries, trial]) if e.n == named), None)
    if amended is None or amended.kind != "method":
        return []
    given = trial.values.keys() & {"item", "value"}
    found = method_items.faults(amended.values) if given else []
    # an item that stood before it was refused is no fault of this entry
    return [f"{key}: {line}" for key, line in found if key == "value" or "item" in given]


def _correction_amiss(entries: Sequence[Entry], trial: Entry) -> list[str]:
    """What is not accepted of a correction: of what counts no more, of a digest, or of nothing."""
    if trial.kind not in strict.CORRECTIONS:
        return []
    named = trial.values.get("entry")
    target = next((e for e in effective(entries) if e.n == named), None)
    if target is None:
        return []
    if target.withdrawn is not None:
        return [say("entry_withdrawn", n=named)]
    if trial.kind != "amendment":
        return []
    given = {key: v for key, v in trial.values.items() if key not in AMENDMENT_KEYS}
    if target.kind == "attachment" and not WORKED_OUT.isdisjoint(given):
        return [say("attachment_stays", n=named)]
    if all(target.values.get(key) == value for key, value in given.items()):
        return [say("amendment_same", n=named)]
    before = _in_circles(effective(entries))
    return [line for line in _in_circles(effective([*entries, trial])) if line not in before]


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
        lines += _by_itself(entry)
    for entry in entries:
        for key, group in ASKS.items():
            for name in [entry.text(key), *entry.texts(key)]:
                if name and name not in known[group]:
                    said = say("name_not_in_log", x=quoted(name), group=group)
                    lines.append(_at(entry, key, said))
    return lines


def _by_itself(entry: Effective) -> list[str]:
    """A sample or pool of itself, a load of nobody, a price without an amount, a count too many."""
    if entry.kind in ONCE:
        return [
            _at(entry, key, say("name_of_itself", x=quoted(entry.text("id"))))
            for key in ("of", "samples")
            if entry.text("id") in (entry.text(key), *entry.texts(key))
        ]
    if entry.kind == "reading" and entry.text("what") != "zero" and not entry.text("sample"):
        return [_at(entry, "sample", say("reading_of_nobody", what=entry.text("what")))]
    try:
        if entry.kind == "price":
            money.money(entry.text("amount"))
    except BadInput as fault:
        return [_at(entry, "amount", line) for line in fault.lines]
    readings = entry.whole("linearity_readings") or 0
    if readings > MOST_LINEAR:
        said = say("number_not_whole", x=quoted(str(readings)), least=0, most=MOST_LINEAR)
        return [_at(entry, "linearity_readings", said)]
    return []


def _in_circles(entries: Sequence[Effective]) -> list[str]:
    """Samples that are of each other, round and round: corrections alone can make them so."""
    samples = [e for e in entries if e.kind == "sample" and e.withdrawn is None]
    of = {entry.text("id"): entry.text("of") for entry in samples}
    lines = []
    for entry in samples:
        name = entry.text("id")
        passed, at = {name}, of.get(name, "")
        while at and at not in passed:
            passed.add(at)
            at = of.get(at, "")
        if at == name and at and of[name] != name:
            lines.append(_at(entry, "of", say("name_of_itself", x=quoted(name))))
    return lines


def _at(entry: Effective, key: str, line: str) -> str:
    return f"entry {entry.n}, {key}: {line}"
