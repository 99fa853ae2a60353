"""Results: from the state of a log to figures, verdicts and checks, sample by sample."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import NamedTuple

from assaybench.assay import sorts
from assaybench.assay.blanks import Metal, Use, lines
from assaybench.assay.dore import Dore, dore
from assaybench.assay.grade import grade
from assaybench.assay.levels import Levels, report
from assaybench.assay.metal import Gold, gold
from assaybench.assay.moisture import SampleMass
from assaybench.assay.net import Mass
from assaybench.assay.parting import retained_silver_said, silver_to_gold
from assaybench.assay.silver import Silver
from assaybench.messages import say
from assaybench.metrology import sight
from assaybench.metrology.figure import Budget, Figure, Flag, Verdict, flag, not_determinable
from assaybench.metrology.uncertain import Doubt, Sources, Uncertain, nominal, total
from assaybench.record.beside import instead_of_proofs, silver_of, treated_again
from assaybench.record.entries import Effective
from assaybench.record.kinds import TREATED_AGAIN
from assaybench.record.later import Later
from assaybench.record.replay import State
from assaybench.record.run import Run
from assaybench.record.sample_grades import SampleGrade, grades_of
from assaybench.record.told import scale_of_run, told
from assaybench.units.table import GRAM, MILLIGRAM, Unit

_TO_MILLIGRAMS = float(GRAM.size / MILLIGRAM.size)
WEIGHED = {"charge": "charge", "bead": "bead", "gold": "gold_read"}
"""What is weighed, and the name of its figure: `gold` is the result, `gold_read` the reading."""
CONTRADICTIONS = frozenset({"gold_above_bead", "bead_above_sample"})
"""Masses that cannot both be right: nothing follows from them until one is weighed again."""
NO_BLANK = frozenset({"blank_not_run", "lot_blank_not_run"})
"""Flags of a blank that was not run: the gold says it, the doré need not say it again."""
PARTS = frozenset({"piece", *TREATED_AGAIN})
"""Parts whose own grade is not asked for: a piece of a bar speaks through the bar."""


class SampleResult(NamedTuple):
    """What one sample says.

    Attributes:
        id: of the sample.
        role: its role in the run.
        of: the sample it repeats or is part of, or empty.
        part: which part of that sample: plus, minus or piece; empty for a sample of its own.
        figures: by name: charge, bead, gold_read, dore, gold, silver, grade_gold, grade_silver.
        budget: shares of the doubt of a figure, by its name.
        factors: the coverage factors k of the figures that are value ± U.
        verdicts: by what they judge: charge, bead, gold (weighing), dore_metal, gold_metal.
        flags: what a reader must know.
        taken: the same, as far as it holds for others too.
        lost: why it was lost, or empty.
        left_out: why it is left out of means, or empty.
        parts: the calculations behind, for the sum.
    """

    id: str
    role: str
    of: str
    figures: Mapping[str, Figure]
    budget: Mapping[str, Budget]
    factors: tuple[float, ...]
    verdicts: dict[str, Verdict]
    flags: tuple[Flag, ...]
    taken: tuple[str, ...]
    part: str = ""
    lost: str = ""
    left_out: str = ""
    parts: "Parts | None" = None

    @property
    def assumptions(self) -> tuple[str, ...]:
        """What is taken as given, and what follows for its silver where its loss is not known."""
        return (*self.taken, *self.silver_ends())

    @property
    def has_silver_ends(self) -> bool:
        """Whether there are two ends of its silver to be said."""
        silver = self.parts.silver if self.parts is not None else None
        of_result = self.role not in {"blank", "proof"} and self.part not in PARTS
        return silver is not None and of_result and silver.rests_on_unknown_loss

    def silver_ends(self) -> tuple[str, ...]:
        """Both ends of its silver, mg and as a grade; see `Silver.ends_said`."""
        if not self.has_silver_ends or self.parts is None or self.parts.silver is None:
            return ()
        mass = self.parts.mass
        return self.parts.silver.ends_said(0.0 if mass is None else nominal(mass.g))

    @property
    def sort(self) -> str:
        """How its gold is corrected for cupel loss; empty without one, and of blank and proof."""
        gold = self.parts.gold if self.parts is not None and not self.lost else None
        if gold is None or gold.mg is None or self.role in {"blank", "proof"}:
            return ""
        return gold.sort


class Parts(NamedTuple):
    """The calculations behind a sample's figures, as far as they could be made."""

    mass: SampleMass | None
    gold: Gold | None
    dore: Dore | None
    silver: Silver | None


@dataclass(frozen=True, slots=True)
class Results:
    """Everything a log's samples say.

    Attributes:
        sources: the sources of doubt, shared by all figures.
        samples: by sample, in the order of the log.
        grades: of samples with two or more determinations, a mean for each sort of them.
        run: the shared parts.
    """

    sources: Sources
    samples: tuple[SampleResult, ...]
    grades: tuple[SampleGrade, ...]
    run: Run = field(repr=False)


