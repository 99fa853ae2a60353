"""`assaybench correct`: keys of an entry given anew, with a reason; the old values stay, struck."""

from collections.abc import Sequence
from typing import Any, NamedTuple

import click

from assaybench.assay import sorts
from assaybench.cli.enter import keys_given_anew
from assaybench.cli.logbooks import (
    by_option,
    desk_of,
    in_logbook,
    reason_of,
    reason_option,
    words_of,
)
from assaybench.cli.options import emit, shape_of
from assaybench.cli.storing import Stored, Wanted, store
from assaybench.cli.typed_entry import values_of
from assaybench.messages import BadInput
from assaybench.metrology.figure import Figure, Flag, flag
from assaybench.record.circuit_run import circuit_of
from assaybench.record.entries import AMENDMENT_KEYS, Entry
from assaybench.record.pools import pools
from assaybench.record.replay import replay
from assaybench.record.results import results
from assaybench.record.wholes import wholes
from assaybench.report import entry_lines
from assaybench.report.answer import Answer, Section, figure_tree, table_section
from assaybench.report.circuit_view import view
from assaybench.report.results_view import LABELS, WHOLE_LABELS
from assaybench.units import parse

MOST_ENTRIES = 10**9


@click.command(name="correct")
@click.argument("words", nargs=-1, metavar="NUMBER ENTRY key=value…")
@reason_option
@by_option
@in_logbook
def command(**typed: Any) -> None:
    """Correct entry ENTRY of the log NUMBER: give only the keys that change, as key=value.

    The entry stays; what it said stands struck, with the reason, who and when.
    """
    (number, named), pairs = words_of(typed["words"], ["NUMBER", "ENTRY"], more="key=value…")
    try:
        n = parse.whole(named, 1, MOST_ENTRIES)
    except BadInput as fault:
        raise fault.named("ENTRY") from fault
    reason = reason_of(typed)
    shape, desk = shape_of(typed), desk_of(typed)

    def wanted(entries: list[Entry]) -> Wanted:
        faults: list[str] = []
        keys = keys_given_anew(entries, n)
        keys = {name: key for name, key in keys.items() if name not in AMENDMENT_KEYS}
        changes = values_of(pairs, keys, faults)
        return Wanted("amendment", {**changes, "entry": n, "reason": reason}, faults)

    stored = store(desk, typed, number, wanted)
    emit(answer(stored, n), shape, practice=stored.name.practice)


def answer(stored: Stored, n: int) -> Answer:
    """The answer of `correct`: the entry with its old values struck, and what follows from it."""
    corrected = next(entry for entry in stored.counting if entry.n == n)
    was, now = _found(stored.before), _found(stored.entries)
    rows: list[tuple[str, str]] = []
    changed: list[dict[str, object]] = []
    for (sample, name), figure in now.figures.items():
        old = was.figures.get((sample, name))
        if old is None or old.text != figure.text:
            label = f"{sample}, {_LABELS.get(name, name.replace('_', ' '))}"
            text = f"{old.text}, now {figure.text}" if old is not None else figure.text
            rows.append((label, text))
            changed.append(
                {
                    "id": sample,
                    "name": name,
                    "before": None if old is None else figure_tree(old),
                    "now": figure_tree(figure),
                }
            )
    sections = [table_section("Entry", entry_lines.lines(corrected))]
    if rows:
        sections.append(Section("Figures that changed", tuple(rows)))
    return Answer(
        command="correct",
        inputs={"log": stored.name.spelled, "entry": n},
        figures={},
        rows=(stored.row,),
        sections=tuple(sections),
        flags=(
            *stored.flags,
            *_other_sorts(was, now),
            *(f for f in now.flags if f not in was.flags),
        ),
        records={"entries": [entry_lines.tree(corrected)], "changed": changed},
    )


_LABELS = WHOLE_LABELS | LABELS | {"mean": "mean of its determinations"}


class _Found(NamedTuple):
    """What a log says: its figures by what they are of and their name, and the sort of each gold.

    Attributes:
        figures: of samples, means, wholes, pools and the circuit.
        sorts: how the gold of a sample is corrected for cupel loss, by its id.
        flags: why the log gives no figures, where it gives none.
    """

    figures: dict[tuple[str, str], Figure] = {}  # noqa: RUF012  never written to
    sorts: dict[str, str] = {}  # noqa: RUF012  likewise
    flags: tuple[Flag, ...] = ()


def _found(entries: Sequence[Entry]) -> _Found:
    """Every figure of a log; when it gives none, why."""
    try:
        found = results(replay(entries))
        circuit = circuit_of(found)
        more = {} if circuit is None else view(circuit).figures
    except BadInput as fault:
        return _Found(flags=tuple(Flag("no_results", line) for line in fault.lines))
    own = {(s.id, name): f for s in found.samples for name, f in s.figures.items()}
    for grade in found.grades:
        name = f"{grade.id}, {grade.words}" if grade.mixed else grade.id
        own[name, "mean"] = grade.figure
    for whole in wholes(found):
        own |= {(whole.id, name): figure for name, figure in whole.printed.items()}
    for pool in pools(found):
        own |= {(pool.id, name): figure for name, figure in pool.figures.items()}
    own |= {("circuit", name): figure for name, figure in more.items()}
    return _Found(own, {s.id: s.sort for s in found.samples if s.sort})


def _other_sorts(was: _Found, now: _Found) -> list[Flag]:
    """Samples whose gold is now corrected in another way, which moves a figure by itself."""
    moved: dict[tuple[str, str], list[str]] = {}
    for name, sort in now.sorts.items():
        before = was.sorts.get(name, sort)
        if before != sort:
            moved.setdefault((before, sort), []).append(name)
    return [
        flag("sort_changed", who=", ".join(names), was=sorts.words(old), now=sorts.words(new))
        for (old, new), names in moved.items()
    ]
