"""Parted bead to gold, and what refuses a figure.

Method version 1, section 3. Masses in milligrams. Without parted gold there is no gold figure: a
cupelled bead is gold and silver (`dore`).
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

from assaybench.assay.blanks import Use
from assaybench.assay.levels import Levels
from assaybench.assay.matching import fitted
from assaybench.assay.net import Mass, Net, levels_of, net_of_blank, noise
from assaybench.assay.proofs import Conditions, Correction, corrected, uncorrected
from assaybench.assay.sorts import sort_of
from assaybench.messages import BadInput, say
from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.units import write

Status = Literal["measured", "not determinable", "refused"]


def refusals(
    sources: Sources,
    bead: Mass | None,
    parted: Mass | None = None,
    sample_mg: Uncertain | None = None,
) -> tuple[Flag, ...]:
    """What makes a bead's masses contradict each other by more than 3u of their difference.

    Args:
        sources: the sources of doubt of the calculation.
        bead: bead before parting, mg.
        parted: gold after parting, mg.
        sample_mg: mass of the sample it came from, mg.
    """
    found: list[Flag] = []
    if bead is None:
        return ()
    if parted is not None and _far_above(sources, parted.mg, bead.mg):
        found.append(flag("gold_above_bead", G=parted.shown, B=bead.shown))
    if sample_mg is not None and _far_above(sources, bead.mg, sample_mg):
        found.append(flag("bead_above_sample", B=bead.shown, M=write.short(nominal(sample_mg), 7)))
    return tuple(found)


def _far_above(sources: Sources, upper: Uncertain, lower: Uncertain) -> bool:
    if nominal(upper) <= nominal(lower):
        return False  # as almost always: no doubt need be worked out
    difference = upper - lower
    return nominal(difference) > noise(sources.doubt(difference))


def _to_its_doubt(sources: Sources, mass: Uncertain) -> str:
    """A mass worked out, mg, to the places that its doubt leaves (GUM 7.2.6)."""
    doubt = sources.doubt(mass)
    if not doubt.u:
        return write.short(nominal(mass))
    return write.value_and_expanded(nominal(mass), doubt.k * doubt.u)[0]


class TreatedAgain(NamedTuple):
    """Metal won back by treating slag or cupel again.

    Attributes:
        what: slag or cupel.
        net: its gold after its own blanks.
    """

    what: Literal["slag", "cupel"]
    net: Net


class Gold(NamedTuple):
    """Gold of one bead.

    Attributes:
        name: names the bead.
        mg: gold, mg, after blank, proofs and treatments; None when refused.
        net: G - Σq·b_G with levels and verdict.
        correction: the proofs' correction, fitted to this bead.
        again: slag and cupel treated again.
        status: measured or refused.
        refusal: why there is no value.
        flags, assumptions: what a reader must know.
    """

    name: str
    mg: Uncertain | None
    net: Net
    correction: Correction
    again: tuple[TreatedAgain, ...]
    status: Status
    refusal: Flag | None
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]

    @property
    def sort(self) -> str:
        """How it is corrected for cupel loss; see `sorts`."""
        by_proofs = self.correction.form != "none"
        return sort_of(
            by_proofs=by_proofs, again=[t.what for t in self.again] if self.again else ()
        )

    @property
    def levels(self) -> Levels:
        """What can be told from the blanks of all its charges, slag and cupel among them, mg."""
        if not self.again:
            return self.net.levels
        return levels_of([self.net, *(t.net for t in self.again)])


def _again_said(sources: Sources, line: TreatedAgain) -> str:
    """What was won back, and whether a blank of its own was taken off."""
    y = _to_its_doubt(sources, line.net.mg)
    return say(f"{line.what}_again" if line.net.uses else f"{line.what}_again_no_blank", y=y)


def gold(
    sources: Sources,
    name: str,
    parted: Mass,
    *,
    correction: Correction | None = None,
    conditions: Conditions | None = None,
    scale: bool = False,
    replicated: bool = False,
    uses: Sequence[Use] = (),
    bead: Mass | None = None,
    sample_mg: Uncertain | None = None,
    again: Sequence[TreatedAgain] = (),
) -> Gold:
    """Gold of one bead, mg: (G - Σq·b_G) + D, or (G - Σq·b_G)·Σtaken/Σ(found - b_p).

    Args:
        sources: the sources of doubt of the calculation.
        name: names the bead.
        parted: gold after parting.
        correction: from proofs; None says: no proof in this fire.
        conditions: run, lead, silver and copper of the bead; with them the correction is fitted to
            it here (`matching.fitted`), without them it is used as it is.
        scale: see `matching.fitted`.
        replicated: see `proofs.corrected`; for a bead that is one of several determinations.
        uses: reagents with their blanks of gold.
        bead: the bead before parting, for the check that gold is not heavier.
        sample_mg: mass of the sample, mg.
        again: slag and cupel treated again, added as named lines.

    Raises:
        BadInput: when a cupel was treated again and a proof is used: both make up for one loss.
        ValueError: for a blank of silver.

    Source: method version 1, section 3; ISO 11426 for the additive form (from memory).
    """
    if any(use.blank.metal != "gold" for use in uses):
        raise ValueError("gold takes blanks of gold only")
    net = net_of_blank(sources, f"gold of {name}", parted, uses)
    correction = correction or uncorrected("" if conditions is None else conditions.run)
    if conditions is not None:
        correction = fitted(correction, nominal(net.mg), conditions, scale=scale)
    if correction.form != "none" and any(line.what == "cupel" for line in again):
        raise BadInput.of("cupel_counted_twice")
    total = corrected(sources, correction, net.mg, name, replicated=replicated)
    for line in again:
        total = total + line.net.mg
    reasons = [*refusals(sources, bead, parted, sample_mg)]
    reasons += [part.refusal for part in (net, *(line.net for line in again)) if part.refusal]
    said = [_again_said(sources, line) for line in again]
    return Gold(
        name=name,
        mg=None if reasons else total,
        net=net,
        correction=correction,
        again=tuple(again),
        status="refused" if reasons else "measured",
        refusal=reasons[0] if reasons else None,
        flags=(*reasons, *net.flags, *correction.flags),
        assumptions=(*net.assumptions, *correction.assumptions, *said),
    )
