"""`assaybench grade`: one bead to gold and grade. A one-sample hand sheet, typed on one line."""

from collections.abc import Sequence
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import click

from assaybench.cli import inputs
from assaybench.cli.options import Faults, emit, once, output, shape_of
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Verdict
from assaybench.record import sample_sums
from assaybench.record.entries import Entry
from assaybench.record.fineness import figures_with_fineness
from assaybench.record.kinds import SILVER_WORDS
from assaybench.record.replay import replay
from assaybench.record.results import SampleResult, results
from assaybench.report.answer import Answer, Section, factors_of
from assaybench.report.results_view import JUDGED, LABELS
from assaybench.units import parse
from assaybench.units.parse import Typed
from assaybench.units.table import MASS, MILLIGRAM

MOST_WATER = {"wet": 99, "dry": 100}
"""Most water, per cent: of the wet mass, or of the dry as far as an entry takes it."""
SAMPLE, BLANK, LOT = "sample", "blank", "reagents"
REFUSED = {"gold_above_bead": "gold above bead", "bead_above_sample": "bead > sample"}
"""Masses that contradict each other: no verdict on the metal stands beside them."""
NO_TIME = datetime.min.replace(tzinfo=UTC)
"""A quick sum is no record: its entries have no time."""


@click.command(name="grade")
@once("--sample", metavar="MASS", help="Mass of the charge. Needed.")
@once("--moisture", metavar="SHARE", help="Water as a share of the WET mass, such as 8%.")
@once("--moisture-basis", metavar="wet|dry", help="Of which mass; wet is the default.")
@once("--moisture-u", metavar="SHARE", help="Its standard uncertainty, of the same mass.")
@once("--bead", metavar="MASS…", help="Bead before parting; several readings set off by blanks.")
@once("--gold", metavar="MASS…", help="Gold after parting.")
@once("--silver-added", metavar="MASS|none|unknown", help="Silver added to the charge. Needed.")
@once("--blank-gold", metavar="MASS", help="Gold of a blank charge.")
@once("--blank-silver", metavar="MASS", help="Silver of a blank charge.")
@once("--readability", metavar="MASS", help="One step of the bead balance. Needed.")
@once("--repeatability", metavar="MASS", help="Spread (SD) of one net weighing on it.")
@once("--repeats", metavar="N", help="Number of weighings behind --repeatability.")
@once("--calibration", metavar="SHARE", help="Relative standard uncertainty of its scale.")
@once("--sample-readability", metavar="MASS", help="One step of the sample balance.")
@once("--aim", metavar="SHARE", help="The ± you want, relative, such as 1% (the default).")
@output
def command(**typed: Any) -> None:
    """Gold and silver of one bead, and their grade, with honest doubt.

    A bead is gold and silver: without --gold there is no gold figure. Silver added is a mass, none
    or unknown.
    """
    texts = [value for value in typed.values() if isinstance(value, str)]
    shape = shape_of(typed, texts)
    emit(answer(typed), shape)


