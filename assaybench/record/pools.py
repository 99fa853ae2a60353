"""Beads or charges weighed together: one gold for all, and one grade over all of their charges.

A pool is what is left to do with beads that are each too light to weigh. What it says, it says of
its samples together; nothing follows for one of them alone, and it is no determination of any. It
is not corrected by proofs, which stand for one cupel each.
"""

from collections.abc import Sequence
from typing import NamedTuple

from assaybench.assay.blanks import Metal
from assaybench.assay.dore import NONE_ADDED, UNKNOWN_ADDED, Dore, SilverAdded, dore
from assaybench.assay.grade import MG_PER_G, grade
from assaybench.assay.levels import report
from assaybench.assay.metal import Gold, gold
from assaybench.assay.moisture import SampleMass
from assaybench.messages import say
from assaybench.metrology import sight
from assaybench.metrology.figure import Figure, Flag, flag, not_determinable
from assaybench.metrology.uncertain import nominal, total
from assaybench.record.entries import Effective
from assaybench.record.replay import State, weighed_before
from assaybench.record.results import WEIGHED, Parts, Results, SampleResult
from assaybench.record.sums import Step, n, step
from assaybench.units.table import GRAM, MILLIGRAM

BASIS = "together, not corrected for cupel loss"
DORE_BASIS = "together, gold and silver"
_METALS: tuple[Metal, ...] = ("gold", "silver")
_CORRECTED = frozenset({"no_matching_proof", "loss_scatter_unknown"})
"""Flags that speak of the proofs, which a pool has none of by its nature."""


class Pool(NamedTuple):
    """What samples that were weighed together say.

    Attributes:
        id: the name its readings go by.
        samples: ids of its samples.
        figures: by name: charge, bead and gold_read as weighed, gold, grade_gold.
        flags, assumptions: what a reader must know.
        steps: the sum with its numbers.
        parts: the calculations behind, for a circuit test.
    """

    id: str
    samples: tuple[str, ...]
    figures: dict[str, Figure]
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]
    steps: tuple[Step, ...]
    parts: Parts


def pools(found: Results, only: Sequence[str] = ()) -> list[Pool]:
    """Every pool of which something was weighed, in the order of the log.

    Args:
        found: the results of the log.
        only: ids of samples that are asked for, or of pools; empty asks for all.
    """
    made = []
    for entry in found.run.state.of("pool"):
        names = {entry.text("id"), *entry.texts("samples")}
        if not only or not names.isdisjoint(only):
            pool = _Pool(found, entry).pool()
            if pool.figures:
                made.append(pool)
    return made


def pooled_of_circuit(found: Results) -> dict[str, SampleResult]:
    """Pools that stand for products of a circuit test, each as its sample would."""
    named = {entry.text("sample") for entry in found.run.state.of("circuit")}
    if named <= found.run.state.samples.keys() | {""}:
        return {}
    return {
        pool.id: SampleResult(pool.id, "sample", "", {}, {}, (), {}, (), (), parts=pool.parts)
        for pool in pools(found)
        if pool.id in named
    }


def nobodys(state: State) -> list[Flag]:
    """Readings of a log that belong to no sample, so that none is lost from sight.

    None is stored any more; a log of an earlier program may hold one.
    """
    known = {*state.samples, *(entry.text("id") for entry in state.of("pool"))}
    return [
        flag("reading_nobodys", n=r.entry.n, what=r.what, text=r.reading.text)
        for r in state.readings
        if r.what != "zero" and r.sample not in known
    ]


def earlier(state: State, only: Sequence[str] = ()) -> list[Flag]:
    """Weighings that a later one of the same object took the place of: one sentence each.

    Args:
        state: what the log says.
        only: ids of samples that are asked for; empty asks for all.
    """
    return [
        flag(
            "weighed_before",
            id=group[0].sample,
            what=group[0].what,
            text=", ".join(record.reading.text for record in group),
            balance=group[0].balance.name,
        )
        for group in weighed_before(state)
        if not only or group[0].sample in only
    ]


