"""Silver of a bead: by difference with the loss of the run, or against a twin proof.

Method version 1, section 3. Masses in milligrams. Silver added is the largest mass here and its
loss in the cupel is of the size of most native silver: without a proof both ends are printed.
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

from assaybench.assay.blanks import Use, blank_in, remarks
from assaybench.assay.dore import SilverAdded
from assaybench.assay.losses import SilverLoss, kept_of
from assaybench.assay.metal import Gold, Status, refusals
from assaybench.assay.net import Mass, noise
from assaybench.assay.replicates import average
from assaybench.messages import say
from assaybench.metrology.figure import Flag, flag
from assaybench.metrology.freedom import exceeds
from assaybench.metrology.uncertain import Sources, Uncertain, nominal, ratio, total
from assaybench.units import write

OTHER_LOSS = 0.02
"""The other loss that silver is printed for where ℓ is not known: the middle of 0 to 4 %."""


class Silver(NamedTuple):
    """Silver of the sample in one bead.

    Attributes:
        name: names the bead.
        form: by difference, or against a twin proof.
        mg: Ag, mg, signed; None when refused or silver added is unknown. Only where `status` is
            measured is it a figure.
        in_bead_mg: B - G, less the blank in the bead, mg.
        blank_mg: silver of the reagents in the bead, mg.
        twin_mg: the same of the twins, their mean, mg; 0 by difference.
        added_mg: silver added, mg.
        loss: ℓ, a share of one.
        loss_known: whether a proof measured ℓ, or it was stated.
        at_no_loss_mg: Ag if no silver was lost, mg.
        other_loss: a stated other loss, a share of one.
        at_other_loss_mg: Ag if so much was lost, mg.
        status: measured, not determinable, refused.
        why: the reason when it is not measured.
        flags, assumptions: what a reader must know.
    """

    name: str
    form: Literal["by difference", "twin"]
    mg: Uncertain | None
    in_bead_mg: float
    blank_mg: float
    twin_mg: float
    added_mg: float
    loss: float
    loss_known: bool
    at_no_loss_mg: float | None
    other_loss: float
    at_other_loss_mg: float | None
    status: Status
    why: Flag | None
    flags: tuple[Flag, ...]
    assumptions: tuple[str, ...]

    @property
    def rests_on_unknown_loss(self) -> bool:
        """Whether both ends are to be said: nobody measured the loss that it rests on."""
        return not self.loss_known and self.at_no_loss_mg is not None

    def ends_said(self, sample_g: float = 0.0) -> tuple[str, ...]:
        """Both ends of silver that rests on a loss nobody measured, mg, and as a grade.

        Args:
            sample_g: sample behind the grade, g; 0 where there is none. Silver that was not seen
                is no grade.
        """
        least_mg, other_mg = self.at_no_loss_mg, self.at_other_loss_mg
        if self.loss_known or least_mg is None or other_mg is None:
            return ()
        loss = write.short(self.other_loss * 100, 3)
        least, other = (write.short(mg, 3) for mg in (least_mg, other_mg))
        said = say("silver_both_ends", least=least, other=other, loss=loss)
        if sample_g <= 0 or least_mg <= 0:
            return (said,)
        least, other = (write.at_place(1000 * mg / sample_g, -1) for mg in (least_mg, other_mg))
        return said, say("silver_grades", least=least, other=other, loss=loss)


def silver(
    sources: Sources,
    name: str,
    bead: Mass,
    parted: Mass,
    *,
    added: SilverAdded,
    loss: SilverLoss,
    uses: Sequence[Use] = (),
    other_loss: float = OTHER_LOSS,
) -> Silver:
    """Ag = (B - G - b_bead)/(1 - ℓ) - added, mg.

    Args:
        sources: the sources of doubt of the calculation.
        name: names the bead.
        bead, parted: bead before parting, gold after it.
        added: silver added.
        loss: ℓ of the run.
        uses: reagents with their blanks of silver as found in a bead.
        other_loss: the other loss that is printed, a share of one.

    Raises:
        ValueError: for a blank of gold.

    Source: method version 1, section 3.
    """
    if any(use.blank.metal != "silver" for use in uses):
        raise ValueError("silver takes blanks of silver only")
    blank = blank_in(sources, uses)
    blank_mg, added_mg = nominal(blank), nominal(added.mg)
    in_bead_mg = nominal(bead.mg) - nominal(parted.mg) - blank_mg
    in_bead = [(1, bead.mg), (-1, parted.mg), (-1, blank)]
    ag = total((1, ratio(in_bead, kept_of(sources, loss, name))), (-1, added.mg))
    unknown = added.kind == "unknown"
    ends = (in_bead_mg - added_mg, in_bead_mg / (1 - other_loss) - added_mg)
    flags, assumptions = remarks(uses)
    status, why = _judged(sources, ag, ends, loss, refusals(sources, bead, parted), added)
    return Silver(
        name=name,
        form="by difference",
        mg=None if unknown or status == "refused" else ag,
        in_bead_mg=in_bead_mg,
        blank_mg=blank_mg,
        twin_mg=0.0,
        added_mg=added_mg,
        loss=nominal(loss.share),
        loss_known=loss.known,
        at_no_loss_mg=None if unknown else ends[0],
        other_loss=other_loss,
        at_other_loss_mg=None if unknown else ends[1],
        status=status,
        why=why,
        flags=(*((why,) if why else ()), *flags, *loss.flags),
        assumptions=(*assumptions, *loss.assumptions),
    )


class Twin(NamedTuple):
    """A twin proof: the same added silver and the same lead, without sample.

    Attributes:
        name: names it.
        silver_mg: B_p - G_p, mg.
        added_mg: silver added to it, mg; the very variable of the sample where one stock served
            both, so that it cancels.
        uses: its reagents with their blanks of silver.
    """

    name: str
    silver_mg: Uncertain
    added_mg: Uncertain
    uses: tuple[Use, ...] = ()


def silver_by_twin(
    sources: Sources,
    name: str,
    bead: Mass,
    parted: Mass,
    *,
    added_mg: Uncertain,
    twins: Sequence[Twin],
    loss: SilverLoss,
    uses: Sequence[Use] = (),
    other_loss: float = OTHER_LOSS,
) -> Silver:
    """Ag = [(B - G) - (B_p - G_p)]/(1 - ℓ), mg: added silver and the shared blank cancel.

    What cancels is the mean blank. Unlike masses added are allowed for by - (added - added_p),
    unlike reagents by the blank of each. Each bead loses around ℓ on its own, and each charge has a
    blank around the mean on its own: these scatters do not cancel.

    Args:
        sources: the sources of doubt of the calculation.
        name: names the bead.
        bead, parted: bead before parting, gold after it.
        added_mg: silver added to the sample, mg.
        twins: one or more twin proofs of the run.
        loss: ℓ of the run.
        uses: reagents of the sample with their blanks of silver.
        other_loss: the other loss that is printed, a share of one.

    Raises:
        ValueError: without a twin.

    Source: method version 1, section 3.
    """
    if not twins:
        raise ValueError("the twin form needs a twin proof")
    blank = blank_in(sources, uses)
    in_bead = bead.mg - parted.mg - blank
    in_twins = [twin.silver_mg - blank_in(sources, twin.uses) for twin in twins]
    taken = [
        found / kept_of(sources, loss, twin.name) - twin.added_mg
        for twin, found in zip(twins, in_twins, strict=True)
    ]
    ag = in_bead / kept_of(sources, loss, name) - added_mg - sum(taken) / len(taken)
    in_bead_mg, twin_mg = nominal(in_bead), average(nominal(found) for found in in_twins)
    more = nominal(added_mg) - average(nominal(twin.added_mg) for twin in twins)
    ends = (in_bead_mg - twin_mg - more, (in_bead_mg - twin_mg) / (1 - other_loss) - more)
    status, why = _judged(sources, ag, ends, loss, refusals(sources, bead, parted))
    scatter = () if loss.scatter_known or loss.flags else (flag("loss_scatter_unknown"),)
    return Silver(
        name=name,
        form="twin",
        mg=None if status == "refused" else ag,
        in_bead_mg=in_bead_mg,
        blank_mg=nominal(blank),
        twin_mg=twin_mg,
        added_mg=nominal(added_mg),
        loss=nominal(loss.share),
        loss_known=loss.known,
        at_no_loss_mg=ends[0],
        other_loss=other_loss,
        at_other_loss_mg=ends[1],
        status=status,
        why=why,
        flags=(*((why,) if why else ()), *loss.flags, *scatter),
        assumptions=loss.assumptions,
    )


def _judged(
    sources: Sources,
    ag: Uncertain,
    ends: tuple[float, float],
    loss: SilverLoss,
    refused: Sequence[Flag],
    added: SilverAdded | None = None,
) -> tuple[Status, Flag | None]:
    """Status of a silver figure and the reason for it.

    Not determinable below t(0.95, ν)·u, which is 1.645·u where u is well known. Where ℓ is not
    known the figure may not rest on a loss that nobody measured: then the silver that the bead
    shows without any loss is held against it.
    """
    if refused:
        return "refused", refused[0]
    if added is not None and added.kind == "unknown":
        return "not determinable", flag("silver_added_unknown")
    doubt = sources.doubt(ag)
    value = nominal(ag)
    if value < -noise(doubt):
        return "refused", flag("silver_missing", ag=write.short(value, 3))
    if exceeds(value if loss.known else min(value, ends[0]), doubt.u, doubt.dof):
        return "measured", None
    if loss.known:
        shown, expanded = write.value_and_expanded(value, doubt.k * doubt.u)
        return "not determinable", flag("silver_not_shown", ag=shown, U=expanded)
    return "not determinable", flag(
        "silver_not_determinable",
        ag=write.short(ends[0], 3),
        loss=write.significant(ends[1] - ends[0], 2),
    )


def native_fineness(gold: Gold, found: Silver) -> Uncertain | None:
    """Gold per 1000 of gold and silver of the sample; None where either is not a figure."""
    if gold.mg is None or found.mg is None or found.status != "measured":
        return None
    return 1000 * gold.mg / (gold.mg + found.mg)
