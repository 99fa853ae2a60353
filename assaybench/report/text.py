"""A report of a log as plain text: what a client, a buyer or an auditor needs, and none hidden.

The fields are those of ISO/IEC 17025:2017, 7.8.2.1, as far as the log has them (letters as in the
clause, in our own words); one that the log does not have is said to be not recorded. The text is
made of the logbook and the options alone: the same logbook gives the same bytes on every day.
"""

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from assaybench.logbook.determinations import Elsewhere, Family
from assaybench.logbook.folder import LogName
from assaybench.messages import say
from assaybench.metrology.figure import Flag
from assaybench.record import sample_sums
from assaybench.record.checks import checks
from assaybench.record.entries import Effective
from assaybench.record.method_items import ITEMS
from assaybench.record.pools import earlier, nobodys, pools
from assaybench.record.replay import State
from assaybench.record.results import Results, SampleResult
from assaybench.record.suspect import suspects
from assaybench.record.wholes import wholes
from assaybench.report import determinations_view as of_all
from assaybench.report import text_parts as parts
from assaybench.report.answer import Section, coverage_line, factors_of
from assaybench.report.page import MOST as OLD_TERMINAL
from assaybench.report.page import fitted, leader, wrapped
from assaybench.report.results_text import elsewhere, results
from assaybench.report.results_view import (
    assumptions_of,
    check_sections,
    circuit_part,
    loud_flags,
    mixed,
    pool_flags,
    pool_section,
    whole_section,
)

NOT_RECORDED = "not recorded"
SAID = {item.name: item.help for item in ITEMS if item.in_head}
"""Items of `method` that a report repeats as they were said, and their labels."""
MOST = 76
SHORT_DIGEST = 32
MOST_COUNTS = 4
"""Times that lines are counted until the count, which stands in them, changes nothing more."""
_OF = {"circuit test": "Gravity circuit", "self-test": "Evidence for validation"}


class Statement(NamedTuple):
    """A statement about a log, as its own file says it.

    Attributes:
        file: name of its file.
        name, role, meaning, text: who says what; empty where the file holds no statement.
        fingerprint: of the key, as the file names it.
    """

    file: str
    name: str = ""
    role: str = ""
    meaning: str = ""
    text: str = ""
    fingerprint: str = ""


@dataclass(frozen=True, slots=True)
class Sealed:
    """What is known of the seal of a log.

    Attributes:
        sha512: digest that the register names; empty when it does not know the log as sealed.
        size: size in bytes that it names.
        mark: the mark of the register as `N:DIGEST`, empty without one.
        statements: the statements about the log.
    """

    sha512: str = ""
    size: int = 0
    mark: str = ""
    statements: tuple[Statement, ...] = ()


@dataclass(frozen=True, slots=True)
class Report:
    """Everything that a report says.

    Attributes:
        name: the log.
        found: its results; their state holds its entries.
        families: all determinations of its samples.
        others: the logs that hold more of them.
        link: link of its last good entry.
        program: program and version that make the report.
        flags: what a reader must know of the file.
        seal: what is known of its seal.
        issued: date of issue, empty when nobody said.
        only: ids of the samples that are asked for; empty asks for all.
        with_sum: whether the sums are printed.
    """

    name: LogName
    found: Results
    families: Sequence[Family]
    others: Elsewhere
    link: str
    program: str
    flags: Sequence[Flag] = ()
    seal: Sealed = Sealed()
    issued: str = ""
    only: Sequence[str] = ()
    with_sum: bool = False

    @property
    def state(self) -> State:
        """The log after its entries."""
        return self.found.run.state

    @property
    def number(self) -> str:
        """Number of the report: the log, how far it had come, and what was asked for."""
        part = f", of {', '.join(self.only)}" if self.only else ""
        return f"{self.name.spelled}/{len(self.state.entries)}{part}"

    @property
    def shown(self) -> list[SampleResult]:
        """The samples that it is about; blanks and proofs stand among the checks."""
        return [
            sample
            for sample in self.found.samples
            if not self.only or sample.id in self.only or sample.of in self.only
        ]


def text_report(report: Report) -> str:
    """The report as text, lines of at most 76 signs but for those of tables.

    It has no pages, whatever a printer makes of it: its lines are counted at its head and its end.
    """
    body, end = _body(report), _end(report)
    lines: list[str] = []
    for _ in range(MOST_COUNTS):
        n = len(lines)
        lines = _shown(report, [*_title(report, n), *body, *end, *_end_mark(report, n)])
        if len(lines) == n:
            break
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _shown(report: Report, texts: Iterable[str]) -> list[str]:
    """The lines, each marked where it is practice."""
    lines = [line for text in texts for line in text.split("\n")]
    if report.name.practice:
        room = OLD_TERMINAL - len(say("practice_line", line=""))
        lines = [part for line in lines for part in fitted(line, room)]
        lines = [say("practice_line", line=line) for line in lines]
    return lines


