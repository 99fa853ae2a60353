"""`assaybench recovery`: what a gravity circuit catches, by size or by streams."""

from typing import Any

import click

from assaybench.circuit.grains import MOST_GRAINS
from assaybench.circuit.products import ALL, CircuitTest, SizeRow, cell, dry_mass_kg
from assaybench.circuit.recovery import recover
from assaybench.circuit.tailings import Tailings, graded_tailings, tailings_below
from assaybench.cli import inputs
from assaybench.cli.options import Faults, emit, once, output, shape_of
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.record.circuit_run import Circuit
from assaybench.record.circuit_typed import (
    FEED,
    KILOGRAM,
    doubted,
    grade_typed,
    mass_of,
    signed_grade,
)
from assaybench.report.answer import Answer, factors_of
from assaybench.report.circuit_view import view
from assaybench.units import parse, table
from assaybench.units.parse import Typed
from assaybench.units.table import MILLIGRAM, Unit

EXAMPLE = "186.4 mg"
ONE_STAGE = ("feed_grade", "concentrate_grade", "concentrate_mass")
"""Options that tell of a feed and its products, not of two stages."""
SHARES = {
    "second_stage": "the catch of stage 2",
    "second_stage_least": "the least catch of stage 2",
    "rerun_share": "the share run again",
    "fineness_spread": "the doubt of a fineness",
    "feed_moisture": "moisture",
}
"""What each option that is a share stands for."""
SIZE_FORM = "--size '-0.25mm=58.3mg:49.0mg'"


@click.command(name="recovery")
@once("--concentrate", metavar="METAL", help="Metal of the stage-1 concentrate.")
@once("--rerun", metavar="METAL", help="Metal that stage 2 caught from the stage-1 tailings.")
@click.option(
    "--size", "sizes", multiple=True, metavar="NAME=CON:RERUN[:TAIL]", help="One size fraction."
)
@once("--tailings", metavar="METAL", help="Metal of the final tailings.")
@once("--tailings-grade", metavar="GRADE", help="Their grade, with ± or as a limit '<0.33 g/t'.")
@once("--tailings-mass", metavar="MASS", help="Their dry mass.")
@once("--second-stage", metavar="SHARE", help="Stated catch of stage 2, such as 90%.")
@once("--second-stage-least", metavar="SHARE", help="Least catch of stage 2: gives a lower bound.")
@once("--rerun-share", metavar="SHARE", help="Share of the tailings that was run again.")
@once("--fineness-spread", metavar="SHARE", help="Doubt of the fineness of beads not parted.")
@once("--readability", metavar="MASS", help="Step of the balance, for masses typed without ±.")
@once("--mats", metavar="METAL", help="Metal left in the mats of stage 1.")
@once("--middlings", metavar="METAL", help="Metal set aside as middlings.")
@once("--feed", metavar="MASS", help="Mass of the feed, for the head built up.")
@once("--feed-moisture", metavar="SHARE", help="Water of the feed as a share of its wet mass.")
@once("--grains", metavar="N", help="Grains counted in both catches: what the next run may find.")
@once("--head", metavar="GRADE", help="Assayed head, to stand beside the one built up.")
@once("--feed-grade", metavar="GRADE", help="Grade of the feed: recovery from three grades.")
@once("--concentrate-grade", metavar="GRADE", help="Grade of the concentrate.")
@once("--concentrate-mass", metavar="MASS", help="Its dry mass; with more masses all must agree.")
@click.option(
    "--stream",
    "streams",
    multiple=True,
    metavar="NAME=MASS:GRADE[:GRADE]",
    help="The feed or a product of it; ? for what was not measured.",
)
@click.option(
    "--stage",
    "stages",
    multiple=True,
    metavar="IN=OUT+OUT",
    help="Streams of one of several stages.",
)
@output
def command(**typed: Any) -> None:
    """What stage 1 caught, what it lost, and how sure that is.

    Give --concentrate and --rerun, or one --size for each size fraction. Masses may carry their
    doubt ('186.4 ± 9 mg', '186.4 mg ± 5 %'); typed without it, --readability gives it.

    Of one stage, give --feed-grade, --concentrate-grade and --tailings-grade, with the masses you
    have; or a --stream for the feed and each product, the one wanted first. More than is needed is
    made to agree, and you are told whether it does. With streams between several stages, say which
    meet in each: --stage 'feed=concentrate+rest' --stage 'rest=rerun+tailings'.
    """
    texts = [*typed["sizes"], *typed["streams"]]
    texts += [value for value in typed.values() if isinstance(value, str)]
    shape = shape_of(typed, texts)
    emit(answer(typed), shape)


