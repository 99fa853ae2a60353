"""The strict check of a whole entry against the entries before it, for the log and the register.

The frame says whether the bytes are as they were written; this says whether what they hold is what
the table of kinds allows. The program never writes an entry that fails it, so a fault in a sound
file means that something else wrote it.
"""

from functools import lru_cache

from assaybench.messages import BadInput, quoted, say
from assaybench.record import check
from assaybench.record.frame import Chain, Values
from assaybench.record.kinds import Key, Kind

STAY = (
    "opened", "amendment", "withdrawn", "recovered", "session", "results", "replaces", "sealed",
)  # fmt: skip
"""Kinds that are neither amended nor withdrawn: the log's own, and corrections themselves.

A correction is corrected by another amendment of the entry it is about."""
CORRECTIONS = ("amendment", "withdrawn")
LOOKED_INTO = (*CORRECTIONS, "method")
"""Kinds of which one key says what another may be."""
LOG_BEGINS = "opened"
_INITIALS = Key("by", "initials", "who made the entry")


def faults(chain: Chain, by: str, kind: str, values: Values) -> list[str]:
    """Every fault of the next entry of a chain, one sentence each; empty when it may be written.

    Kinds and keys that the table does not hold are faults here; a reader that meets them in a
    sound file keeps them and says that a newer program wrote them.
    """
    found = _of_initials(by)
    known = chain.table.get(kind)
    if known is None:
        choices = ", ".join(chain.table)
        return [*found, say("kind_unknown", x=quoted(kind), choices=choices)]
    found += _place(chain, kind)
    amiss = len(found)
    target = _target(chain, kind, values, found)
    if len(found) > amiss:
        # keys of an entry that is not there, or that stays, cannot be told from unknown ones
        values = {name: value for name, value in values.items() if name in known.by_name}
    for name, line in check.faults(known, values, target if kind == "amendment" else None):
        found.append(f"{name}: {line}" if name else line)
    return found


def ready(chain: Chain, by: str, kind: str, values: Values) -> dict[str, object]:
    """The values of the next entry as they are stored: text in NFC without blanks at its ends.

    Raises:
        BadInput: one line for each fault of the entry.
    """
    known = chain.table.get(kind)
    if known is not None and kind not in LOOKED_INTO:
        found = _plainly_good(chain, by, known, values)
        if found is not None:
            return found
    lines = faults(chain, by, kind, values)
    if lines:
        raise BadInput(lines)
    target = chain.named_kind(values) if kind == "amendment" else None
    keys = {**(target.by_name if target else {}), **chain.table[kind].by_name}
    return {name: check.value(keys[name], value) for name, value in values.items()}


def _plainly_good(chain: Chain, by: str, kind: Kind, values: Values) -> dict[str, object] | None:
    """The values as they are stored, by the shortest way; None when something is amiss.

    A correction depends on the entry it names, and the value of a method on its item: neither goes
    this way.
    """
    by_name, required, checked = chain.keys_of(kind)
    if not required <= values.keys() or _place(chain, kind.name):
        return None
    found: dict[str, object] = {}
    try:
        _good_initials(by)
        for name, value in values.items():
            words = checked.get(name) if type(value) is str else None
            stored = words.get(value) if words is not None else None
            if stored is None:
                stored = check.value(by_name[name], value)
                if words is not None:
                    words[value] = stored
            found[name] = stored
    except (BadInput, KeyError):
        return None
    return found


def _of_initials(by: str) -> list[str]:
    try:
        _good_initials(by)
    except BadInput as fault:
        return list(fault.named("by").lines)
    return []


@lru_cache(maxsize=64)
def _good_initials(by: str) -> None:
    """Let initials pass; those of a log are few, and are not looked at again."""
    check.value(_INITIALS, by)


def is_log(chain: Chain) -> bool:
    """Whether a file is a log, not a register: its first kind tells."""
    return chain.first == LOG_BEGINS


def _place(chain: Chain, kind: str) -> list[str]:
    """The first entry opens the file; nothing follows a seal."""
    first = chain.first
    if (chain.n == 0) != (kind == first):
        code = "entry_first" if chain.n == 0 else "entry_not_first"
        return [say(code, first=first)]
    if kind == "replaces" and chain.n != 1:
        return [say("replaces_second")]
    last = chain.kind_of(chain.n)
    if last is not None and last.name == "sealed" and is_log(chain):
        return [say("log_sealed")]
    return []


def _target(chain: Chain, kind: str, values: Values, found: list[str]) -> Kind | None:
    """The kind of the entry that an amendment or a withdrawal names."""
    if kind not in CORRECTIONS:
        return None
    n = values.get("entry")
    if n is None:
        return None
    target = chain.named_kind(values)
    if "log" in values or "entry_kind" in values:
        found += _of_other_log(chain, values, target)
    elif target is None:
        found.append(say("entry_unknown", x=quoted(str(n)), most=chain.n))
    if target is None:
        return None
    if target.name in STAY:
        found.append(say("entry_stays", n=n, kind=target.name))
    elif kind == "amendment" and not set(values) - set(chain.table[kind].by_name):
        own = chain.table[kind].by_name
        choices = ", ".join(name for name in target.by_name if name not in own)
        found.append(say("amendment_empty", choices=choices))
        if "reason" in target.by_name:
            found.append(say("amendment_reason"))
    return target


def _of_other_log(chain: Chain, values: Values, target: Kind | None) -> list[str]:
    """What is amiss with a correction of an entry of the log that this one replaces."""
    second = chain.kind_of(2)
    if second is None or second.name != "replaces":
        return [say("replaces_none")]
    if "log" not in values or target is None:
        named = quoted(str(values.get("entry_kind", "")))
        return [say("kind_unknown", x=named, choices=", ".join(chain.table))]
    return []
