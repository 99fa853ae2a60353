"""What Gy's formula in `sampling` was told: every factor, the splits, the lot, the target."""

import math
from typing import Any, NamedTuple

from assaybench.circuit import grains, sampling
from assaybench.circuit.sampling import Factors, Protocol
from assaybench.cli import inputs
from assaybench.cli.options import Faults
from assaybench.cli.sampling_inputs import grams, number, shape_of, wanted
from assaybench.messages import BadInput, quoted, say
from assaybench.units import parse, write
from assaybench.units.parse import Typed
from assaybench.units.table import FRACTION, GRAM, GRAM_PER_TONNE, MASS

STAGE_FORM = "--stage 2kg:2mm, the mass kept and the top size there"
MOST_STAGES = 12
_MILLION = 1e6


class Asked(NamedTuple):
    """What was asked of Gy's formula.

    Attributes:
        factors: of the material where it is sampled; of its last split where there are stages.
        protocol: the splits; None where only a mass to take is asked for.
        lot_g: mass of the lot; infinite where not known.
        g_per_t: the grade, measured or expected; None where c was typed.
        measured: whether the grade was measured.
        free: whether the metal is free, so that C·d³·grade is the weight of one grain.
        target: u_rel aimed at; None where not typed.
        other: u_rel of weighing and assay together, as typed; 0 where not.
        assumptions: in words.
    """

    factors: Factors
    protocol: Protocol | None
    lot_g: float
    g_per_t: float | None
    measured: bool
    free: bool
    target: float | None
    other: float
    assumptions: tuple[str, ...]


