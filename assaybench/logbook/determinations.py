"""All determinations of the samples of a log, in it and across the logbook, by number.

A determination is a sample of role sample, duplicate or reference that is no part of another; it
belongs to the sample that it repeats (`of`), else to its own id. Elsewhere it is of the same sample
when it repeats that id, has that id, or has the id of one of the repeats here and repeats nothing.

Counted is what has a grade: of a sample assayed in parts the grade of the whole, of a bar its
fineness. A log whose number is void, and practice, are told and not counted. A log that another one
replaces is counted once, as that one. A lost charge, or masses that contradict each other, have no
grade: they are told with the reason.
"""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from assaybench.assay import sorts
from assaybench.assay.replicates import average, middle
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook, LogName
from assaybench.logbook.history import history
from assaybench.logbook.index import Index, with_index
from assaybench.logbook.index_tables import Row
from assaybench.logbook.reading import read_log
from assaybench.messages import BadInput, say
from assaybench.metrology.figure import Figure
from assaybench.record.entries import Effective, Entry, effective
from assaybench.record.reissue import joined
from assaybench.record.replay import State, replay
from assaybench.record.results import Results, SampleResult, results
from assaybench.record.wholes import Whole, wholes

ROLES = frozenset({"sample", "duplicate", "reference"})


class Held(NamedTuple):
    """One determination of a sample.

    Attributes:
        log: the log that it stands in.
        id: its own id there.
        figure: its grade, or the fineness of a bar; None where there is none, `remark` says why.
        left_out: why it is left out of the mean of its log and by whom, empty when it is not.
        counts: whether its log counts: it is neither void nor practice.
        remark: why it has no grade or does not count, or that its log is damaged.
        sort: how its figure is corrected for cupel loss; empty without one.
    """

    log: LogName
    id: str
    figure: Figure | None
    left_out: str = ""
    counts: bool = True
    remark: str = ""
    sort: str = ""

    @property
    def counted(self) -> bool:
        """Whether it is one of N."""
        return self.counts and self.figure is not None and self.figure.value is not None

    @property
    def unit(self) -> str:
        """The unit of its figure."""
        return "" if self.figure is None else self.figure.unit


class MeanOfAll(NamedTuple):
    """Mean and median of all determinations of one sort, wherever they stand.

    Attributes:
        sort: how they are corrected for cupel loss.
        n: how many there are.
        mean, median: in the unit of the family.
    """

    sort: str
    n: int
    mean: float
    median: float


class Family(NamedTuple):
    """All determinations of one sample.

    Attributes:
        id: of the sample.
        here: those of the log, in its order.
        elsewhere: those of other logs, the oldest log first.
    """

    id: str
    here: tuple[Held, ...]
    elsewhere: tuple[Held, ...]

    @property
    def counted(self) -> tuple[Held, ...]:
        """The N determinations, those of other logs behind; all are of the unit of the first."""
        every = [held for held in (*self.here, *self.elsewhere) if held.counted]
        return tuple(held for held in every if held.unit == every[0].unit)

    @property
    def unit(self) -> str:
        """The unit of its figures: g/t, or ‰ for a bar."""
        counted = self.counted
        return counted[0].unit if counted else "g/t"

    @property
    def sorts(self) -> tuple[str, ...]:
        """The sorts of those of the log, in order; none where none has a figure."""
        return sorts.present(held.sort for held in self.here)

    @property
    def means(self) -> tuple[MeanOfAll, ...]:
        """Mean and median of all N, those of two sorts apart; none where nothing counts."""
        found = []
        counted = self.counted
        for sort in sorts.present(held.sort for held in counted):
            figures = [held.figure for held in counted if held.sort == sort]
            values = [f.value for f in figures if f is not None and f.value is not None]
            found.append(MeanOfAll(sort, len(values), average(values), middle(values)))
        return tuple(found)

    def shown(self, only: Sequence[str] = (), sort: str = "") -> tuple[Held, ...]:
        """Those of this log that a page shows: not left out, and asked for.

        Args:
            only: ids that are asked for, of samples or of determinations; empty asks for all.
            sort: of this sort alone; empty for every one.
        """
        asked = not only or self.id in only
        return tuple(
            held
            for held in self.counted
            if held.log == self.here[0].log and not held.left_out and (asked or held.id in only)
            if not sort or held.sort == sort
        )


class Elsewhere(NamedTuple):
    """The other logs that hold determinations of a log's samples.

    Attributes:
        rows: these logs, oldest first.
        newer: the log that replaces this one in the end, None when none does.
        unseen: numbers whose log is missing or cannot be read, so that nobody knows.
    """

    rows: tuple[Row, ...]
    newer: LogName | None
    unseen: int


def families(state: State) -> dict[str, list[str]]:
    """The samples of a log that were assayed, with the ids of their determinations.

    References alone are left out: they are checks, met in every run.
    """
    found: dict[str, list[str]] = {}
    asked = set()
    for name, entry in state.samples.items():
        role = entry.text("role")
        if role in ROLES and not entry.text("part"):
            family = entry.text("of") or name
            found.setdefault(family, []).append(name)
            if role != "reference":
                asked.add(family)
    return {name: members for name, members in found.items() if name in asked}


