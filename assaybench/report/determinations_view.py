"""n of N: which determinations of a sample are shown, and where the others are, with their mean."""

from collections.abc import Sequence

from assaybench.assay import sorts
from assaybench.logbook.determinations import Elsewhere, Family, Held, MeanOfAll
from assaybench.messages import say
from assaybench.metrology.figure import Figure, Flag, flag
from assaybench.record.sample_grades import SampleGrade
from assaybench.report.answer import Section, figure_tree
from assaybench.units import write

SHOWN_NAMES = 4


def partial(families: Sequence[Family], only: Sequence[str] = ()) -> list[Family]:
    """The samples of which not every determination is shown, or that other logs hold more of."""
    return [
        family
        for family in families
        if family.elsewhere or len(family.counted) > len(family.shown(only))
        if not only or family.id in only or any(held.id in only for held in family.here)
    ]


def sections(
    families: Sequence[Family], grades: Sequence[SampleGrade], only: Sequence[str] = ()
) -> list[Section]:
    """A group for each sample that is shown in part: n of N, mean and median of all, the others.

    Args:
        families: all determinations of each sample.
        grades: the pooled grades of the log.
        only: ids that are asked for; empty asks for all.
    """
    return [
        Section(
            f"Determinations of {family.id} {title}",
            (
                (n_of_all(family, only, sort), shown_text(family, grades, only, sort)),
                *_of_all(family, sort),
                *((where(held, family, only), grade_text(held)) for held in every),
            ),
        )
        for family in partial(families, only)
        for sort, title, every in _apart(family)
    ]


def _apart(family: Family) -> list[tuple[str, str, list[Held]]]:
    """Sort, title and determinations of each group: one for all, unless two sorts are among them.

    Those without a figure stand with the first.
    """
    every, means = _every(family), family.means
    if len(means) < 2:
        return [("", "across the logbook", [*every])]
    first = means[0].sort
    return [
        (m.sort, sorts.words(m.sort), [h for h in every if (h.sort or first) == m.sort])
        for m in means
    ]


def n_of_all(family: Family, only: Sequence[str] = (), sort: str = "") -> str:
    """`T-31 c, 1 of 5 determinations shown`: the one that is shown, or the sample."""
    shown = family.shown(only, sort)
    name = shown[0].id if len(shown) == 1 else family.id
    return f"{name}, {len(shown)} of {len(family.counted)} determinations shown"


def pooled(
    family: Family, grades: Sequence[SampleGrade], only: Sequence[str] = (), sort: str = ""
) -> Figure | None:
    """The grade of the determinations that are shown; None where the log pools others or none."""
    shown = family.shown(only, sort)
    if len(shown) == 1:
        return shown[0].figure
    names = {held.id for held in shown}
    for grade in grades:
        if grade.id == family.id and {d.name for d in grade.grade.used} == names:
            return grade.figure
    return None


def shown_text(
    family: Family, grades: Sequence[SampleGrade], only: Sequence[str] = (), sort: str = ""
) -> str:
    """The grade of the determinations that are shown, as it is printed; a dash where none is."""
    figure = pooled(family, grades, only, sort)
    return "-" if figure is None else figure.text


def mean_said(code: str, family: Family, **fields: object) -> str:
    """A sentence with the mean of all; of two sorts of determinations with the mean of each.

    Args:
        code: of the sentence; that of several sorts ends in `_sorts`.
        family: the determinations, of which one at least counts.
        fields: what else it says.
    """
    fields |= {"N": len(family.counted), "unit": family.unit}
    means = family.means
    if len(means) < 2:
        return say(code, **fields, mean=number_of(family, means[0].mean))
    told = [f"{number_of(family, m.mean)} of {m.n} {sorts.in_short(m.sort)}" for m in means]
    return say(f"{code}_sorts", **fields, means=", ".join(told))


def number_of(family: Family, number: float) -> str:
    """A mean or median as it is printed: without a doubt of its own three digits, of ‰ five."""
    return write.short(number, 5 if family.unit == "‰" else 3)


