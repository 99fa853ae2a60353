"""A furnace run as a log holds it: weighings, blanks, proofs and losses, shared by all samples.

One `Sources` serves the whole run, so that what samples share (a balance's scale, the mean blank of
a lot, the correction of the run) is one variable and cancels or adds as it should.
"""

import math
from collections.abc import Iterable
from copy import copy
from functools import cached_property
from typing import Literal

from assaybench.assay.blanks import Metal, Use
from assaybench.assay.dore import NONE_ADDED, UNKNOWN_ADDED, SilverAdded
from assaybench.assay.losses import SilverLoss, silver_loss, unknown_silver_loss
from assaybench.assay.matching import mismatches, other_size_alone
from assaybench.assay.moisture import SampleMass, sample_mass
from assaybench.assay.net import Mass, mass_of
from assaybench.assay.proofs import (
    Conditions,
    Correction,
    Proof,
    correction,
    masses,
    uncorrected,
)
from assaybench.assay.replicates import Spread, average
from assaybench.messages import BadInput, say
from assaybench.metrology.figure import flag
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, total
from assaybench.metrology.weighing import Balance, Weighing, weigh
from assaybench.metrology.weighing import u0 as weighing_u0
from assaybench.record.entries import Effective
from assaybench.record.kinds import SCREENED, TREATED_AGAIN
from assaybench.record.lot_blanks import LotBlanks
from assaybench.record.method_items import AIM, PROOF, PROOF_FORMS, PROOF_SCALING
from assaybench.record.replay import RawWeighing, State, weighings
from assaybench.record.typed import moisture_of, typed_in
from assaybench.units import parse
from assaybench.units.table import GRAM, MILLIGRAM, Unit

DEFAULT_AIM = 0.01
_TO_GRAMS = float(MILLIGRAM.size / GRAM.size)
LIKE_PROOFS = 2.0
"""Proofs whose metal differs by no more than this serve together, as they serve a bead."""