def other_logs(
    book: Logbook,
    files: Files,
    name: LogName,
    asked: dict[str, list[str]],
    *,
    cache: Path,
    tell: Callable[[int], None] = lambda _n: None,
) -> Elsewhere:
    """The other logs of a logbook that hold samples of these ids, found by its index.

    Args:
        book: the logbook.
        files: the disk.
        name: the log itself.
        asked: its samples, as `families` gives them.
        cache: folder of the indexes.
        tell: called with the number of logs when many must be read for it.

    Raises:
        NotDone: when the logbook cannot be read.
    """
    names = {*asked, *(member for members in asked.values() for member in members)}

    def job(index: Index) -> Elsewhere:
        index.update("all")
        replaced = index.replaced_by()
        last = _last(replaced, name)
        # the logs that this one replaces come to this one in the end, and are its own
        final = {_last(replaced, holder) for holder in index.holders(names)} - {name}
        rows = tuple(index.rows_of(final))
        return Elsewhere(rows, last if last != name else None, index.unseen())

    return with_index(book, files, cache, job, tell=tell)


def _last(replaced: dict[LogName, LogName], name: LogName) -> LogName:
    """The log that stands for a log in the end; numbers rise, so this comes to an end."""
    while name in replaced and replaced[name] > name:
        name = replaced[name]
    return name


def determinations(
    book: Logbook, files: Files, name: LogName, found: Results, others: Elsewhere
) -> tuple[Family, ...]:
    """All determinations of each sample of a log.

    Args:
        book: the logbook.
        files: the disk.
        name: the log.
        found: its results.
        others: the logs that hold more of them.
    """
    asked = families(found.run.state)
    by_id = {held.id: held for held in _helds(name, found)}
    here = {family: [by_id[member] for member in members] for family, members in asked.items()}
    elsewhere: dict[str, list[Held]] = {}
    for row in others.rows:
        # a log that replaces this one holds all that stands here; what else it holds counts
        known = set(by_id) if row.name == others.newer else set()
        for family, held in _of_log(book, files, row, asked):
            if held.id not in known:
                elsewhere.setdefault(family, []).append(held)
    return tuple(
        Family(family, tuple(own), tuple(elsewhere.get(family, ()))) for family, own in here.items()
    )


def _of_log(
    book: Logbook, files: Files, row: Row, asked: dict[str, list[str]]
) -> Iterator[tuple[str, Held]]:
    """The determinations of these samples that another log holds."""
    path = book.log(row.name)
    entries, verdict = read_log(files, path)
    fault = ""
    try:
        entries = joined(history(files, path, entries))
    except NotDone as trouble:
        fault = trouble.lines[0]
    wanted = _wanted(entries, asked)
    if not wanted:
        return
    counts = not (row.void or row.practice)
    remark = fault
    if row.void:
        remark = say("held_void", why=row.void)
    elif row.practice:
        remark = say("held_practice")
    elif verdict.state == "damaged":
        remark = say("held_damaged")
    try:
        made = [] if fault else _helds(row.name, results(replay(entries)))
    except BadInput as trouble:
        made, remark = [], remark or trouble.lines[0]
    by_id = {held.id: held for held in made}
    for sample, family in wanted.items():
        held = by_id.get(sample, Held(row.name, sample, None))
        yield family, held._replace(counts=counts, remark=remark or held.remark)


def _wanted(entries: Sequence[Entry], asked: dict[str, list[str]]) -> dict[str, str]:
    """The determinations of another log that are of these samples, each with its sample."""
    found = {}
    for entry in effective(entries):
        if entry.kind == "sample" and entry.withdrawn is None:
            family = _family(entry, asked)
            if family is not None:
                found[entry.text("id")] = family
    return found


def _family(entry: Effective, asked: dict[str, list[str]]) -> str | None:
    """The sample that a determination of another log is of; None for one of another sample."""
    if entry.text("role") not in ROLES or entry.text("part"):
        return None
    own, of = entry.text("id"), entry.text("of")
    for name in (of, own):
        if name in asked:
            return name
    if of or entry.text("role") == "duplicate":
        return None
    return next((family for family, members in asked.items() if own in members), None)


def _helds(log: LogName, found: Results) -> list[Held]:
    """Every sample of a log as a determination."""
    in_parts = any(sample.part for sample in found.samples)
    joined = {whole.id: whole for whole in wholes(found)} if in_parts else {}
    state = found.run.state
    return [_held(log, state, sample, joined.get(sample.id)) for sample in found.samples]


def _held(log: LogName, state: State, sample: SampleResult, whole: Whole | None) -> Held:
    figure, sort = sample.figures.get("grade_gold"), sample.sort
    if figure is None and whole is not None:
        figure, sort = whole.figures.get("grade_gold") or whole.figures.get("fineness"), whole.sort
    remark = ""
    if sample.lost:
        figure, remark = None, say("held_lost", why=sample.lost)
    elif figure is None or figure.value is None:
        remark = figure.why.split("\n")[0] if figure is not None else say("held_no_charge")
    left_out = state.of_sample("left_out", sample.id) if sample.left_out else None
    why = "" if left_out is None else f"{sample.left_out}, {left_out.entry.by}"
    return Held(log, sample.id, figure, why, remark=remark, sort=sort)
