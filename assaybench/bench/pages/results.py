"""The page of results: all samples with grade and ±, and the chosen one opened below.

Nothing here changes a figure. A check that says stop stands first and holds the seal until a note
releases it; `c` marks a sample and holds it against the next one chosen, or against a cut-off.
"""

from datetime import datetime

from assaybench.bench import result_opened, result_remarks
from assaybench.bench.across import Across, across
from assaybench.bench.actions import Keymap, keymap
from assaybench.bench.asking import ANSWER_KEYS, Asking, go_on
from assaybench.bench.jobs import Job, Start, in_a_thread
from assaybench.bench.minutes import Minute
from assaybench.bench.page import UP_DOWN, Back, Bell, Open, Outcome, Room, Stay
from assaybench.bench.pages import losing
from assaybench.bench.pages.compare import ComparePage
from assaybench.bench.pages.sums import SumsPage
from assaybench.bench.result_parts import grade_of, parts_of_grade
from assaybench.bench.result_rows import (
    UNITS,
    Row,
    has_groups,
    head_of,
    heading,
    rows_of,
    text_of,
    unit_after,
    window,
)
from assaybench.bench.run_log import RunLog
from assaybench.bench.saying import Saying
from assaybench.bench.sheet import Line, Sheet, Span, Style, line
from assaybench.bench.typing import Typing
from assaybench.logbook.settings_keys import ACTIONS
from assaybench.messages import BadInput, say
from assaybench.record.checks import Check, checks
from assaybench.record.layers import Layers, layers_of
from assaybench.record.results import Results, SampleResult
from assaybench.record.seal_review import Hold, review
from assaybench.report.answer import coverage_line
from assaybench.units import parse

_KEYS = ("enter.sum", "arrows", "compare", "units", "note", "help", "back")
_HELD_KEYS = ("enter.sum", "arrows", "compare", "release", "note", "help", "back")
_READ_KEYS = ("enter.sum", "arrows", "compare", "units", "help", "back")
_MARKED_KEYS = ("enter.compare", "arrows", "help", "back")
_NO_KEYS = ("help", "back")


