"""The results of a report: grades with their ± and n of N, and where the other determinations are.

Grades that are corrected for cupel loss and others that are not stand in tables of their own where
a log has both (method version 1, section 3).
"""

from collections.abc import Iterator, Sequence

from assaybench.assay import sorts
from assaybench.logbook.determinations import Family, Held
from assaybench.messages import say
from assaybench.record.results import Results, SampleResult
from assaybench.report import determinations_view as of_all
from assaybench.report.answer import Section, table_section
from assaybench.report.tables import noted

SHORT = 14
HEADS = ("sample", "gold", "silver", "determinations")
ELSEWHERE = "Determinations in other logs"
Row = tuple[str, ...]


def results(families: Sequence[Family], found: Results, only: Sequence[str]) -> list[Section]:
    """The results, each with its ± and, on the same line, how many of all determinations it is.

    Args:
        families: all determinations of each sample.
        found: the results of the log.
        only: ids that are asked for; empty asks for all.
    """
    by_id = {sample.id: sample for sample in found.samples}
    rows: dict[str, list[Row]] = {}
    for family in families:
        for sort, here in _by_sort(family).items():
            if not only or family.id in only or any(held.id in only for held in here):
                rows.setdefault(sort, []).extend(_rows(family, sort, here, found, by_id, only))
    present = sorts.present(rows)
    if len(present) < 2:
        return _tables("Results", [row for own in rows.values() for row in own])
    titles = {sort: f"Results, {sorts.words(sort)}" for sort in present}
    titles[""] = say("sort_none_results")
    return [s for sort, title in titles.items() for s in _tables(title, rows.get(sort, []))]


def _tables(title: str, rows: Sequence[Row]) -> list[Section]:
    return [table_section(title, noted(HEADS, rows, (0, 3)))] if rows else []


def _by_sort(family: Family) -> dict[str, list[Held]]:
    """The determinations here by their sort; those without a grade stand with the first."""
    present = family.sorts or ("",)
    return {
        sort: [held for held in family.here if (held.sort or present[0]) == sort]
        for sort in present
    }


def _rows(
    family: Family,
    sort: str,
    here: Sequence[Held],
    found: Results,
    by_id: dict[str, SampleResult],
    only: Sequence[str],
) -> Iterator[Row]:
    shown = family.shown(only, sort)
    if len(family.here) == 1 and not shown:
        # no grade: the metal alone where it was weighed, as in a circuit test
        own = here[0]
        metals = (text_of(by_id[own.id], name) for name in ("gold", "silver"))
        yield (own.id, *metals, *_remark(own, family, only))
        return
    one = by_id[shown[0].id] if len(shown) == 1 else None
    name, silver = (family.id, "") if one is None else (one.id, text_of(one, "grade_silver"))
    grade = of_all.shown_text(family, found.grades, only, sort)
    yield (name, grade, silver, *_n_of_all(family, only, sort))
    for held in here if len(family.here) > 1 else ():
        silver = text_of(by_id[held.id], "grade_silver")
        yield (f"  {held.id}", of_all.grade_text(held), silver, *_remark(held, family, only))


def text_of(sample: SampleResult, name: str) -> str:
    """A figure of a sample as it is printed; empty without one."""
    return "" if (figure := sample.figures.get(name)) is None else figure.text


def _remark(held: Held, family: Family, only: Sequence[str]) -> tuple[str, str]:
    """Why a determination is not shown: in the column where that is short, else below."""
    said = of_all.remark(held, family, only)
    return (said, "") if len(said) <= SHORT else ("", said)


def _n_of_all(family: Family, only: Sequence[str], sort: str) -> tuple[str, str]:
    n, all_ = len(family.shown(only, sort)), len(family.counted)
    said = f"{n} of {all_} {'determinations ' if n < all_ else ''}shown"
    mean = next((mean for mean in family.means if sort in ("", mean.sort)), None)
    if all_ < 2 or mean is None:
        return said, ""
    which = f"all {all_}" if mean.n == all_ else f"the {mean.n} {sorts.words(mean.sort)}"
    texts = (of_all.number_of(family, number) for number in (mean.mean, mean.median))
    middle = ", median ".join(texts)
    return said, f"of {which}: mean {middle} {family.unit}"


def elsewhere(families: Sequence[Family], only: Sequence[str]) -> Section:
    """The determinations of other logs, by number."""
    rows = [
        (of_all.where(held, family, only), of_all.grade_text(held))
        for family in of_all.partial(families, only)
        for held in family.elsewhere
    ]
    return Section(ELSEWHERE, tuple(rows))
