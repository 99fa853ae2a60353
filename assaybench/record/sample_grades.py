"""The grade of a sample that was assayed more than once, a mean for each sort of its figures.

Method version 1, sections 3 and 4. Determinations that are corrected for cupel loss and others that
are not are never pooled: each sort has its own mean, and n of N still counts all of them. The item
`scatter` of the method says whether determinations scatter as those of their own sample, with few
degrees of freedom, or as all duplicates of the log do, which is right for samples of like grade.
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from assaybench.assay import sorts
from assaybench.assay.grade import Determination, Grade, pooled_grade
from assaybench.assay.replicates import Spread, pooled
from assaybench.messages import BadInput
from assaybench.metrology.figure import Budget, Figure
from assaybench.metrology.uncertain import Sources, nominal
from assaybench.record.method_items import OF_DUPLICATES, SCATTER

if TYPE_CHECKING:
    from assaybench.record.results import SampleResult
    from assaybench.record.run import Run

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


class _Group(NamedTuple):
    """The determinations of one sample and one sort, and how many the sample has of all sorts."""

    name: str
    sort: str
    every: list[Determination]
    left_out: dict[str, str]
    of_all: int

    @property
    def counted(self) -> list[float]:
        """The grades that count, g/t."""
        return [nominal(one.g_per_t) for one in self.every if one.name not in self.left_out]


def grades_of(run: "Run", samples: Iterable["SampleResult"]) -> list[SampleGrade]:
    """The grade of every sample that was assayed more than once, one for each sort.

    Raises:
        BadInput: when a mean cannot be made, led by the sample.
    """
    groups = _groups(samples)
    spreads: dict[str, Spread | None] = {}
    if run.state.methods.get(SCATTER) == OF_DUPLICATES:
        for sort in {group.sort for group in groups}:
            spreads[sort] = pooled([group.counted for group in groups if group.sort == sort])
    return [_grade_of(run.sources, group, spreads.get(group.sort)) for group in groups]


def _groups(samples: Iterable["SampleResult"]) -> list[_Group]:
    families: dict[str, list[SampleResult]] = {}
    for sample in samples:
        if sample.role in ROLES and not sample.part and not sample.lost:
            families.setdefault(sample.of or sample.id, []).append(sample)
    return [
        group
        for name, members in families.items()
        if len(members) > 1
        for group in _of_sample(name, members)
    ]


def _of_sample(name: str, members: list["SampleResult"]) -> Iterable[_Group]:
    every = [(m, d) for m, d in ((m, determination(m)) for m in members) if d is not None]
    if len(every) < 2:
        return
    for sort in sorts.present(m.sort for m, _ in every):
        own = [(m, d) for m, d in every if m.sort == sort]
        left_out = {m.id: m.left_out for m, _ in own if m.left_out}
        if len(left_out) < len(own):
            yield _Group(name, sort, [d for _, d in own], left_out, len(every))


def _grade_of(sources: Sources, group: _Group, spread: Spread | None) -> SampleGrade:
    name, words = group.name, sorts.words(group.sort)
    label = name if len(group.every) == group.of_all else f"{name}, {words}"
    try:
        found = pooled_grade(sources, label, group.every, left_out=group.left_out, spread=spread)
    except BadInput as fault:
        raise fault.named(name) from fault
    doubt = sources.doubt(found.g_per_t)
    figure = sources.figure(found.g_per_t, "g/t", layer="assay", basis=words)
    return SampleGrade(name, figure, doubt.budget, found, group.sort, group.of_all)


def determination(sample: "SampleResult") -> Determination | None:
    """A sample as one determination; None where no grade follows from it."""
    parts = sample.parts
    if parts is None or parts.gold is None or parts.gold.mg is None or parts.mass is None:
        return None
    return Determination(sample.id, parts.gold.mg, parts.mass.g)
