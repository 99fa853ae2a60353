"""The sum of a circuit test: what was typed, by entry, then step by step; Enter turns the pages."""

from collections.abc import Iterator

from assaybench.bench import loss_lines, streams_lines
from assaybench.bench.characters import cells, leader
from assaybench.bench.circuit_sizes import in_one_unit
from assaybench.bench.page import Back, Bell, Outcome, Room, Stay
from assaybench.bench.page_habits import Asks, Still
from assaybench.bench.run_log import RunLog
from assaybench.bench.set_lines import hanging
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Sheet, Span, line
from assaybench.bench.turning import turned, turned_by
from assaybench.circuit.streams import FeedTest
from assaybench.messages import say
from assaybench.record.circuit_run import Circuit
from assaybench.report.answer import Section
from assaybench.report.circuit_view import View, view
from assaybench.report.streams_view import judged, ratio_of

_KEYS = ("enter.more", "arrows", "help", "back")
_ONE_PAGE_KEYS = ("enter.back", "help", "back")


class CaughtSumPage(Asks, Still):
    """Every step of a circuit test's sum, as the log stood when the page was opened."""

    name = "sums"

    def __init__(self, run: RunLog, circuit: Circuit | FeedTest) -> None:
        """Work the lines out.

        Args:
            run: the log.
            circuit: the test.
        """
        self.run = run
        self._view = view(circuit)
        self._blocks = list(_blocks(run, self._view, circuit))
        self._at = 0
        self._parts: list[list[Line]] = [[]]

    def sheet(self, room: Room) -> Sheet:
        """One page of it."""
        self._parts = turned(self._blocks, room.block_lines)
        self._at %= len(self._parts)
        more = len(self._parts) > 1
        return Sheet(
            left=self.run.title,
            title=say("title_caught_sum"),
            right=say("page_of", n=self._at + 1, of=len(self._parts)) if more else "",
            block=tuple(self._parts[self._at]),
            margin=tuple(" ".join(said.split()) for said in self._view.assumptions),
            promise=say("promise_sums_more" if more else "promise_results_back"),
            keys=_KEYS if more else _ONE_PAGE_KEYS,
            about=(say("about_sums"),),
        )

    def act(self, action: str) -> Outcome:
        """Enter and the arrows turn the page."""
        if action == "back" or (action == "enter" and len(self._parts) == 1):
            return Back()
        step = turned_by(action)
        self._at += step
        return Stay() if step else Bell()


def _blocks(run: RunLog, seen: View, circuit: Circuit | FeedTest) -> Iterator[list[Line]]:
    rows = [line(Span(say("sum_typed"), "bold"))]
    for entry in run.state.of("circuit"):
        keys = [f"{key} {value}" for key, value in entry.values.items() if key != "product"]
        what = f"{entry.text('product')}: {', '.join(keys)}"
        rows += hanging(say("sum_entry", n=entry.n, what=what))
    yield rows
    if seen.steps:
        heading = line(Span(say("sum_steps"), "bold"))
        yield [heading, *(part for step in seen.steps for part in hanging(step.line))]
    # what the page before has as a table, or this one as a narrower one, is not said again
    if isinstance(circuit, Circuit):
        yield from map(section_lines, seen.sections[1:3])
        names, _ = in_one_unit([part.name for part in circuit.result.sizes])
        yield loss_lines.lost(circuit, names)
        yield loss_lines.heads(circuit)
    elif circuit.agreed is not None:
        yield from map(section_lines, ratio_of(circuit))
        yield from map(section_lines, judged(circuit.agreed, circuit.verdict))
        yield streams_lines.scores(circuit)


def section_lines(section: Section) -> list[Line]:
    """A group of an answer at the measure of the page; lines of a table that are longer go on."""
    rows = [line(Span(section.title, "bold"))]
    for label, text in section.rows:
        whole = f"  {label}"
        if not text:
            rows += [line(whole)] if cells(whole) <= BLOCK_WIDTH else hanging(label)
        elif cells(label) + cells(text) + 6 <= BLOCK_WIDTH:
            rows.append(line(leader(whole, text, BLOCK_WIDTH)))
        else:
            rows += hanging(f"{label}: {text}")
    return rows
