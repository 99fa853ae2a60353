"""The grade of a sample that was assayed more than once, a mean for each sort of its figures.

Method version 1, sections 3 and 4. Determinations that are corrected for cupel loss and others that
are not are never pooled: each sort has its own mean, and n of N still counts all of them.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from assaybench.assay import sorts
from assaybench.assay.grade import Determination, Grade, pooled_grade
from assaybench.messages import BadInput
from assaybench.metrology.figure import Budget, Figure
from assaybench.metrology.uncertain import Sources

if TYPE_CHECKING:
    from assaybench.record.results import SampleResult

ROLES = frozenset({"sample", "duplicate", "reference"})


class SampleGrade(NamedTuple):
    """The grade of a sample from its determinations of one sort.

    Attributes:
        id: of the sample.
        figure: ΣAu/ΣM with its interval, g/t.
        budget: the shares of its doubt.
        grade: the determinations of this sort.
        sort: how they are corrected for cupel loss.
        of_all: N, all determinations of the sample, of every sort.
    """

    id: str
    figure: Figure
    budget: Budget
    grade: Grade
    sort: str
    of_all: int

    @property
    def mixed(self) -> bool:
        """Whether the sample has determinations of another sort as well."""
        return self.of_all > len(self.grade.every)

    @property
    def words(self) -> str:
        """How they are corrected, where the sample has both; empty where it need not be said."""
        return sorts.words(self.sort) if self.mixed else ""


def grades_of(sources: Sources, samples: Iterable["SampleResult"]) -> list[SampleGrade]:
    """The grade of every sample that was assayed more than once, one for each sort.

    Raises:
        BadInput: when a mean cannot be made, led by the sample.
    """
    families: dict[str, list[SampleResult]] = {}
    for sample in samples:
        if sample.role in ROLES and not sample.part and not sample.lost:
            families.setdefault(sample.of or sample.id, []).append(sample)
    return [
        grade
        for name, members in families.items()
        if len(members) > 1
        for grade in _of_sample(sources, name, members)
    ]


def _of_sample(sources: Sources, name: str, members: list["SampleResult"]) -> Iterable[SampleGrade]:
    every = [(m, d) for m, d in ((m, determination(m)) for m in members) if d is not None]
    if len(every) < 2:
        return
    for sort in sorts.present(m.sort for m, _ in every):
        own = [(m, d) for m, d in every if m.sort == sort]
        left_out = {m.id: m.left_out for m, _ in own if m.left_out}
        if len(left_out) == len(own):
            continue
        label = name if len(own) == len(every) else f"{name}, {sorts.words(sort)}"
        try:
            pooled = pooled_grade(sources, label, [d for _, d in own], left_out=left_out)
        except BadInput as fault:
            raise fault.named(name) from fault
        doubt = sources.doubt(pooled.g_per_t)
        figure = sources.figure(pooled.g_per_t, "g/t", layer="assay", basis=sorts.words(sort))
        yield SampleGrade(name, figure, doubt.budget, pooled, sort, len(every))


def determination(sample: "SampleResult") -> Determination | None:
    """A sample as one determination; None where no grade follows from it."""
    parts = sample.parts
    if parts is None or parts.gold is None or parts.gold.mg is None or parts.mass is None:
        return None
    return Determination(sample.id, parts.gold.mg, parts.mass.g)
