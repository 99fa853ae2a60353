"""`assaybench enter`: one entry of any kind into a log, checked in full before it is stored."""

import textwrap
from typing import Any

import click

from assaybench.cli.logbooks import (
    by_option,
    desk_of,
    in_logbook,
    shape_of,
    words_of,
)
from assaybench.cli.options import emit
from assaybench.cli.storing import Stored, Wanted, store
from assaybench.cli.typed_entry import values_of
from assaybench.messages import BadInput, quoted
from assaybench.record.entries import Entry
from assaybench.record.kinds import BY_NAME, Key
from assaybench.report import entry_lines
from assaybench.report.answer import Answer, table_section

BY_THE_PROGRAM = ("opened", "session", "recovered", "results", "sealed")
ENTERED = tuple(name for name in BY_NAME if name not in BY_THE_PROGRAM)
_HEAD = """Store one entry in the log NUMBER: its KIND, and its keys as key=value.

A list is its key given again: lots=K-31 lots=K-32. A value with blanks stands in quotes:
"step=0.001 mg". Keys in brackets may be left out.
"""


def _help() -> str:
    """The help, with every kind and its keys from the table of kinds."""
    rows = []
    for name in ENTERED:
        keys = (k.name if k.required else f"[{k.name}]" for k in BY_NAME[name].keys)
        rows += textwrap.wrap(f"{name}: {' '.join(keys)}", 74, subsequent_indent="    ")
    return _HEAD + "\n\b\n" + "\n".join(rows)


@click.command(name="enter", help=_help(), short_help="One entry into a log.")
@click.argument("words", nargs=-1, metavar="NUMBER KIND key=value…")
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Store one entry; the help is made from the table of kinds."""
    (number, kind), pairs = words_of(typed["words"], ["NUMBER", "KIND"], more="key=value…")
    if kind not in ENTERED:
        raise BadInput.of("kind_unknown", x=quoted(kind), choices=", ".join(ENTERED))
    shape, desk = shape_of(typed), desk_of(typed)

    def wanted(entries: list[Entry]) -> Wanted:
        faults: list[str] = []
        keys = BY_NAME[kind].by_name
        if kind == "amendment":
            keys = keys_given_anew(entries, values_of(pairs, keys, []).get("entry"))
        return Wanted(kind, values_of(pairs, keys, faults), faults)

    emit(answer(store(desk, typed, number, wanted)), shape)


def keys_given_anew(entries: list[Entry], n: object) -> dict[str, Key]:
    """The keys that an amendment of entry `n` may have: its own, and those of that entry."""
    own = BY_NAME["amendment"].by_name
    target = next((entry for entry in entries if entry.n == n), None)
    kind = BY_NAME.get(target.kind) if target is not None else None
    return {**kind.by_name, **own} if kind is not None else own


def answer(stored: Stored) -> Answer:
    """The answer of `enter`: the entry as it was stored."""
    entry = stored.counting[-1]
    return Answer(
        command="enter",
        inputs={"log": stored.name.spelled},
        figures={},
        rows=(stored.row,),
        sections=(table_section("Entry", entry_lines.lines(entry)),),
        flags=tuple(stored.flags),
        records={"entries": [entry_lines.tree(entry)]},
    )
