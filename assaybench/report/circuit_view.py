"""A circuit test as `recovery` and `results` show it: sizes in a table, sentences, the sum."""

from typing import TYPE_CHECKING, NamedTuple

from assaybench.circuit.products import ALL, CircuitTest
from assaybench.circuit.recovery import CircuitResult, Part, concentrate_over_rerun
from assaybench.circuit.tailings import Tailings
from assaybench.circuit.ways import Recovery
from assaybench.metrology.figure import Budget, Figure, Flag, Verdict
from assaybench.metrology.uncertain import nominal
from assaybench.record import sums
from assaybench.record.circuit_run import Circuit
from assaybench.report.answer import Section, figure_tree, table_section
from assaybench.report.circuit_sum import steps
from assaybench.report.tables import aligned
from assaybench.units import write

if TYPE_CHECKING:
    from assaybench.circuit.streams import FeedTest

END_HEADS = ("size", "at most, %", "if alike, %")
HEADS = ("size", "stage 1, mg", "stage 2, mg", "at most, %", "if alike, %")
CLOSED_HEADS = ("size", "tailings, mg", "closed, %", "95 in 100 between", "both stages, %")
NAMES = {
    "at most": "at_most",
    "closed": "closed",
    "both stages": "both_stages",
    "equal stages": "equal_stages",
    "stated second stage": "stated_second_stage",
    "least second stage": "least_second_stage",
}


class View(NamedTuple):
    """What a circuit test adds to an answer.

    The picture stands apart from the sections: it needs the width of a page.
    """

    figures: dict[str, Figure]
    sections: tuple[Section, ...]
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]
    budget: dict[str, Budget]
    steps: tuple[sums.Step, ...]
    records: dict[str, list[dict[str, object]]]
    verdict: Verdict | None = None
    picture: tuple[Section, ...] = ()

    @property
    def page(self) -> tuple[Section, ...]:
        """Its sections with the picture of the circuit behind the tables that lead them."""
        n = next((i for i, s in enumerate(self.sections) if not s.table), len(self.sections))
        return (*self.sections[:n], *self.picture, *self.sections[n:])


EMPTY = View({}, (), (), (), {}, (), {})


def view(circuit: "Circuit | FeedTest") -> View:
    """The parts of an answer that show a circuit test: of two stages, or of a feed."""
    if not isinstance(circuit, Circuit):
        from assaybench.report.streams_view import view_of_feed

        return view_of_feed(circuit)
    from assaybench.report.circuit_picture import picture

    result = circuit.result
    figures: dict[str, Figure] = {}
    budget: dict[str, Budget] = {}
    for found in result.total.recoveries:
        name = f"recovery_{NAMES[found.way]}"
        figures[name] = found.figure
        if found.budget:
            budget[name] = found.budget
    if result.head is not None:
        figures["head"] = result.head._replace(basis=circuit.feed_basis)
    if result.head_gap is not None:
        figures["head_assayed"] = result.head_gap.assayed._replace(basis=circuit.feed_basis)
        figures["head_gap"] = result.head_gap.gap
    if ALL in result.next_run:
        figures["recovery_next_run"] = result.next_run[ALL]
    figures["concentrate_over_rerun"] = concentrate_over_rerun(*_masses(circuit.test, ALL))
    said = [*result.total.recoveries]
    assumptions = dict.fromkeys(a for found in said for a in found.assumptions)
    return View(
        figures=figures,
        sections=(
            *size_tables(circuit.test, circuit.result),
            *_sentences(circuit),
            *_losses(circuit),
            *_head(circuit),
        ),
        flags=(*result.flags, *circuit.flags),
        assumptions=(*assumptions, *result.assumptions, *circuit.said),
        budget=budget,
        steps=tuple(steps(circuit)),
        records={"sizes": size_records(circuit.test, circuit.result)},
        picture=picture(circuit),
    )


def _parts(result: CircuitResult) -> list[Part]:
    sizes = [part for part in result.sizes if part.name != ALL]
    return [*sizes, result.total]


def _masses(test: CircuitTest, name: str) -> tuple[float, float]:
    """Metal of concentrate and re-run of a size, or of all, mg, as measured."""
    rows = [row for row in test.rows if name in {ALL, row.size}]
    return (
        sum(nominal(row.concentrate.metal_mg) for row in rows),
        sum(nominal(row.rerun.metal_mg) for row in rows),
    )


def size_tables(test: CircuitTest, result: CircuitResult) -> list[Section]:
    """The sizes with their two figures, and where 95 in 100 of the truth lie."""
    rows, ends = [], []
    for part in _parts(result):
        con, rerun = _masses(test, part.name)
        found = [part.by("at most"), part.by("equal stages")]
        cells = [_cell(recovery) for recovery in found]
        rows.append((part.name, write.short(con, 4), write.short(rerun, 4), *cells))
        ends.append((part.name, *map(_ends, found)))
    return [
        table_section("Gold by size, and recovery of stage 1", aligned(HEADS, rows)),
        table_section("95 in 100 of it lie between", aligned(END_HEADS, ends)),
        *_closed_table(test, result),
    ]


