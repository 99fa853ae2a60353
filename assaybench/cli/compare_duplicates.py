"""A list of duplicates: how well a determination repeats."""

from collections.abc import Sequence
from typing import Any

from assaybench.assay import duplicates
from assaybench.assay.duplicates import Line
from assaybench.assay.replicates import spread_of_duplicates
from assaybench.cli.compare_words import difference_figure, expect
from assaybench.cli.options import Faults
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology import compare
from assaybench.metrology.compare import Difference, spread_interval
from assaybench.metrology.figure import COVERAGE, Figure, Flag, Verdict, flag, plain
from assaybench.record import sums
from assaybench.record.sums import Step
from assaybench.report.answer import Answer
from assaybench.report.compare_words import by_chance, p_figure, with_sign
from assaybench.units import parse, write
from assaybench.units.table import ANYTHING, BY_SPELLING

PLACE = "--duplicates"
MOST_PAIRS = 2000
MOST_NAMED = 8
LIMIT = 1.96 * 2**0.5
"""Two results of one spread lie within 1.96·√2·s 95 times in 100 (method version 1, section 4)."""


def answer(figures: Sequence[str], typed: dict[str, Any]) -> Answer:
    """Spread, relative spread, bias and the pairs that stand out.

    Raises:
        BadInput: every fault of the line.
    """
    expect(figures, 0, say("form_no_figure", option="--duplicates"))
    faults = Faults()
    pairs, unit = read_pairs(faults, typed["duplicates"])
    faults.done()
    if len(pairs) < 2:
        raise BadInput.of("pairs_few", n=len(pairs)).named(PLACE)
    spread = spread_of_duplicates(pairs)
    assert spread is not None  # noqa: S101  there are pairs
    if spread.value == 0:
        raise BadInput.of("runs_unusable", why=say("pairs_all_alike"))
    shift = compare.paired(*zip(*pairs, strict=True)) if _scatters(pairs) else None
    positive = min(a + b for a, b in pairs) > 0
    relative = duplicates.relative_spread(pairs) if positive else None
    line = duplicates.thompson_howarth(pairs)
    found = {
        "spread": _spread(spread.value, len(pairs), unit),
        "limit": plain(LIMIT * spread.value, unit, digits=3),
        "bias": _shift(pairs, shift, unit),
        "pairs": plain(len(pairs), "1", digits=6),
    }
    rows = [
        ("pairs", str(len(pairs))),
        ("spread of one result, s_r", found["spread"].text),
        ("two results lie within, 95 in 100", found["limit"].text),
        ("second less first, mean", with_sign(found["bias"].text)),
    ]
    if shift is not None:
        found["p"] = p_figure(shift.p)
        rows.append(("chance of this much without a bias, in 100", by_chance(shift.p)))
    if relative is not None:
        found["relative_spread"] = _spread(100 * relative, len(pairs), "%")
        rows.append(("spread as a share of the grade", found["relative_spread"].text))
    if line is not None:
        found |= {
            "spread_at_zero": plain(line.s0, unit, digits=3),
            "spread_growth": plain(100 * line.k, "%", digits=3),
        }
        rows.append(("spread grows with grade c as", _lined(line, unit)))
    reason = say(
        "duplicates_spread",
        s=write.with_unit(write.short(spread.value, 2), unit),
        n=len(pairs),
        limit=found["limit"].text,
    )
    return Answer(
        command="compare",
        inputs={"duplicates": typed["duplicates"]},
        figures=found,
        rows=tuple(rows),
        verdict=Verdict("duplicates_spread", "spread of duplicates", reason),
        flags=_flags(pairs, spread.value, line),
        coverage=() if shift is None else (shift.k,),
        steps=_steps(pairs, spread.value, relative, unit),
    )


def _shift(pairs: Sequence[tuple[float, float]], shift: Difference | None, unit: str) -> Figure:
    """The second results less the first, mean of all pairs; with ± where they scatter."""
    if shift is None:
        return plain(duplicates.bias(pairs), unit, digits=3, basis="second less first")
    return difference_figure(shift, unit, "second less first")


