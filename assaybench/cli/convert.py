"""`assaybench convert`: a figure in other units, exactly, its doubt with it."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import click

from assaybench.cli.options import Faults, emit, output, shape_of
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import COVERAGE, Figure
from assaybench.record import sums
from assaybench.report.answer import Answer
from assaybench.units import parse, registry, sieves, table, write
from assaybench.units.parse import Typed
from assaybench.units.table import MICROMETRE, Quantity, Unit

CONVERTED: tuple[Quantity, ...] = ("mass", "mass fraction", "length", "mesh")
EXAMPLE = "1.5 ozt/short_ton"


@click.command(name="convert")
@click.argument("figure", nargs=-1, metavar="FIGURE [UNIT]")
@output
def command(**typed: Any) -> None:
    """A FIGURE in another UNIT, or in all units of its kind.

    A figure may carry its doubt ('3.2 ± 0.4 g/t') or be a limit ('<0.33 g/t'). A unit may also be
    one mass over another, such as mg/AT_short.
    """
    words = [part.replace("−", "-") for part in typed["figure"]]
    parts = [part for part in words if part not in {"to", "in"}]
    shape = shape_of(typed, parts)
    emit(answer(parts), shape)


def answer(parts: Sequence[str]) -> Answer:
    """The answer of `convert`.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    accepted = say("form_convert", x=EXAMPLE)
    if not parts:
        raise BadInput.of("argument_missing", what="A figure", accepted=accepted)
    if len(parts) > 2:
        raise BadInput.of("argument_unexpected", x=quoted(parts[2]), accepted=accepted)
    faults = Faults()
    typed = faults.take("FIGURE", _figure, parts[0])
    target = faults.take("UNIT", registry.resolve, parts[1]) if len(parts) == 2 else None
    faults.done()
    assert typed is not None  # noqa: S101  `done` raised otherwise
    typed = _mesh_as_opening(typed)
    if target is not None:
        if target.quantity == "mesh":
            return _as_mesh(typed, parts)
        targets = [target]
    else:
        kind = typed.unit.quantity
        targets = [u for u in table.UNITS if u.quantity == kind and u is not typed.unit]
    figures = {unit.symbol: _in(typed, unit) for unit in targets}
    return Answer(
        command="convert",
        inputs={"figure": parts[0], "unit": parts[1] if len(parts) == 2 else None},
        figures=figures,
        rows=(
            ("as typed", parts[0]),
            *((_label(unit), figures[unit.symbol].text) for unit in targets),
        ),
        assumptions=_assumptions(typed, parts[0]),
        coverage=() if typed.expanded is None else (2.0,),
        steps=tuple(_step(typed, unit, figures[unit.symbol]) for unit in targets),
    )


def _figure(text: str) -> Typed:
    """A figure whose unit is listed, or one listed mass over another.

    Raises:
        BadInput: as `parse.figure` and `registry.resolve`.
    """
    try:
        return parse.figure(text, CONVERTED, example=EXAMPLE)
    except BadInput:
        number, unit = _split(text)
        if unit is None or "/" not in unit.symbol:
            raise
        typed = parse.figure(f"{number} g/t", CONVERTED)
        return Typed(
            text.strip(), typed.value, unit, typed.u, typed.expanded, typed.below, typed.decimals
        )


def _split(text: str) -> tuple[str, Unit | None]:
    """The number of a figure with a compound unit behind it, and that unit if there is one.

    Raises:
        BadInput: when one of its masses is not clear, as AT in mg/AT.
    """
    cleaned = parse.clean(text)[: parse.MOST_CHARACTERS]
    at = next((i for i, sign in enumerate(cleaned) if sign.isalpha()), len(cleaned))
    try:
        return cleaned[:at].strip(), registry.resolve(cleaned[at:])
    except BadInput:
        if any(table.refusal(part) for part in cleaned[at:].split("/")):
            raise
        return cleaned, None


