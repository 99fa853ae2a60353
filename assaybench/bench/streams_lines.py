"""The block of a feed and its products: what each holds, and streams measured beside adjusted.

The share of the metal in each product is drawn as a line on a rule of 0 to 100 %; its numbers stand
in the table above it. What was measured stands beside what all streams together make of it.
"""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from assaybench.bench import caught_lines
from assaybench.bench.characters import cells, cut
from assaybench.bench.circuit_model import words_key
from assaybench.bench.interval_lines import Interval, axis, drawn, in_words
from assaybench.bench.set_lines import led
from assaybench.bench.sheet import BLOCK_WIDTH, Line, Span, line
from assaybench.circuit import written
from assaybench.circuit.reconcile import MASS, Agreed, Place
from assaybench.circuit.streams import FeedTest, Product, place_words
from assaybench.messages import say
from assaybench.metrology.figure import Figure
from assaybench.metrology.uncertain import Uncertain, nominal
from assaybench.record.circuit_run import Circuit
from assaybench.record.circuit_typed import BETWEEN
from assaybench.report.compare_words import by_chance
from assaybench.units import write

_NONE = "-"
_GAP = 2
_NAME = 13
_HELD = (16, 16, 9)
_MARK = " "
"""In front of a line of the drawing: the names of products need a column more than sizes do."""
_SURE = 0.001


class Row(NamedTuple):
    """One mass or grade of a stream.

    Attributes:
        stream: its name.
        measured, adjusted: value ± U as printed; `-` where it was not measured, or not worked out.
        change: adjusted less measured, as printed; `-` where there is none.
        again: whether it is the one to measure again.
    """

    stream: str
    measured: str
    adjusted: str = _NONE
    change: str = _NONE
    again: bool = False


class Group(NamedTuple):
    """The masses of all streams, or their grades, with the unit behind the heading."""

    heading: str
    rows: tuple[Row, ...]


def lines(test: FeedTest) -> list[Line]:
    """The whole block; a page shows as much of it as it has room for."""
    found: list[Line] = []
    if test.products:
        found += [*_held(test), ()]
    found += _table(test)
    sizes = _sizes(test)
    if sizes is not None:
        found += [(), line(Span(f"  {say('streams_by_weight')}", "bold"))]
        found += caught_lines.sizes_alone(sizes)
    return found


def _sizes(test: FeedTest) -> Circuit | None:
    """The two catches by size, of which the streams tell nothing; None where they were not sieved.

    It stands below the streams, as in the commands.
    """
    return None if test.by_size is None else Circuit(*test.by_size, test.sources)


# --- what each product holds ----------------------------------------------------------------------


def _held(test: FeedTest) -> Iterator[Line]:
    """The products, then what each of several stages catches of what it is fed; both drawn."""
    columns = ("metal",) if test.alone else ("mass", "metal", "richer")
    heads = [say("streams_product"), *(say(f"streams_{name}") for name in columns)]
    yield line(Span(_held_line(*heads), "bold"))
    yield from (line(_held_line(_named(p.name), *_shares(p))) for p in test.products)
    if test.catches:
        yield line(Span(f"  {say('streams_stages')}", "bold"))
        yield from (line(_held_line(*row)) for row in _caught(test))
    yield line(axis())
    for interval in _intervals(test):
        yield line(drawn(interval, _MARK))


def _held_line(name: str, *texts: str) -> str:
    widths = (_HELD[1],) if len(texts) == 1 else _HELD
    return f"  {_padded(name, 11)}" + "".join(
        f"{text:>{width}}" for text, width in zip(texts, widths, strict=False)
    )


def _shares(product: Product) -> tuple[str, ...]:
    """What a product holds of mass and metal, and how much richer it is than the feed."""
    metal = _share(product.recoveries[0])
    if product.mass_yield is None or not product.enrichments:
        return (metal,)
    richer = write.short(product.enrichments[0].value or 0.0, 3)
    return (_share(product.mass_yield), metal, say("streams_times", x=richer))


def _caught(test: FeedTest) -> list[tuple[str, ...]]:
    """Of each stage its name, and what it catches of the mass and of the metal it is fed."""
    rows = []
    for number, catch in enumerate(test.catches, 1):
        mass = () if catch.mass_yield is None else (_share(catch.mass_yield),)
        rows.append((say("streams_stage", n=number), *mass, _share(catch.caught[0])))
    return rows


def _share(figure: Figure) -> str:
    """A share in per cent without the sign: value ± U, or where 95 in 100 of it lie."""
    if figure.k is not None or figure.low is None or figure.high is None:
        return figure.text.replace(" %", "")
    return " to ".join(written.ends(figure.low, figure.high))


def _intervals(test: FeedTest) -> Iterator[Interval]:
    for product in test.products:
        figure = product.recoveries[0]
        yield Interval(_named(product.name), figure.low, figure.high)
    for number, catch in enumerate(test.catches, 1):
        figure = catch.caught[0]
        yield Interval(say("streams_stage", n=number), figure.low, figure.high)


def _named(stream: str) -> str:
    """A stream in the words of the page, short enough for its column."""
    if stream in ("rerun", BETWEEN):
        return say(f"streams_named_{words_key(stream)}")
    return stream


# --- measured, adjusted, changed ------------------------------------------------------------------


def groups(test: FeedTest) -> list[Group]:
    """The masses, then the grades, stream by stream."""
    measured = {Place(s.name, MASS): s.mass for s in (test.feed, *test.measured)}
    found = []
    if test.mass_unit != "1":
        rows = _rows(test, measured)
        code = "streams_metals" if test.alone else "streams_masses"
        found.append(Group(say(code, unit=test.mass_unit), rows))
    for k in test.metals:
        grades = {Place(s.name, k): s.grades[k - 1] for s in (test.feed, *test.measured)}
        unit = test.grade_units[k - 1]
        found.append(Group(say("streams_grades", unit=unit), _rows(test, grades)))
    return found