class _Pool:
    """Works out one pool."""

    def __init__(self, found: Results, entry: Effective) -> None:
        self.run, self.id = found.run, entry.text("id")
        self.samples = [
            name for name in dict.fromkeys(entry.texts("samples")) if name in self.run.state.samples
        ]
        self.figures: dict[str, Figure] = {}
        self.flags = [flag("pool_together", id=self.id, names=", ".join(self.samples))]
        self.assumptions: list[str] = []
        self.steps: list[Step] = []
        self.disagreeing: set[str] = set()

    def pool(self) -> Pool:
        for what in WEIGHED:
            self._weighing(what)
        members = [self.run.state.samples[name] for name in self.samples]
        metals, mass = self._dore(members), self._mass()
        found = self._gold(members)
        if found is not None:
            self._grade(found, mass)
        return Pool(
            self.id,
            tuple(self.samples),
            self.figures,
            tuple(dict.fromkeys(self.flags)),
            tuple(dict.fromkeys(self.assumptions)),
            tuple(self.steps),
            Parts(mass, found, metals, None),
        )

    def _weighing(self, what: str) -> None:
        found = self.run.weighing(self.id, what)
        if found is None:
            return
        weighing, balance = found
        unit = GRAM if what == "charge" else MILLIGRAM
        doubt = self.run.sources.doubt(weighing.net)
        verdict, _ = sight.verdict(weighing, balance, self.run.aim, doubt, unit=unit)
        if weighing.agrees:
            self.figures[WEIGHED[what]] = sight.figure(weighing, doubt, unit)
        else:
            self.figures[WEIGHED[what]] = sight.no_figure(verdict, unit)
            self.flags.append(Flag(verdict.code, verdict.reason))
            self.disagreeing.add(what)
        self.flags += weighing.flags

    def _dore(self, members: Sequence[Effective]) -> Dore | None:
        """Gold and silver of beads weighed together, less all silver added and every blank."""
        bead = self.run.mass(self.id, "bead")
        if bead is None or "bead" in self.disagreeing:
            return None
        uses = [use for e in members for metal in _METALS for use in self.run.uses(e, metal)]
        found = dore(
            self.run.sources,
            self.id,
            bead,
            added=self._added(members),
            loss=self.run.loss,
            uses=uses,
            parted=self.run.mass(self.id, "gold") is not None,
        )
        self.flags += found.flags
        if found.mg is not None and found.levels is not None:
            self.figures["dore"] = report(
                self.run.sources, found.mg, found.levels, "mg", basis=DORE_BASIS
            )
        else:
            why = found.refusal.text if found.refusal else ""
            self.figures["dore"] = not_determinable("mg", why, basis=DORE_BASIS)
        return found

    def _added(self, members: Sequence[Effective]) -> SilverAdded:
        """The silver that was added to all of them; unknown where it is of one."""
        each = [self.run.added(entry) for entry in members]
        if any(added.kind == "unknown" for added in each):
            return UNKNOWN_ADDED
        masses = [added.mg for added in each if added.kind == "mass"]
        return SilverAdded("mass", total(*((1.0, mg) for mg in masses))) if masses else NONE_ADDED

    def _gold(self, members: Sequence[Effective]) -> Gold | None:
        """Gold of all, less the blank of each charge."""
        parted, bead = self.run.mass(self.id, "gold"), self.run.mass(self.id, "bead")
        if parted is None or "gold" in self.disagreeing:
            return None
        uses = [use for entry in members for use in self.run.uses(entry, "gold")]
        found = gold(self.run.sources, self.id, parted, uses=uses, bead=bead)
        self.flags += [f for f in found.flags if f.code not in _CORRECTED]
        self.assumptions += found.assumptions
        if found.mg is None:
            why = found.refusal.text if found.refusal else ""
            self.figures["gold"] = not_determinable("mg", why, basis=BASIS)
            return None
        self.figures["gold"] = report(
            self.run.sources, found.mg, found.net.levels, "mg", basis=BASIS
        )
        expression = f"{n(found.net.read_mg)} - {n(found.net.blank_mg)}"
        self.steps.append(step(f"{self.id}: gold less blank", expression, nominal(found.mg), "mg"))
        return found

    def _grade(self, found: Gold, mass: SampleMass | None) -> None:
        """Gold of all over the charges of all; none while one charge is not known."""
        grams = None if mass is None else mass.g
        if grams is None or nominal(grams) <= 0 or found.mg is None:
            why = say("pool_no_charge")
            self.figures["grade_gold"] = not_determinable("g/t", why, basis=BASIS)
            return
        value, levels = grade(found.mg, grams), found.net.levels.times(MG_PER_G / nominal(grams))
        self.figures["grade_gold"] = report(self.run.sources, value, levels, "g/t", basis=BASIS)
        self.assumptions.append(say("not_sampling"))
        expression = f"{MG_PER_G} × {n(nominal(found.mg))} / {n(nominal(grams))}"
        self.steps.append(step(f"{self.id}: grade", expression, nominal(value), "g/t"))

    def _mass(self) -> SampleMass | None:
        """The charges of all, g: as they were weighed together, or one by one."""
        if "charge" in self.disagreeing:
            return None
        together = self.run.sample_mass(self.id)
        masses = [together] if together else [self.run.sample_mass(name) for name in self.samples]
        known: list[SampleMass] = [mass for mass in masses if mass is not None]
        if not known or len(known) < len(masses):
            return None
        for mass in known:
            self.assumptions += mass.assumptions
        if len(known) > 1:
            sum_ = " + ".join(n(nominal(mass.g)) for mass in known)
            self.steps.append(
                step(f"{self.id}: charges", sum_, sum(nominal(mass.g) for mass in known), "g")
            )
        dry = all(mass.basis == "dry" for mass in known)
        grams = total(*((1.0, mass.g) for mass in known))
        return SampleMass(grams, "dry" if dry else "as received")
