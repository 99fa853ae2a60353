"""Keys of an entry as they are typed, `key=value`: texts become what their key in the table is."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from assaybench.messages import quoted, say
from assaybench.record.kinds import Key

YES_NO = {"true": True, "yes": True, "false": False, "no": False}


def values_of(
    words: Iterable[str], keys: Mapping[str, Key], faults: list[str]
) -> dict[str, object]:
    """The values of an entry from `key=value`, a list by repeating its key.

    What cannot become what its key is stays text, so that the strict check says what is accepted.

    Args:
        words: as typed.
        keys: the keys that are known; others are kept as text.
        faults: a line is added for a word that is no pair, and for a key given twice.
    """
    found: dict[str, object] = {}
    for word in words:
        name, sign, text = word.partition("=")
        if not sign or not name:
            faults.append(say("pair_unreadable", x=quoted(word)))
            continue
        key = keys.get(name)
        if key is not None and key.many:
            parts = found.setdefault(name, [])
            if isinstance(parts, list):
                parts.append(_value(key, text))
        elif name in found:
            faults.append(f"{name}: {say('pair_twice')}")
        else:
            found[name] = text if key is None else _value(key, text)
    return found


def _value(key: Key, text: str) -> object:
    """One value; text that cannot become what its key is stays text."""
    stripped = text.strip()
    match key.type:
        case "whole":
            plain = stripped.isascii() and stripped.isdigit() and len(stripped) <= 18
            return int(stripped) if plain else text
        case "yes_no":
            return YES_NO.get(stripped, text)
        case "time":
            try:
                return datetime.fromisoformat(stripped)
            except ValueError:
                return text
        case _:
            return text
