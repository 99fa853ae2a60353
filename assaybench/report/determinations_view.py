"""n of N: which determinations of a sample are shown, and where the others are, with their mean."""

from collections.abc import Sequence

from assaybench.logbook.determinations import Elsewhere, Family, Held
from assaybench.messages import say
from assaybench.metrology.figure import Figure, Flag, flag
from assaybench.record.results import SampleGrade
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
            f"Determinations of {family.id} across the logbook",
            (
                (n_of_all(family, only), shown_text(family, grades, only)),
                *_of_all(family),
                *((where(held, family, only), grade_text(held)) for held in _every(family)),
            ),
        )
        for family in partial(families, only)
    ]


def n_of_all(family: Family, only: Sequence[str] = ()) -> str:
    """`T-31 c, 1 of 5 determinations shown`: the one that is shown, or the sample."""
    shown = family.shown(only)
    name = shown[0].id if len(shown) == 1 else family.id
    return f"{name}, {len(shown)} of {len(family.counted)} determinations shown"


def pooled(
    family: Family, grades: Sequence[SampleGrade], only: Sequence[str] = ()
) -> Figure | None:
    """The grade of the determinations that are shown; None where the log pools others or none."""
    shown = family.shown(only)
    if len(shown) == 1:
        return shown[0].figure
    names = {held.id for held in shown}
    for grade in grades:
        if grade.id == family.id and {d.name for d in grade.grade.used} == names:
            return grade.figure
    return None


def shown_text(family: Family, grades: Sequence[SampleGrade], only: Sequence[str] = ()) -> str:
    """The grade of the determinations that are shown, as it is printed; a dash where none is."""
    figure = pooled(family, grades, only)
    return "-" if figure is None else figure.text


def mean_of(family: Family) -> str:
    """Mean of all determinations as it is printed."""
    return write.short(family.mean, _digits(family))


def median_of(family: Family) -> str:
    """Median of all determinations as it is printed."""
    return write.short(family.median, _digits(family))


def _digits(family: Family) -> int:
    """Digits of a mean without a doubt of its own: three, of a fineness five."""
    return 5 if family.unit == "‰" else 3


def _of_all(family: Family) -> list[tuple[str, str]]:
    n = len(family.counted)
    if not n:
        return []
    return [
        (f"mean of all {n}", f"{mean_of(family)} {family.unit}"),
        (f"median of all {n}", f"{median_of(family)} {family.unit}"),
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
    return [
        flag(
            "n_of_N",
            n=len(shown),
            N=len(family.counted),
            mean=mean_of(family),
            unit=family.unit,
            list=f"{len(rest)} ({', '.join(names[:SHOWN_NAMES])}{more})",
            why="; ".join(whys),
        )
    ]


def _name(held: Held, family: Family) -> str:
    return f"{held.id} in {held.log.spelled}" if held in family.elsewhere else held.id


def _why(held: Held, family: Family) -> str:
    if held in family.elsewhere:
        return say("held_elsewhere")
    return held.left_out or say("held_not_asked")


def records(families: Sequence[Family], only: Sequence[str] = ()) -> list[dict[str, object]]:
    """The same for JSON."""
    return [
        {
            "id": family.id,
            "shown": len(family.shown(only)),
            "of": len(family.counted),
            "mean_of_all": family.mean if family.counted else None,
            "median_of_all": family.median if family.counted else None,
            "determinations": [
                {
                    "id": f"{held.log.spelled} {held.id}",
                    "log": held.log.spelled,
                    "sample": held.id,
                    "shown": held in family.shown(only),
                    "counted": held.counted,
                    "left_out": held.left_out,
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
