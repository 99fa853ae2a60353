"""The page of results: what the samples and products of a hand sheet or a log say."""

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from assaybench.assay import sorts
from assaybench.messages import BadInput, quoted, say
from assaybench.metrology.figure import Flag, flag
from assaybench.record import sample_sums
from assaybench.record.checks import Check, checks
from assaybench.record.circuit_run import circuit_of, mixed_circuit
from assaybench.record.entries import Entry
from assaybench.record.fineness import figures_with_fineness
from assaybench.record.method_items import unused
from assaybench.record.pools import Pool, earlier, nobodys, pools
from assaybench.record.replay import State, replay
from assaybench.record.results import Results, SampleResult, results
from assaybench.record.sums import Step
from assaybench.record.suspect import suspects
from assaybench.record.wholes import Whole, wholes
from assaybench.report.answer import (
    Answer,
    Section,
    budget_rows,
    factors_of,
    figure_tree,
    verdict_tree,
)
from assaybench.report.circuit_view import EMPTY, View, view
from assaybench.report.samples_table import repeated, tables
from assaybench.units import write

SHOWN_NAMES = 4
_DIGITS = re.compile(r"[\d.,]+")
MANY = 20
"""From so many samples on, the false detections of a whole tray are told: 5 in 100 each."""
LABELS = {
    "charge": "charge",
    "bead": "bead, as read",
    "gold_read": "gold, as read",
    "gold": "gold",
    "dore": "doré of the sample",
    "silver": "silver of the sample",
    "grade_gold": "gold grade",
    "grade_silver": "silver grade",
    "native_fineness": "native fineness",
}
WHOLE_TITLES = {"metallics": "screen metallics", "bar": "bar"}
WHOLE_LABELS = {
    "grade_gold": "grade",
    "minus_grade": "grade of what passed the screen",
    "plus_metal": "gold on the screen",
    "minus_metal": "gold that passed",
    "coarse_share": "of it coarse",
    "fineness": "fineness, corrected by its proofs",
    "fineness_raw": "fineness, not corrected",
    "fine_gold": "fine gold, corrected",
    "fine_gold_raw": "fine gold, not corrected",
    "closure": "total less plus less minus",
    "closure_limit": "which may be at most",
    "settled": "settled at",
    "surcharge": "surcharge of the proofs, found minus taken",
    "surcharge_permille": "the same, of the gold taken",
}
JUDGED = {
    "charge": "weighing of the charge",
    "bead": "weighing of the bead",
    "gold": "weighing of the gold",
    "gold_metal": "gold",
    "dore_metal": "doré",
}


class Source(NamedTuple):
    """Where entries come from: their name for faults and rows, and what JSON says of it."""

    name: str
    inputs: dict[str, object]
    rows: tuple[tuple[str, str], ...]
    record: tuple[str, dict[str, object]]
    flags: Sequence[Flag] = ()


def _attached(state: State, only: Sequence[str]) -> list[Section]:
    """The files that are kept beside the log; of some samples, theirs."""
    rows = [
        (entry.text("file"), f"{entry.text('sample')} {entry.whole('size')} bytes".strip())
        for entry in state.of("attachment")
        if not only or entry.text("sample") in only
    ]
    return [Section("Files beside the log", tuple(rows))] if rows else []


