"""What the margin says of results: a stop first, then what to improve, duplicates, checks, counts.

Of the remarks in the middle as many stand there as there is room for; how many samples are shown
and what ± means always stand last.
"""

from collections.abc import Iterator

from assaybench.bench.actions import Keymap
from assaybench.bench.characters import capital, wrapped
from assaybench.bench.result_parts import Part
from assaybench.bench.result_rows import Row, in_unit
from assaybench.logbook.settings_keys import shown
from assaybench.messages import say
from assaybench.record.checks import Check
from assaybench.record.layers import Layers
from assaybench.record.results import CONTRADICTIONS, Results, SampleResult
from assaybench.record.sample_grades import SampleGrade
from assaybench.record.seal_review import Hold
from assaybench.record.suspect import suspects
from assaybench.units import write
from assaybench.units.table import GRAM_PER_TONNE, Unit

LOUD = frozenset(
    {*CONTRADICTIONS, "readings_disagree", "below_zero", "far_below_blank", "blank_below_zero"}
)
"""Flags that come before what to improve: no figure follows until they are settled."""


def stops(holds: tuple[Hold, ...], made: list[Check], keys: Keymap) -> list[str]:
    """The checks that say stop and are not released, and how to release them."""
    named = {check.id: named_check(check) for check in made}
    found = [
        say("results_stop", check=named.get(hold.id, hold.id), why=capital(one_line(hold.text)))
        for hold in holds
        if not hold.released
    ]
    if found:
        found.append(say("results_stop_how", key=shown(keys.keys["release"])))
    return found


def named_check(check: Check) -> str:
    """What kind of check it is and of which sample, in words that do not say one thing twice."""
    said = check.id.casefold().startswith(check.kind)
    return check.id if said else f"{check.kind} {check.id}"


def one_line(text: str) -> str:
    """Sentences of a table, as one paragraph."""
    return " ".join(text.split())


def of_row(
    row: Row, layers: Layers | None, parts: tuple[Part, ...], aim: float, unit: Unit
) -> list[str]:
    """What the row under the pointer says first: contradictions, what to improve, what is unseen.

    Args:
        row: the row.
        layers: of its grade, None without one.
        parts: what its ± is made of.
        aim: target relative U, a share of one.
        unit: of the grades.
    """
    sample = row.sample
    if sample is None:
        return []
    if sample.lost:
        return [say("margin_lost", place=row.label, why=sample.lost)]
    loud = [one_line(f.text) for f in sample.flags if f.code in LOUD]
    said = [*loud, *_improve(row, layers, parts, aim), *_unseen(row, unit)]
    if sample.left_out:
        said.append(say("results_left_out", id=row.label, why=sample.left_out))
    return said


def further(row: Row, layers: Layers | None) -> list[str]:
    """What else must be known of the row: its other flags, and that its sampling is not known."""
    if row.whole is not None:
        return [one_line(f.text) for f in row.whole.flags]
    if row.sample is None or row.sample.lost:
        return []
    said = [one_line(f.text) for f in row.sample.flags if f.code not in LOUD]
    if layers is not None and layers.missing is not None:
        said.append(one_line(layers.missing.text))
    return said


def _improve(row: Row, layers: Layers | None, parts: tuple[Part, ...], aim: float) -> Iterator[str]:
    """What to improve first; nothing where the ± is within the aim as far as it is known."""
    if layers is None or row.grade is None or row.grade.status == "below L_D":
        return
    reach = layers.widest.expanded
    value = layers.result.value
    if reach is not None and value > 0 and reach <= aim * value:
        unshown = row.sample is not None and _aim_unshown(row.sample)
        code = "results_aim_open" if unshown else "results_within"
        yield one_line(say(code, id=row.label, aim=write.short(aim * 100)))
        return
    yield one_line(layers.advice.text)
    if layers.decides == "assay" and parts:
        yield say("results_rests", id=row.label, what=parts[0].label)


def _aim_unshown(sample: SampleResult) -> bool:
    """Whether the weighing does not show the aim: the spread of a balance is not known."""
    return any(verdict.code == "aim_not_shown" for verdict in sample.verdicts.values())