class ResultsPage(Saying):
    """The results of one log.

    Attributes:
        run: the log.
        unit: of the grades.
        fault: why there are no results; empty when there are.
    """

    name = "results"

    def __init__(self, run: RunLog, keys: Keymap | None = None, start: Start = in_a_thread) -> None:
        """Work the results out, and look beside the page what other logs hold of the samples.

        Args:
            run: the log.
            keys: which key does what, for what the margin says.
            start: how the look at other logs is begun.
        """
        self.run = run
        self.unit = UNITS[0]
        self.fault = ""
        self._keys = keys or keymap({}, ACTIONS)
        self._at = 0
        self._marked: str | None = None
        self._cutoff = ""
        self._asking: Asking | None = None
        self._entries = -1
        self._minute = Minute()
        self._told = False
        self._look()
        self._across: Job[Across] | None = None
        name = run.name
        if name is not None and not run.practice and not self.fault:
            entries = tuple(run.entries)
            self._across = Job(lambda _post: across(run.desk, name, entries), start)

    def _look(self) -> None:
        """Work everything out anew, when the log has grown."""
        if self._entries == len(self.run.entries):
            return
        self._entries = len(self.run.entries)
        self._layers: dict[str, Layers | None] = {}
        self._rows: list[Row] = []
        self._checks: list[Check] = []
        self._holds: tuple[Hold, ...] = ()
        self._found: Results | None = None
        try:
            found = self.run.results()
            self._rows = rows_of(found, self.run.board())
            self._checks = checks(found)
            self._holds = review(self.run.state, found).holds
        except BadInput as fault:
            self.fault = say("results_fault", why=result_remarks.one_line(" ".join(fault.lines)))
            return
        self._found, self.fault = found, ""
        self._at = min(self._at, max(len(self._rows) - 1, 0))

    @property
    def row(self) -> Row | None:
        """The row under the pointer; None where there is none."""
        return self._rows[self._at] if self._rows else None

    @property
    def holding(self) -> list[Hold]:
        """The checks that say stop and are not released."""
        return [hold for hold in self._holds if not hold.released]

    def _layers_of(self, sample: SampleResult) -> Layers | None:
        if sample.id not in self._layers and self._found is not None:
            try:
                self._layers[sample.id] = layers_of(self._found, sample)
            except BadInput as fault:
                self._layers[sample.id] = None
                self._said = fault.lines
        return self._layers.get(sample.id)

    # --- what it shows --------------------------------------------------------------------------

    def sheet(self, room: Room) -> Sheet:
        """The table, the chosen sample opened below it, remarks in the margin."""
        self._look()
        shown = self._window(room.block_lines)
        return Sheet(
            left=self.run.title,
            title=say("title_results"),
            right=self.run.desk.who_and_when(),
            block=tuple(self._block(room.block_lines)),
            margin=tuple(self._margin(room, len(shown))),
            promise=self._promise(),
            keys=self._key_line(),
            typing=self._typing(),
            about=(say("about_results"),),
        )

    def _key_line(self) -> tuple[str, ...]:
        if self._asking is not None:
            return ANSWER_KEYS
        if self.row is None:
            return _NO_KEYS
        if self._marked is not None:
            return _MARKED_KEYS
        if self.run.closed:
            return _READ_KEYS
        return _HELD_KEYS if self.holding else _KEYS

    def _window(self, lines: int) -> range:
        """The rows in sight: what the opened sample leaves room for, all when they fit."""
        return window(self._rows, self._at, max(lines - result_opened.LINES - 2, 1))

    def _block(self, lines: int) -> list[Line]:
        row, found = self.row, self._found
        if row is None or found is None:
            return [line(say("results_none"))] if not self.fault else []
        shown = self._window(lines)
        block: list[Line] = [line(heading(self.unit))]
        group, grouped = None, has_groups(self._rows)
        for i in shown:
            if grouped and self._rows[i].sort != group:
                group = self._rows[i].sort
                block.append(line(head_of(self._rows[i])))
            here = i == self._at
            marked = self._rows[i].id == self._marked
            text = text_of(self._rows[i], self.unit, here=here)
            style: Style = "reverse" if marked else "bold" if here else "plain"
            block.append(line(Span(text, style)))
        left = lines - len(block) - 1
        layers = None if row.sample is None else self._layers_of(row.sample)
        return [*block, (), *result_opened.lines(found, row, layers, self.unit, left)]

    def _margin(self, room: Room, inside: int) -> list[str]:
        if self._asking is not None:
            return [*self._asking.margin]
        first = [*self._said, *([self.fault] if self.fault else [])]
        row, found = self.row, self._found
        if row is None or found is None:
            return first
        if self._marked is not None:
            first.append(say("compare_marked", id=self._label(self._marked)))
        first += result_remarks.stops(self._holds, self._checks, self._keys)
        sample = row.sample
        layers = None if sample is None else self._layers_of(sample)
        parts = () if sample is None else parts_of_grade(found, sample)
        aim = self.run.aim
        labels = {one.id: one.label for one in self._rows}
        own, others = result_remarks.repeats(found, labels, sample)
        own += self._elsewhere(sample)
        middle = [
            *result_remarks.of_row(row, layers, parts, aim, self.unit),
            *result_remarks.suspected(found, sample),
            *own,
            *result_remarks.further(row, layers),
            *others,
            *result_remarks.of_run(self._checks, self._holds),
        ]
        last = result_remarks.counts(inside, len(self._rows), self.unit, self._coverage(row))
        return result_remarks.fitting(first, middle, last, room.margin_width, room.block_lines)

    def _elsewhere(self, sample: SampleResult | None) -> list[str]:
        """What other logs hold of a sample, as far as that was looked up."""
        job = self._across
        if job is None or sample is None or not job.over:
            return []
        if job.faults:
            return [say("results_across_unknown", why=job.faults[0])]
        found = job.result()
        return [] if found is None else found.told(sample.of or sample.id)

    def _coverage(self, row: Row) -> str:
        """The k of the sample that is opened."""
        figures = row.whole.figures if row.whole is not None else {}
        factors = tuple(f.k for f in figures.values() if f.k is not None)
        if row.sample is not None:
            factors = row.sample.factors
        return coverage_line(factors) if factors else ""

    def _label(self, identity: str) -> str:
        return next((row.label for row in self._rows if row.id == identity), identity)

    def _promise(self) -> str:
        row = self.row
        if row is None:
            return say("promise_no_sum")
        if self._marked is not None:
            if self._marked == row.id:
                return say("promise_compare_choose", id=row.label)
            return say("promise_compare", a=self._label(self._marked), b=row.label)
        return self.run.promise("promise_sum", id=row.label)

    def _typing(self) -> Typing | None:
        if self._asking is not None:
            return self._asking.typing
        if self._marked is not None and self._cutoff:
            return Typing(say("ask_cutoff", unit=self.unit.symbol), self._cutoff, "reading")
        return None

    # --- keys -----------------------------------------------------------------------------------

    def act(self, action: str) -> Outcome:
        """What an action does."""
        self._look()
        if self._asking is not None:
            self._asking, outcome = go_on(self._asking, action)
            return outcome
        self._said = ()
        if action in UP_DOWN:
            return self._walk(UP_DOWN[action])
        return self._try(lambda: self._do(action))

    def _do(self, action: str) -> Outcome:
        row = self.row
        if action == "back":
            if self._marked is None:
                return Back()
            self._marked, self._cutoff = None, ""
            return Stay()
        if row is None:
            return Bell()
        match action:
            case "enter":
                return self._enter(row)
            case "compare":
                return self._compare(row)
            case "units":
                self.unit = unit_after(self.unit)
            case "note":
                self.run.must_be_open()
                sample = row.id if row.sample is not None else ""
                self._asking = losing.note(self.run, sample, row.label, self._tell)
            case "release":
                return self._release(row)
            case _:
                return Bell()
        return Stay()

    def _walk(self, step: int) -> Outcome:
        at = self._at + step
        if not 0 <= at < len(self._rows):
            return Bell()
        self._at = at
        return Stay()

    def _enter(self, row: Row) -> Outcome:
        if self._marked is not None:
            return self._compare(row)
        if self._found is None:
            return Bell()
        return Open(SumsPage(self.run, self._found, row))

    # --- comparing ------------------------------------------------------------------------------

    def _compare(self, row: Row) -> Outcome:
        """The first time marks the row; then the row chosen or the cut-off typed is held to it."""
        if self._marked is None:
            if row.sample is None or grade_of(row.sample) is None:
                raise BadInput.of("compare_no_grade", id=row.label)
            self._marked = row.id
            return Stay()
        marked = next((one for one in self._rows if one.id == self._marked), None)
        if self._found is None or marked is None:
            return Bell()
        if self._cutoff:
            cutoff = float(parse.number(parse.clean(self._cutoff)))
            page = ComparePage(self.run, self._found, marked, None, self.unit, cutoff)
        elif row is marked:
            raise BadInput.of("compare_itself")
        else:
            page = ComparePage(self.run, self._found, marked, row, self.unit)
        self._marked, self._cutoff = None, ""
        return Open(page)

    # --- releasing ------------------------------------------------------------------------------

    def _release(self, row: Row) -> Outcome:
        """Ask why a check that says stop is released: that of the row, else the first one."""
        held = sorted(self.holding, key=lambda hold: hold.id != row.id)
        if not held:
            raise BadInput.of("release_none")
        hold = held[0]
        self.run.must_be_open()

        def answer(text: str) -> Outcome:
            if not text:
                raise BadInput.of("ask_release_why")
            sample = {"sample": hold.id} if hold.id in self.run.state.samples else {}
            self.run.append("note", {"text": text, **sample, "releases": True})
            return self._tell(say("stored_release", id=hold.id))

        why = result_remarks.one_line(hold.text)
        hint = (why, say("ask_release_hint"))
        self._asking = Asking(say("ask_release", id=hold.id), answer, hint=hint)
        return Stay()

    # --- what else happens ----------------------------------------------------------------------

    def typed(self, key: str, character: str) -> Outcome:
        """An answer, or the figure of a cut-off when a row is marked."""
        if self._asking is not None:
            return self._asking.typed(key, character)
        if self._marked is None:
            return Bell()
        before = Typing("", self._cutoff, "reading")
        after = before.with_key(key, character or None)
        self._cutoff = after.text
        return Stay() if after != before else Bell()

    def tick(self, now: datetime) -> bool:
        """A minute went by on the clock, or other logs were looked at meanwhile."""
        passed = self._minute.passed(now)
        over, self._told = self._told, self._across is None or self._across.over
        return passed or over != self._told

    def come_back(self) -> None:
        """The page on top was left: the log may have grown."""
        self._look()