class GyReader:
    """Reads the options of Gy's formula, collecting faults."""

    def __init__(self, typed: dict[str, Any]) -> None:
        self.typed, self.faults = typed, Faults()
        self.said: list[str] = []
        shape = shape_of(self.faults, typed["shape"])
        usual = sampling.USUAL_SHAPE if typed["shape"] is None else grains.SHAPE_FACTORS[shape]
        self.f = self._number("factor_f", "the shape factor f", 10) or usual
        self.g = self._number("factor_g", "the size factor g", 1) or grains.WIDE_RANGE
        self.l = self._number("factor_l", "the liberation factor l", 1)
        self.c = self._number("factor_c", "the composition factor c", 1e12)
        self.density = self._number("density", "a density", 25) or grains.GOLD_DENSITY
        self.rock = self._number("rock_density", "a density", 25) or sampling.ROCK_DENSITY
        self.liberated = self._size("liberated")
        self.grade, self.measured = self._grade()

    def asked(self) -> Asked:
        """What was asked.

        Raises:
            BadInput: every fault of the line, one sentence each.
        """
        self._needs()
        lot, sample = (self._grams(name) for name in ("lot", "sample"))
        top = self._size("top")
        stages = self._stages()
        target = wanted(self.faults, self.typed, "target")
        assay = wanted(self.faults, self.typed, "assay")
        self.faults.done()
        splits = [(self._factors(um), kept) for kept, um in stages]
        found = splits[-1][0] if splits else self._factors(top or 1.0)
        if sample is not None:
            splits = [(found, sample)]
        lot_g = math.inf if lot is None else lot
        before = lot_g
        for i, (_, kept) in enumerate(splits, start=1):
            if kept > before:
                raise BadInput.of("split_too_large", n=i)
            before = kept
        self._assumptions(found, lot)
        return Asked(
            factors=found,
            protocol=sampling.protocol(splits, lot_g) if splits else None,
            lot_g=lot_g,
            g_per_t=self.grade,
            measured=self.measured,
            free=self.liberated is None and self.l is None and self.c is None,
            target=target,
            other=assay or 0.0,
            assumptions=tuple(self.said),
        )

    def _needs(self) -> None:
        """What must be there, and what excludes what."""
        typed = self.typed
        pairs = (
            ("stage", "top"), ("stage", "sample"), ("grade", "expected_grade"),
            ("factor_c", "grade"), ("factor_c", "expected_grade"), ("factor_l", "liberated"),
        )  # fmt: skip
        for one, other in pairs:
            if typed[one] and typed[other] is not None:
                options = {"option": inputs.option_of(one), "other": inputs.option_of(other)}
                self.faults.add("", BadInput.of("option_excludes", **options))
        wants = (
            (typed["stage"] or typed["top"], "--top or --stage"),
            (typed["stage"] or typed["sample"] or typed["target"], "--sample, --stage or --target"),
            (typed["factor_c"] or typed["grade"] or typed["expected_grade"],
             "--grade, --expected-grade or --factor-c"),
        )  # fmt: skip
        for given, needed in wants:
            if not given:
                self.faults.add("", BadInput.of("option_needs", option="--gy", other=needed))

    def _number(self, name: str, what: str, most: float) -> float | None:
        return number(self.faults, name, self.typed, what, most)

    def _size(self, name: str) -> float | None:
        text = self.typed[name]
        if text is None:
            return None
        return self.faults.take(inputs.option_of(name), grains.read_um, text)

    def _grams(self, name: str) -> float | None:
        mass = inputs.positive_mass(self.faults, name, self.typed, f"a {name}")
        return None if mass is None else grams(mass)

    def _grade(self) -> tuple[float | None, bool]:
        """The grade, g/t, and whether it was measured."""
        for name in ("grade", "expected_grade"):
            text = self.typed[name]
            if text is None:
                continue
            place = inputs.option_of(name)
            found = self.faults.take(place, parse.plain_figure, text, FRACTION, example="5 g/t")
            if found is None:
                return None, False
            value = float(found.exact(GRAM_PER_TONNE))
            if not 0 < value < _MILLION:
                fault = BadInput.of("number_not_positive", x=quoted(text), what="a grade")
                if value > 0:
                    fault = BadInput.of(
                        "factor_range", x=quoted(text), what="a grade", most="99.9 %"
                    )
                self.faults.add(place, fault)
                return None, False
            if name == "expected_grade":
                self.said.append(say("gy_expected_grade", g=found.shown))
            return value, name == "grade"
        return None, False

    def _stages(self) -> list[tuple[float, float]]:
        """Mass kept, g, and top size, µm, of each split."""
        texts = self.typed["stage"]
        if len(texts) > MOST_STAGES:
            fault = BadInput.of("too_many_runs", n=len(texts), most=MOST_STAGES)
            self.faults.add("--stage", fault)
            return []
        found = [self._stage(f"--stage {i}", text) for i, text in enumerate(texts, start=1)]
        return [stage for stage in found if stage is not None]

    def _stage(self, place: str, text: str) -> tuple[float, float] | None:
        mass, colon, size = text.partition(":")
        if not colon:
            fault = BadInput.of("stage_unreadable", x=quoted(text), form=STAGE_FORM)
            self.faults.add(place, fault)
            return None
        kept: Typed | None = self.faults.take(place, parse.plain_figure, mass, MASS)
        top = self.faults.take(place, grains.read_um, size)
        if kept is not None and kept.value <= 0:
            what = "the mass kept"
            self.faults.add(place, BadInput.of("number_not_positive", x=quoted(mass), what=what))
            return None
        return None if kept is None or top is None else (float(kept.exact(GRAM)), top)

    def _factors(self, top_um: float) -> Factors:
        """Every factor at one top size."""
        grade = self.grade or 1.0
        shape = {"shape": self.f, "size_range": self.g}
        found = sampling.free_metal(top_um, grade, density=self.density, **shape)
        liberation, composition = found.liberation, found.composition
        if self.liberated is not None:
            liberation = sampling.liberation_factor(self.liberated, top_um)
            composition = sampling.composition_factor(grade / _MILLION, self.density, self.rock)
        return sampling.factors(self.f, self.g, self.l or liberation, self.c or composition, top_um)

    def _assumptions(self, found: Factors, lot: float | None) -> None:
        names = [n for n in "fgl" if self.typed[f"factor_{n}"] is not None]
        names += ["c"] if self.c is not None else []
        if names:
            self.said.append(say("gy_factors_typed", names=", ".join(names)))
        if self.liberated is not None and found.liberation < 1:
            wider = (found.top_um / self.liberated) ** 0.5
            self.said.append(say("gy_locked", x=write.short(wider, 2)))
        elif self.liberated is not None:
            self.said.append(say("gy_broken_fine"))
        elif self.l is None and self.c is None:
            self.said.append(say("gy_free_metal"))
        if lot is None:
            self.said.append(say("gy_whole_lot"))
        self.said += [say("gy_well_mixed"), say("gy_one_doubt")]
