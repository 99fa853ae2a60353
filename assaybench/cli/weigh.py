"""`assaybench weigh`: what one or more readings of an object are worth."""

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import click

from assaybench.cli import inputs
from assaybench.cli.options import Faults, emit, once, output, shape_of
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology import sight
from assaybench.metrology.figure import (
    Figure,
    Flag,
    Verdict,
    flag,
    measured,
    not_determinable,
    plain,
)
from assaybench.metrology.uncertain import Sources
from assaybench.metrology.weighing import MOST_REPEATS, Balance, Reading, Weighing, weigh
from assaybench.record import sums
from assaybench.report.answer import Answer
from assaybench.units import parse, write
from assaybench.units.parse import Typed
from assaybench.units.table import GRAM, MASS, MILLIGRAM, Unit

HEAVIEST_MG = Fraction(10) ** 12
DEFAULT_AIM = 0.01
FEW_DIVISIONS = 50
"""A weights-and-measures handbook asks the smallest load to be 50 divisions (common practice)."""


@click.command(name="weigh")
@click.argument("reading", nargs=-1)
@once("--readability", metavar="MASS", help="One step of the display, such as 0.01mg. Needed.")
@once("--repeatability", metavar="MASS", help="Spread (SD) of one net weighing, as displayed.")
@once("--repeats", metavar="N", help="Number of weighings behind --repeatability.")
@click.option("--zero", multiple=True, metavar="MASS", help="Zero readings, before and after.")
@once("--aim", metavar="SHARE", help="The ± you want, relative, such as 1% (the default).")
@once("--calibration", metavar="SHARE", help="Relative standard uncertainty of the scale.")
@once("--linearity", metavar="MASS", help="Linearity limit of the balance, zeroed empty.")
@once("--charge", metavar="MASS", help="Sample behind the bead: limits are shown as a grade too.")
@output
def command(**typed: Any) -> None:
    """What a READING of a balance is worth: mass, doubt, divisions, verdict.

    Several readings are repeats of one object. ± is U, 95 in 100.
    """
    readings, zeros = (
        parse.one_unit([part for text in typed[name] for part in parse.words(text) or [text]])
        for name in ("reading", "zero")
    )
    options = [
        typed[name] or "" for name in ("readability", "repeatability", "linearity", "charge")
    ]
    shape = shape_of(typed, [*readings, *zeros, *options])
    emit(answer(readings, zeros, typed), shape)


def answer(readings: Sequence[str], zeros: Sequence[str], typed: dict[str, Any]) -> Answer:
    """The answer of `weigh`.

    Args:
        readings, zeros: displayed values as typed.
        typed: the other options as typed, by name; None where left out.

    Raises:
        BadInput: every fault of the line, one sentence each.
    """
    faults = Faults()
    loads = _readings(faults, "READING", readings)
    empties = _readings(faults, "--zero", zeros)
    if not readings:
        faults.add("READING", BadInput.of("number_empty", example="0.31mg"))
    if len(readings) > MOST_REPEATS:
        faults.add("READING", BadInput.of("too_many_repeats", n=len(readings)))
    balance = inputs.balance(faults, typed)
    aim = inputs.share(faults, "aim", typed, "an aim", 0.001, 20) or DEFAULT_AIM
    charge = inputs.positive_mass(faults, "charge", typed, "a charge")
    faults.done()
    sources = Sources()
    weighing = weigh(sources, balance, loads, empties)
    names = ("readability", "repeatability", "repeats", "aim", "calibration", "linearity", "charge")
    said: dict[str, object] = {"readings": [*readings], "zeros": [*zeros]}
    said |= {name: typed[name] for name in names}
    unit = parse.plain_figure(readings[0], MASS).unit
    return _Report(sources, weighing, balance, aim, charge, unit, said).answer()


def _readings(faults: Faults, place: str, texts: Sequence[str]) -> list[Reading]:
    """Displayed values as readings of a weighing; one that no balance can show is a fault."""
    kind = "load" if place == "READING" else "zero"
    found = []
    for i, typed in enumerate(inputs.readings(faults, place, texts), start=1):
        place_mg = typed.last_place(MILLIGRAM)
        found.append(Reading(f"{kind} {i}", typed.exact(MILLIGRAM), typed.text, place_mg))
        if abs(found[-1].mg) > HEAVIEST_MG:
            faults.add(place, BadInput.of("mass_unbelievable", x=quoted(typed.text)))
    return found


