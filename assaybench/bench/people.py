"""Who works at the bench: the people known in a log and in the settings, and who goes on next."""

from collections.abc import Sequence

from assaybench.bench.actions import Keymap
from assaybench.bench.desk import Desk
from assaybench.logbook.settings_keys import shown
from assaybench.messages import say
from assaybench.record.entries import Entry


def known(desk: Desk, entries: Sequence[Entry] = ()) -> list[str]:
    """Initials of the people known here, each once.

    Those of the log in the order of its entries, whether they wrote one or were named in one; then
    those who worked here since the start, then those of the settings.

    Args:
        desk: who works here, and the settings.
        entries: of the log that is open; none when none is.
    """
    found: dict[str, None] = {}
    for entry in entries:
        found[entry.by] = None
        if entry.kind == "person":
            found[str(entry.values["initials"])] = None
    found |= dict.fromkeys([*desk.worked, *desk.settings.people, desk.settings.initials])
    return [by for by in found if by]


def following(desk: Desk, entries: Sequence[Entry] = ()) -> str:
    """Who goes on after the person who works here now; empty when nobody else is known."""
    people = known(desk, entries)
    if len(people) < 2 or desk.by not in people:
        return ""
    return people[(people.index(desk.by) + 1) % len(people)]


def named(desk: Desk, by: str, entries: Sequence[Entry] = ()) -> str:
    """A person in words: `IM, I. Marsh`, or the initials alone where no name is known."""
    names = dict(desk.settings.people)
    for entry in entries:
        if entry.kind == "person":
            names[str(entry.values["initials"])] = str(entry.values["name"])
    return f"{by}, {names[by]}" if by in names else by


def switched(desk: Desk, keys: Keymap, entries: Sequence[Entry] = ()) -> str:
    """The next person goes on; gives the sentence that says so, empty when nobody else is known.

    Args:
        desk: who works here is changed in it.
        keys: which key does what, for the sentence.
        entries: of the log that is open.
    """
    by = following(desk, entries)
    if not by:
        return ""
    desk.switch(by)
    return say(
        "initials_switched",
        who=named(desk, by, entries),
        by=by,
        again=shown(keys.keys["initials"]),
        next=following(desk, entries),
        new=shown(keys.keys["join"]),
    )