def answer_of(
    source: Source, entries: Iterable[Entry], only: Sequence[str] = (), *, with_sum: bool = False
) -> Answer:
    """The answer of `results`.

    Args:
        source: where the entries come from.
        entries: of a hand sheet or a log, in order.
        only: ids of samples to show in full; empty shows all in one table.
        with_sum: whether the sums of the samples are asked for.

    Raises:
        BadInput: what stands in the way of results, each line led by the source.
    """
    try:
        state = replay(entries)
        found = results(state)
        unknown = [sample for sample in only if sample not in state.samples]
        if unknown:
            known = ", ".join(state.samples) or "none yet"
            raise BadInput.of("sample_unknown", x=quoted(unknown[0]), choices=known)
        extra, unfinished = circuit_part(
            found,
            # a sheet is mended and read again; what was weighed into a log is shown all the same
            needed=source.record[0] != "log" or not found.samples,
        )
    except BadInput as fault:
        raise fault.named(source.name) from fault
    joined = [whole for whole in wholes(found) if not only or whole.id in only]
    together, made = pools(found, only), checks(found)
    shown = [s for s in found.samples if not only or s.id in only]
    grades = [grade for grade in found.grades if not only or grade.id in only]
    sections = [*tables(found, shown), *repeated(grades, shown), *_left_out(shown)]
    sections += [*map(whole_section, joined), *map(pool_section, together)]
    sections += check_sections(made, only)
    sections += _attached(state, only)
    opened = [section for s in shown if only for section in _opened(found, s)]
    printed = [f for whole in joined for f in whole.figures.values()]
    printed += [grade.figure for grade in grades]
    printed += [f for pool in together for f in pool.figures.values()]
    return Answer(
        command="results",
        inputs={**source.inputs, "samples": [*only]},
        figures=extra.figures,
        rows=source.rows,
        sections=(*sections, *opened, *extra.page),
        flags=(
            *source.flags,
            *_unused(state),
            *(suspect.flag for suspect in suspects(state)),
            *mixed(found, only),
            *(_flags(shown) if only else loud_flags(shown)),
            *(Flag(f.code, f"{whole.id}: {f.text}") for whole in joined for f in whole.flags),
            *pool_flags(together),
            *nobodys(state),
            *earlier(state, only),
            *extra.flags,
            *unfinished,
        ),
        assumptions=tuple(
            dict.fromkeys(
                (
                    *assumptions_of(shown),
                    *(said for whole in joined for said in whole.assumptions),
                    *(said for pool in together for said in pool.assumptions),
                    *extra.assumptions,
                )
            )
        ),
        coverage=(
            *(k for sample in shown for k in sample.factors),
            *factors_of([*printed, *extra.figures.values()]),
        ),
        steps=(
            *_sums(found, shown if with_sum else ()),
            *(line for whole in joined for line in whole.steps),
            *(line for pool in together for line in pool.steps),
            *extra.steps,
        ),
        records=lambda: {
            **_records(source, found, made, shown),
            "wholes": [_whole_tree(whole) for whole in joined],
            **({"pools": [_pool_tree(pool) for pool in together]} if together else {}),
            **extra.records,
        },
        budget=extra.budget,
    )


def circuit_part(found: Results, *, needed: bool = False) -> tuple[View, tuple[Flag, ...]]:
    """What the circuit of a log says; where it says nothing, as one that is still run, why.

    Raises:
        BadInput: why, when what it says is needed.
    """
    try:
        circuit = circuit_of(found)
    except BadInput as fault:
        if needed:
            raise
        return EMPTY, tuple(Flag("circuit_unfinished", line) for line in fault.lines)
    return (EMPTY if circuit is None else view(circuit)), ()


def _unused(state: State) -> list[Flag]:
    """Choices of the method in a stored log that nothing follows from, so that none is missed."""
    return [
        flag("method_unused", n=entry.n, item=entry.text("item"), said=said)
        for entry in state.entries
        if entry.kind == "method" and entry.withdrawn is None
        if (said := unused(entry.values))
    ]


def _sums(found: Results, shown: Sequence[SampleResult]) -> list[Step]:
    return [line for sample in shown for line in sample_sums.sample_sum(found, sample)]


def mixed(found: Results, only: Sequence[str]) -> list[Flag]:
    """Where corrected gold and gold that is not meet: determinations of a sample, a circuit.

    Args:
        found: the results.
        only: ids of samples that are asked for; empty asks for all, and for the circuit.
    """
    asked = [grade for grade in found.grades if not only or grade.id in only]
    names = dict.fromkeys(grade.id for grade in asked if grade.mixed)
    flags = [Flag("loss_mixed", f"{name}: {say('loss_mixed')}") for name in names]
    return [*flags, *([] if only else mixed_circuit(found))]


