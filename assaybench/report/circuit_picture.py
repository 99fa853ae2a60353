"""A circuit drawn in text: where its mass and metal went, and `?` where nobody looked.

Each stream stands under the stage it comes out of, with its dry mass and its metal: of a test of
two stages, as found; of a feed and its products, as made to agree. What was not assayed is never
counted as nothing: a sum that lacks it is `at least` that, what may be there unseen makes it a
range.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from assaybench.circuit import written
from assaybench.circuit.products import SizeRow
from assaybench.circuit.reconcile import MASS, Place, Stage
from assaybench.circuit.split import far_below
from assaybench.circuit.streams import FeedTest
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, product, ratio, total
from assaybench.record.circuit_run import Circuit
from assaybench.record.circuit_typed import BETWEEN
from assaybench.report.answer import Section
from assaybench.units import table, write

UNKNOWN = "?"
DIGITS = 4
"""Most digits of a number here: the tables have them all."""
_OF_MASS = ("mg", "g", "kg", "t")


class Node(NamedTuple):
    """A stream of the picture.

    Attributes:
        label: its name.
        cells: its mass and its metals, as they are printed.
        stage: what is done with it; empty for a product.
        out: the streams that come out of that stage.
    """

    label: str
    cells: tuple[str, ...]
    stage: str = ""
    out: tuple["Node", ...] = ()


class _Metal(NamedTuple):
    """Metal of a stream, mg: what was found, what may be there unseen, and whether more is there.

    Attributes:
        found_mg: as found, or worked out from what was.
        unseen_mg: up to so much beside it.
        open: whether part of it was not assayed.
    """

    found_mg: Uncertain = 0.0
    unseen_mg: float = 0.0
    open: bool = False

    def plus(self, other: "_Metal") -> "_Metal":
        """Both together; noise below zero takes nothing from what is there at least."""
        parts = [part for part in (self, other) if not (part.open and nominal(part.found_mg) < 0)]
        found = total(*((1.0, part.found_mg) for part in parts)) if parts else 0.0
        return _Metal(found, self.unseen_mg + other.unseen_mg, self.open or other.open)

    def over(self, share: Uncertain) -> "_Metal":
        """Of all, where this is of a share."""
        found = ratio([(1.0, self.found_mg)], share)
        return self._replace(found_mg=found, unseen_mg=self.unseen_mg / nominal(share))

    def text(self, sources: Sources) -> str:
        """As it is printed."""
        found = nominal(self.found_mg)
        if self.open:
            least = _number(sources, self.found_mg)
            return f"at least {least} mg" if found > 0 else UNKNOWN
        if self.unseen_mg:
            return f"{' to '.join(written.ends(max(found, 0.0), found + self.unseen_mg))} mg"
        return f"{_number(sources, self.found_mg)} mg"


_NOT_ASSAYED = _Metal(open=True)


def picture(test: Circuit | FeedTest) -> tuple[Section, ...]:
    """The picture of a circuit test; none where neither a mass nor a metal is known."""
    if isinstance(test, Circuit):
        return _section("Where mass and gold went", _two_stages(test))
    if test.agreed is None:
        title = "Mass and metal as measured"
    elif test.mass_unit == "1":
        title = "Where mass and metal went, in parts of the feed"
    elif test.alone:
        title = "Where the metal went, made to agree"
    else:
        title = "Where mass and metal went, made to agree"
    return _section(title, _feed(test))


def _section(title: str, root: Node) -> tuple[Section, ...]:
    rows = [*_rows(root, "", "")]
    cells = [cell for _, row in rows for cell in row]
    if all(cell == UNKNOWN for cell in cells):
        return ()
    if UNKNOWN in cells:
        title = f"{title}; {UNKNOWN} is not known"
    return (Section(title, tuple(_lines(rows))),)


# --- drawing -------------------------------------------------------------------------------------


def _rows(node: Node, before: str, below: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each line as its label, led by the signs that join it, and its cells."""
    yield before + node.label, node.cells
    if node.out:
        yield f"{below}│ {node.stage}", ()
    for i, child in enumerate(node.out):
        last = i == len(node.out) - 1
        sign, more = ("└ ", "  ") if last else ("├ ", "│ ")
        yield from _rows(child, below + sign, below + more)


