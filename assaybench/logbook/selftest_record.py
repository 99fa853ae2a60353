"""The self-test record: what the self-test found and on what, as a file kept in a log and a note.

The record is evidence for the user's own validation of the program (ISO/IEC 17025:2017 7.11.2, from
memory). It needs no kind of its own: the table is a TOML file attached to a log, whose entry holds
its digest, and a note says the outcome; so the seal of the log covers both. Every figure is text,
with 12 digits, so that no reader rounds it.
"""

import platform
from collections.abc import Sequence
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from typing import NamedTuple

from assaybench.logbook.attachments import KIND, Attached, safe_name
from assaybench.logbook.logfile import Keeper, Row
from assaybench.messages import say
from assaybench.published.run import Outcome
from assaybench.published.selftest import Checked, Subject, by_subject, difference, summed_up
from assaybench.record.handsheet import METHOD_VERSION
from assaybench.record.sealing import digits_of

FORMAT = 1
ALL = "all"
LIBRARIES = (
    "click",
    "cryptography",
    "filelock",
    "pint",
    "platformdirs",
    "textual",
    "tomli-w",
    "uncertainties",
)
"""What the program needs at run time, by the names of their distributions."""
NOT_THERE = "not found"


class Surroundings(NamedTuple):
    """On what the self-test ran.

    Attributes:
        python: implementation and version.
        platform: system and processor, in general terms: nothing that tells one machine from
            another of its kind.
        libraries: name and version of each.
    """

    python: str
    platform: str
    libraries: tuple[tuple[str, str], ...]


def surroundings() -> Surroundings:
    """What this program runs on."""
    python = f"{platform.python_implementation()} {platform.python_version()}"
    system = f"{platform.system()} {platform.machine()}".strip() or "unknown"
    return Surroundings(python, system, tuple((name, _version(name)) for name in LIBRARIES))


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return NOT_THERE


def record_of(
    checked: Sequence[Checked], around: Surroundings, keeper: Keeper, at: datetime
) -> Attached:
    """The record as a file.

    Args:
        checked: every case.
        around: on what they were worked out.
        keeper: who ran it, with which program.
        at: when.
    """
    import tomli_w

    tree = {
        "self_test": {
            "format": FORMAT,
            "program": keeper.program,
            "method_version": METHOD_VERSION,
            "python": around.python,
            "platform": around.platform,
            "at": at.isoformat(timespec="milliseconds"),
            "by": keeper.by,
            "outcome": "agrees" if all(one.agrees for one in checked) else "does not agree",
        },
        "libraries": dict(around.libraries),
        "subject": [_subject(row) for row in (*by_subject(checked), summed_up(ALL, checked))],
        "case": [case_tree(one) for one in checked],
    }
    name = safe_name(f"self-test-{keeper.program.replace(' ', '-')}.toml")
    return Attached(name, tomli_w.dumps(tree).encode())


def _subject(row: Subject) -> dict[str, object]:
    return {**row._asdict(), "worst": worst_text(row.worst)}


def worst_text(worst: float | None) -> str:
    """The largest relative difference as it is shown."""
    return "none" if worst is None else f"{worst:.1e}" if worst else "0"


def case_tree(one: Checked) -> dict[str, object]:
    """A case with what was found, every figure as text."""
    case = one.case
    return {
        "id": case.id,
        "subject": case.subject,
        "title": case.title,
        "source": case.source,
        "evidence": case.evidence,
        "agrees": one.agrees,
        **({"fault": one.fault} if one.fault else {}),
        "answers": [_answer(outcome) for outcome in one.outcomes],
    }


def _answer(outcome: Outcome) -> dict[str, object]:
    answer, found = outcome.answer, outcome.found
    row: dict[str, object] = {"name": answer.name, "printed": answer.printed}
    if isinstance(found, str):
        return {**row, "found": found, "agrees": outcome.agrees}
    off = difference(outcome)
    return {
        **row,
        "unrounded": digits_of(answer.unrounded),
        "found": digits_of(found) or str(found),
        "relative_difference": worst_text(off),
        "agrees": outcome.agrees,
    }


def rows_of(every: Subject, around: Surroundings, keeper: Keeper, file: Attached) -> list[Row]:
    """The two entries of a self-test record: its file, and a note of the outcome.

    Args:
        every: all cases, summed up.
        around: on what they were worked out.
        keeper: who ran it, with which program.
        file: the record.
    """
    note = say(
        "selftest_note",
        program=keeper.program,
        method=METHOD_VERSION,
        agree=every.agree,
        cases=every.cases,
        worst=worst_text(every.worst),
        python=around.python,
        platform=around.platform,
    )
    return [(KIND, file.keys), ("note", {"text": note.replace("\n", " ")})]