def _body(report: Report) -> list[str]:
    """The lines between the title and what stands under every report."""
    lines = [""]
    for flag in report.flags:
        lines += [*wrapped(flag.text), ""]
    lines += [leader(label, value, width=MOST) for label, value in _head(report)]
    for section in _sections(report):
        lines += ["", f"  {section.title}"]
        for label, value in section.rows:
            lines += _row(label, value, table=section.table)
    return [*lines, ""]


def _row(label: str, value: str, *, table: bool) -> list[str]:
    if table:
        return [f"    {label}"]
    if value:
        return [leader(label, value, indent=4, width=MOST)]
    inner = len(label) - len(label.lstrip())
    return wrapped(label, indent=4 + inner, width=MOST)


def _title(report: Report, n: int) -> list[str]:
    opened = report.state.opened
    what = opened.text("log") if opened else ""
    head = f"  Report {report.number}"
    of = f"  {_OF.get(what, 'Fire assay')}, {what}"
    title = opened.text("title") if opened else ""
    lines = f"  {say('report_lines', n=n)}"
    return [*wrapped(head.strip()), lines, of, *(wrapped(title) if title else [])]


def _head(report: Report) -> list[tuple[str, str]]:
    state = report.state
    opened = state.opened
    said = {item: state.methods.get(item, NOT_RECORDED) for item in SAID}
    worked = [e.entry.at for e in state.entries if e.kind == "reading"]
    paper = opened.text("paper_date") if opened else ""
    last = state.entries[-1].entry
    rows = [(SAID[item], text) for item, text in said.items()]
    return [
        *rows[:2],
        ("bench, and number of the log", report.name.spelled),
        *rows[2:4],
        ("opened", NOT_RECORDED if opened is None else parts.moment(opened.entry.at)),
        *([("weighed, as the paper is dated", paper)] if paper else []),
        ("entered from paper" if paper else "weighed", _span(worked) or NOT_RECORDED),
        rows[4],
        ("method", f"version {opened.whole('method_version')}" if opened else NOT_RECORDED),
        ("programs of the log", ", ".join(_programs(state))),
        ("program of this report", report.program),
        ("last entry", f"{last.n}, {parts.moment(last.at)}"),
        ("amendments", str(parts.corrected(state))),
        ("issued", report.issued or say("report_not_issued")),
    ]


def _span(moments: Sequence[datetime]) -> str:
    if not moments:
        return ""
    first, last = parts.day_of(moments[0]), parts.day_of(moments[-1])
    return first if first == last else f"{first} to {last}"


def _programs(state: State) -> Iterable[str]:
    named = (e.text("program") for e in state.entries if e.kind in ("opened", "session"))
    return dict.fromkeys(program for program in named if program)


def _sections(report: Report) -> Iterator[Section]:
    """Every group that has something to say, in the order in which a reader asks."""
    found, state, only = report.found, report.state, report.only
    extra, unfinished = circuit_part(found)
    joined = [whole for whole in wholes(found) if not only or whole.id in only]
    shown, together = report.shown, pools(found, only)
    groups: list[Section] = [
        parts.items(state, shown),
        *results(report.families, found, only),
        *map(whole_section, joined),
        *map(pool_section, together),
        *(extra.page if not only else ()),
        elsewhere(report.families, only),
        parts.weighings(found, [*(sample.id for sample in shown), *(p.id for p in together)]),
        *check_sections([c for c in checks(found) if not only or c.kind != "duplicate"], ()),
        parts.balances(state),
        parts.doubts(
            [
                *(suspect.flag for suspect in suspects(state)),
                *mixed(found, only),
                *loud_flags(shown),
                *(Flag(f.code, f"{whole.id}: {f.text}") for whole in joined for f in whole.flags),
                *pool_flags(together),
                *nobodys(state),
                *earlier(state, [sample.id for sample in shown] if only else ()),
                *((*extra.flags, *unfinished) if not only else ()),
                *of_all.flags(report.families, report.others, only),
            ]
        ),
        parts.left_out(state, shown),
        parts.amendments(state, shown, only),
        parts.asked(state, shown),
        parts.clock(state),
        parts.choices(state),
        parts.reagents(state),
        parts.from_others(state, shown),
        parts.people(state),
        parts.remarks(state, shown),
        parts.attachments(state, shown),
    ]
    taken = dict.fromkeys(
        [
            *assumptions_of(shown),
            *(said for whole in joined for said in whole.assumptions),
            *(said for pool in together for said in pool.assumptions),
            *(extra.assumptions if not only else ()),
        ]
    )
    groups.append(Section("Taken as given", tuple((text, "") for text in taken)))
    if report.with_sum:
        steps = [step for sample in shown for step in sample_sums.sample_sum(found, sample)]
        steps += [step for whole in joined for step in whole.steps]
        steps += [step for pool in together for step in pool.steps]
        steps += extra.steps if not only else ()
        groups.append(Section("The sum", tuple((step.line, "") for step in steps)))
    yield from (group for group in groups if group.rows)
    yield _seal(report)