def _of_all(family: Family, sort: str) -> list[tuple[str, str]]:
    """Mean and median of all determinations of a sort."""
    return [
        (f"{what} of all {m.n}", f"{number_of(family, number)} {family.unit}")
        for m in family.means
        if sort in ("", m.sort)
        for what, number in (("mean", m.mean), ("median", m.median))
    ]


def _every(family: Family) -> tuple[Held, ...]:
    return (*family.here, *family.elsewhere)


def where(held: Held, family: Family, only: Sequence[str] = ()) -> str:
    """A determination by the log that it stands in, and why it is not shown."""
    return f"{held.log.spelled} {held.id}: {remark(held, family, only)}"


def remark(held: Held, family: Family, only: Sequence[str] = ()) -> str:
    """Whether a determination is shown, and why not."""
    if held in family.shown(only):
        return say("held_shown")
    if not held.counted:
        return held.remark
    if held in family.elsewhere:
        said = [say("held_elsewhere"), held.remark]
        said += [say("held_left_out", why=held.left_out)] if held.left_out else []
        return "; ".join(text for text in said if text)
    if held.left_out:
        return say("held_left_out", why=held.left_out)
    return say("held_not_asked")


def grade_text(held: Held) -> str:
    """The grade of a determination as it is printed; a dash where there is none."""
    figure = held.figure
    return "-" if figure is None or figure.value is None else figure.text


def flags(families: Sequence[Family], others: Elsewhere, only: Sequence[str] = ()) -> list[Flag]:
    """What a reader must know of determinations that are not shown."""
    found = [f for family in partial(families, only) for f in _n_of_n(family, only)]
    if others.unseen:
        found.append(flag("logs_unseen", n=others.unseen))
    return found


def _n_of_n(family: Family, only: Sequence[str]) -> list[Flag]:
    shown = family.shown(only)
    rest = [held for held in family.counted if held not in shown]
    if not rest:
        return []
    names = [_name(held, family) for held in rest]
    more = f" and {len(names) - SHOWN_NAMES} more" if len(names) > SHOWN_NAMES else ""
    whys = dict.fromkeys(_why(held, family) for held in rest)
    left_out = f"{len(rest)} ({', '.join(names[:SHOWN_NAMES])}{more})"
    said = mean_said("n_of_N", family, n=len(shown), list=left_out, why="; ".join(whys))
    return [Flag("n_of_N", said)]


def _name(held: Held, family: Family) -> str:
    return f"{held.id} in {held.log.spelled}" if held in family.elsewhere else held.id


def _why(held: Held, family: Family) -> str:
    if held in family.elsewhere:
        return say("held_elsewhere")
    return held.left_out or say("held_not_asked")


def _one_mean(means: Sequence[MeanOfAll]) -> dict[str, object]:
    """Mean and median of all; none where two sorts of determinations have none together."""
    mean, median = (means[0].mean, means[0].median) if len(means) == 1 else (None, None)
    return {"mean_of_all": mean, "median_of_all": median}


def records(families: Sequence[Family], only: Sequence[str] = ()) -> list[dict[str, object]]:
    """The same for JSON."""
    return [
        {
            "id": family.id,
            "shown": len(family.shown(only)),
            "of": len(family.counted),
            **_one_mean(family.means),
            "means": [
                {"correction": sorts.words(m.sort), "of": m.n, "mean": m.mean, "median": m.median}
                for m in family.means
            ],
            "determinations": [
                {
                    "id": f"{held.log.spelled} {held.id}",
                    "log": held.log.spelled,
                    "sample": held.id,
                    "shown": held in family.shown(only),
                    "counted": held.counted,
                    "left_out": held.left_out,
                    "correction": sorts.words(held.sort),
                    "remark": remark(held, family, only),
                    "figures": {}
                    if held.figure is None
                    else {"grade_gold": figure_tree(held.figure)},
                }
                for held in _every(family)
            ],
        }
        for family in partial(families, only)
    ]