class _Report:
    """Turns one weighing into the answer: figures, rows, flags, assumptions, sum."""

    def __init__(
        self,
        sources: Sources,
        weighing: Weighing,
        balance: Balance,
        aim: float,
        charge: Typed | None,
        unit: Unit,
        said: dict[str, object],
    ) -> None:
        self.weighing, self.balance, self.aim, self.unit = weighing, balance, aim, unit
        self.per_mg = float(MILLIGRAM.size / unit.size)
        self.charge_g = float(charge.exact(GRAM)) if charge else None
        self.doubt = sources.doubt(weighing.net)
        self.inputs = said
        self.step_text = parse.plain_figure(str(said["readability"]), MASS).shown
        self.verdict, self.limits = self._judge()
        self.judged = self.verdict.code not in {"readings_disagree", "below_zero"}

    def _judge(self) -> tuple[Verdict, sight.Limits]:
        grade = ""
        if self.charge_g:
            detection = sight.limits(self.weighing, self.balance, self.aim).detection_mg
            grade = f" ({write.significant(detection * 1000 / self.charge_g, 2)} g/t)"
        return sight.verdict(
            self.weighing, self.balance, self.aim, self.doubt, unit=self.unit, grade=grade
        )

    def answer(self) -> Answer:
        figures = self._figures()
        return Answer(
            command="weigh",
            inputs=self.inputs,
            figures=figures,
            rows=self._rows(figures),
            verdict=self.verdict,
            budget={"mass": self.doubt.budget} if self.judged else {},
            flags=self._flags(figures),
            assumptions=self._assumptions(),
            coverage=(self.doubt.k,) if self.judged else (),
            steps=self._sum() if self.judged else (),
        )

    def _figures(self) -> dict[str, Figure]:
        limits = self.limits
        figures = self._mass_figures() | {
            "critical_level": self._limit(limits.critical_mg),
            "detection_limit": self._limit(limits.detection_mg),
            "tenfold_spread": self._limit(limits.tenfold_mg),
            "least_mass": self._least_mass(),
        }
        if self.charge_g:
            per_tonne = 1000 / self.charge_g
            figures["division_grade"] = plain(
                self.balance.step_mg * per_tonne, "g/t", digits=2, pad=True
            )
            figures["detection_grade"] = plain(
                limits.detection_mg * per_tonne, "g/t", digits=2, pad=True
            )
        return figures

    def _limit(self, mg: float, why: str = "") -> Figure:
        return plain(mg * self.per_mg, self.unit.symbol, digits=2, pad=True, why=why)

    def _mass_figures(self) -> dict[str, Figure]:
        if not self.judged:
            why = self.verdict.reason.split("\n")[0]
            none = not_determinable(self.unit.symbol, why, layer="weighing", basis="as read")
            return {"mass": none, "divisions": not_determinable("1", why, layer="weighing")}
        mass = measured(
            self.weighing.net_mg * self.per_mg,
            self.doubt.u * self.per_mg,
            self.unit.symbol,
            k=self.doubt.k,
            dof=self.doubt.dof,
            basis="as read",
            finest=sight.finest_place(self.weighing, self.unit),
        )
        divisions = plain(self.weighing.net_mg / self.balance.step_mg, "1", digits=4)
        return {"mass": mass, "divisions": divisions}

    def _least_mass(self) -> Figure:
        least = self.limits.least_single
        if least is None:
            calibration = write.percent(2 * (self.balance.calibration or 0.0))
            why = f"no mass can meet this aim: the calibration alone is ± {calibration} %"
            return not_determinable(self.unit.symbol, why, layer="weighing")
        lower = self.balance.spread_mg is None
        why = "at best: the spread of this balance is not measured" if lower else ""
        # rounded up, as the sentence says it: a mass that is needed is never understated
        needed = write.significant_up(least.mass_mg * self.per_mg, 2)
        text = write.with_unit(needed, self.unit.symbol)
        return self._limit(least.mass_mg, why)._replace(text=text)

    def _rows(self, figures: dict[str, Figure]) -> tuple[tuple[str, str], ...]:
        aim = write.short(self.aim * 100)
        labels = {
            "mass": "mass",
            "divisions": f"divisions of {self.step_text}",
            "critical_level": "told from zero from",
            "detection_limit": "seen 95 times in 100 from",
            "tenfold_spread": "a firm figure from",
            "least_mass": f"within ± {aim} % with one reading from",
            "division_grade": "one division, with this charge",
            "detection_grade": "seen 95 times in 100 from, with this charge",
        }
        return tuple((labels[name], figure.text) for name, figure in figures.items())

    def _flags(self, figures: dict[str, Figure]) -> tuple[Flag, ...]:
        flags = list(self.weighing.flags)
        mass = self.weighing.net_mg
        if self.balance.spread_mg is None and self.verdict.code != "aim_not_shown":
            flags.append(flag("spread_not_measured"))
        if self.balance.calibration is None:
            flags.append(flag("calibration_not_verified"))
        if self.judged and 0 < mass < FEW_DIVISIONS * self.balance.step_mg:
            flags.append(flag("few_divisions", div=figures["divisions"].text))
        if self.verdict.code == "wider_than_aim":
            flags += self._repeats_flag()
        if self.charge_g:
            flags.append(flag("grade_is_dore"))
        return tuple(flags)

    def _repeats_flag(self) -> list[Flag]:
        found = sight.useful_repeats(self.weighing, self.balance, self.aim)
        if found is None:
            return []
        times, share = found
        return [flag("repeats_would_do", n=times, pct=write.percent(share))]

    def _assumptions(self) -> tuple[str, ...]:
        said = []
        if not self.weighing.zeros:
            said.append(say("weigh_tared"))
        if self.balance.spread_mg is None:
            said.append(say("weigh_rounding_alone"))
        elif math.isinf(self.balance.spread_dof):
            said.append(say("weigh_spread_known"))
        elif len(self.weighing.loads) > 1 and not self.balance.averages:
            said.append(say("weigh_repeats_idle"))
        if self.balance.linearity_mg:
            said.append(say("weigh_linearity_once"))
        said.append(say("weigh_buoyancy"))
        return tuple(said)

    def _sum(self) -> tuple[sums.Step, ...]:
        lines = sums.WeighingSum(self.weighing, self.balance, self.unit)
        return lines.steps(self.doubt, self.limits, self.aim)
