"""Whether a key line says what its keys do: Esc with a word, and Enter with the word promised."""

import re
from collections.abc import Iterator, Sequence

VERBS = {
    "adds": ("change",),
    "asks": ("ask", "choose", "type", "sign", "look", "suppose", "compare", "open"),
    "begins": ("begin", "more"),
    "changes": ("change",),
    "checks": ("check",),
    "describes": ("add",),
    "gives": ("give",),
    "goes": ("weigh", "balances", "back", "open", "choose"),
    "marks": ("mark",),
    "moves": ("next",),
    "opens": ("open", "choose"),
    "says": ("read",),
    "shows": ("more", "sum", "choose", "figures", "open"),
    "stores": ("store",),
    "supposes": ("suppose",),
    "takes": ("take",),
    "turns": ("more",),
    "writes": ("write",),
}
"""The verb that the line above the keys promises of Enter, and the words of the key line for it."""
_PROMISED = re.compile(r"\bEnter ([a-z]+)")


def amiss(lines: Sequence[str]) -> Iterator[str]:
    """What is wrong with the last two lines of a page.

    Args:
        lines: of the page as it is set.
    """
    said, keys = lines[-2].strip(), lines[-1].strip()
    if not keys:
        if not said.startswith("Any key "):
            yield f"no keys under: {said}"
        return
    words = dict(entry.split(" ", 1) for entry in re.split(r" {3,}", keys))
    if not words.get("Esc"):
        yield f"no Esc: {keys}"
    if said.endswith("_"):
        return  # something is typed: the line asks for it
    found = _PROMISED.search(said)
    if found is None:
        if "Enter" in words and not said.endswith("then Enter."):
            yield f"Enter does nothing: {said} / {keys}"
    elif words.get("Enter") not in VERBS.get(found[1], ()):
        yield f"{said} / {keys}"
