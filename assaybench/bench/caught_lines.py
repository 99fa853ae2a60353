"""The block of page 5: products with their brace, gold by size, and each recovery as a line.

Everything here is worked out from a circuit test; nothing is a remark. The two figures of a size
stand in the table and again as the two ends of its line.
"""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from assaybench.bench import loss_lines
from assaybench.bench.characters import cells, cut
from assaybench.bench.circuit_sizes import in_one_unit
from assaybench.bench.interval_lines import Interval, axis, drawn, in_words
from assaybench.bench.sheet import Line, Span, Style, line
from assaybench.circuit.products import ALL, CircuitTest
from assaybench.circuit.recovery import CircuitResult, Part
from assaybench.circuit.ways import Recovery
from assaybench.messages import say
from assaybench.metrology.uncertain import nominal
from assaybench.record.circuit_run import Circuit
from assaybench.units import write

_NAME = 10
_FINEST = -3
_LEFT = 11
_TENTHS = -1
_WIDTHS: tuple[int, ...] = (10, 10, 11, 10)
_SUPPOSED_WIDTHS: tuple[int, ...] = (8, 8, 9, 9, 8)
_CLOSED_WIDTHS: tuple[int, ...] = (7, 8, 9, 8, 10)
"""Columns behind the name: masses, then recoveries; the last one is what is supposed, or closed."""


class Row(NamedTuple):
    """One size, or all of them, as the table and its line show it.

    Attributes:
        name: as it is printed, without the unit of all sizes.
        part: its recoveries.
        caught_mg, rerun_mg: gold of the two products, mg.
        alike, most: the two recoveries as printed; `-` where there is none.
        interval: what is drawn.
        closed: whether the row is of all with the final tailings in it.
        with_tailings: the recovery of a size with its tailings in it, as printed; empty where they
            were not assayed by size.
    """

    name: str
    part: Part
    caught_mg: float
    rerun_mg: float
    alike: str
    most: str
    interval: Interval
    closed: bool = False
    with_tailings: str = ""


class Shown(NamedTuple):
    """A circuit test as page 5 shows it.

    Attributes:
        circuit: the test.
        rows: its sizes, then all of them, then all with the tailings where they were assayed.
        unit: of the sizes; empty when their names do not end alike.
        supposed: result with the catch of stage 2 that is supposed; None when none is.
    """

    circuit: Circuit
    rows: tuple[Row, ...]
    unit: str
    supposed: CircuitResult | None = None

    @property
    def sizes(self) -> list[str]:
        """The sizes by their own names."""
        return [part.name for part in self.circuit.result.sizes if part.name != ALL]


def shown(circuit: Circuit, supposed: CircuitResult | None = None) -> Shown:
    """The rows of a test.

    Args:
        circuit: the test.
        supposed: its result with a catch of stage 2 that is supposed.
    """
    test, result = circuit.test, circuit.result
    sizes = [part for part in result.sizes if part.name != ALL]
    names, unit = in_one_unit([part.name for part in sizes])
    points = _supposed(supposed or result)
    rows = [
        _row(test, part, name, points.get(part.name))
        for part, name in zip([*sizes, result.total], [*names, ALL], strict=True)
    ]
    closed = result.total.by("closed")
    if closed is not None:
        rows.append(_closed(rows[-1], closed))
    return Shown(circuit, tuple(rows), unit, supposed)


def of_all(page: Shown) -> Row:
    """The row of all sizes, as the two catches alone have it."""
    return next(row for row in page.rows if row.part is page.rows[-1].part)


def _supposed(result: CircuitResult) -> dict[str, float]:
    """Recovery with the stated catch of stage 2, per cent, by the name of the part."""
    found = {}
    for part in (*result.sizes, result.total):
        stated = part.by("stated second stage")
        if stated is not None and stated.figure.value is not None:
            found[part.name] = stated.figure.value
    return found


def _row(test: CircuitTest, part: Part, name: str, supposed: float | None) -> Row:
    cells_of = [row for row in test.rows if part.name in {ALL, row.size}]
    most, alike = part.by("at most"), part.by("equal stages")
    return Row(
        name=name,
        part=part,
        caught_mg=math.fsum(nominal(row.concentrate.metal_mg) for row in cells_of),
        rerun_mg=math.fsum(nominal(row.rerun.metal_mg) for row in cells_of),
        alike=_cell(alike),
        most=_cell(most),
        interval=Interval(name, *_ends(most, alike), supposed),
        with_tailings=_with_tailings(part) if any(row.tailings for row in test.rows) else "",
    )


def _with_tailings(part: Part) -> str:
    """The closed recovery; where a part of the tailings is only bounded, both of its ends."""
    found = part.by("closed")
    if found is None or found.bracket is None:
        return _cell(found)
    low, high = found.bracket
    return say("caught_ends", lo=write.at_place(low, 0), hi=write.at_place(high, 0))


def _cell(found: Recovery | None) -> str:
    if found is None or found.figure.value is None:
        return "-"
    text = write.at_place(found.figure.value, _TENTHS)
    return say("caught_from", at=text) if found.figure.status == "at least" else text