def _unseen(row: Row, unit: Unit) -> Iterator[str]:
    """That nothing seen is not zero, with the most that may be there."""
    figure = row.grade
    if figure is None or figure.status != "below L_D" or row.sample is None:
        return
    verdict = row.sample.verdicts.get("gold_metal")
    like = verdict is not None and verdict.code == "like_the_blank"
    most = in_unit(figure, unit, row.detection).text.removeprefix("< ")
    yield say("results_like_blank" if like else "results_unseen", id=row.label, most=most)


def repeats(found: Results, labels: dict[str, str], chosen: SampleResult | None) -> list[list[str]]:
    """What repeats of one sample say: first of the sample under the pointer, then who disagrees.

    Args:
        found: the results.
        labels: how the page calls a sample, by id.
        chosen: the sample under the pointer.
    """
    family = "" if chosen is None else chosen.of or chosen.id
    grades = sorted(found.grades, key=lambda g: (g.id != family, g.grade.agrees))
    own = [text for g in grades if g.id == family for text in _of_grade(g, labels)]
    others = [text for g in grades if g.id != family for text in _of_grade(g, labels)]
    return [own, others]


def suspected(found: Results, chosen: SampleResult | None) -> list[str]:
    """Weighings around a check that was not good, those of the sample under the pointer first."""
    every = suspects(found.run.state)
    every.sort(key=lambda suspect: chosen is None or chosen.id not in suspect.samples)
    return [one_line(suspect.flag.text) for suspect in every]


def of_run(made: list[Check], holds: tuple[Hold, ...]) -> list[str]:
    """The checks: those released, those to look at again, those in order.

    Args:
        made: the checks.
        holds: those that say stop.
    """
    said = [say("results_released", id=h.id, why=h.released) for h in holds if h.released]
    others = [check for check in made if check.kind != "duplicate"]
    again = [check for check in others if check.state == "warn"]
    said += [
        say("results_look_again", check=named_check(check), why=one_line(check.text))
        for check in again
    ]
    good = [named_check(check) for check in others if check.state == "pass"]
    if good:
        said.append(say("results_in_order", list=", ".join(good)))
    return said


def _of_grade(grade: SampleGrade, labels: dict[str, str]) -> list[str]:
    every = [labels.get(d.name, d.name).removeprefix(f"{grade.id} ") for d in grade.grade.every]
    code = "results_repeat_agree" if grade.grade.agrees else "results_repeat_differ"
    n, total = len(grade.grade.used), grade.of_all
    mean = say("results_mean", id=grade.id, n=n, N=total, g=grade.figure.text)
    if grade.mixed:
        mean = say("results_mean_of_sort", id=grade.id, n=n, N=total, sort=grade.words,
                   g=grade.figure.text)  # fmt: skip
    if n == 1:  # one that stands alone can neither agree nor disagree
        return [mean]
    return [say(code, names=", ".join(every[:-1]) + f" and {every[-1]}"), mean]


def counts(inside: int, total: int, unit: Unit, coverage: str) -> str:
    """What stands last: how many samples are shown, in which unit, and what ± means."""
    said = [say("results_shown", n=inside, N=total)]
    if unit != GRAM_PER_TONNE:
        said.append(say("results_units", unit=unit.symbol))
    return "\n".join([*said, *([coverage] if coverage else [])])


def fits(remarks: list[str], width: int, lines: int) -> bool:
    """Whether all of them have room, with a line between each two."""
    return sum(len(wrapped(text, width)) + 1 for text in remarks) - 1 <= lines


def fitting(first: list[str], middle: list[str], last: str, width: int, lines: int) -> list[str]:
    """All of the first and the last, if any; of the middle, in order, those there is room for.

    A remark that is too long for what is left is passed over; a shorter one behind it may stand.
    """
    end = [last] if last else []
    used = sum(len(wrapped(text, width)) + 1 for text in (*first, *end)) - 1
    kept = []
    for text in dict.fromkeys(middle):
        more = len(wrapped(text, width)) + 1
        if used + more <= lines:
            kept.append(text)
            used += more
    return [*first, *kept, *end]
