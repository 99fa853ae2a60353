"""The figures that a seal records, and whether a later recomputation gives them again.

A sealed log holds every printed figure beside the readings they follow from: as printed, and value
and u with 12 digits. Readings are the record; the figures say what the signer saw. Who recomputes
them later finds one of three things:

- *recomputes*: every value and u lies within one millionth of u of what was recorded;
- *recomputes differently*: a later version of the method gives other figures from the readings;
- *does not recompute*: the same version of the method gives other figures.

Choices where the method is silent: a figure without u is held to a part in 1000000000; what was
rounded to 12 digits may differ by one in the last; a figure must read as it was printed, and none
may be there that the other does not have. So a program that prints a figure more, or prints one
otherwise, raises the version of the method.
"""

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, Literal, NamedTuple

from assaybench.metrology.figure import Figure, plain
from assaybench.metrology.uncertain import nominal
from assaybench.record.circuit_run import Circuit, circuit_of
from assaybench.record.entries import Entry
from assaybench.record.frame import LONGEST_LINE, written
from assaybench.record.handsheet import METHOD_VERSION
from assaybench.record.pools import pools
from assaybench.record.replay import replay
from assaybench.record.results import Results, results
from assaybench.record.wholes import Whole, wholes

if TYPE_CHECKING:
    from assaybench.circuit.streams import FeedTest

Outcome = Literal["recomputes", "recomputes differently", "does not recompute"]

DIGITS = 12
NEAR = 1e-6
"""Part of u that value and u may differ by."""
NEAR_WITHOUT_U = 1e-9
_NUMBER = re.compile(r"-?[0-9]{1,40}(?:\.[0-9]{1,40})?")


class Row(NamedTuple):
    """One figure as a sealed log holds it, all of it text.

    Attributes:
        id: the sample, the bar, the size of a product.
        name: which figure of it.
        text: as printed.
        value: with 12 digits in `unit`; empty when there is none.
        u: its standard uncertainty, likewise.
        unit: symbol of the unit.
    """

    id: str
    name: str
    text: str
    value: str
    u: str
    unit: str


class Recorded(NamedTuple):
    """Figures with the method and the program that gave them."""

    method_version: int
    program: str
    rows: tuple[Row, ...]


class Pair(NamedTuple):
    """A figure found otherwise: as recorded and as recomputed; None where there is none."""

    recorded: Row | None
    now: Row | None


class Comparison(NamedTuple):
    """What recomputing came to.

    Attributes:
        outcome: one of the three.
        method_version: version of the method that the recorded figures follow.
        figures: how many figures were recorded.
        differing: the figures behind an outcome other than *recomputes*.
    """

    outcome: Outcome
    method_version: int
    figures: int
    differing: tuple[Pair, ...] = ()


# --- the figures ---------------------------------------------------------------------------------


def figures_of(found: Results) -> tuple[Row, ...]:
    """Every printed figure of samples, grades, parts, pools, and a circuit test.

    Raises:
        BadInput: when a circuit test is not whole.
    """
    rows = [_row(s.id, name, figure) for s in found.samples for name, figure in s.figures.items()]
    for grade in found.grades:
        means = {
            "mean_grade_gold": grade.figure,
            "mean_of_all": plain(grade.grade.mean_of_all, "g/t"),
            "median_of_all": plain(grade.grade.median_of_all, "g/t"),
        }
        # a sample with two sorts of determinations has each of these twice, told apart by its sort
        sort = f", {grade.words}" if grade.mixed else ""
        rows += [_row(grade.id, f"{name}{sort}", figure) for name, figure in means.items()]
    rows += [row for whole in wholes(found) for row in _of_whole(whole)]
    together = pools(found)
    rows += [_row(p.id, f"pool {name}", f) for p in together for name, f in p.figures.items()]
    circuit = circuit_of(found)
    return (*rows, *(_of_circuit(circuit) if circuit is not None else ()))


def _of_whole(whole: Whole) -> Iterator[Row]:
    for name, figure in (*whole.figures.items(), *whole.pieces.items()):
        yield _row(whole.id, f"{whole.kind} {name}", figure)


def _of_circuit(circuit: "Circuit | FeedTest") -> Iterator[Row]:
    return _of_stages(circuit) if isinstance(circuit, Circuit) else _of_feed(circuit)


def _of_feed(test: "FeedTest") -> Iterator[Row]:
    from assaybench.circuit.streams import figures_of_feed

    for stream, name, figure in figures_of_feed(test):
        yield _row(stream, name, figure)


def _of_stages(circuit: Circuit) -> Iterator[Row]:
    result = circuit.result
    for cells in circuit.test.rows:
        for name, cell in (("concentrate", cells.concentrate), ("rerun", cells.rerun)):
            mass = plain(nominal(cell.metal_mg), "mg", digits=4)
            yield _row(cells.size, f"circuit {name}", mass)
    parts = {part.name: part for part in (*result.sizes, result.total)}
    for part in parts.values():
        for found in part.recoveries:
            yield _row(part.name, f"recovery {found.way}", found.figure)
    for size, figure in result.next_run.items():
        yield _row(size, "recovery of the next run", figure)
    for loss in result.losses:
        yield _row(loss.size, "loss found behind", loss.found)
        yield _row(loss.size, "loss if alike", loss.alike)
    if result.head is not None:
        yield _row(result.total.name, "head", result.head)
    if result.head_gap is not None:
        yield _row(result.total.name, "head assayed", result.head_gap.assayed)
        yield _row(result.total.name, "head gap", result.head_gap.gap)