def _ends(most: Recovery | None, alike: Recovery | None) -> tuple[float | None, float | None]:
    """Both ends of the line: what alike stages leave, or nothing known, up to what is possible."""
    high = None if most is None else most.figure.value
    low = None if alike is None else alike.figure.value
    if most is None or high is None:
        return None, None
    if most.figure.status == "at least":
        return high, 100.0
    return (0.0 if low is None else low), high


def _closed(all_of_it: Row, closed: Recovery) -> Row:
    """All with the final tailings in it: the ends of what may be, or where 95 in 100 lie."""
    figure = closed.figure
    low, high = closed.bracket or (figure.low, figure.high)
    name = say("caught_closed")
    middle = "-" if figure.value is None else write.at_place(figure.value, _TENTHS)
    if closed.bracket is not None and low is not None and high is not None:
        middle = say("caught_ends", lo=write.at_place(low, _TENTHS), hi=write.at_place(high, -1))
    interval = Interval(name, low, high, all_of_it.interval.supposed)
    return all_of_it._replace(name=name, alike="", most=middle, interval=interval, closed=True)


# --- the lines ------------------------------------------------------------------------------------


def lines(page: Shown, lines_there: int, chosen: int | None = None) -> list[Line]:
    """The block, in so many lines; with less room the last lines go, then the brace.

    Args:
        page: what is shown.
        lines_there: lines of the block.
        chosen: row under the pointer; None before one was chosen.
    """
    count = len(page.rows)
    brace, bare = _brace(page.circuit), 2 * count + 4
    block: list[Line] = []
    if lines_there >= bare + len(brace) + 1:
        block = [*brace, ()]
    rows = (
        _window(page.rows, chosen, (lines_there - 4) // 2) if lines_there < bare else range(count)
    )
    block += _heads(page)
    block += [_table_line(page, i, chosen) for i in rows]
    block += [(), line(axis())]
    block += [_drawn(page.rows[i], here=chosen == i) for i in rows]
    return _with_more(page, block, lines_there)


def sizes_alone(circuit: Circuit) -> list[Line]:
    """Table and lines of the sizes alone, without what became of the feed."""
    page, rows = shown(circuit), range(len(circuit.result.sizes) + 1)
    table = [*_heads(page), *(_table_line(page, i, None) for i in rows)]
    return [*table, (), line(axis()), *(_drawn(page.rows[i], here=False) for i in rows)]


def _with_more(page: Shown, block: list[Line], lines_there: int) -> list[Line]:
    """The head below, a blank line on top, the losses below: as far as there is room."""
    head = loss_lines.head(page.circuit)
    below = [] if head is None else [head]
    spare = lines_there - len(block) - len(below)
    if spare < 0:
        return block
    if spare > 0:
        block = [(), *block]
    if below and spare > 1:
        below = [(), *below]
    names = [row.name for row in page.rows]
    more = [(), *loss_lines.heads(page.circuit), (), *loss_lines.lost(page.circuit, names)]
    return [*block, *(more if len(block) + len(more) <= lines_there else below)]


def _window(rows: Sequence[Row], chosen: int | None, most: int) -> range:
    """The rows in sight when not all fit: those around the chosen one, else the last ones."""
    at = len(rows) - 1 if chosen is None else chosen
    first = min(max(at - most // 2, 0), len(rows) - most)
    return range(first, first + most)


def _supposes(page: Shown) -> bool:
    """Whether a `+` stands on a line: then its numbers are a column of their own."""
    return any(row.interval.supposed is not None for row in page.rows)


def _by_size(page: Shown) -> bool:
    """Whether the sizes have a column for what they are with their tailings in them."""
    return not _supposes(page) and any(row.with_tailings for row in page.rows)


def _heads(page: Shown) -> list[Line]:
    size = say("caught_size_in", unit=page.unit) if page.unit else say("caught_size")
    stages = [say("caught_stage_1"), say("caught_stage_2")]
    units = ["mg", "mg", say("caught_alike"), say("caught_most")]
    widths = _WIDTHS
    if _supposes(page):
        units.append(say("caught_suppose" if page.supposed is not None else "caught_stated_head"))
        widths = _SUPPOSED_WIDTHS
    elif _by_size(page):
        units.append(say("caught_closed_head"))
        widths = _CLOSED_WIDTHS
    upper = "".join(f"{head:>{w}}" for head, w in zip(stages, widths[:2], strict=True))
    recovery = f"{say('caught_recovery'):>{widths[2] + widths[3] - 4}}"
    return [
        line(f"  {say('caught_gold_by'):<{_NAME}}{upper}{recovery}"),
        line(_set("  ", size, widths, *units)),
    ]


def _set(mark: str, name: str, widths: Sequence[int], *parts: str) -> str:
    name = cut(name, _NAME)
    texts = "".join(f"{p:>{w}}" for p, w in zip(parts, widths, strict=True))
    return mark + name + " " * (_NAME - cells(name)) + texts


def _table_line(page: Shown, i: int, chosen: int | None) -> Line:
    row, place = page.rows[i], _place(page.circuit)
    style: Style = "bold" if i == chosen else "plain"
    mark = "> " if i == chosen else "  "
    masses = [write.at_place(mass, place) for mass in (row.caught_mg, row.rerun_mg)]
    widths, parts = _WIDTHS, [*masses, row.alike, row.most]
    if _supposes(page):
        supposed = row.interval.supposed
        widths = _SUPPOSED_WIDTHS
        if row.alike == "-":
            parts[2] = ""  # the bound beside it needs all of its column
        parts.append("-" if supposed is None else write.at_place(supposed, _TENTHS))
    elif _by_size(page):
        widths = _CLOSED_WIDTHS
        parts.append("" if row.closed else row.with_tailings)
    if row.closed:
        widths, parts = (sum(widths[:4]), *widths[4:]), parts[3:]
    return line(Span(_set(mark, row.name, widths, *parts), style))


def _place(circuit: Circuit) -> int:
    """The last place of the masses: four digits of the largest, two of the smallest at most.

    No finer than the first digit of the smallest of their ±.
    """
    cells_there = [c for row in circuit.test.rows for c in (row.concentrate, row.rerun)]
    masses = [abs(nominal(one.metal_mg)) for one in cells_there if nominal(one.metal_mg)]
    doubts = [2 * circuit.sources.doubt(one.metal_mg).u for one in cells_there]
    if not masses:
        return _TENTHS
    digits = min(_power(max(masses)) - 3, _power(min(masses)) - 1)
    sure = min((_power(u) for u in doubts if u > 0), default=digits)
    return min(max(digits, sure, _FINEST), 2)


def _power(number: float) -> int:
    """The place of the first digit of a number above zero."""
    return math.floor(math.log10(number))


def _drawn(row: Row, *, here: bool) -> Line:
    return line(Span(drawn(row.interval, "> " if here else "  "), "bold" if here else "plain"))


def _brace(circuit: Circuit) -> list[Line]:
    """The feed, and what became of its gold: an honest `?` for what was not assayed."""
    test = circuit.test
    place = _place(circuit)
    total = _row(test, circuit.result.total, ALL, None)
    products = [
        (write.at_place(total.caught_mg, place), say("caught_concentrate")),
        (write.at_place(total.rerun_mg, place), say("caught_rerun")),
    ]
    if nominal(test.held_mg):
        products.append((write.at_place(nominal(test.held_mg), place), say("caught_held")))
    products.append(_tailings(test, place))
    width = max(cells(number) for number, _ in products)
    feed = _feed(test, circuit.feed_basis)
    rows = []
    for i, (number, name) in enumerate(products):
        last = i == len(products) - 1
        sign = "┌" if i == 0 else "└" if last else "┤" if i == 1 else "│"
        side = feed[i - 1] if 0 < i <= len(feed) else ""
        unit = "  " if number == "?" else "mg"
        rows.append(line(f"  {side:<{_LEFT}}{sign} {number:>{width}} {unit}  {name}"))
    return rows


def _tailings(test: CircuitTest, place: int) -> tuple[str, str]:
    tailings = test.all_tailings
    if tailings is None:
        return "?", say("caught_not_assayed")
    if tailings.up_to_mg:
        most = nominal(tailings.weighed_mg) + tailings.up_to_mg
        return f"< {write.short(most, 3)}", say("caught_tailings")
    return write.at_place(nominal(tailings.weighed_mg), place), say("caught_tailings")


def _feed(test: CircuitTest, basis: str) -> tuple[str, str]:
    if test.dry_feed_kg is None:
        return say("caught_feed"), say("caught_not_weighed")
    return f"{write.short(nominal(test.dry_feed_kg), 4)} kg", say("caught_feed_as", basis=basis)


# --- the same in words ----------------------------------------------------------------------------


def in_plain_words(page: Shown) -> Iterator[str]:
    """Every number of the block as a sentence, in the order of reading; for a screen reader."""
    test = page.circuit.test
    feed = _feed(test, page.circuit.feed_basis)
    yield say("words_feed", a=feed[0], b=feed[1])
    tailings, name = _tailings(test, _TENTHS)
    name = name[:1].upper() + name[1:]
    none = tailings == "?"
    yield say("words_no_tailings" if none else "words_tailings", x=tailings, name=name)
    yield from sizes_in_words(page)
    yield from loss_lines.in_plain_words(page.circuit)


def sizes_in_words(page: Shown) -> Iterator[str]:
    """The table and the lines of the sizes in sentences."""
    place = _place(page.circuit)
    for row in page.rows:
        if not row.closed:
            masses = {"a": write.at_place(row.caught_mg, place)}
            masses["b"] = write.at_place(row.rerun_mg, place)
            yield say("words_row", name=_called(row, page.unit), **masses)
            yield say("words_recovery", lo=row.alike, hi=row.most)
            if row.with_tailings:
                yield say("words_closed", x=row.with_tailings)
    yield say("words_lines")
    for row in page.rows:
        yield in_words(row.interval._replace(name=_called(row, page.unit)))


def _called(row: Row, unit: str) -> str:
    """A size with its unit, or `all`."""
    return row.name if row.part.name == ALL else f"{row.name} {unit}".rstrip()