def _scatters(pairs: Sequence[tuple[float, float]]) -> bool:
    differences = [b - a for a, b in pairs]
    return max(differences) - min(differences) > compare.NO_DOUBT * max(map(abs, differences))


def _spread(value: float, pairs: int, unit: str) -> Figure:
    """A spread with its interval by χ² of as many degrees of freedom as there are pairs."""
    low, high = spread_interval(value, pairs)
    place = write.uncertainty_place((high - low) / 2)
    middle = write.short(value, 2)
    least, most = (write.at_place(x, place) for x in (low, high))
    return Figure(
        value=value,
        unit=unit,
        low=low,
        high=high,
        coverage_probability=COVERAGE,
        dof=pairs,
        layer="assay",
        text=f"{write.with_unit(middle, unit)} ({write.with_unit(f'{least} to {most}', unit)})",
        basis="one determination",
    )


def _lined(line: Line, unit: str) -> str:
    first = write.with_unit(write.short(line.s0, 2), unit)
    sign = "-" if line.k < 0 else "+"
    return f"{first} {sign} {write.short(abs(line.k), 2)} × c"


def _flags(
    pairs: Sequence[tuple[float, float]], spread: float, line: Line | None
) -> tuple[Flag, ...]:
    flags = []
    far = duplicates.beyond(pairs, spread, duplicates.LIMIT_99)
    if far:
        named = [f"{i + 1} ({write.short(pairs[i][0])}, {write.short(pairs[i][1])})" for i in far]
        more = [f"{len(far) - MOST_NAMED} more"] if len(far) > MOST_NAMED else []
        flags.append(flag("duplicates_beyond", list=", ".join([*named[:MOST_NAMED], *more])))
    if line is None:
        flags.append(flag("duplicates_few", n=len(pairs)))
    elif line.s0 < 0:
        flags.append(flag("duplicates_line_negative"))
    return tuple(flags)


def _steps(
    pairs: Sequence[tuple[float, float]], spread: float, relative: float | None, unit: str
) -> tuple[Step, ...]:
    squares = " + ".join(f"({sums.n(a)} - {sums.n(b)})^2" for a, b in pairs)
    steps = [
        sums.step("s_r", f"√(({squares}) / (2 × {len(pairs)}))", spread, unit),
        sums.times("limit", LIMIT, spread, unit),
    ]
    if relative is not None:
        shares = " + ".join(
            f"(({sums.n(a)} - {sums.n(b)}) / ({sums.n(a)} + {sums.n(b)}))^2" for a, b in pairs
        )
        steps.append(
            sums.step("share", f"100 × √(2 / {len(pairs)} × ({shares}))", 100 * relative, "%")
        )
    return tuple(steps)


def read_pairs(faults: Faults, text: str) -> tuple[list[tuple[float, float]], str]:
    """Pairs `4.1:4.3` set off by blanks; a unit behind the last one counts for all."""
    parts = parse.words(text)
    if not parts or len(parts) > MOST_PAIRS:
        few = BadInput.of("number_empty", example="4.1:4.3")
        many = BadInput.of("too_many_runs", n=len(parts), most=MOST_PAIRS)
        faults.add(PLACE, many if parts else few)
        return [], "1"
    pairs: list[tuple[float, float]] = []
    units: set[str] = set()
    last_unit = ""
    for i, part in enumerate(parts, start=1):
        if part in BY_SPELLING and pairs and i == len(parts):
            last_unit = part
            continue
        first, _, second = part.partition(":")
        if part.count(":") != 1 or not first.strip() or not second.strip():
            faults.add(f"{PLACE} {i}", BadInput.of("duplicates_unreadable", x=quoted(part)))
            continue
        both = [
            faults.take(f"{PLACE} {i}", parse.plain_figure, one, ANYTHING, example="4.1")
            for one in (first, second)
        ]
        if both[0] is None or both[1] is None:
            continue
        units |= {one.unit.symbol for one in both if one is not None} - {"1"}
        pairs.append((float(both[0].value), float(both[1].value)))
    if last_unit:
        units.add(BY_SPELLING[last_unit].symbol)
    if len(units) > 1:
        faults.add(PLACE, BadInput.of("units_mixed", units=" and ".join(sorted(units))))
    return pairs, units.pop() if units else "1"
