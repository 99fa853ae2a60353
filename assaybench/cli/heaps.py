"""`assaybench heaps`: saved tailings, what is left in each, what a next stage gets, which first."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import PurePath
from typing import Any, NamedTuple

import click

from assaybench.circuit import heaps
from assaybench.circuit.heaps import Amount, Choice, Heap, Way
from assaybench.circuit.value import Terms
from assaybench.cli.log_results import reading_many
from assaybench.cli.logbooks import desk_of, in_logbook, no_book
from assaybench.cli.options import Faults, emit, once, shape_of
from assaybench.cli.pricing import TONNE, Pricing, price_flags, price_options, price_said
from assaybench.cli.results import read_file
from assaybench.logbook.heap_logs import HeapBook, Source, circuit_logs, heap_book
from assaybench.logbook.index import cache_folder
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Figure, Flag, flag, not_determinable
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.record import handsheet
from assaybench.report.answer import Answer, factors_of, figure_tree, table_section
from assaybench.report.heaps_view import (
    amount_text,
    disagreeing,
    first_heap,
    left_out,
    not_counted,
    rivals,
    ways,
)
from assaybench.report.tables import aligned
from assaybench.units import money, write

HEADS = ("heap", "t dry", "g gold left", "g/t", "how known")
LEFT = (0, 4)
WAYS: dict[Way, str] = {
    "assayed": "assayed",
    "not seen": "nothing seen",
    "partly seen": "partly seen",
    "worked out": "worked out",
    "stated second stage": "stage 2 stated",
    "equal stages": "if alike",
    "least second stage": "stage 2 least",
    "not known": "not known",
}
"""How it is known, in the width of a table."""
NAME_ROOM = 14
"""Signs of a name that leave a line of the table within the page; JSON has all of it."""


class Asked(NamedTuple):
    """What was typed beside the logbook.

    Attributes:
        catch: r2 of the next stage, a share of one; None where it is not stated.
        terms: what a gram brings; None without a price.
        running_per_t: cost of running a tonne again.
        currency: of the line.
        source: who stands for the price.
    """

    catch: Uncertain | None
    terms: Terms | None
    running_per_t: float
    currency: str
    source: str


class Line(NamedTuple):
    """One heap with what a next stage gets out of it, and what that brings."""

    heap: Heap
    caught: Amount | None
    worth: Amount | None


@click.command(name="heaps")
@click.argument("sheets", nargs=-1, metavar="[SHEET…]")
@once("--second-stage", metavar="SHARE", help="What the next stage catches: '60 ± 10 %'.")
@price_options
@once("--running-cost", metavar="MONEY/MASS", help="Cost of running a dry mass again.")
@in_logbook
def command(**typed: Any) -> None:
    """Saved tailings of the circuit tests: how much is left, and which heap to run again first.

    Every circuit test of the logbook that says what its tailings weigh, or the hand sheets SHEET.
    """
    texts = [v for v in typed.values() if isinstance(v, str)]
    shape = shape_of(typed, texts)
    emit(answer(typed), shape)


def answer(typed: dict[str, Any]) -> Answer:
    """The answer of `heaps`.

    Raises:
        BadInput: every fault of the line, or of a hand sheet.
        NotDone: when the logbook cannot be read.
    """
    faults, sources = Faults(), Sources()
    asked = _asked(faults, sources, typed)
    faults.done()
    gone: tuple[Flag, ...] = ()
    if typed["sheets"]:
        book = heap_book(_of_sheets(typed["sheets"]))
    else:
        desk = desk_of(typed)
        gone = no_book(desk)
        bench = typed["bench"] or ""
        tests, unread = circuit_logs(
            desk.book, desk.files, cache_folder(), bench and desk.bench, reading_many
        )
        book = heap_book(tests, unread)
    found = _answer(typed, asked, book)
    return replace(found, flags=(*gone, *found.flags))


def _of_sheets(names: Sequence[str]) -> list[Source]:
    """The tests of hand sheets.

    Raises:
        BadInput: for one that cannot be read, or is there twice: its heap would count twice.
    """
    read: dict[bytes, str] = {}
    faults = Faults()
    for name in names:
        content = read_file(name)
        if content in read:
            x, other = (quoted(PurePath(file).name) for file in (name, read[content]))
            faults.add("", BadInput.of("heap_sheet_twice", x=x, other=other))
        read[content] = name
    faults.done()
    return [_of_sheet(name, content) for content, name in read.items()]


def _of_sheet(name: str, content: bytes) -> Source:
    try:
        sheet = handsheet.read(content)
    except BadInput as fault:
        raise fault.named(name) from fault
    return Source(sheet.title, "the paper", sheet.date.isoformat(), sheet.entries)


def _asked(faults: Faults, sources: Sources, typed: dict[str, Any]) -> Asked:
    pricing = Pricing(typed, faults, sources)
    catch = None
    if typed["second_stage"] is not None:
        catch = pricing.part("--second-stage", typed["second_stage"], "catch of the next stage")
    for name in ("price_source", "payable", "refining", "running_cost"):
        if typed[name] is not None and typed["price"] is None:
            option = f"--{name.replace('_', '-')}"
            faults.add("", BadInput.of("option_needs", option=option, other="--price"))
    if typed["price"] is None:
        return Asked(catch, None, 0.0, "", "")
    if typed["second_stage"] is None:
        faults.add("", BadInput.of("option_needs", option="--price", other="--second-stage"))
    running = pricing.rate("running_cost", "3 USD/t")
    terms = pricing.terms()
    if terms.net_per_g <= 0:
        faults.add("", BadInput.of("nothing_left_of_price"))
    currency, source = pricing.currency(), pricing.source()
    each = running.for_each(TONNE) if running else 0.0
    return Asked(catch, terms, each, currency, source)


def _line(sources: Sources, asked: Asked, catch: Uncertain | None, heap: Heap) -> Line:
    metal = heap.left.metal_g
    if metal is None or catch is None:
        return Line(heap, None, None)
    caught = heaps.caught(sources, metal, catch)
    if asked.terms is None or heap.dry_t is None:
        return Line(heap, caught, None)
    brings = caught.times(asked.terms.net_per_g)
    cost = asked.running_per_t * nominal(heap.dry_t)
    return Line(heap, caught, brings.less(cost))


def _answer(typed: dict[str, Any], asked: Asked, book: HeapBook) -> Answer:
    sources = book.sources
    catch = asked.catch
    if catch is not None:
        value, u = nominal(catch), _u_of(catch)
        catch = sources.variable("catch of the next stage", value, u)
    lines = [_line(sources, asked, catch, heap) for heap in book.heaps]
    counted = [line for line in lines if line.heap.counts]
    unit = money.unit_of(asked.currency)
    figures = _totals(sources, counted, unit, asked)
    choice = heaps.first(book.heaps)
    names = ("second_stage", "price", "price_source", "payable", "refining", "running_cost")
    labels = {"total_dry": "dry mass of all heaps", "total_left": "gold left in all heaps",
              "total_caught": "the next stage gets", "total_worth": "worth, cost off"}  # fmt: skip
    return Answer(
        command="heaps",
        inputs={name: typed[name] for name in names} | {"sheets": [*typed["sheets"]]},
        figures=figures,
        rows=tuple((labels[name], figure.text) for name, figure in figures.items()),
        verdict=first_heap(choice),
        sections=_sections(sources, lines, unit),
        flags=(*_flags(book, choice), *(price_flags(asked.source) if asked.terms else ())),
        assumptions=_said(typed, asked, book),
        coverage=factors_of(figures.values()),
        records={"heaps": [_record(sources, line, unit) for line in lines]},
    )


def _u_of(number: Uncertain) -> float:
    return Sources().doubt(number).u


def _totals(
    sources: Sources, counted: Sequence[Line], unit: str, asked: Asked
) -> dict[str, Figure]:
    """All heaps together that still lie there and of which something is known."""
    masses = [line.heap.dry_t for line in counted if line.heap.dry_t is not None]
    if not counted:
        return {}
    metals = [line.heap.left.metal_g for line in counted if line.heap.left.metal_g is not None]
    found = {
        "total_dry": heaps.even(sources, sum(masses)).figure(sources, "t", "dry"),
        "total_left": heaps.total(sources, metals).figure(sources, "g", "gold"),
    }
    caught = [line.caught for line in counted if line.caught is not None]
    if caught:
        found["total_caught"] = heaps.total(sources, caught).figure(sources, "g", "gold")
    priced = [line for line in counted if line.worth is not None]
    if asked.terms is not None and priced:
        tonnes = sum(nominal(line.heap.dry_t) for line in priced)
        brings = heaps.total(sources, [line.caught for line in priced if line.caught is not None])
        worth = brings.times(asked.terms.net_per_g).less(asked.running_per_t * tonnes)
        found["total_worth"] = worth.figure(sources, unit, "cost off")
    return found


def _flags(book: HeapBook, choice: Choice | None) -> tuple[Flag, ...]:
    found = rivals(choice)
    for heap in book.heaps:
        found += not_counted(heap)
        found += disagreeing(heap)
        if heap.not_rerun > 0:
            pct = write.percent(heap.not_rerun, 3)
            found.append(flag("heap_share", name=heap.name, pct=pct))
    return (*found, *left_out(book.unread))


def _said(typed: dict[str, Any], asked: Asked, book: HeapBook) -> tuple[str, ...]:
    known = ways(book.heaps)
    said = []
    if "equal stages" in known:
        said.append(say("heaps_alike"))
    if known & {"stated second stage", "least second stage"}:
        said.append(say("heaps_stated"))
    if asked.catch is not None:
        said.append(say("heaps_catch", r2=typed["second_stage"]))
    if sum(heap.counts for heap in book.heaps) > 1:
        said.append(say("heaps_shared"))
    if asked.terms is not None:
        said += price_said(typed["price"], asked.source)
    return tuple(said)


def _sections(sources: Sources, lines: Sequence[Line], unit: str) -> tuple[Any, ...]:
    if not lines:
        return ()
    table = aligned(HEADS, [_cells(sources, line.heap) for line in lines], LEFT)
    found = [table_section("Heaps, oldest first", table)]
    gained = [line for line in lines if line.caught is not None and line.heap.counts]
    if gained:
        heads = ("heap", "the next stage gets", "worth, cost off")
        rows = [
            (
                _short(line.heap.name),
                _text(line.caught, sources, "g"),
                _text(line.worth, sources, unit),
            )
            for line in gained
        ]
        found.append(table_section("Run again", aligned(heads, rows, (0,))))
    return tuple(found)


def _cells(sources: Sources, heap: Heap) -> tuple[str, ...]:
    mass = "" if heap.dry_t is None else write.short(nominal(heap.dry_t), 3)
    known = WAYS[heap.left.way] if not heap.rerun_in else "run again since"
    metal, grade = heap.left.metal_g, heap.per_tonne
    return (_short(heap.name), mass, _text(metal, sources, "1"), _text(grade, sources, "1"), known)


def _text(amount: Amount | None, sources: Sources, unit: str) -> str:
    return "" if amount is None else amount_text(amount, sources, unit)


def _short(name: str) -> str:
    return name if len(name) <= NAME_ROOM else f"{name[: NAME_ROOM - 1]}…"


def _record(sources: Sources, line: Line, unit: str) -> dict[str, object]:
    heap = line.heap
    nothing = say("heap_unknown", name=heap.name)

    def tree(amount: Amount | None, symbol: str, basis: str) -> dict[str, object]:
        if amount is None:
            return figure_tree(not_determinable(symbol, nothing, basis=basis))
        return figure_tree(amount.figure(sources, symbol, basis))

    dry = None if heap.dry_t is None else heaps.even(sources, heap.dry_t)
    figures = {
        "dry": tree(dry, "t", "dry"),
        "left": tree(heap.left.metal_g, "g", "gold"),
        "grade": tree(heap.per_tonne, "g/t", "gold left, dry"),
    }
    if line.caught is not None:
        figures["caught"] = tree(line.caught, "g", "gold")
    if line.worth is not None:
        figures["worth"] = tree(line.worth, unit, "cost off")
    return {
        "id": heap.name,
        "log": heap.log,
        "day": heap.day,
        "way": heap.left.way,
        "rerun_in": heap.rerun_in or None,
        "figures": figures,
    }