def _lines(rows: Sequence[tuple[str, tuple[str, ...]]]) -> Iterator[tuple[str, str]]:
    """Lines of the picture, label and value; a column in which nothing is known is left out."""
    columns = [*zip(*(cells for _, cells in rows if cells), strict=True)]
    kept = [k for k, column in enumerate(columns) if any(cell != UNKNOWN for cell in column)]
    widths = {k: max(map(len, columns[k])) for k in kept}
    for label, cells in rows:
        yield label, "  ".join(cells[k].rjust(widths[k]) for k in kept) if cells else ""


def _number(sources: Sources, value: Uncertain) -> str:
    """A number to the place its U allows, and at most four digits."""
    doubt, bare = sources.doubt(value), nominal(value)
    if not doubt.u or not bare:
        return write.short(bare, DIGITS)
    leading = write.decimal_of(bare).adjusted() - DIGITS + 1
    place = max(write.uncertainty_place(doubt.k * doubt.u), leading)
    return write.at_place(bare, place)


# --- two stages ----------------------------------------------------------------------------------


def _two_stages(circuit: Circuit) -> Node:
    """Feed, stage 1, its tailings as far as they were run again, stage 2."""
    test, sources = circuit.test, circuit.sources
    caught = _Metal(total(*((1.0, row.concentrate.metal_mg) for row in test.rows)))
    again = _Metal(total(*((1.0, row.rerun.metal_mg) for row in test.rows)))
    final = _final(circuit)
    rest = again.plus(final).over(test.rerun_share)
    held = [
        (name, _held(circuit, product_, metal))
        for name, product_, metal in (
            ("left in the mats", "mats", test.mats_mg),
            ("middlings", "middlings", test.middlings_mg),
        )
    ]
    fed = caught.plus(rest)
    for _, metal in held:
        fed = fed if metal is None else fed.plus(metal)

    by_size = [metal for row in test.rows for metal in _of_row(row)]
    if far_below(sources, *by_size, final.found_mg, test.held_mg):
        fed = rest = _NOT_ASSAYED  # nothing is summed up with a mass that no noise explains
    tailings = test.all_tailings
    masses: dict[str, Uncertain] = {"tailings": tailings.mass_kg} if tailings is not None else {}
    masses |= {**circuit.masses, "feed": test.dry_feed_kg}

    def node(label: str, product_: str, metal: _Metal, stage: str = "", *out: Node) -> Node:
        mass = _kilograms(sources, masses.get(product_))
        return Node(label, (mass, metal.text(sources)), stage, out)

    basis = "" if test.dry_feed_kg is None else f", {circuit.feed_basis}"
    unseen = "" if tailings is not None else ", not assayed"
    share = nominal(test.rerun_share)
    part = f", fed with {write.percent(share, 3)} % of them" if share < 1 else ""
    behind = node(
        "tailings of stage 1",
        BETWEEN,
        rest,
        f"stage 2{part}",
        node("re-run concentrate", "rerun", again),
        node(f"final tailings{unseen}", "tailings", final),
    )
    between = [node(n, n.split()[-1], metal) for n, metal in held if metal is not None]
    first = node("concentrate", "concentrate", caught)
    return node(f"feed{basis}", "feed", fed, "stage 1", first, *between, behind)


def _of_row(row: SizeRow) -> Iterator[Uncertain]:
    """Every metal that was found in one size, mg."""
    yield row.concentrate.metal_mg
    yield row.rerun.metal_mg
    if row.tailings is not None:
        yield row.tailings.weighed_mg


def _final(circuit: Circuit) -> _Metal:
    tailings = circuit.test.all_tailings
    if tailings is None:
        return _NOT_ASSAYED
    return _Metal(tailings.weighed_mg, tailings.up_to_mg)


def _held(circuit: Circuit, name: str, metal_mg: Uncertain) -> _Metal | None:
    """Metal in mats or middlings; None where there are none."""
    if nominal(metal_mg):
        return _Metal(metal_mg)
    return _NOT_ASSAYED if name in circuit.masses else None