def _mesh_as_opening(typed: Typed) -> Typed:
    """A US sieve number as its opening in micrometres; anything else as it is."""
    if typed.unit.quantity != "mesh":
        return typed
    try:
        sieve = sieves.by_designation(f"{typed.value.normalize():f}", sieves.ASTM_E11)
    except ValueError as fault:
        raise BadInput([f"FIGURE: {fault}"]) from fault
    opening = parse.figure(f"{sieve.opening_um} um", CONVERTED)
    return Typed(typed.text, opening.value, opening.unit)


def _as_mesh(typed: Typed, parts: Sequence[str]) -> Answer:
    if typed.unit.quantity != "length":
        raise BadInput.of(
            "conversion_impossible",
            x=quoted(typed.text),
            unit="mesh",
            kind=typed.unit.quantity,
            other="mesh",
        )
    try:
        sieve = sieves.by_opening(typed.exact(MICROMETRE), sieves.ASTM_E11)
    except ValueError as fault:
        raise BadInput([f"FIGURE: {fault}"]) from fault
    text = f"{sieve.designation}, {sieve.series}"
    figure = Figure(
        None,
        "mesh",
        status="not determinable",
        basis=sieve.series,
        text=text,
        why="a sieve number is a name, not a quantity",
    )
    return Answer(
        command="convert",
        inputs={"figure": parts[0], "unit": parts[1]},
        figures={"mesh": figure},
        rows=(("as typed", parts[0]), ("sieve", text)),
    )


def _label(unit: Unit) -> str:
    return unit.name if unit.name != unit.symbol else unit.symbol


def _in(typed: Typed, unit: Unit) -> Figure:
    """The typed figure in a unit: value, u and interval as far as they were typed."""
    value = registry.converted(Fraction(typed.value), typed.unit, unit)
    number = float(value)
    if typed.below:
        text = f"< {write.with_unit(_digits(value), unit.symbol)}"
        return Figure(
            number,
            unit.symbol,
            high=number,
            status="at most",
            basis="as typed",
            text=text,
            layer="assay",
        )
    if typed.expanded is not None:
        expanded = float(registry.converted(Fraction(typed.expanded), typed.unit, unit))
        text = write.plus_minus(value, expanded, unit.symbol)
        return Figure(
            number,
            unit.symbol,
            u=expanded / 2,
            low=number - expanded,
            high=number + expanded,
            coverage_probability=COVERAGE,
            k=2.0,
            basis="as typed",
            text=text,
            layer="assay",
        )
    if typed.u is not None:
        u = float(registry.converted(Fraction(typed.u), typed.unit, unit))
        text = write.parentheses(value, u, unit.symbol)
        return Figure(number, unit.symbol, u=u, basis="as typed", text=text, layer="assay")
    text = write.with_unit(_digits(value), unit.symbol)
    return Figure(number, unit.symbol, basis="as typed", text=text, layer="assay")


def _digits(value: Fraction) -> str:
    """Six digits, and every whole one of a large number: an exact conversion is not rounded off."""
    return write.short(value, 12 if abs(value) >= 10**5 else 6)


def _assumptions(typed: Typed, text: str) -> tuple[str, ...]:
    said = []
    if typed.text == text and "mesh" in text:
        said.append(say("sieve_mesh"))
    if typed.expanded is not None:
        said.append(say("typed_expanded"))
    if typed.u is None and typed.expanded is None:
        said.append(say("typed_alone"))
    return tuple(said)


def _step(typed: Typed, unit: Unit, figure: Figure) -> sums.Step:
    """Value times the exact factor, written as a ratio of whole numbers."""
    factor = typed.unit.size / unit.size
    ratio = f"{factor.numerator} / {factor.denominator}"
    assert figure.value is not None  # noqa: S101  every conversion has a value
    return sums.step(unit.symbol, f"{typed.value:f} × {ratio}", figure.value, unit.symbol)
