"""Runs before and after a change: is the gain shown, is it worth its cost, how many runs more?"""

from collections.abc import Sequence
from typing import Any

from assaybench.cli.compare_money import MONEY, paying, season_of
from assaybench.cli.compare_words import Part, difference_figure, signed
from assaybench.cli.options import Faults
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology import compare
from assaybench.metrology.compare import Difference
from assaybench.metrology.figure import Figure, Flag, flag, plain
from assaybench.record import sums
from assaybench.report.answer import Answer
from assaybench.report.compare_words import (
    by_chance,
    difference_verdict,
    often,
    p_figure,
    what_runs,
    with_sign,
)
from assaybench.report.runs_view import Runs, count_text, runs_compared
from assaybench.units import parse, write
from assaybench.units.table import ANYTHING


def of_runs(figures: Sequence[str], typed: dict[str, Any], planned: float) -> Answer:
    """Runs before and after a change.

    Args:
        figures: must be none.
        typed: the options.
        planned: power that is planned for.

    Raises:
        BadInput: every fault of the line.
    """
    if figures:
        accepted = say("form_no_figure", option="--before and --after")
        raise BadInput.of("argument_unexpected", x=quoted(figures[0]), accepted=accepted)
    faults = Faults()
    before, unit = read_runs(faults, "--before", typed["before"])
    after, unit_after = read_runs(faults, "--after", typed["after"])
    season = season_of(faults, typed)
    typed_gain = _least_gain(faults, typed, unit)
    if season is not None and unit not in {"%", ""}:
        faults.add("", BadInput.of("money_needs_percent"))
    faults.done()
    paired = typed["paired"]
    d = of_one_unit(before, after, unit, unit_after, paired=paired)
    runs = Runs(d, before, after, unit, paired, planned)
    least = typed_gain if typed_gain is not None else season and season.breaks_even
    mean_before, mean_after = runs.means
    planning = _planning(runs, least)
    in_money = paying(d, season) if season else Part()
    names = ("before", "after", "paired", "gain", "power", *MONEY)
    return Answer(
        command="compare",
        inputs={name: typed[name] for name in names},
        figures={
            "mean_before": plain(mean_before, unit, digits=4),
            "mean_after": plain(mean_after, unit, digits=4),
            "difference": difference_figure(d, unit, "after less before"),
            "spread": plain(runs.spread, unit, digits=3),
            "p": p_figure(d.p),
            "degrees_of_freedom": plain(d.dof, "1", digits=3),
            **planning.figures,
            **in_money.figures,
        },
        rows=(
            (
                f"before, mean of {len(before)}",
                write.with_unit(write.short(mean_before, 4), unit),
            ),
            (f"after, mean of {len(after)}", write.with_unit(write.short(mean_after, 4), unit)),
            ("after less before", _in_points(signed(difference_figure(d, unit)), runs)),
            (
                "spread of one pair" if paired else "spread of one run",
                _worded(write.short(runs.spread, 3), runs),
            ),
            ("degrees of freedom", write.short(d.dof, 3)),
            ("chance of this much if nothing changed, in 100", by_chance(d.p, 3)),
            *planning.rows,
            *in_money.rows,
        ),
        verdict=difference_verdict(d, runs.worded_unit, runs.plan),
        flags=(
            *_beyond(runs),
            *(() if paired else (flag("assumed_alternation"),)),
            *in_money.flags,
            *planning.flags,
        ),
        assumptions=(
            say("pairs_by_place") if paired else say("spreads_may_differ"),
            *in_money.said,
        ),
        coverage=(d.k,),
        steps=(*sums.of_runs(before, after, d, unit, in_pairs=paired), *in_money.steps),
    )


def _in_points(text: str, runs: Runs) -> str:
    """A difference of shares is in points, not in % of anything."""
    return f"{text.removesuffix('%')}{runs.worded_unit}" if runs.unit == "%" else text


def _worded(number: str, runs: Runs) -> str:
    """A number with the unit of a difference of these runs, where they have one."""
    return f"{number} {runs.worded_unit}".rstrip()


def _beyond(runs: Runs) -> tuple[Flag, ...]:
    """A run of more than all of it, or less than nothing, where runs are in %."""
    far = [x for x in (*runs.before, *runs.after) if runs.unit == "%" and not 0 <= x <= 100]
    return (flag("runs_beyond_all", x=write.with_unit(write.short(far[0]), "%")),) if far else ()


