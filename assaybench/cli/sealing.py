"""What the commands that sign share: who signs, as people read it, and with which meaning."""

from collections.abc import Sequence
from typing import Any

from assaybench.cli.logbooks import Desk
from assaybench.cli.options import Decorated, once
from assaybench.logbook.seal import SealHead
from assaybench.messages import BadInput, quoted, say
from assaybench.record import check
from assaybench.record.entries import Entry, effective
from assaybench.record.kinds import MEANINGS


def head_options(function: Decorated) -> Decorated:
    """The options --name, --role and --meaning."""
    choices = "|".join(MEANINGS)
    for name, metavar, text in (
        ("--meaning", f"'{choices}'", "What the signature stands for."),
        ("--role", "TEXT", "What the signer does here."),
        ("--name", "TEXT", "Printed name of the signer."),
    ):
        function = once(name, metavar=metavar, help=text)(function)
    return function


def head_of(
    desk: Desk, typed: dict[str, Any], by: str, entries: Sequence[Entry], meaning: str
) -> SealHead:
    """Who signs: by the options, else by a `person` entry of the log, else by the settings.

    Args:
        desk: where; its settings have printed names by initials.
        typed: the options.
        by: initials.
        entries: of the log.
        meaning: what the signature stands for when nobody says.

    Raises:
        BadInput: one line for each thing that is missing, or cannot be.
    """
    faults: list[str] = []
    persons = [e for e in effective(entries) if e.kind == "person" and e.withdrawn is None]
    person = next((e for e in reversed(persons) if e.text("initials") == by), None)
    known = {
        "name": (person.text("name") if person else "") or desk.settings.people.get(by, ""),
        "role": person.text("role") if person else "",
    }
    texts: dict[str, str] = {}
    for option, otherwise in known.items():
        given = typed[option] if typed[option] is not None else otherwise
        if not given:
            accepted = say(f"sealing_{option}_needed", by=by)
            faults.append(say("argument_missing", what=f"--{option}", accepted=accepted))
            continue
        try:
            texts[option] = check.text(given)
        except BadInput as fault:
            faults += fault.named(f"--{option}").lines
    said = typed["meaning"] if typed["meaning"] is not None else meaning
    if said not in MEANINGS:
        choices = ", ".join(MEANINGS)
        faults.append(say("choice_unknown", x=quoted(said), what="--meaning", choices=choices))
    if faults:
        raise BadInput(faults)
    return SealHead(texts["name"], texts["role"], said)