def _rows(test: FeedTest, measured: Mapping[Place, Uncertain | None]) -> tuple[Row, ...]:
    agreed = test.agreed
    rows = []
    for place, value in measured.items():
        was = _NONE if value is None else _bare(test.figure(place, value))
        row = Row(_named(place.stream), was)
        rows.append(row if agreed is None else _adjusted(test, agreed, place, row))
    return tuple(rows)


def _adjusted(test: FeedTest, agreed: Agreed, place: Place, row: Row) -> Row:
    now = test.figure(place, agreed.values[place])
    row = row._replace(adjusted=_bare(now))
    change = agreed.changes.get(place)
    if change is None or not agreed.dof or now.expanded is None:
        return row
    last = write.uncertainty_place(now.expanded)
    moved = write.at_place(nominal(change), last)
    return row._replace(
        change=moved if moved.startswith("-") or not moved.strip("0.") else f"+{moved}",
        again=not agreed.agrees and agreed.measure_again == (place,),
    )


def _bare(figure: Figure) -> str:
    """A figure without its unit, which stands at the heading."""
    return figure.text.removesuffix(f" {figure.unit}").removeprefix("(").removesuffix(")")


def _table(test: FeedTest) -> list[Line]:
    made = groups(test)
    columns, heads = _columns(test)
    rows = [heads, *(row for group in made for row in group.rows)]
    longest = {c: max(cells(getattr(row, c)) for row in rows) for c in columns}
    room = BLOCK_WIDTH - 4 - sum(longest.values())
    wanted = max(cells(row.stream) for row in rows)
    gap = _GAP if room - _GAP * len(columns) >= wanted else 1
    widths = {c: width + gap for c, width in longest.items()}
    name = min(room - gap * len(columns), _NAME)
    found: list[Line] = []
    for i, group in enumerate(made):
        texts = _set(heads, widths) if i == 0 else ""
        found.append(line(Span(f"  {_padded(group.heading, name + 2)}{texts}", "bold")))
        for row in group.rows:
            mark = "  > " if row.again else "    "
            text = f"{mark}{_padded(row.stream, name)}{_set(row, widths)}"
            found.append(line(Span(text, "bold" if row.again else "plain")))
    return found


def _columns(test: FeedTest) -> tuple[tuple[str, ...], Row]:
    """The columns that say something, and their heads."""
    agreed = test.agreed
    worked = "adjusted" if agreed is not None and agreed.dof else "worked"
    measured, adjusted, change = (say(f"streams_{name}") for name in ("measured", worked, "change"))
    heads = Row("", measured, adjusted, change)
    if agreed is None:
        return ("measured",), heads
    return ("measured", "adjusted", *(("change",) if agreed.dof else ())), heads


def _set(row: Row, widths: Mapping[str, int]) -> str:
    return "".join(" " * (w - cells(t := getattr(row, c))) + t for c, w in widths.items())


def _padded(text: str, width: int) -> str:
    text = cut(text, width)
    return text + " " * (width - cells(text))


def scores(test: FeedTest) -> list[Line]:
    """Each change over its standard uncertainty: the largest stands out. Empty without any."""
    agreed = test.agreed
    if agreed is None or not agreed.scores:
        return []
    heading = line(Span(say("streams_scores"), "bold"))
    metals = len(test.grade_units)
    rows = [
        led(place_words(place, metals).removeprefix("the "), write.at_place(score, -2))
        for place, score in agreed.scores.items()
    ]
    return [heading, *rows]


# --- the margin, and all of it in words -----------------------------------------------------------


def remarks(test: FeedTest) -> list[str]:
    """Whether they agree, which to measure again, what chance alone would do; then the flags."""
    said = []
    agreed = test.agreed
    if test.verdict is not None and agreed is not None:
        said.append(test.verdict.reason)
        code = "streams_by_chance" if agreed.p >= _SURE else "streams_no_chance"
        fields = {"x": write.significant(agreed.chi2, 2), "n": agreed.dof}
        said.append(say(code, **fields, p=by_chance(agreed.p)))
    if test.head is not None:
        said.append(say("streams_head", x=test.head.text))
    return [*said, *(flag.text for flag in test.flags), *test.said]


def in_plain_words(test: FeedTest) -> Iterator[str]:
    """Every number of the block as a sentence, in the order of reading; for a screen reader."""
    for product in test.products:
        shares = dict(zip(("mass", "metal", "richer"), _shares(product), strict=False))
        name = _named(product.name)
        if len(shares) == 1:
            yield say("words_held_metal", name=name, metal=shares["mass"])
        else:
            yield say("words_held", name=name, **shares)
    for name, *held in _caught(test):
        yield say("words_stage", name=name, metal=held[-1])
    if test.products:
        yield say("words_lines")
    for interval in _intervals(test):
        yield in_words(interval)
    yield from _changes_in_words(test)
    sizes = _sizes(test)
    if sizes is not None:
        yield say("words_by_weight")
        yield from caught_lines.sizes_in_words(caught_lines.shown(sizes))


def _changes_in_words(test: FeedTest) -> Iterator[str]:
    """What was measured, and what is made of it, stream by stream."""
    for group in groups(test):
        for row in group.rows:
            fields = {"what": group.heading, "name": row.stream, "a": row.measured}
            if row.adjusted == _NONE:
                yield say("words_measured", **fields)
            elif row.change == _NONE:
                yield say("words_adjusted", **fields, b=row.adjusted)
            else:
                yield say("words_changed", **fields, b=row.adjusted, c=row.change)