def answer(typed: dict[str, Any]) -> Answer:
    """The answer of `recovery`.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    said: tuple[str, ...] = ()
    listed = typed["streams"] or typed["stages"]
    if listed or any(typed[name] is not None for name in ONE_STAGE):
        from assaybench.cli import recovery_streams

        shown = view(recovery_streams.feed_test(typed))
    else:
        reader = _Reader(typed)
        shown, said = view(reader.circuit()), tuple(reader.said)
    names = ("concentrate", "rerun", "tailings", "tailings_grade", "tailings_mass", "second_stage",
             "second_stage_least", "rerun_share", "fineness_spread", "readability", "mats",
             "middlings", "feed", "feed_moisture", "head", "grains", "feed_grade",
             "concentrate_grade", "concentrate_mass")  # fmt: skip
    inputs_said: dict[str, object] = {name: typed[name] for name in names}
    lists = {name: [*typed[name]] for name in ("sizes", "streams", "stages")}
    return Answer(
        command="recovery",
        inputs=inputs_said | lists,
        figures=shown.figures,
        verdict=shown.verdict,
        budget=shown.budget,
        sections=shown.page,
        flags=shown.flags,
        assumptions=(*said, *shown.assumptions),
        coverage=factors_of(shown.figures.values()),
        steps=shown.steps,
        records=shown.records,
    )


class _Reader:
    """Reads the options into a circuit test, collecting faults."""

    def __init__(self, typed: dict[str, Any]) -> None:
        self.typed, self.faults, self.sources = typed, Faults(), Sources()
        self.said: list[str] = []
        self.step = self._plain("readability")

    def circuit(self) -> Circuit:
        rows = self._rows()
        tailings = None if any(row.tailings for row in rows) else self._tailings()
        share, fineness = self._share("rerun_share"), self._share("fineness_spread")
        stated, least = self._share("second_stage"), self._share("second_stage_least")
        mats, feed = self._metal("--mats", self.typed["mats"]), self._feed()
        middlings, head = self._metal("--middlings", self.typed["middlings"]), self._head()
        grains = self._grains()
        self.faults.done()
        try:
            test = CircuitTest(
                rows=tuple(rows),
                tailings=tailings,
                mats_mg=0.0 if mats is None else mats,
                rerun_share=1.0 if share is None else share,
                dry_feed_kg=feed,
                middlings_mg=0.0 if middlings is None else middlings,
                head_g_t=head,
            )
            result = recover(
                self.sources,
                test,
                second_stage=stated,
                second_stage_least=least,
                u_fineness=fineness or 0.0,
                grains=grains,
            )
        except BadInput:
            raise
        except ValueError as fault:
            raise BadInput([f"{fault}."]) from fault
        basis = "dry" if self.typed["feed_moisture"] else "as received"
        return Circuit(test, result, self.sources, feed_basis=basis)

    def _rows(self) -> list[SizeRow]:
        whole = self.typed["concentrate"] is not None or self.typed["rerun"] is not None
        if whole and self.typed["sizes"]:
            fault = BadInput.of("option_excludes", option="--size", other="--concentrate, --rerun")
            self.faults.add("", fault)
            return []
        names = [text.partition("=")[0].strip() for text in self.typed["sizes"]]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            self.faults.add("--size", BadInput.of("name_twice", x=quoted(twice)))
            return []
        if self.typed["sizes"]:
            found = [self._size(text) for text in self.typed["sizes"]]
            return [row for row in found if row is not None]
        for name in ("concentrate", "rerun"):
            if self.typed[name] is None:
                accepted = f"Write --concentrate {EXAMPLE} --rerun 2.1mg, or {SIZE_FORM}."
                fault = BadInput.of("argument_missing", what=f"--{name}", accepted=accepted)
                self.faults.add("", fault)
        con = self._metal("--concentrate", self.typed["concentrate"])
        rerun = self._metal("--rerun", self.typed["rerun"])
        return [] if con is None or rerun is None else [SizeRow(cell(ALL, con), cell(ALL, rerun))]

    def _size(self, text: str) -> SizeRow | None:
        """`NAME=CON:RERUN[:TAIL]`."""
        name, sign, masses = parse.clean(text).partition("=")
        parts = masses.split(":")
        if not sign or not name.strip() or len(parts) not in {2, 3} or not name.isprintable():
            self.faults.add(
                "--size", BadInput.of("size_unreadable", x=quoted(text), form=SIZE_FORM)
            )
            return None
        place = f"--size {quoted(name)[1:-1]}"
        found = [
            self._metal(f"{place}, {what}", part)
            for what, part in zip(("concentrate", "rerun"), parts, strict=False)
        ]
        tailings = self._tailings_of_size(f"{place}, tailings", parts[2]) if parts[2:] else None
        if any(metal is None for metal in found) or (parts[2:] and tailings is None):
            return None
        size = name.strip()
        return SizeRow(cell(size, found[0]), cell(size, found[1]), tailings)

    def _tailings_of_size(self, place: str, text: str) -> Tailings | None:
        """Their metal, or `<x`: anything from nothing to it."""
        if not text.strip().startswith("<"):
            metal = self._metal(place, text)
            return None if metal is None else Tailings(weighed_mg=metal)
        typed = self.faults.take(place, parse.figure, text.strip(), table.MASS, example="<3 mg")
        if typed is None:
            return None
        most = float(typed.exact(MILLIGRAM))
        if most <= 0:
            fault = BadInput.of("number_not_positive", x=quoted(text.strip()), what="a limit")
            self.faults.add(place, fault)
            return None
        return tailings_below(self.sources, most, name=place)

    def _metal(self, place: str, text: str | None) -> Uncertain | None:
        """A mass of metal, mg, with its typed doubt, or that of the balance's step."""
        if text is None:
            return None
        found = inputs.doubted_mass(
            self.faults, place, text, MILLIGRAM, self.step, self.said, example=EXAMPLE
        )
        if found is None:
            return None
        return self.sources.variable(place, *found, row=place.removeprefix("--"))

    def _plain(self, name: str) -> Typed | None:
        return inputs.positive_mass(self.faults, name, self.typed, name.replace("_", " "))

    def _grains(self) -> dict[str, int]:
        text = self.typed["grains"]
        if text is None:
            return {}
        found = self.faults.take("--grains", parse.whole, text, 1, MOST_GRAINS)
        return {} if found is None else {ALL: found}

    def _share(self, name: str) -> float | None:
        return inputs.share(self.faults, name, self.typed, SHARES[name], 0.001, 100)

    def _kilograms(self, name: str) -> Uncertain | None:
        text, what = self.typed[name], name.replace("_", " ")
        if text is None:
            return None
        typed = self.faults.take(inputs.option_of(name), mass_of, text, what)
        return None if typed is None else self._doubted(what, typed, KILOGRAM)

    def _doubted(self, what: str, typed: Typed, unit: Unit) -> Uncertain:
        """A typed figure; where it has no ± of its own that is said."""
        sentence = say("typed_without_doubt")
        if typed.u is None and typed.expanded is None and sentence not in self.said:
            self.said.append(sentence)
        return doubted(self.sources, what, typed, unit)

    def _head(self) -> Uncertain | None:
        text = self.typed["head"]
        if text is None:
            return None
        if self.typed["feed"] is None:
            self.faults.add("", BadInput.of("option_needs", option="--head", other="--feed"))
        typed = self.faults.take("--head", grade_typed, text, FEED)
        unit = table.GRAM_PER_TONNE
        return None if typed is None else self._doubted("assayed head", typed, unit)

    def _feed(self) -> Uncertain | None:
        feed, water = self._kilograms("feed"), self._share("feed_moisture")
        if water is not None and self.typed["feed"] is None:
            fault = BadInput.of("option_needs", option="--feed-moisture", other="--feed")
            self.faults.add("", fault)
        if feed is None or water is None:
            return feed
        if water >= 1:
            shown = quoted(self.typed["feed_moisture"])
            fault = BadInput.of("percent_range", x=shown, what="moisture", least=0, most=99)
            self.faults.add("--feed-moisture", fault)
            return feed
        return dry_mass_kg(feed, water)

    def _tailings(self) -> Tailings | None:
        metal, grade = self.typed["tailings"], self.typed["tailings_grade"]
        if metal is not None and grade is not None:
            fault = BadInput.of("option_excludes", option="--tailings", other="--tailings-grade")
            self.faults.add("", fault)
            return None
        if (grade is None) != (self.typed["tailings_mass"] is None):
            pair = ("--tailings-grade", "--tailings-mass")
            option, other = pair if grade is not None else pair[::-1]
            self.faults.add("", BadInput.of("option_needs", option=option, other=other))
            return None
        if metal is not None:
            found = self._metal("--tailings", metal)
            return None if found is None else Tailings(weighed_mg=found)
        return None if grade is None else self._graded(grade)

    def _graded(self, text: str) -> Tailings | None:
        mass = self._kilograms("tailings_mass")
        typed = self.faults.take("--tailings-grade", signed_grade, text)
        if mass is None or typed is None:
            return None
        unit = table.GRAM_PER_TONNE
        value = float(typed.exact(unit))
        if typed.below:
            kilograms = nominal(mass)
            if value <= 0:
                what = "a limit"
                fault = BadInput.of("number_not_positive", x=quoted(text), what=what)
                self.faults.add("--tailings-grade", fault)
                return None
            return tailings_below(self.sources, value * kilograms, mass_kg=kilograms)
        return graded_tailings(mass, self._doubted("tailings grade", typed, unit))