def _row(name: str, figure_name: str, figure: Figure) -> Row:
    value, u = digits_of(figure.value), digits_of(figure.u)
    return Row(name, figure_name, figure.text, value, u, figure.unit)


def digits_of(number: float | None) -> str:
    """A number with 12 significant digits, without an exponent; empty for none."""
    if number is None or not math.isfinite(number):
        return ""
    return f"{Decimal(f'{number:.{DIGITS - 1}e}'):f}"


def recomputed(entries: Iterable[Entry], program: str) -> Recorded:
    """The figures of a log as this program finds them.

    Args:
        entries: of the log; of one that replaces another, the joined ones (`reissue.joined`).
        program: program and version.

    Raises:
        BadInput: what stands in the way of results.
    """
    return Recorded(METHOD_VERSION, program, figures_of(results(replay(entries))))


# --- as entries ----------------------------------------------------------------------------------


def values_of(found: Recorded) -> list[dict[str, object]]:
    """The keys of the `results` entries that hold these figures, as many as the lines need."""
    groups: list[list[dict[str, str]]] = [[]]
    size = len("figures = []")
    for row in found.rows:
        part = row._asdict()
        # as one of a list it brings its own bytes, a comma and a blank
        more = len(written("figures", [part]).encode()) - len("figures = []") + 2
        if groups[-1] and size + more > LONGEST_LINE:
            groups.append([])
            size = len("figures = []")
        groups[-1].append(part)
        size += more
    head = {"method_version": found.method_version, "program": found.program}
    return [{**head, "figures": group} for group in groups]


def recorded(entries: Sequence[Entry]) -> Recorded | None:
    """The figures that a sealed log holds; None for a log that is not sealed, or holds none.

    They stand in the `results` entries right before the last, `sealed`. A power cut may have left
    some of an earlier try before them: of a figure that is there twice, the later one counts.

    Args:
        entries: of this log alone, in order.
    """
    if not entries or entries[-1].kind != "sealed":
        return None
    first = len(entries) - 1
    while first > 0 and entries[first - 1].kind == "results":
        first -= 1
    holding = entries[first:-1]
    if not holding:
        return None
    rows = {(row.id, row.name): row for entry in holding for row in _rows_in(entry)}
    version, program = (holding[-1].values.get(k) for k in ("method_version", "program"))
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        return None
    return Recorded(version, str(program), tuple(rows.values()))


def _rows_in(entry: Entry) -> Iterator[Row]:
    parts = entry.values.get("figures")
    for part in parts if isinstance(parts, list) else []:
        if isinstance(part, dict):
            yield Row(*(str(part.get(name, "")) for name in Row._fields))


# --- compared ------------------------------------------------------------------------------------


def compare(was: Recorded, now: Recorded) -> Comparison:
    """Whether figures recompute.

    Args:
        was: as a sealed log holds them.
        now: as they are found from its entries now.
    """
    there = {(row.id, row.name): row for row in now.rows}
    old = {(row.id, row.name) for row in was.rows}
    differing: list[Pair] = []
    for row in was.rows:
        found = there.get((row.id, row.name))
        if found is None or not _alike(row, found):
            differing.append(Pair(row, found))
    differing += [Pair(None, row) for key, row in there.items() if key not in old]
    outcome = _outcome(was, now, differing)
    return Comparison(outcome, was.method_version, len(was.rows), tuple(differing))


def _outcome(was: Recorded, now: Recorded, differing: list[Pair]) -> Outcome:
    if not differing:
        return "recomputes"
    later = was.method_version < now.method_version
    return "recomputes differently" if later else "does not recompute"


def _alike(row: Row, found: Row) -> bool:
    """Whether two rows read the same, with numbers as near as arithmetic with floats keeps them."""
    if row == found:
        return True
    if (row.unit, row.text) != (found.unit, found.text) or not (row.value and found.value):
        return False
    u = _number(row.u)
    if (u is None) != (_number(found.u) is None):
        return False
    near = NEAR * u if u else None
    return _near(row.value, found.value, near) and (u is None or _near(row.u, found.u, near))


def _near(a: str, b: str, near: float | None) -> bool:
    one, other = _number(a), _number(b)
    if one is None or other is None:
        return False
    allowed = NEAR_WITHOUT_U * abs(one) + 10.0**-DIGITS if near is None else near
    return abs(one - other) <= allowed + _last_place(one)


def _last_place(number: float) -> float:
    """One in the last of the 12 digits, and what two roundings to it may lie apart."""
    if number == 0:
        return 0.0
    return 1.001 * 10.0 ** (math.floor(math.log10(abs(number))) - DIGITS + 1)


def _number(text: str) -> float | None:
    return float(text) if _NUMBER.fullmatch(text) else None
