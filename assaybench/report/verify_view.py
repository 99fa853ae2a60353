"""What verify found, as an answer: verdict, who signed, the logs, every finding in a sentence."""

from collections.abc import Iterable
from pathlib import Path

from assaybench.logbook.verify import Verified
from assaybench.logbook.verify_book import LogFound
from assaybench.logbook.verify_found import Found, Level
from assaybench.logbook.verify_keys import TRUST_WORDS
from assaybench.messages import say
from assaybench.metrology.figure import Flag, Verdict, flag
from assaybench.report.answer import Answer, Section, table_section
from assaybench.report.tables import aligned

MOST_SHOWN = 40
"""Logs, and findings of one level, that a page shows; JSON holds more."""
LOGS, LOGS_NOT_GOOD = "Logs", "Logs that are not good"
_LINK_SHOWN = 16
LEVELS: tuple[tuple[Level, str], ...] = (
    ("bad", "Not good"),
    ("undone", "Could not be checked"),
    ("note", "To know"),
)
OUTCOMES = {
    "": "",
    "recomputes": "recomputes",
    "differently": "differently",
    "not": "does not recompute",
    "refused": "newer program",
}


def answer_of(
    result: Verified, inputs: dict[str, object], where: str, *, recomputed: bool
) -> Answer:
    """The answer of `verify`.

    Args:
        result: what was found.
        inputs: what was typed.
        where: the folder or files that were looked at.
        recomputed: whether figures were asked to be worked out again.
    """
    return Answer(
        command="verify",
        inputs=inputs,
        figures={},
        rows=tuple(_rows(result, where, recomputed=recomputed)),
        verdict=verdict_of(result),
        sections=tuple(_sections(result)),
        flags=tuple(_flags(result)),
        records=_records(result),
    )


def verdict_of(result: Verified) -> Verdict:
    """The judgement over everything that was looked at."""
    n, logs = result.total, "log" if result.total == 1 else "logs"
    if result.levels.get("bad"):
        if result.not_good:
            reason = say("verify_bad", bad=result.not_good, n=n, logs=logs)
        else:
            reason = say("verify_bad_around")
        return Verdict("verify_bad", "not good", reason)
    if result.levels.get("undone"):
        return Verdict("verify_undone", "not all checked", say("verify_undone"))
    if not n:
        return Verdict("verify_none", "nothing to check", say("verify_none"))
    return Verdict("verify_good", "good", say("verify_good", n=n, logs=logs))


def _rows(result: Verified, where: str, *, recomputed: bool) -> Iterable[tuple[str, str]]:
    yield "looked at", where
    parts = ", ".join(f"{n} {state}" for state, n in result.counts.items())
    yield "logs", f"{result.total}: {parts}" if parts else "none"
    if recomputed and result.recomputed:
        good = result.recomputed.get("recomputes", 0)
        yield "recomputed", f"{good} of {sum(result.recomputed.values())}"
    elif not recomputed:
        yield "recomputed", "not asked for"
    for register in result.registers:
        mark = f"{register.entries}:{register.link[:_LINK_SHOWN]}"
        yield f"mark of the register of {register.bench} now", mark


def _sections(result: Verified) -> Iterable[Section]:
    if result.keys:
        yield table_section("Signed by", _key_lines(result))
    bad = [log for log in result.logs if not log.good]
    shown = result.logs if result.total <= MOST_SHOWN else bad[:MOST_SHOWN]
    if shown:
        title = LOGS if shown is result.logs else LOGS_NOT_GOOD
        yield table_section(title, _log_lines(shown))
    for level, title in LEVELS:
        found = [finding for finding in result.findings if finding.level == level]
        lines = [line for one in found[:MOST_SHOWN] for line in one.sentence.split("\n")]
        left = result.levels.get(level, 0) - len(found[:MOST_SHOWN])
        if left > 0:
            lines.append(say("verify_more", n=left))
        if lines:
            yield Section(title, tuple((line, "") for line in lines))


def _key_lines(result: Verified) -> list[str]:
    """Two lines for each key: whose it is, and who says so; a fingerprint is long."""
    lines = []
    for use in result.keys:
        lines.append(f"{use.fingerprint}  {use.principal}".rstrip())
        counts = (("log", use.logs), ("statement", use.statements), ("mark", use.marks))
        signed = ", ".join(f"{n} {what}{'s' * (n != 1)}" for what, n in counts if n)
        lines.append(f"  {TRUST_WORDS[use.trust]}: {signed}")
    return lines


def _log_lines(logs: Iterable[LogFound]) -> list[str]:
    heads = ("log", "state", "entries", "sealed on", "by", "figures", "")
    rows = [
        (
            log.seen.name.spelled,
            log.state,
            str(log.seen.entries),
            log.seen.sealed.at.date().isoformat() if log.seen.sealed else "",
            log.seen.sealed.name if log.seen.sealed else "",
            OUTCOMES[log.seen.recomputed],
            "" if log.good else "not good",
        )
        for log in logs
    ]
    return aligned(heads, rows, left=(0, 1, 3, 4, 5, 6))


def _flags(result: Verified) -> Iterable[Flag]:
    listed = [use for use in result.keys if use.trust == "listed"]
    if listed:
        yield flag("compare_key" if len(listed) == len(result.keys) else "compare_keys")
    if result.registers and not result.held:
        yield flag("end_unseen")


def _records(result: Verified) -> dict[str, list[dict[str, object]]]:
    return {
        "counts": [
            {
                "id": "all",
                "logs": result.total,
                "not_good": result.not_good,
                "states": dict(result.counts),
                "recomputed": dict(result.recomputed),
                "findings": dict(result.levels),
                "findings_left_out": result.left_out,
            }
        ],
        "registers": [
            {"id": r.bench, "entries": r.entries, "link": r.link, "mark": f"{r.entries}:{r.link}"}
            for r in result.registers
        ],
        "keys": [
            {
                "id": use.fingerprint,
                "who": use.principal,
                "named_by": use.trust,
                "logs": use.logs,
                "statements": use.statements,
                "marks": use.marks,
                "ended": use.ended,
                "since": use.since.isoformat() if use.since else None,
            }
            for use in result.keys
        ],
        "logs": [_log_record(log) for log in result.logs],
        "findings": [_finding_record(n, one) for n, one in enumerate(result.findings, start=1)],
    }


def _log_record(log: LogFound) -> dict[str, object]:
    seen, sealed = log.seen, log.seen.sealed
    return {
        "id": seen.name.spelled,
        "path": seen.path,
        "good": log.good,
        "state": log.state,
        "file": seen.verdict,
        "entries": seen.entries,
        "size": seen.size,
        "sha512": seen.sha512,
        "signed_by": seen.key.fingerprint if seen.key else None,
        "key_named_by": log.trust,
        "sealed_at": sealed.at.isoformat() if sealed else None,
        "signer": sealed.name if sealed else None,
        "role": sealed.role if sealed else None,
        "meaning": sealed.meaning if sealed else None,
        "statements": [Path(statement.path).name for statement in seen.statements],
        "replaces": seen.replaces.number if seen.replaces else None,
        "figures": seen.recomputed,
    }


def _finding_record(n: int, one: Found) -> dict[str, object]:
    return {"id": n, "level": one.level, "code": one.code, "text": one.sentence, "path": one.path}