def _seal(report: Report) -> Section:
    """Whether the log is open or sealed, by whom, and how that is checked."""
    entries = report.state.entries
    replaced = max((i for i, e in enumerate(entries) if e.kind == "replaces"), default=0)
    earlier = [e for e in entries[:replaced] if e.kind == "sealed"]
    void = next((flag.text for flag in report.flags if flag.code == "number_void"), "")
    sealed = [e for e in entries[replaced:] if e.kind == "sealed"]
    rows: list[tuple[str, str]] = [("last link", ""), (f"  {report.link}", "")]
    rows += [(say("report_earlier", name=e.text("name")), "") for e in earlier]
    if void:
        rows.append((void, ""))
    if not sealed and not report.seal.sha512 and void:
        return Section("Standing of the log: void", tuple(rows))
    if not sealed and not report.seal.sha512:
        return Section("Standing of the log: open", (*rows, (say("report_open"), "")))
    rows += [row for entry in sealed for row in _signature(entry)]
    seal = report.seal
    if seal.sha512:
        half = len(seal.sha512) // 2
        rows += [
            ("size, bytes", str(seal.size)),
            ("SHA-512", ""),
            (f"  {seal.sha512[:half]}", ""),
            (f"  {seal.sha512[half:]}", ""),
        ]
    else:
        rows.append((say("report_half_sealed"), ""))
    keys = {entry.text("fingerprint") for entry in sealed}
    rows += [row for said in seal.statements for row in _statement(said, keys)]
    count, _, digest = seal.mark.partition(":")
    if seal.mark:
        rows += [(f"register mark, {count} entries", ""), (f"  {digest}", "")]
    check = f"assaybench verify {report.name.spelled}"
    rows += [(say("report_check", command=check), "")]
    if seal.mark:
        # so much of the digest is enough, and can be typed
        rows += [(say("report_mark", mark=f"{count}:{digest[:SHORT_DIGEST]}"), "")]
    return Section(f"Standing of the log: sealed{', void' if void else ''}", tuple(rows))


def _signature(entry: Effective) -> list[tuple[str, str]]:
    return [
        ("signed by", f"{entry.text('name')}, {entry.text('role')}"),
        ("meaning", entry.text("meaning")),
        ("at", parts.moment(entry.entry.at)),
        ("fingerprint", entry.text("fingerprint")),
    ]


def _statement(said: Statement, keys: Container[str]) -> Iterator[tuple[str, str]]:
    """Who says what with which key; told when that key sealed the log as well."""
    yield "statement about it", said.file
    if not said.name:
        return
    yield "  by", f"{said.name}, {said.role}"
    yield "  meaning", said.meaning
    if said.text:
        yield f"  {said.text}", ""
    yield "  fingerprint", said.fingerprint
    if said.fingerprint in keys:
        yield say("statement_same_key", name=said.file, who=said.name), ""


def _end(report: Report) -> list[str]:
    """What stands under every report."""
    grades = (
        of_all.pooled(f, report.found.grades, report.only, sort)
        for f in report.families
        for sort in f.sorts or ("",)
    )
    figures = [figure for figure in grades if figure is not None]
    figures += [figure for sample in report.shown for figure in sample.figures.values()]
    figures += [figure for whole in wholes(report.found) for figure in whole.figures.values()]
    figures += [figure for pool in pools(report.found) for figure in pool.figures.values()]
    factors = factors_of(figures)
    return [
        *([f"  {coverage_line(factors)}"] if factors else []),
        *wrapped(say("report_items")),
        *wrapped(say("report_fume")),
        "",
    ]


def _end_mark(report: Report, n: int) -> list[str]:
    return wrapped(say("report_end", number=report.number, n=n))
