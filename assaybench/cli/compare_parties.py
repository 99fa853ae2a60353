"""Two parties against a splitting limit, and two laboratories with their bias."""

import math
from collections.abc import Iterator, Mapping, Sequence
from statistics import fmean
from typing import Any, NamedTuple

from assaybench.assay import umpire
from assaybench.assay.bullion import settle
from assaybench.assay.grade import MOST_IN_TABLE
from assaybench.cli.compare_runs import of_one_unit, read_runs
from assaybench.cli.compare_words import difference_figure, expect, signed
from assaybench.cli.options import Faults
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology import compare
from assaybench.metrology.compare import Difference
from assaybench.metrology.figure import Figure, Flag, Verdict, flag, not_determinable, plain
from assaybench.metrology.uncertain import Sources, Uncertain, nominal
from assaybench.record import sums
from assaybench.report.answer import Answer, factors_of
from assaybench.report.compare_figures import assumed, same_kind, u_of
from assaybench.report.compare_words import by_chance, difference_verdict, mended, p_figure, worded
from assaybench.units import parse, write
from assaybench.units.parse import Typed
from assaybench.units.table import ANYTHING, BY_SPELLING, Unit

_ONE = (say("one_laboratory_limit"),)


def settled(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    """Two parties' figures against the splitting limit of their contract, and its umpire.

    Raises:
        BadInput: every fault of the line.
    """
    expect(figures, 2, say("form_settled"))
    faults = Faults()
    texts = {"A": figures[0], "B": figures[1]}
    if typed["umpire"] is not None:
        texts["--umpire"] = typed["umpire"]
    found = [faults.take(place, _exchanged, text) for place, text in texts.items()]
    place, text = "--splitting-limit", typed["splitting_limit"]
    limit = faults.take(place, parse.plain_figure, text, ANYTHING, example="0.5 ‰")
    rule = _rule(faults, typed)
    faults.done()
    assert limit is not None  # noqa: S101  `done` raised otherwise
    known = [one for one in found if one is not None]
    unit, standard = known[0].unit, typed["standard"]
    for one in (*known[1:], limit):
        same_kind(known[0], one)
    if limit.value < 0:
        raise BadInput.of("number_negative", x=quoted(text), what="a splitting limit")
    sources = Sources()
    first, second, *third = (
        _uncertain(sources, place, one, unit, standard=standard)
        for place, one in zip(texts, known, strict=True)
    )
    found_so = settle(first, second, float(limit.exact(unit)), unit.symbol)
    of = {"A": first, "B": second}
    apart = umpire.difference_figure(sources, found_so.difference, of, unit.symbol, "A - B")
    rows = [
        *zip(("A", "B"), (one.text for one in known), strict=False),
        ("A less B", signed(apart)),
        ("splitting limit", limit.text),
    ]
    at, verdict, flags = found_so.mean, found_so.verdict, [flag("umpire_rule_contract")]
    if third and rule is not None:
        rows.append(("umpire", known[2].text))
        if at is None:
            award = umpire.award(first, second, third[0], rule)
            names = {"first": "A", "second": "B", "umpire": "the umpire's figure"}
            parties = {"first": first, "second": second, "umpire": third[0]}
            at, of = award.settled, {names[party]: parties[party] for party in award.of}
            verdict = _awarded(verdict, award, known[2].text, rule, unit)
        else:
            flags.append(flag("umpire_not_needed"))
    figure = not_determinable(unit.symbol, verdict.reason)
    if at is not None:
        figure, bare = umpire.settled_figure(sources, at, of, unit.symbol)
        rows.append(("settled at", figure.text))
        flags += bare
    options = ("splitting_limit", "umpire", "umpire_rule", "standard")
    return Answer(
        command="compare",
        inputs={"a": figures[0], "b": figures[1]} | {name: typed[name] for name in options},
        figures={
            "difference": apart,
            "splitting_limit": plain(float(limit.exact(unit)), unit.symbol, digits=6),
            "settled": figure,
        },
        rows=tuple(rows),
        verdict=verdict,
        budget={"settled": sources.doubt(at).budget} if figure.u is not None else {},
        flags=tuple(flags),
        assumptions=_taken_so(known, standard=standard),
        coverage=factors_of((apart, figure)),
        steps=_settled_steps(sources, (first, second), at, of, figure),
    )


def _exchanged(text: str) -> Typed:
    """A figure as a party or an umpire gave it, with or without its doubt."""
    typed = parse.figure(text, ANYTHING, example="912.4 ‰")
    if typed.below:
        raise BadInput.of("uncertainty_below", x=quoted(text))
    return typed


def _with_doubt(typed: Typed) -> bool:
    return typed.u is not None or typed.expanded is not None


def _uncertain(
    sources: Sources, place: str, typed: Typed, unit: Unit, *, standard: bool
) -> Uncertain:
    """A figure in `unit`; without doubt where it was typed so."""
    u = u_of(typed, unit, standard=standard) if _with_doubt(typed) else 0.0
    return sources.variable(place.strip("-"), float(typed.exact(unit)), u)


def _taken_so(known: Sequence[Typed], *, standard: bool) -> tuple[str, ...]:
    doubted = [one for one in known if _with_doubt(one)]
    said = [say("settled_as_exchanged")]
    if doubted:
        said += [*assumed(doubted, standard=standard), say("settled_apart")]
    return tuple(said)


def _settled_steps(
    sources: Sources,
    parties: tuple[Uncertain, Uncertain],
    at: Uncertain | None,
    of: Mapping[str, Uncertain],
    figure: Figure,
) -> tuple[sums.Step, ...]:
    """How far the parties are apart, and what is settled at with its ±."""
    first, second = (nominal(one) for one in parties)
    n, unit = sums.n, figure.unit
    steps = [sums.step("A - B", f"{n(first)} - {n(second)}", first - second, unit)]
    if at is not None:
        mean = " + ".join(n(nominal(one)) for one in of.values())
        mean = mean if len(of) == 1 else f"({mean}) / {len(of)}"
        steps.append(sums.step("settled", mean, nominal(at), unit))
    if figure.u is not None and figure.k is not None:
        squares = " + ".join(f"{n(sources.doubt(one).u)}^2" for one in of.values())
        steps.append(sums.step("u", f"√({squares}) / {len(of)}", figure.u, unit))
        steps.append(sums.times("U", figure.k, figure.u, unit))
    return tuple(steps)


def _rule(faults: Faults, typed: dict[str, Any]) -> umpire.Rule | None:
    pair = (typed["umpire"], typed["umpire_rule"])
    if (pair[0] is None) != (pair[1] is None):
        option, other = ("--umpire", "--umpire-rule") if pair[1] is None else (
            "--umpire-rule", "--umpire",
        )  # fmt: skip
        faults.add("", BadInput.of("option_needs", option=option, other=other))
    if pair[1] is None:
        return None
    rule = next((rule for rule in umpire.RULES if rule == pair[1]), None)
    if rule is None:
        choices = ", ".join(umpire.RULES)
        fault = BadInput.of("choice_unknown", x=quoted(pair[1]), what="a rule", choices=choices)
        faults.add("--umpire-rule", fault)
    return rule


def _awarded(
    verdict: Verdict, award: umpire.Award, found: str, rule: umpire.Rule, unit: Unit
) -> Verdict:
    nearer = {"first": "A", "second": "B", "both": "A and B alike"}[award.nearer]
    at = write.short(nominal(award.settled))
    reason = say(
        "umpire_settles", umpire=found, rule=rule, at=at, unit=worded(unit.symbol), nearer=nearer
    )
    return Verdict(verdict.code, verdict.word, mended(reason))


def laboratories(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    """Results of two laboratories: their bias, and the critical difference where it is known.

    Replicates of one sample, or in pairs the results of the same samples in both.

    Raises:
        BadInput: every fault of the line.
    """
    expect(figures, 0, say("form_no_figure", option="--laboratory"))
    texts = typed["laboratory"]
    if len(texts) != 2:
        accepted = say("form_laboratories")
        raise BadInput.of("argument_missing", what="A second laboratory", accepted=accepted)
    faults = Faults()
    (first, unit), (second, other) = (
        read_runs(faults, f"--laboratory {i}", text) for i, text in enumerate(texts, start=1)
    )
    spreads = _spreads(faults, typed, unit)
    faults.done()
    d = of_one_unit(first, second, unit, other, paired=typed["paired"], what="--laboratory")
    means = [math.fsum(runs) / len(runs) for runs in (first, second)]
    figure = difference_figure(d, unit, "second less first")
    rows = [
        (f"first, mean of {len(first)}", write.with_unit(write.short(means[0], 4), unit)),
        (f"second, mean of {len(second)}", write.with_unit(write.short(means[1], 4), unit)),
        ("second less first", signed(figure)),
        ("degrees of freedom", write.short(d.dof, 3)),
        ("chance of this much without a bias, in 100", by_chance(d.p, 3)),
    ]
    figures_found: dict[str, Figure] = {
        "mean_first": plain(means[0], unit, digits=4),
        "mean_second": plain(means[1], unit, digits=4),
        "bias": figure,
        "p": p_figure(d.p),
        "degrees_of_freedom": plain(d.dof, "1", digits=3),
    }
    if fmean(means) > 0:
        relative = _relative(d, fmean(means))
        figures_found["bias_relative"] = relative
        rows.append(("the same, of the mean of both", signed(relative)))
    names = ("first", "second")
    steps = sums.of_runs(first, second, d, unit, in_pairs=typed["paired"], names=names)
    verdict = difference_verdict(d, unit)
    flags: tuple[Flag, ...] = ()
    if spreads is not None:
        counts = len(first), len(second)
        limit = spreads.critical_difference(*counts)
        figures_found["critical_difference"] = plain(limit, unit, digits=3)
        rows.append(
            ("critical difference, 95 in 100", write.with_unit(write.short(limit, 3), unit))
        )
        verdict = _critical(d.value, limit, unit, one=spreads.between is None)
        steps = (*steps, _critical_step(spreads, *counts, limit, unit))
        flags = tuple(_ranges(spreads, (first, second), unit))
    said = ("laboratory", "paired", "repeatability", "reproducibility")
    return Answer(
        command="compare",
        inputs={name: [*typed[name]] if name == "laboratory" else typed[name] for name in said},
        figures=figures_found,
        rows=tuple(rows),
        verdict=verdict,
        flags=flags,
        assumptions=(
            say("pairs_by_place") if typed["paired"] else say("laboratories_same_sample"),
            *(_ONE if spreads is not None and spreads.between is None else ()),
        ),
        coverage=(d.k,),
        steps=steps,
    )


def _relative(d: Difference, mean: float) -> Figure:
    """The bias in parts per hundred of the mean of both, which is taken as known."""
    part = Difference(100 * d.value / mean, 100 * d.u / mean, d.dof, d.k, None, d.p)
    return difference_figure(part, "%", "of the mean of both")


class _Spreads(NamedTuple):
    """Known spreads, in the unit of the results.

    Attributes:
        within: s_r, within one laboratory.
        between: s_R, between laboratories; None where it is not known.
    """

    within: float
    between: float | None

    def critical_difference(self, n_1: int, n_2: int) -> float:
        """Of two means: in two laboratories, or of one where no more is known."""
        if self.between is None:
            return compare.critical_difference_one_laboratory(self.within, n_1, n_2)
        return compare.critical_difference_two_laboratories(self.within, self.between, n_1, n_2)


def _spreads(faults: Faults, typed: dict[str, Any], unit: str) -> _Spreads | None:
    """s_r and s_R as typed, in the unit of the results; None where neither is."""
    names = ("repeatability", "reproducibility")
    if typed[names[0]] is None and typed[names[1]] is None:
        return None
    if typed[names[0]] is None:
        pair = {"option": "--reproducibility", "other": "--repeatability"}
        faults.add("", BadInput.of("option_needs", **pair))
        return None
    found = [
        _spread(faults, f"--{name}", typed[name], unit) for name in names if typed[name] is not None
    ]
    known = [one for one in found if one is not None]
    if len(known) < len(found):
        return None
    if known[-1] < known[0]:
        faults.add("--reproducibility", BadInput.of("spread_between_less"))
        return None
    if typed["paired"]:
        fault = BadInput.of("option_excludes", option="--paired", other="--repeatability")
        faults.add("", fault)
    return _Spreads(known[0], known[1] if len(known) > 1 else None)


def _spread(faults: Faults, option: str, text: str, unit: str) -> float | None:
    """A spread above zero, in the unit of the results or without one."""
    one = faults.take(option, parse.plain_figure, text, ANYTHING, example="0.1 g/t")
    if one is None:
        return None
    if one.value <= 0:
        faults.add(option, BadInput.of("number_not_positive", x=quoted(text), what="a spread"))
        return None
    if one.unit.symbol in {"1", unit}:
        return float(one.value)
    of_results = BY_SPELLING.get(unit)
    if of_results is None or of_results.quantity != one.unit.quantity:
        of_list = "list without a unit" if unit == "1" else f"list in {unit}"
        kinds = {"kind_a": f"figure in {one.unit.symbol}", "kind_b": of_list}
        faults.add("", BadInput.of("units_differ", a=option, b="--laboratory", **kinds))
        return None
    return float(one.exact(of_results))


def _ranges(spreads: _Spreads, sets: Sequence[Sequence[float]], unit: str) -> Iterator[Flag]:
    """The sets whose own results lie further apart than one laboratory repeats."""
    for number, runs in enumerate(sets, 1):
        if not 2 <= len(runs) <= MOST_IN_TABLE:
            continue
        crit, apart = compare.critical_range(spreads.within, len(runs)), max(runs) - min(runs)
        if apart > crit:
            shown = {"r": write.short(apart, 3), "crit": write.short(crit, 3)}
            which = f"Laboratory {number}"
            yield flag("results_range_beyond", which=which, n=len(runs), unit=worded(unit), **shown)


def _critical(d: float, limit: float, unit: str, *, one: bool) -> Verdict:
    within = abs(d) <= limit
    word = "within" if within else "beyond"
    code = f"{'one_laboratory' if one else 'laboratories'}_{word}"
    fields = {"d": write.short(abs(d), 3), "limit": write.short(limit, 3), "unit": worded(unit)}
    return Verdict(code, word, mended(say(code, **fields)))


def _critical_step(spreads: _Spreads, n_1: int, n_2: int, limit: float, unit: str) -> sums.Step:
    s_r = sums.n(spreads.within)
    if spreads.between is None:
        share = f"(1/(2 × {n_1}) + 1/(2 × {n_2}))"
        return sums.step("critical difference", f"2.8 × {s_r} × √{share}", limit, unit)
    s_R = sums.n(spreads.between)  # noqa: N806  the standard's own symbol
    share = f"(1 - 1/(2 × {n_1}) - 1/(2 × {n_2}))"
    return sums.step(
        "critical difference", f"√((2.8 × {s_R})^2 - (2.8 × {s_r})^2 × {share})", limit, unit
    )