def _kilograms(sources: Sources, mass_kg: Uncertain) -> str:
    """A dry mass, below a kilogram in grams."""
    if mass_kg is None:
        return UNKNOWN
    if nominal(mass_kg) < 1:
        return f"{_number(sources, total((1000.0, mass_kg)))} g"
    return f"{_number(sources, mass_kg)} kg"


# --- a feed and its products ---------------------------------------------------------------------


def _feed(test: FeedTest) -> Node:
    """Every stream under the stage it comes out of; a stream led back is named where it goes."""
    drawn: dict[Stage, int] = {}
    cells = _Cells(test)

    def node(name: str) -> Node:
        into = next((stage for stage in test.stages if name in stage.into), None)
        if into is None:
            return Node(name, cells.of(name))
        number = test.stages.index(into) + 1
        title = f"stage {number}" if len(test.stages) > 1 else "stage"
        if into in drawn:
            return Node(f"{name}, into {title}", cells.of(name))
        drawn[into] = number
        return Node(name, cells.of(name), title, tuple(node(out) for out in into.out))

    return node(test.feed.name)


class _Cells:
    """Masses and metals of the streams of a feed as they are printed."""

    def __init__(self, test: FeedTest) -> None:
        self.test, self.sources = test, test.sources
        self.values = _values(test)
        self.units = [self._unit(k) for k in test.metals]

    def of(self, name: str) -> tuple[str, ...]:
        """Mass, and each metal, of a stream; its metal alone beside the mass as it was weighed."""
        if self.test.alone:
            weighed = _kilograms(self.sources, self.test.masses.get(name))
            return (weighed, self._mass(name))
        return (self._mass(name), *(self._metal(name, k) for k in self.test.metals))

    def _mass(self, name: str) -> str:
        mass = self.values.get(Place(name, MASS))
        if mass is None:
            return UNKNOWN
        if self.test.mass_unit == "1":
            return f"{_number(self.sources, total((100.0, mass)))} %"
        if self.test.mass_unit == "kg":
            return _kilograms(self.sources, mass)
        return f"{_number(self.sources, mass)} {self.test.mass_unit}"

    def _metal(self, name: str, k: int) -> str:
        held = self._held(name, k)
        if held is None:
            return UNKNOWN
        if self.test.mass_unit == "1":
            fed = self._held(self.test.feed.name, k)
            return f"{_number(self.sources, ratio([(100.0, held)], fed))} %"
        unit, scale = self.units[k - 1]
        return f"{_number(self.sources, total((scale, held)))} {unit}"

    def _held(self, name: str, k: int) -> Uncertain | None:
        """Mass × grade, in the product of their units."""
        mass, grade = (self.values.get(Place(name, which)) for which in (MASS, k))
        return None if mass is None or grade is None else product(mass, grade)

    def _unit(self, k: int) -> tuple[str, float]:
        """The unit of a metal, and how many of it one unit of mass times grade is."""
        if self.test.mass_unit == "1":
            return "%", 1.0
        names = (stream.name for stream in (self.test.feed, *self.test.measured))
        most = max(
            (abs(nominal(h)) for n in names if (h := self._held(n, k)) is not None), default=0
        )
        size = table.BY_SPELLING[self.test.mass_unit].size
        grams = float(size * table.BY_SPELLING[self.test.grade_units[k - 1]].size / 10**6)
        fitting = [unit for unit in _OF_MASS if most * grams >= float(table.BY_SPELLING[unit].size)]
        unit = fitting[-1] if fitting else _OF_MASS[0]
        return unit, grams / float(table.BY_SPELLING[unit].size)


def _values(test: FeedTest) -> Mapping[Place, Uncertain]:
    """Masses and grades that agree; else those that were measured."""
    if test.agreed is not None:
        return test.agreed.values
    return {
        Place(stream.name, which): value
        for stream in (test.feed, *test.measured)
        for which, value in enumerate((stream.mass, *stream.grades))
        if value is not None
    }