def _left_out(shown: Sequence[SampleResult]) -> list[Section]:
    """What is left out of means, and why."""
    rows = [(f"{sample.id}: {sample.left_out}", "") for sample in shown if sample.left_out]
    return [Section("Left out of means", tuple(rows))] if rows else []


def whole_section(whole: Whole) -> Section:
    """Screen metallics or a bar: its figures and, where settled, with whom and how."""
    shown = (*whole.printed.items(), *whole.printed_pieces.items())
    rows = [(WHOLE_LABELS.get(name, name), figure.text) for name, figure in shown]
    if whole.settlement is not None:
        lines = whole.settlement.verdict.reason.split("\n")
        rows += [(line, "") for line in lines]
    return Section(f"{whole.id}, {WHOLE_TITLES[whole.kind]}", tuple(rows))


def pool_section(pool: Pool) -> Section:
    """What samples that were weighed together say."""
    rows = [(LABELS.get(name, name), figure.text) for name, figure in pool.figures.items()]
    return Section(say("pool_title", id=pool.id, names=", ".join(pool.samples)), tuple(rows))


def pool_flags(together: Iterable[Pool]) -> list[Flag]:
    """What a reader must know of pools, each led by its name."""
    return [
        f if f.code == "pool_together" else Flag(f.code, f"{pool.id}: {f.text}")
        for pool in together
        for f in pool.flags
    ]


def _pool_tree(pool: Pool) -> dict[str, object]:
    return {
        "id": pool.id,
        "samples": list(pool.samples),
        "figures": {name: figure_tree(f) for name, f in pool.figures.items()},
        "flags": [{"code": f.code, "text": f.text} for f in pool.flags],
        "assumptions": list(pool.assumptions),
    }


def _whole_tree(whole: Whole) -> dict[str, object]:
    settlement = whole.settlement
    return {
        "id": whole.id,
        "kind": whole.kind,
        "correction": sorts.words(whole.sort),
        "figures": {name: figure_tree(f) for name, f in whole.figures.items()},
        "pieces": {name: figure_tree(f) for name, f in whole.pieces.items()},
        "budget": {
            name: [{"source": s.source, "share": s.share} for s in budget]
            for name, budget in whole.budget.items()
        },
        "settlement": None if settlement is None else verdict_tree(settlement.verdict),
        "flags": [{"code": f.code, "text": f.text} for f in whole.flags],
        "assumptions": list(whole.assumptions),
    }


def check_sections(made: Sequence[Check], only: Sequence[str]) -> list[Section]:
    """The checks in words, those of the samples asked for or all."""
    lines = [
        (f"{check.kind} {check.id}: {check.words}. {line}" if i == 0 else f"  {line}", "")
        for check in made
        if not only or check.id in only
        for i, line in enumerate(check.text.split("\n"))
    ]
    return [Section("Checks", tuple(lines))] if lines else []


def _opened(found: Results, sample: SampleResult) -> list[Section]:
    """One sample in full: every figure, verdict and where its doubt comes from."""
    printed = figures_with_fineness(found, sample)
    figures = tuple((LABELS[name], f.text) for name, f in printed.items())
    why = tuple((f"{LABELS[n]}: {f.why}", "") for n, f in sample.figures.items() if f.why)
    verdicts = tuple((JUDGED[name], v.text) for name, v in sample.verdicts.items())
    sections = [
        Section(f"{sample.id}, {sample.role}", (*figures, *why)),
        Section("What that says", verdicts),
    ]
    for name, budget in sample.budget.items():
        title = f"Where the ± of {LABELS[name]} comes from, parts in 100"
        sections.append(Section(title, budget_rows(budget)))
    return [section for section in sections if section.rows]