def results(state: State) -> Results:
    """Figures, verdicts and flags of every sample of a log.

    Raises:
        BadInput: when the log's own choices contradict each other.
    """
    run = Run(state)
    samples = tuple([sample_result(run, name) for name in state.samples])
    return Results(run.sources, samples, tuple(grades_of(run, samples)), run)


def sample_result(run: Run, name: str) -> SampleResult:
    """Figures, verdicts and flags of one sample of a run."""
    return _Sample(run, name, run.state.samples[name]).result()


class _Sample:
    """Works out one sample, part by part."""

    def __init__(self, run: Run, name: str, entry: Effective) -> None:
        self.run, self.name, self.entry = run, name, entry
        self.role, self.part = entry.text("role"), entry.text("part")
        self.uses: dict[Metal, list[Use]] = run.blanks.uses_of(entry, "gold", "silver")
        self.added = run.added(entry)
        self.is_sample = self.role not in {"blank", "proof"} and self.part not in PARTS
        self.disagreeing: dict[str, str] = {}  # and why: no mean is taken, nothing follows
        self.figures: dict[str, Callable[[], Figure]] = {}
        self.doubts: dict[str, Doubt] = {}
        self.factors: list[float] = []
        self.verdicts: dict[str, Verdict] = {}
        self.flags: list[Flag] = []
        self.assumptions: list[str] = []

    def result(self) -> SampleResult:
        for what in WEIGHED:
            self._weighing(what, GRAM if what == "charge" else MILLIGRAM)
        mass = None if "charge" in self.disagreeing else self.run.sample_mass(self.name)
        if mass is not None:
            self.assumptions += mass.assumptions
        elif "charge" in self.figures and "charge" not in self.disagreeing:
            self.flags.append(flag("charge_not_above_zero"))
        bead, parted = self.run.mass(self.name, "bead"), self.run.mass(self.name, "gold")
        sample_mg = None  # asked for only where the bead is the heavier
        if mass and bead and nominal(bead.mg) > _TO_MILLIGRAMS * nominal(mass.g):
            sample_mg = total((_TO_MILLIGRAMS, mass.g))
        found = Parts(
            mass,
            self._gold(bead, parted, sample_mg),
            self._dore(bead, parted, sample_mg),
            self._silver(bead, parted),
        )
        self._grades(found)
        return SampleResult(
            id=self.name,
            role=self.role,
            of=self.entry.text("of"),
            figures=Later(self.figures, _call),
            budget=Later(self.doubts, _budget),
            factors=tuple(self.factors),
            verdicts=self.verdicts,
            flags=told(self.run, self.entry, self.flags, is_sample=self.is_sample),
            taken=tuple(dict.fromkeys(self.assumptions)) if self.is_sample else (),
            part=self.part,
            lost=self.entry.text("lost"),
            left_out=self.run.state.left_out.get(self.name, ""),
            parts=found,
        )

    def _weighing(self, what: str, unit: Unit) -> None:
        found = self.run.weighing(self.name, what)
        if found is None:
            return
        weighing, balance = found
        doubt = self.run.sources.doubt(weighing.net)
        verdict, _limits = sight.verdict(weighing, balance, self.run.aim, doubt, unit=unit)
        if weighing.agrees:
            self.figures[WEIGHED[what]] = partial(sight.figure, weighing, doubt, unit)
            self.factors.append(doubt.k)
        else:
            self.figures[WEIGHED[what]] = partial(sight.no_figure, verdict, unit)
            self.disagreeing[what] = verdict.reason.partition("\n")[0]
            self.flags.append(Flag(verdict.code, verdict.reason))
        self.verdicts[what] = verdict
        self.flags += weighing.flags
        self.assumptions += scale_of_run(self.run, balance)

    def _gold(
        self, bead: Mass | None, parted: Mass | None, sample_mg: Uncertain | None
    ) -> Gold | None:
        if parted is None or "gold" in self.disagreeing:
            return None
        run, entry = self.run, self.entry
        correction = conditions = None
        to_correct = self.role not in {"proof", "blank"}
        if to_correct and run.gold_proofs:
            conditions = run.conditions(entry)
            # the same mass as `matching.fitted` is held to: what is left after the blank
            blank_mg = sum(line.metal_mg for line in lines(self.uses["gold"]))
            correction = run.correction_for(nominal(parted.mg) - blank_mg, conditions)
        again = treated_again(run, self.name) if to_correct else []
        own_cupel = bool(again) and any(line.what == "cupel" for line in again)
        if own_cupel:  # both make up for one loss, and this one is the bead's own
            correction = None
        found = gold(
            run.sources,
            self.name,
            parted,
            correction=correction,
            conditions=conditions if correction is not None else None,
            scale=run.proofs_scaled,
            uses=self.uses["gold"],
            bead=bead,
            sample_mg=sample_mg,
            again=again,
        )
        self.verdicts["gold_metal"] = found.net.verdict
        basis = sorts.words(found.sort)
        if found.mg is None or found.refusal is not None:
            self._none("gold", "mg", found.refusal.text if found.refusal else "", basis)
        else:
            self._report("gold", found.mg, found.levels, "mg", basis)
        flags, assumptions = found.flags, found.assumptions
        if own_cupel:
            flags, assumptions = instead_of_proofs(found)
        self.flags += flags
        self.assumptions += assumptions
        if found.mg is not None and found.correction.form == "none":
            doubt = run.sources.doubt(found.mg)
            self.assumptions += retained_silver_said(nominal(found.mg), doubt.k * doubt.u)
        if bead is not None and found.mg is not None and nominal(parted.mg) > 0:
            ratio = silver_to_gold(nominal(bead.mg), nominal(parted.mg))
            self.flags += ratio.flags
        return found

    def _dore(
        self, bead: Mass | None, parted: Mass | None, sample_mg: Uncertain | None
    ) -> Dore | None:
        if bead is None or "bead" in self.disagreeing:
            return None
        run = self.run
        found = dore(
            run.sources,
            self.name,
            bead,
            added=self.added,
            loss=run.loss,
            uses=[*self.uses["gold"], *self.uses["silver"]],
            parted=parted is not None,
            sample_mg=sample_mg,
        )
        if found.verdict is not None:
            self.verdicts["dore_metal"] = found.verdict
        if found.mg is not None and found.levels is not None:
            self._report("dore", found.mg, found.levels, "mg", "doré: gold and silver")
        else:
            self._none("dore", "mg", found.refusal.text if found.refusal else "", "doré")
        self.flags += [f for f in found.flags if f.code not in NO_BLANK]
        return found

    def _silver(self, bead: Mass | None, parted: Mass | None) -> Silver | None:
        if bead is None or parted is None or self.disagreeing.keys() & {"bead", "gold"}:
            return None
        refused = next((f for f in self.flags if f.code in CONTRADICTIONS), None)
        if refused is not None:
            self._none("silver", "mg", refused.text, "by difference")
            return None
        found = silver_of(self.run, self.entry, bead, parted, self.added, self.uses["silver"])
        basis = "against its twin proof" if found.form == "twin" else "by difference"
        if found.status == "measured" and found.mg is not None:
            self._figure("silver", found.mg, "mg", basis)
        else:
            self._none("silver", "mg", found.why.text if found.why else "", basis)
        no_blank = flag("silver_blank_not_run")  # most blanks carry added silver
        self.flags += [no_blank if f.code == "blank_not_run" else f for f in found.flags]
        self.assumptions += found.assumptions
        return found

    def _none(self, name: str, unit: str, why: str, basis: str) -> None:
        self.figures[name] = partial(not_determinable, unit, why, basis=basis)

    def _figure(self, name: str, value: Uncertain, unit: str, basis: str) -> None:
        """A metal or grade as value ± U, with its budget."""
        sources = self.run.sources
        doubt = sources.doubt(value)
        self.figures[name] = partial(sources.figure, value, unit, layer="assay", basis=basis)
        self.doubts[name] = doubt
        self.factors.append(doubt.k)

    def _report(self, name: str, value: Uncertain, levels: Levels, unit: str, basis: str) -> None:
        """A metal or grade by the reporting rule of the blank, with its budget."""
        self._figure(name, value, unit, basis)
        if not levels.told(nominal(value)):
            self.factors.pop()
            self.figures[name] = partial(report, self.run.sources, value, levels, unit, basis=basis)

    def _grades(self, found: Parts) -> None:
        if not self.is_sample or found.mass is None:
            if self.is_sample and "charge" in self.disagreeing:
                self._none("grade_gold", "g/t", self.disagreeing["charge"], "")
            return
        self.assumptions.append(say("not_sampling"))
        grams = nominal(found.mass.g)
        if grams <= 0:
            return
        if found.gold is None:
            why = self.disagreeing.get("gold") or self.disagreeing.get("bead", "")
            why = why or say("gold_not_parted" if found.dore else "gold_not_weighed")
            self._none("grade_gold", "g/t", why, found.mass.basis)
        elif found.gold.mg is None:
            why = found.gold.refusal.text if found.gold.refusal else ""
            self._none("grade_gold", "g/t", why, found.mass.basis)
        else:
            levels = found.gold.levels.times(1000 / grams)
            value = grade(found.gold.mg, found.mass.g)
            basis = f"{found.mass.basis}, {sorts.words(found.gold.sort)}"
            self._report("grade_gold", value, levels, "g/t", basis)
        if found.silver is None:
            return
        if found.silver.status == "measured" and found.silver.mg is not None:
            value = grade(found.silver.mg, found.mass.g)
            self._figure("grade_silver", value, "g/t", found.mass.basis)
        else:
            why = found.silver.why.text if found.silver.why else ""
            self._none("grade_silver", "g/t", why, found.mass.basis)


def _call(make: Callable[[], Figure]) -> Figure:
    return make()


def _budget(doubt: Doubt) -> Budget:
    return doubt.budget