def _closed_table(test: CircuitTest, result: CircuitResult) -> list[Section]:
    """The sizes with their final tailings in them, where those were assayed by size."""
    tailings = {row.size: row.tailings for row in test.rows if row.tailings is not None}
    if len(tailings) < 2:
        return []
    rows = []
    for part in _parts(result):
        held = test.all_tailings if part.name == ALL else tailings[part.name]
        closed, both = part.by("closed"), part.by("both stages")
        cells = (_cell(closed), _between(closed), _between(both))
        rows.append((part.name, "-" if held is None else _held(held), *cells))
    return [table_section("The same, final tailings in it", aligned(CLOSED_HEADS, rows))]


def _held(tailings: Tailings) -> str:
    """The metal of tailings, mg; up to its most, where a part of it is only bounded."""
    weighed = nominal(tailings.weighed_mg)
    if not tailings.up_to_mg:
        return write.short(weighed, 4)
    most = write.short(weighed + tailings.up_to_mg, 4)
    return f"{write.short(weighed, 4)} to {most}" if weighed > 0 else f"< {most}"


def _between(found: Recovery | None) -> str:
    """The ends of a recovery; what the weights leave, where a part was not seen."""
    if found is None or found.bracket is None:
        return _ends(found)
    low, high = found.bracket
    return _to(low, high)


def _cell(found: Recovery | None) -> str:
    if found is None or found.figure.value is None:
        return "-"
    return write.at_place(found.figure.value, -1)


def _ends(found: Recovery | None) -> str:
    """Both ends of an interval, as far as they are known."""
    if found is None or found.figure.value is None:
        return "-"
    low, high = found.figure.low, found.figure.high
    if low is None or high is None:
        return found.figure.text
    return _to(low, high)


def _to(low: float, high: float) -> str:
    place = -1 if high - low >= 0.2 else -2
    return f"{write.at_place(low, place)} to {write.at_place(high, place)}"


def _sentences(circuit: Circuit) -> list[Section]:
    total = circuit.result.total
    lines = [line for found in total.recoveries for line in found.sentence.split("\n") if line]
    none = [f.figure for f in total.recoveries if f.figure.value is None]
    why = [line for figure in none for line in figure.why.split("\n") if line]
    shown = dict.fromkeys([*lines, *why])
    return [Section("What that says", tuple((line, "") for line in shown))]


def _losses(circuit: Circuit) -> list[Section]:
    rows = []
    for loss in circuit.result.losses:
        share = "" if loss.share is None else f"{write.short(100 * loss.share, 3)} %"
        rows.append((loss.size, *map(_milligrams, (loss.found, loss.alike)), share))
    heads = ("size", "found behind it, mg", "lost if alike, mg", "share of it")
    return [table_section("What stage 1 loses", aligned(heads, rows))]


def _milligrams(figure: Figure) -> str:
    """A mass of metal with what it may lie off, its unit being in the head of its column."""
    return "-" if figure.value is None else figure.text.replace(" mg", "")


def _head(circuit: Circuit) -> list[Section]:
    head, gap = circuit.result.head, circuit.result.head_gap
    if head is None:
        return []
    rows = [("built up", head.text)]
    if gap is not None:
        rows += [("assayed", gap.assayed.text), *((line, "") for line in gap.sentence.split("\n"))]
    return [Section(f"Head, {circuit.feed_basis}", tuple(rows))]


def size_records(test: CircuitTest, result: CircuitResult) -> list[dict[str, object]]:
    """Every size, and all of them, for JSON."""
    return [_record(test, result, part) for part in _parts(result)]


def _record(test: CircuitTest, result: CircuitResult, part: Part) -> dict[str, object]:
    con, rerun = _masses(test, part.name)
    found = {NAMES[r.way]: figure_tree(r.figure) for r in part.recoveries}
    ends = {
        NAMES[r.way]: dict(zip(("low", "high"), r.bracket, strict=True))
        for r in part.recoveries
        if r.bracket is not None
    }
    if part.name in result.next_run:
        found["next_run"] = figure_tree(result.next_run[part.name])
    lost = next((loss for loss in result.losses if loss.size == part.name), None)
    if lost is not None:
        found |= {"found_behind": figure_tree(lost.found), "lost_if_alike": figure_tree(lost.alike)}
    return {
        "id": part.name,
        "concentrate_mg": con,
        "rerun_mg": rerun,
        "share_of_loss": None if lost is None else lost.share,
        "figures": found,
        "brackets": ends,
    }
