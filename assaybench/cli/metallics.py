"""`assaybench metallics`: grade of a pulp with coarse metal, screened and assayed apart."""

from typing import Any

import click

from assaybench.assay.grade import Determination
from assaybench.assay.metallics import Metallics, Plus, metallics
from assaybench.cli import inputs
from assaybench.cli.options import Faults, emit, once, output, shape_of
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Figure, Verdict, plain
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.record.whole_sums import of_metallics
from assaybench.report.answer import Answer, factors_of
from assaybench.units.table import GRAM, MILLIGRAM, Unit

FORM = "--minus '30.00g:0.063mg'"
MOST_ASSAYS = 20


@click.command(name="metallics")
@once("--plus-mass", metavar="MASS", help="Mass that stayed on the screen. Needed.")
@once("--plus-metal", metavar="METAL", help="Metal of all of it, blank off. Needed.")
@once("--minus-mass", metavar="MASS", help="Mass that passed the screen. Needed.")
@click.option("--minus", "minus", multiple=True, metavar="MASS:METAL", help="One assay of it.")
@once("--total", metavar="MASS", help="Mass before screening, to check that nothing is missing.")
@once("--readability", metavar="MASS", help="Step of the bead balance, for metal typed without ±.")
@once("--sample-readability", metavar="MASS", help="Step of the sample balance, for the masses.")
@output
def command(**typed: Any) -> None:
    """Grade of screen metallics: all of plus is assayed, minus by two assays or more."""
    texts = [*typed["minus"], *(v for v in typed.values() if isinstance(v, str))]
    shape = shape_of(typed, texts)
    emit(answer(typed), shape)


def answer(typed: dict[str, Any]) -> Answer:
    """The answer of `metallics`.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    reader = _Reader(typed)
    sources, found = reader.found()
    told = found.refusal is None
    figures: dict[str, Figure] = {
        "grade": found.figure(sources, found.g_per_t, "g/t"),
        "minus_grade": found.figure(sources, found.minus.g_per_t, "g/t", basis="minus"),
        "plus_grade": found.figure(sources, found.plus_g_per_t, "g/t", basis="plus"),
        "plus_metal": found.figure(sources, found.plus_mg, "mg", basis=""),
        "minus_metal": found.figure(sources, found.minus_mg, "mg", basis=""),
        "coarse_share": found.coarse_figure(sources, basis=""),
        "simple_mean": plain(found.simple_mean, "g/t", digits=3, why="not a grade"),
    }
    if found.closure is not None:
        figures |= found.closure.figures(sources)
    names = ("plus_mass", "plus_metal", "minus_mass", "total", "readability", "sample_readability")
    said: dict[str, object] = {name: typed[name] for name in names}
    return Answer(
        command="metallics",
        inputs=said | {"minus": [*typed["minus"]]},
        figures=figures,
        rows=_rows(found, figures),
        verdict=_verdict(found),
        budget={"grade": sources.doubt(found.g_per_t).budget} if told else {},
        flags=found.flags,
        assumptions=(*reader.said, *found.assumptions, say("not_sampling")),
        coverage=factors_of(figures.values()),
        steps=of_metallics(found),
        records={
            "assays": [
                {"id": one.name, "grade_g_t": nominal(one.g_per_t)} for one in found.minus.every
            ]
        },
    )


def _verdict(found: Metallics) -> Verdict | None:
    """Only masses that contradict each other are judged."""
    refused = found.refusal
    return None if refused is None else Verdict(refused.code, "no result", refused.text)


def _rows(found: Metallics, figures: dict[str, Figure]) -> tuple[tuple[str, str], ...]:
    rows = [
        ("grade", figures["grade"].text),
        ("of it coarse", figures["coarse_share"].text),
        ("metal on the screen", figures["plus_metal"].text),
        ("metal that passed", figures["minus_metal"].text),
        (f"grade of what passed, mean of {len(found.minus.used)}", figures["minus_grade"].text),
    ]
    if found.closure is not None:
        rows.append(("total less plus less minus", figures["closure"].text))
        rows.append(("which may be at most", figures["closure_limit"].text))
    return tuple(rows)


class _Reader:
    """Reads the options, collecting faults."""

    def __init__(self, typed: dict[str, Any]) -> None:
        self.typed, self.faults, self.sources = typed, Faults(), Sources()
        self.said: list[str] = []
        self.bead_step = inputs.positive_mass(self.faults, "readability", typed, "readability")
        self.sample_step = inputs.positive_mass(
            self.faults, "sample_readability", typed, "readability"
        )

    def found(self) -> tuple[Sources, Metallics]:
        plus_g = self._needed("plus_mass", GRAM)
        plus_mg = self._needed("plus_metal", MILLIGRAM)
        minus_g = self._needed("minus_mass", GRAM)
        total = None if self.typed["total"] is None else self._needed("total", GRAM)
        assays = [self._assay(i, text) for i, text in enumerate(self.typed["minus"], start=1)]
        if not 1 <= len(assays) <= MOST_ASSAYS:
            accepted = f"Write 1 to {MOST_ASSAYS} of them: {FORM}."
            self.faults.add("", BadInput.of("argument_missing", what="--minus", accepted=accepted))
        self.faults.done()
        found = metallics(
            self.sources,
            "the pulp",
            Plus(plus_g, (plus_mg,)),
            minus_g,
            [assay for assay in assays if assay is not None],
            total_g=total,
        )
        return self.sources, found

    def _needed(self, name: str, unit: Unit) -> Uncertain | None:
        if self.typed[name] is None:
            example = "24.6g" if unit is GRAM else "3.812mg"
            self.faults.add(inputs.option_of(name), BadInput.of("number_empty", example=example))
            return None
        return self._mass(inputs.option_of(name), self.typed[name], unit)

    def _assay(self, i: int, text: str) -> Determination | None:
        mass, sign, metal = text.partition(":")
        if not sign:
            self.faults.add("--minus", BadInput.of("portion_unreadable", x=quoted(text), form=FORM))
            return None
        grams = self._mass(f"--minus {i}, mass", mass, GRAM)
        found = self._mass(f"--minus {i}, metal", metal, MILLIGRAM)
        if grams is None or found is None:
            return None
        return Determination(f"minus {i}", found, grams)

    def _mass(self, place: str, text: str, unit: Unit) -> Uncertain | None:
        """A mass with its typed doubt, that of its balance, or that of its last typed place."""
        step = self.sample_step if unit is GRAM else self.bead_step
        found = inputs.doubted_mass(self.faults, place, text, unit, step, self.said)
        if found is None:
            return None
        value, u = found
        if unit is GRAM and value <= 0:
            fault = BadInput.of("number_not_positive", x=quoted(text), what="a mass of sample")
            self.faults.add(place, fault)
            return None
        return self.sources.variable(place, value, u, row=place.strip("-"))