class Run:
    """The shared parts of one run.

    Attributes:
        state: the log after its entries.
        sources: the sources of doubt of every figure of it.
        name: names the run.
        aim: target relative expanded uncertainty, a share of one.
        raw: the readings behind each weighing.
        scales_told: what a balance's scale rests on, in words, as far as it was asked for.
        blanks: the blanks of the run, lot by lot.
    """

    def __init__(self, state: State, raw: dict[tuple[str, str], RawWeighing] | None = None) -> None:
        self.state = state
        self.sources = Sources()
        self.name = state.opened.text("title") if state.opened else ""
        aim = state.methods.get(AIM)
        self.aim = float(parse.share(aim, "an aim", 0.001, 20)) if aim else DEFAULT_AIM
        self.raw = weighings(state) if raw is None else raw
        self.scales_told: dict[Balance, list[str]] = {}
        self._weighed: dict[tuple[str, str], tuple[Weighing, Balance]] = {}
        self._corrections: dict[tuple[str, ...], Correction] = {}
        self.blanks = LotBlanks(self)

    def renew(
        self, raw: dict[tuple[str, str], RawWeighing], changed: Iterable[tuple[str, str]]
    ) -> None:
        """Take the weighings as they are now; those that changed are weighed again when asked."""
        self.raw = raw
        for key in changed:
            self._weighed.pop(key, None)

    def fork(self) -> "Run":
        """The same run as it is now; nothing worked out with one of the two reaches the other."""
        own = copy(self)
        vars(own).update(
            sources=self.sources.fork(),
            _weighed={**self._weighed},
            blanks=self.blanks.fork(own),
            _corrections={**self._corrections},
        )
        return own

    def weighing(self, sample: str, what: str) -> tuple[Weighing, Balance] | None:
        """The weighing of a sample and thing with its balance; None when it was not weighed."""
        key = (sample, what)
        found = self._weighed.get(key)
        raw = self.raw.get(key) if found is None else None
        if raw is not None:
            of = what.replace("_", " ")
            found = weigh(self.sources, raw.balance, raw.loads, raw.zeros, of), raw.balance
            self._weighed[key] = found
        return found

    def mass(self, sample: str, what: str) -> Mass | None:
        """A weighed mass, mg, as the assay floor takes it; None when it was not weighed."""
        found = self.weighing(sample, what)
        if found is None:
            return None
        weighing, balance = found
        return mass_of([weighing], spread_known=balance.spread_mg is not None)

    def raw_of(self, sample: str, what: str) -> RawWeighing | None:
        """The readings behind a weighing."""
        return self.raw.get((sample, what))

    def typed(self, sample: Effective, key: str, unit: Unit, name: str = "") -> Uncertain | None:
        """A figure typed into a sample's entry as an uncertain number; None without one."""
        text = sample.text(key)
        if not text:
            return None
        value, u, stated = typed_in(text, unit.symbol)
        label = f"{name or key} of {sample.text('id')}"
        pan = self.state.balances.get(self.state.weighs.get(key, ""))
        if pan is not None and not stated:
            # typed without ±, it was weighed on the balance that weighs such things
            u = max(u, weighing_u0(pan, 1, 1) * float(MILLIGRAM.size / unit.size))
        return self.sources.variable(label, value, u, row=f"{name or key}, as typed")

    def lead_g(self, sample: Effective) -> float:
        """Lead or foil of a charge, g; 0 when it was not noted."""
        text = sample.text("lead")
        return typed_in(text, "g").value if text else 0.0

    @staticmethod
    def copper_mg(sample: Effective) -> float:
        """Copper added to a charge, mg; 0 when none was noted."""
        text = sample.text("copper")
        return typed_in(text, "mg").value if text else 0.0

    def added(self, sample: Effective) -> SilverAdded:
        """Silver added: a mass, none, or unknown; not said counts as unknown."""
        text = sample.text("silver")
        if text == "none":
            return NONE_ADDED
        if text in {"", "unknown"}:
            return UNKNOWN_ADDED
        return SilverAdded("mass", self.typed(sample, "silver", MILLIGRAM, "silver added"))

    def conditions(self, sample: Effective) -> Conditions:
        """What a proof must share with a bead."""
        silver = sample.text("silver_known") or sample.text("silver")
        mg = 0.0
        if silver not in {"", "none", "unknown"}:
            mg = typed_in(silver, "mg").value
        return Conditions(self.name, self.lead_g(sample), mg, self.copper_mg(sample))

    def water_of(self, sample: str) -> Effective | None:
        """Moisture of a sample; plus and minus have that of their pulp unless they say theirs."""
        own = self.state.of_sample("moisture", sample)
        entry = self.state.samples.get(sample)
        if own is None and entry is not None and entry.text("part") in SCREENED:
            return self.state.of_sample("moisture", entry.text("of"))
        return own

    def sample_mass(self, sample: str, what: str = "charge") -> SampleMass | None:
        """Mass of sample behind a grade, g, dry where its moisture is known.

        Args:
            sample: the sample.
            what: what was weighed of it: its charge, or plus, minus and total of a pulp.
        """
        found = self.weighing(sample, what)
        if found is None:
            return None
        if found[0].net_mg <= 0:
            return None
        grams = total((_TO_GRAMS, found[0].net))
        entry = self.water_of(sample)
        if entry is None:
            return sample_mass(self.sources, grams)
        water = moisture_of(entry)
        about = self.state.samples.get(water.sample)
        family = water.sample if about is None else about.text("of") or water.sample
        # one water, noted at each charge of a sample, was measured once: it does not average away
        name = f"{family}, {water.share!r} of the {water.basis} mass, u {water.u!r}"
        try:
            return sample_mass(self.sources, grams, water._replace(sample=name))
        except BadInput as fault:
            raise fault.named(f"{sample}, moisture") from fault

    def of_role(self, role: str) -> list[Effective]:
        """Samples of a role that count: not lost, not left out."""
        return [
            s
            for name, s in self.state.samples.items()
            if s.text("role") == role and name not in self.state.left_out and not s.text("lost")
        ]

    @cached_property
    def treated_again(self) -> dict[str, list[Effective]]:
        """Slag and cupel that were treated again, by the sample that they are of."""
        found: dict[str, list[Effective]] = {}
        for entry in self.state.samples.values():
            if entry.text("part") in TREATED_AGAIN and not entry.text("lost"):
                found.setdefault(entry.text("of"), []).append(entry)
        return found

    def uses(self, sample: Effective, metal: Metal) -> list[Use]:
        """Reagents of a charge with their blank of a metal; none of a blank itself."""
        return self.blanks.uses_of(sample, metal)[metal]

    @cached_property
    def proof_form(self) -> str:
        """The form of the correction that the log's method says; additive when it says none."""
        form = self.state.methods.get(PROOF, "additive")
        return form if form in PROOF_FORMS else "additive"

    @cached_property
    def proofs_scaled(self) -> bool:
        """Whether a proof of another size serves, its loss scaled by surface; declared."""
        return self.state.methods.get(PROOF_SCALING) == "surface"

    @cached_property
    def gold_proofs(self) -> list[tuple[Proof, ...]]:
        """Proofs of gold in groups of like metal and like conditions."""
        groups: list[list[Proof]] = []
        for sample in self.of_role("proof"):
            if sample.text("of"):  # a proof of one bar serves that bar alone
                continue
            proof = self._proof(sample)
            if proof is None:
                continue
            home = next((g for g in groups if _alike(g[0], proof)), None)
            if home is None:
                groups.append([proof])
            else:
                home.append(proof)
        return [tuple(group) for group in groups]

    def gold_taken(self, sample: Effective) -> Uncertain | None:
        """Gold of a proof, mg: as its entry says, or as it was weighed."""
        known = self.typed(sample, "gold_known", MILLIGRAM, "gold taken")
        if known is not None:
            return known
        weighed = self.weighing(sample.text("id"), "proof_gold")
        return None if weighed is None else weighed[0].net

    def _proof(self, sample: Effective) -> Proof | None:
        taken = self.gold_taken(sample)
        found = self.weighing(sample.text("id"), "gold")
        if taken is None or found is None or nominal(taken) <= 0:
            return None
        uses = tuple(self.uses(sample, "gold"))
        return Proof(sample.text("id"), taken, found[0].net, self.conditions(sample), uses)

    def correction_for(self, metal_mg: float, conditions: Conditions) -> Correction | None:
        """The correction of the group of proofs that fits a bead, else of the nearest one.

        Where proofs are scaled, the nearest of those that differ in size alone comes first.
        """
        if self.proof_form == "none" or not self.gold_proofs:
            return None
        found = [self._correction(group) for group in self.gold_proofs]
        fitting = [c for c in found if not mismatches(c, metal_mg, conditions)]
        if fitting:
            return fitting[0]
        alike = [c for c in found if other_size_alone(c, metal_mg, conditions)]
        if self.proofs_scaled and alike:
            found = alike
        return min(found, key=lambda c: abs(math.log(max(metal_mg, 1e-9) / c.metal_mg)))

    def _correction(self, group: tuple[Proof, ...]) -> Correction:
        key = tuple(proof.name for proof in group)
        if key not in self._corrections:
            form: Literal["additive", "ratio"] = (
                "ratio" if self.proof_form == "ratio" else "additive"
            )
            known = self.earlier_loss(key, "loss_spread")
            empty = [p.name for p, (_, net) in zip(group, masses(group), strict=True) if net <= 0]
            if form == "ratio" and empty:
                self._corrections[key] = _nothing_found(group, empty[0])
            else:
                self._corrections[key] = correction(self.sources, group, form, known=known)
        return self._corrections[key]

    @cached_property
    def loss(self) -> SilverLoss:
        """Silver loss of the run: from its proofs of silver, or not known."""
        proofs = [p for p in map(self._silver_proof, self.of_role("proof")) if p is not None]
        if not proofs:
            return unknown_silver_loss(self.sources, self.name)
        if sum(found for _, found in masses(proofs)) <= 0:
            empty = flag("silver_proof_empty", name=proofs[0].name)
            return unknown_silver_loss(self.sources, self.name)._replace(flags=(empty,))
        names = tuple(proof.name for proof in proofs)
        known = self.earlier_loss(names, "silver_loss_spread")
        return silver_loss(self.sources, proofs, known=known)

    def earlier_loss(self, proofs: tuple[str, ...], key: str) -> Spread | None:
        """Scatter of a loss in earlier runs, a share, as the entry of a proof has it."""
        for name in proofs:
            sample = self.state.samples[name]
            count = sample.whole("loss_count")
            if sample.text(key) and count and count > 1:
                share = parse.share(sample.text(key), "a spread of a loss", 0, 100)
                return Spread(float(share), count - 1)
        return None

    def silver_taken(self, sample: Effective) -> Uncertain | None:
        """Silver of a proof, all of it, mg; None where its entry does not say it."""
        return self.typed(sample, "silver_known", MILLIGRAM, "silver taken")

    def _silver_proof(self, sample: Effective) -> Proof | None:
        """A proof as one of silver; None while its gold, which it holds too, was not parted."""
        taken, name = self.silver_taken(sample), sample.text("id")
        bead, gold = self.weighing(name, "bead"), self.weighing(name, "gold")
        if taken is None or bead is None or nominal(taken) <= 0:
            return None
        if gold is None and self.gold_taken(sample) is not None:
            return None
        parted: Uncertain = gold[0].net if gold else 0.0
        uses = tuple(self.uses(sample, "silver"))
        return Proof(name, taken, bead[0].net - parted, self.conditions(sample), uses)


def _nothing_found(group: tuple[Proof, ...], name: str) -> Correction:
    """No correction where beads would be multiplied by taken over nothing found."""
    none = uncorrected(group[0].conditions.run, say("proof_nothing_found", name=name))
    return none._replace(
        metal_mg=average(nominal(proof.taken_mg) for proof in group),
        conditions=group[0].conditions,
    )


def _alike(one: Proof, other: Proof) -> bool:
    a, b = nominal(one.taken_mg), nominal(other.taken_mg)
    # run, lead, silver, copper: the run is the same here
    pairs = zip(one.conditions[1:], other.conditions[1:], strict=True)
    return max(a, b) <= LIKE_PROOFS * min(a, b) and all(_close(x, y) for x, y in pairs)


def _close(a: float, b: float) -> bool:
    return abs(a - b) <= 0.1 * max(abs(a), abs(b)) + 1e-12