def _planning(runs: Runs, least: float | None) -> Part:
    """Runs needed for the gain as found, and for the smallest one worth having."""
    found = {"runs_needed": _count(runs.needed(runs.d.value))}
    what = what_runs(paired=runs.paired)
    rows = [(f"{what} to show a gain as found, {often(runs.planned)}", found["runs_needed"])]
    flags: tuple[Flag, ...] = ()
    if least is not None:
        needed, bound = runs.needed(least), runs.needed(least, runs.bound)
        found |= {
            "least_gain": plain(least, runs.unit, digits=4),
            "runs_needed_least": _count(needed),
            "runs_needed_least_bound": _count(bound),
            "spread_bound": plain(runs.bound, runs.unit, digits=3),
        }
        shown = with_sign(write.short(least, 2))
        rows += [
            (
                f"{what} to show {_worded(shown, runs)}, the least worth having",
                found["runs_needed_least"],
            ),
            ("the same if the spread is at its 90 % bound", found["runs_needed_least_bound"]),
        ]
        flags = (_planned(runs, shown, needed, bound),)
    return Part(found, tuple((label, figure.text) for label, figure in rows), flags)


def _planned(runs: Runs, gain: str, needed: int | None, bound: int | None) -> Flag:
    what = what_runs(paired=runs.paired)
    fields = {"gain": gain, "unit": runs.worded_unit, "what": what}
    if needed is None:
        return flag("runs_too_many", most=compare.MOST_RUNS, **fields)
    return flag(
        "runs_for_least", n=needed, often=often(runs.planned), bound=count_text(bound), **fields
    )


def _count(runs: int | None) -> Figure:
    if runs is not None:
        return plain(runs, "1", digits=6)
    most = float(compare.MOST_RUNS)
    return Figure(value=most, unit="1", low=most, status="at least", text=count_text(runs))


def _least_gain(faults: Faults, typed: dict[str, Any], unit: str) -> float | None:
    """The smallest gain worth having, in the unit of the runs; points where they are in %."""
    text = typed["gain"]
    if text is None:
        return None
    found = faults.take("--gain", parse.plain_figure, text, ANYTHING, example="2.8 %")
    if found is None:
        return None
    if found.unit.symbol not in {"1", unit}:
        kinds = {"kind_a": _list_in(found.unit.symbol), "kind_b": _list_in(unit)}
        faults.add("", BadInput.of("units_differ", a="--gain", b="--before", **kinds))
    if found.value <= 0:
        what = "the least gain worth having"
        faults.add("--gain", BadInput.of("number_not_positive", x=quoted(text), what=what))
        return None
    return float(found.value)


def of_one_unit(
    first: Sequence[float],
    second: Sequence[float],
    unit: str,
    other: str,
    *,
    paired: bool,
    what: str = "",
) -> Difference:
    """Two lists of one unit compared, second less first: in pairs, or by Welch.

    Raises:
        BadInput: for two units, or lists that cannot be compared.
    """
    if other != unit:
        places = (f"{what} 1", f"{what} 2") if what else ("--before", "--after")
        kinds = {"kind_a": _list_in(unit), "kind_b": _list_in(other)}
        raise BadInput.of("units_differ", a=places[0], b=places[1], **kinds)
    return runs_compared(first, second, paired=paired)


def _list_in(unit: str) -> str:
    return "list without a unit" if unit == "1" else f"list in {unit}"


def read_runs(faults: Faults, place: str, text: str) -> tuple[list[float], str]:
    """The runs of one list and their unit; a unit behind the last number counts for all."""
    parts = parse.words(text)
    if not parts:
        faults.add(place, BadInput.of("number_empty", example="81.2"))
        return [], "1"
    if len(parts) > compare.MOST_RUNS:
        faults.add(place, BadInput.of("too_many_runs", n=len(parts), most=compare.MOST_RUNS))
        return [], "1"
    found = [
        faults.take(f"{place} {i}", parse.plain_figure, part, ANYTHING, example="81.2")
        for i, part in enumerate(parts, start=1)
    ]
    known = [typed for typed in found if typed is not None]
    units = {typed.unit.symbol for typed in known if typed.unit.symbol != "1"}
    if len(units) > 1:
        faults.add(place, BadInput.of("units_mixed", units=" and ".join(sorted(units))))
    return [float(typed.value) for typed in known], units.pop() if units else "1"
