"""`assaybench sieves`: a series, one sieve, a size fraction between two, or what passes a set."""

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import click

from assaybench.cli.options import Faults, emit, once, output, shape_of
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Figure, plain
from assaybench.record import sums
from assaybench.report.answer import Answer, Section
from assaybench.units import parse, sieves, write
from assaybench.units.sieves import Sieve
from assaybench.units.table import MICROMETRE, Quantity

SIZE: tuple[Quantity, ...] = ("length", "mesh")
SERIES = {"e11": sieves.ASTM_E11, "iso": sieves.ISO_3310_1}
OF_FRACTIONS = ("passing", "rule", "whole", "readability")
"""Options that only masses on sieves need."""


@click.command(name="sieves")
@click.argument("size", nargs=-1)
@once("--series", metavar="e11|iso", help="ASTM E11 (the default) or ISO 3310-1.")
@click.option(
    "--fraction",
    "fractions",
    multiple=True,
    metavar="SIZE=MASS",
    help="Mass that stayed on a sieve; pan=MASS for what passed the finest.",
)
@once("--passing", metavar="SHARE", help="Gives the size that so much passes: 80% if left out.")
@once("--rule", metavar="log|linear|log-log", help="What is linear between two sieves.")
@once("--whole", metavar="MASS", help="Mass before sieving, to check that nothing is missing.")
@once("--readability", metavar="MASS", help="Step of the balance, for masses typed without ±.")
@output
def command(**typed: Any) -> None:
    """The sieves of a series; of one SIZE its tolerances; of two SIZEs the fraction between.

    A SIZE is an opening (75um, 0.25mm) or a US number (200 mesh, 'No. 200').

    With one --fraction for each sieve and pan=MASS: what passes each, the size that 80 % pass
    (P80), and the Gaudin-Schuhmann and Rosin-Rammler laws fitted to it. Masses may carry their ±.
    """
    sizes = _joined(typed["size"])
    options = [typed[name] or "" for name in OF_FRACTIONS]
    shape = shape_of(typed, [*sizes, *typed["fractions"], *options])
    if not typed["fractions"]:
        emit(answer(sizes, typed), shape)
        return
    from assaybench.cli import sieves_passing

    emit(sieves_passing.answer(sizes, typed), shape)


def series_of(faults: Faults, typed: str | None) -> str:
    """The series of an option: ASTM E11 where it is left out, or a fault was kept."""
    if typed is None:
        return sieves.ASTM_E11
    name = SERIES.get(typed.strip().lower())
    if name is None:
        choices = " or ".join(SERIES)
        fault = BadInput.of("choice_unknown", x=quoted(typed), what="a series", choices=choices)
        faults.add("--series", fault)
    return name or sieves.ASTM_E11


def _joined(tokens: Sequence[str]) -> list[str]:
    """Sizes with a `No.` that stands alone joined to its number."""
    found: list[str] = []
    for token in tokens:
        if found and re.fullmatch(r"(?i)no\.?", found[-1]):
            found[-1] = f"{found[-1]} {token}"
        else:
            found.append(token)
    return found