def answer(typed: dict[str, Any]) -> Answer:
    """The answer of `grade`.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    made = _Entries(typed)
    found = results(replay(made.entries()))
    sample = next(s for s in found.samples if s.id == SAMPLE)
    figures = figures_with_fineness(found, sample)
    rows = tuple((LABELS[name], figure.text) for name, figure in figures.items())
    verdicts = tuple((JUDGED[name], v.text) for name, v in sample.verdicts.items())
    names = ("sample", "moisture", "moisture_basis", "moisture_u", "bead", "gold", "silver_added",
             "blank_gold", "blank_silver", "readability", "repeatability", "repeats", "calibration",
             "sample_readability", "aim")  # fmt: skip
    budget = {n: b for n, b in sample.budget.items() if n in {"grade_gold", "grade_silver", "dore"}}
    return Answer(
        command="grade",
        inputs={name: typed[name] for name in names},
        figures=figures,
        rows=rows,
        verdict=_verdict(sample),
        budget=budget,
        sections=(Section("What that says", verdicts),),
        flags=sample.flags,
        assumptions=(*made.said, *sample.assumptions),
        coverage=factors_of(figures.values()),
        steps=tuple(sample_sums.sample_sum(found, sample)),
        records={
            "verdicts": [
                {"id": n, "code": v.code, "text": v.text, "reason": v.reason}
                for n, v in sample.verdicts.items()
            ]
        },
    )


def _verdict(sample: SampleResult) -> Verdict | None:
    """The verdict on the metal: of the gold where it was parted, else that it is doré."""
    refused = next((f for f in sample.flags if f.code in REFUSED), None)
    if refused is not None:
        return Verdict(refused.code, REFUSED[refused.code], refused.text)
    if "gold_metal" in sample.verdicts:
        return sample.verdicts["gold_metal"]
    dore = next((f for f in sample.flags if f.code == "dore_not_gold"), None)
    if dore is None:
        return None
    return Verdict("dore_not_gold", "doré, not gold", dore.text)


class _Entries:
    """The entries of a one-sample sheet, from the options; faults are collected."""

    def __init__(self, typed: dict[str, Any]) -> None:
        self.typed, self.faults = typed, Faults()
        self.made: list[Entry] = []
        self.silver = ""
        self.said: tuple[str, ...] = ()

    def entries(self) -> list[Entry]:
        bead = self._masses("bead", needed=True)
        gold = self._masses("gold")
        blanks = {n: self._masses(f"blank_{n}") for n in ("gold", "silver")}
        charge = inputs.positive_mass(self.faults, "sample", self.typed, "a charge")
        if self.typed["sample"] is None:
            self.faults.add("--sample", BadInput.of("number_empty", example="30g"))
        self._silver()
        self._numbers()
        self.faults.done()
        assert charge is not None  # noqa: S101  `done` raised otherwise
        self._balances(charge)
        if any(blanks.values()):
            self._blank(blanks["gold"], blanks["silver"])
        lots = {"lots": [LOT]} if any(blanks.values()) else {}
        self._add("sample", id=SAMPLE, role="sample", silver=self.silver, **lots)
        if self.typed["moisture"] is not None:
            water, basis = parse.clean(self.typed["moisture"]), self.typed["moisture_basis"]
            doubt = self.typed["moisture_u"]
            own = {"u": parse.clean(doubt)} if doubt is not None else {}
            self._add("moisture", sample=SAMPLE, water=water, basis=basis or "wet", **own)
        self._readings(SAMPLE, "charge", "sample balance", [charge])
        self._readings(SAMPLE, "bead", "bead balance", bead)
        self._readings(SAMPLE, "gold", "bead balance", gold)
        return self.made

    def _masses(self, name: str, *, needed: bool = False) -> list[Typed]:
        text = self.typed[name]
        place = inputs.option_of(name)
        if text is None:
            if needed:
                self.faults.add(place, BadInput.of("number_empty", example="0.31mg"))
            return []
        parts = parse.one_unit(parse.words(text))
        if not parts:
            self.faults.add(place, BadInput.of("number_empty", example="0.31mg"))
        return inputs.readings(self.faults, place, parts)

    def _silver(self) -> None:
        """Silver added: a word, or a mass; none at all is the word `none`, and it is said."""
        text = self.typed["silver_added"]
        if text is None:
            accepted = say("form_silver")
            fault = BadInput.of("argument_missing", what="--silver-added", accepted=accepted)
            self.faults.add("", fault)
            return
        self.silver = text.strip()
        if self.silver in SILVER_WORDS:
            return
        example = "8.000 mg, none or unknown"
        found = self.faults.take("--silver-added", parse.figure, text, MASS, example=example)
        if found is None:
            return
        if found.value < 0 or found.below:
            fault = BadInput.of("number_negative", x=quoted(text), what="silver added")
            self.faults.add("--silver-added", fault)
        elif found.value == 0 and found.u is None and found.expanded is None:
            self.silver, self.said = "none", (say("silver_zero_is_none", x=found.shown),)

    def _numbers(self) -> None:
        """Everything else that must read: balances, moisture, aim."""
        inputs.balance(self.faults, {**self.typed, "linearity": None})
        inputs.positive_mass(self.faults, "sample_readability", self.typed, "readability")
        self._moisture()
        inputs.share(self.faults, "aim", self.typed, "an aim", 0.001, 20)

    def _moisture(self) -> None:
        """Water, of which mass it is a share, and its doubt."""
        basis, option = self.typed["moisture_basis"] or "wet", "--moisture-basis"
        if basis not in MOST_WATER:
            choices = ", ".join(MOST_WATER)
            fault = BadInput.of("choice_unknown", x=quoted(basis), what="a basis", choices=choices)
            self.faults.add(option, fault)
        if self.typed["moisture"] is None:
            for name in ("moisture_basis", "moisture_u"):
                if self.typed[name] is not None:
                    of = inputs.option_of(name)
                    self.faults.add("", BadInput.of("option_needs", option=of, other="--moisture"))
        most = MOST_WATER.get(basis, max(MOST_WATER.values()))
        inputs.share(self.faults, "moisture", self.typed, "moisture", 0, most)
        inputs.share(self.faults, "moisture_u", self.typed, "its doubt", 0, 100)

    def _balances(self, charge: Typed) -> None:
        """The bead balance as described; the sample balance's step, or that of the typed mass."""
        optional = {"spread": "repeatability", "calibration": "calibration"}
        given = {key: self.typed[name] for key, name in optional.items() if self.typed[name]}
        repeats = {"repeats": int(self.typed["repeats"])} if self.typed["repeats"] else {}
        self._add(
            "balance", name="bead balance", step=self.typed["readability"], **given, **repeats
        )
        place = f"{Decimal(1).scaleb(-charge.decimals):f} {charge.unit.symbol}"
        step = self.typed["sample_readability"] or place
        self._add("balance", name="sample balance", step=step)
        if self.typed["aim"]:
            self._add("method", item="aim", value=parse.clean(self.typed["aim"]))

    def _blank(self, gold: list[Typed], silver: list[Typed]) -> None:
        """A blank charge: its gold, and a bead of gold and silver together."""
        self._add("sample", id=BLANK, role="blank", silver="none", lots=[LOT])
        self._readings(BLANK, "gold", "bead balance", gold)
        if gold and silver:
            bead = gold[0].exact(MILLIGRAM) + silver[0].exact(MILLIGRAM)
            places = max(gold[0].decimals, silver[0].decimals)
            text = f"{float(bead):.{places}f}"
            values = {"what": "bead", "text": text, "unit": "mg", "balance": "bead balance"}
            self._add("reading", sample=BLANK, **values)

    def _readings(self, sample: str, what: str, balance: str, found: Sequence[Typed]) -> None:
        for typed in found:
            self._add(
                "reading",
                sample=sample,
                what=what,
                text=f"{typed.value:f}",
                unit=typed.unit.symbol,
                balance=balance,
            )

    def _add(self, kind: str, **values: object) -> None:
        self.made.append(Entry(len(self.made) + 1, NO_TIME, "?", kind, values))