def _flags(shown: Sequence[SampleResult]) -> list[Flag]:
    return list(dict.fromkeys(f for sample in shown for f in sample.flags))


def loud_flags(shown: Sequence[SampleResult]) -> list[Flag]:
    """Flags of a whole table: each sentence once, with the numbers of its first sample."""
    first: dict[str, tuple[str, Flag]] = {}
    likewise: dict[str, dict[str, None]] = {}
    kinds: dict[str, str] = {}
    for sample in shown:
        for f in sample.flags:
            if f.text not in kinds:
                kinds[f.text] = _DIGITS.sub("", f.text)
            kind = kinds[f.text]
            if kind not in first:
                first[kind] = (sample.id, f)
            elif sample.id != first[kind][0]:
                likewise.setdefault(kind, {})[sample.id] = None
    found = []
    for kind, (name, f) in first.items():
        more = f"\nLikewise {_names([*likewise[kind]])}." if kind in likewise else ""
        found.append(Flag(f.code, f"{name}: {f.text}{more}"))
    lost = [Flag("lost", f"{s.id} lost: {s.lost}.") for s in shown if s.lost]
    return [*lost, *found]


def _names(names: Sequence[str]) -> str:
    """Names in a sentence, the first four of many."""
    if len(names) <= SHOWN_NAMES:
        return ", ".join(names)
    return f"{', '.join(names[:SHOWN_NAMES])} and {len(names) - SHOWN_NAMES} more"


def assumptions_of(shown: Sequence[SampleResult]) -> list[str]:
    """What was taken as given for these samples, each once."""
    said = dict.fromkeys(a for sample in shown for a in sample.taken)
    n = len(shown)
    with_ends = [sample for sample in shown if sample.has_silver_ends]
    if with_ends:
        lead = f"{with_ends[0].id}: " if n > 1 else ""
        ends = [f"{lead}{end}" for end in with_ends[0].silver_ends()]
        if len(with_ends) > 1:
            ends.append(f"Likewise {_names([sample.id for sample in with_ends[1:]])}.")
        said |= dict.fromkeys(ends if n == 1 else ["\n".join(ends)])
    if n >= MANY:
        said[say("false_detections", n=n, wrong=write.short(0.05 * n, 2))] = None
    return list(said)


def _records(
    source: Source, found: Results, made: Sequence[Check], shown: Sequence[SampleResult]
) -> dict[str, list[dict[str, object]]]:
    return {
        "samples": [_sample_tree(found, sample) for sample in shown],
        "grades": [
            {
                "id": grade.id,
                "correction": sorts.words(grade.sort),
                "figures": {"grade_gold": figure_tree(grade.figure)},
                "determinations": grade.of_all,
                "used": len(grade.grade.used),
                "mean_of_all": grade.grade.mean_of_all,
                "median_of_all": grade.grade.median_of_all,
            }
            for grade in found.grades
        ],
        "checks": [{"id": c.id, "kind": c.kind, "state": c.state, "text": c.text} for c in made],
        source.record[0]: [source.record[1]],
    }


def _sample_tree(found: Results, sample: SampleResult) -> dict[str, object]:
    figures = figures_with_fineness(found, sample)
    return {
        "id": sample.id,
        "role": sample.role,
        "of": sample.of,
        "correction": sorts.words(sample.sort),
        "lost": sample.lost,
        "left_out": sample.left_out,
        "figures": {name: figure_tree(f) for name, f in figures.items()},
        "verdicts": {name: verdict_tree(v) for name, v in sample.verdicts.items()},
        "budget": {
            name: [{"source": s.source, "share": s.share} for s in budget]
            for name, budget in sample.budget.items()
        },
        "flags": [{"code": f.code, "text": f.text} for f in sample.flags],
        "assumptions": list(sample.assumptions),
    }
