"""`assaybench enter`: one entry of any kind into a log, checked in full before it is stored."""

import textwrap
from typing import Any

import click

from assaybench.cli.asking import Asker
from assaybench.cli.attaching import Attaching
from assaybench.cli.logbooks import by_option, desk_of, in_logbook, words_of
from assaybench.cli.options import emit, once, shape_of
from assaybench.cli.storing import Stored, Wanted, store
from assaybench.cli.typed_entry import values_of
from assaybench.logbook.attachments import KIND as ATTACHMENT
from assaybench.messages import BadInput, quoted
from assaybench.metrology.figure import Flag
from assaybench.record.entries import Entry
from assaybench.record.kinds import BY_NAME, Key
from assaybench.record.method_items import BY_NAME as ITEMS
from assaybench.record.replay import replay
from assaybench.record.results import CONTRADICTIONS, results
from assaybench.report import entry_lines
from assaybench.report.answer import Answer, table_section

BY_THE_PROGRAM = ("opened", "session", "recovered", "results", "replaces", "sealed")
ENTERED = tuple(name for name in BY_NAME if name not in BY_THE_PROGRAM)
_HEAD = """Store one entry in the log NUMBER: its KIND, and its keys as key=value.

A list is its key given again: lots=K-31 lots=K-32. A value with blanks stands in quotes:
"step=0.001 mg". Keys in brackets may be left out. A reading that looks like a slip is asked about
first; --seen answers beforehand. An attachment needs file=PATH alone: the file is copied beside
the log, and its size and digest are worked out.
"""


def _help() -> str:
    """The help, with every kind and its keys from the table of kinds."""
    rows = []
    for name in ENTERED:
        keys = (k.name if k.required else f"[{k.name}]" for k in BY_NAME[name].keys)
        rows += textwrap.wrap(f"{name}: {' '.join(keys)}", 74, subsequent_indent="    ")
    items = textwrap.wrap(f"item of method: {', '.join(ITEMS)}", 74, subsequent_indent="    ")
    return _HEAD + "\n\b\n" + "\n".join([*rows, *items])


@click.command(name="enter", help=_help(), short_help="One entry into a log.")
@click.argument("words", nargs=-1, metavar="NUMBER KIND key=value…")
@once("--seen", metavar="TEXT", help="What you see now, for a reading that was asked about.")
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Store one entry; the help is made from the table of kinds."""
    (number, kind), pairs = words_of(typed["words"], ["NUMBER", "KIND"], more="key=value…")
    if kind not in ENTERED:
        raise BadInput.of("kind_unknown", x=quoted(kind), choices=", ".join(ENTERED))
    shape, desk = shape_of(typed), desk_of(typed)
    rows = Asker(typed["seen"]).rows
    if kind == ATTACHMENT:
        stored = Attaching(desk, pairs).store(typed, number, rows)
        emit(answer(stored), shape, practice=stored.name.practice)
        return

    def wanted(entries: list[Entry]) -> Wanted:
        faults: list[str] = []
        keys = BY_NAME[kind].by_name
        if kind == "amendment":
            keys = keys_given_anew(entries, values_of(pairs, keys, []).get("entry"))
        return Wanted(kind, values_of(pairs, keys, faults), faults)

    stored = store(desk, typed, number, wanted, rows)
    emit(answer(stored), shape, practice=stored.name.practice)


def keys_given_anew(entries: list[Entry], n: object) -> dict[str, Key]:
    """The keys that an amendment of entry `n` may have: its own, and those of that entry."""
    own = BY_NAME["amendment"].by_name
    target = next((entry for entry in entries if entry.n == n), None)
    kind = BY_NAME.get(target.kind) if target is not None else None
    return {**kind.by_name, **own} if kind is not None else own


def answer(stored: Stored) -> Answer:
    """The answer of `enter`: the entry as it was stored, and what was asked before it."""
    lines = [line for entry in stored.new for line in entry_lines.lines(entry)]
    return Answer(
        command="enter",
        inputs={"log": stored.name.spelled},
        figures={},
        rows=(stored.row,),
        sections=(table_section("Entry", lines),),
        flags=(*stored.flags, *_contradictions(stored)),
        records={"entries": [entry_lines.tree(entry) for entry in stored.new]},
    )


def _contradictions(stored: Stored) -> list[Flag]:
    """Masses of the sample that cannot both be right, when a reading was confirmed all the same."""
    if all(entry.kind != "asked" for entry in stored.new):
        return []
    sample = stored.counting[-1].text("sample")
    try:
        found = results(replay(stored.entries))
    except BadInput:  # the results tell why when they are asked for
        return []
    return [f for s in found.samples if s.id == sample for f in s.flags if f.code in CONTRADICTIONS]