def answer(sizes: Sequence[str], typed: dict[str, Any]) -> Answer:
    """The answer of `sieves` without masses.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    faults = Faults()
    series = typed["series"]
    name = series_of(faults, series)
    for option in OF_FRACTIONS:
        if typed[option] is not None:
            faults.add("", BadInput.of("option_needs", option=f"--{option}", other="--fraction"))
    if len(sizes) > 2:
        accepted = say("form_sieves")
        fault = BadInput.of("argument_unexpected", x=quoted(sizes[2]), accepted=accepted)
        faults.add("SIZE", fault)
    found = [faults.take("SIZE", _sieve, text, name) for text in sizes[:2]]
    faults.done()
    known = [sieve for sieve in found if sieve is not None]
    inputs: dict[str, object] = {"sizes": [*sizes], "series": series}
    if not known:
        return _table(name, inputs)
    if len(known) == 1:
        return _one(known[0], inputs)
    return _fraction(known, inputs)


def _sieve(text: str, series: str) -> Sieve:
    """The sieve of an opening with its unit, or of a name.

    Raises:
        BadInput: when there is none, with the nearest ones.
    """
    um = opening_um(text)
    try:
        if um is not None:
            return sieves.by_opening(um, series)
        return sieves.by_designation(_printable(parse.clean(text)), series)
    except ValueError as fault:
        raise BadInput([str(fault)]) from fault


def opening_um(text: str) -> Fraction | None:
    """The opening that was typed with a unit of length, µm; None for the name of a sieve.

    Raises:
        BadInput: when it is too long, or no figure of a length.
    """
    if len(text) > parse.MOST_CHARACTERS:
        raise BadInput.of("number_too_long", x=quoted(text), most=parse.MOST_CHARACTERS)
    cleaned = parse.clean(text)
    if not re.fullmatch(r"[+-]?[0-9.,]+\s*[a-zµ]+", cleaned) or cleaned.endswith(
        ("mesh", "in", "inch", "inches", "tyler")
    ):
        return None
    return parse.plain_figure(cleaned, SIZE, example="75um").exact(MICROMETRE)


def _printable(text: str) -> str:
    return quoted(text)[1:-1]


def _micrometres(value: float, digits: int = 6) -> Figure:
    return plain(value, "um", digits=digits, basis="as the standard prints it")


def _record(sieve: Sieve) -> dict[str, object]:
    return {
        "id": sieve.designation or f"{sieve.opening_um} um",
        "opening_um": sieve.opening_um,
        "series": sieve.series,
        "tolerance_mean_um": sieve.tolerance_mean_um,
        "tolerance_single_um": sieve.tolerance_single_um,
        "wire_um": sieve.wire_um,
        "tyler": sieve.tyler,
        "tyler_source": None if sieve.tyler is None else _tyler_source(sieve),
    }


def _tyler_source(sieve: Sieve) -> str:
    return "published" if sieves.tyler_is_published(sieve) else "from memory"


def _table(series: str, inputs: dict[str, object]) -> Answer:
    rows = []
    for sieve in sieves.series(series):
        tyler = f"   Tyler {sieve.tyler}" if sieve.tyler else ""
        label = f"{sieve.opening_um} um   {sieve.designation or ''}{tyler}".rstrip()
        mean, single = write.short(sieve.tolerance_mean_um), sieve.tolerance_single_um
        rows.append((label, f"mean ± {mean}, single + {single} um"))
    return Answer(
        command="sieves",
        inputs=inputs,
        figures={},
        rows=tuple(rows),
        records={"sieves": [_record(sieve) for sieve in sieves.series(series)]},
        assumptions=(
            say("sieve_two_figures", series=series),
            say("sieve_tyler"),
        ),
    )


def _one(sieve: Sieve, inputs: dict[str, object]) -> Answer:
    relative = sieves.relative_mean_tolerance(sieve)
    figures = {
        "opening": _micrometres(sieve.opening_um),
        "tolerance_mean": _micrometres(sieve.tolerance_mean_um),
        "tolerance_single": _micrometres(sieve.tolerance_single_um),
        "tolerance_relative": plain(relative * 100, "%", digits=2),
    }
    rows = [
        ("sieve", f"{sieve.designation or f'{sieve.opening_um} um'}, {sieve.series}"),
        ("opening", figures["opening"].text),
        ("its mean opening may differ by", f"± {figures['tolerance_mean'].text}"),
        ("which is, of the opening", f"± {figures['tolerance_relative'].text}"),
        ("its largest opening may be wider by", figures["tolerance_single"].text),
    ]
    if sieve.wire_um is not None:
        figures["wire"] = _micrometres(sieve.wire_um)
        rows.append(("nominal wire", figures["wire"].text))
    if sieve.tyler is not None:
        rows.append((f"Tyler mesh ({_tyler_source(sieve)})", sieve.tyler))
    mean, opening = sieve.tolerance_mean_um, sieve.opening_um
    return Answer(
        command="sieves",
        inputs=inputs,
        figures=figures,
        rows=tuple(rows),
        records={"sieves": [_record(sieve)]},
        assumptions=(say("sieve_new"),),
        steps=(
            sums.step(
                "tolerance", f"100 × {sums.n(mean)} / {sums.n(opening)}", relative * 100, "%"
            ),
        ),
    )


def _fraction(pair: Sequence[Sieve], inputs: dict[str, object]) -> Answer:
    fine, coarse = sorted(pair, key=lambda sieve: sieve.opening_um)
    if fine.opening_um == coarse.opening_um:
        raise BadInput.of("sieve_twice", a=sieves.label(coarse))
    fraction = sieves.size_fraction(fine, coarse)
    share = fraction.tolerance_share
    figures = {
        "width": _micrometres(fraction.width_um),
        "width_tolerance": _micrometres(fraction.width_tolerance_um),
        "tolerance_share": plain(share * 100, "%", digits=2),
        "largest_opening": _micrometres(fraction.largest_opening_um),
    }
    matter = sieves.tolerances_matter(fraction)
    judged = "yes: these two hardly divide" if matter else "no: less than a quarter of its width"
    a, b = fine.tolerance_mean_um, coarse.tolerance_mean_um
    return Answer(
        command="sieves",
        inputs=inputs,
        figures=figures,
        rows=(
            ("passes", sieves.label(coarse).replace("µm", "um")),
            ("stays on", sieves.label(fine).replace("µm", "um")),
            ("width of the fraction", figures["width"].text),
            ("the two tolerances together", f"± {figures['width_tolerance'].text}"),
            ("which is, of the width", f"± {figures['tolerance_share'].text}"),
            ("do the tolerances matter", judged),
            ("largest grain that may be in it", figures["largest_opening"].text),
        ),
        sections=(Section("Series", ((f"{coarse.series}", ""),)),),
        records={"sieves": [_record(coarse), _record(fine)]},
        assumptions=(say("sieve_quarter"),),
        steps=(
            sums.step(
                "width",
                f"{sums.n(coarse.opening_um)} - {sums.n(fine.opening_um)}",
                fraction.width_um,
                "um",
            ),
            sums.step(
                "tolerance",
                f"100 × ({sums.n(a)} + {sums.n(b)}) / {sums.n(fraction.width_um)}",
                share * 100,
                "%",
            ),
        ),
    )
