"""Whether the figures of a sealed log come out again from its entries."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from assaybench import PROGRAM
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.history import history
from assaybench.logbook.verify_found import Found, Recomputed, found, label
from assaybench.messages import BadInput
from assaybench.record.entries import Entry
from assaybench.record.frame_read import Verdict
from assaybench.record.reissue import joined

if TYPE_CHECKING:
    from assaybench.record.sealing import Comparison


def recompute(
    files: Files, path: Path, entries: Sequence[Entry], verdict: Verdict, *, wanted: bool
) -> tuple[Recomputed, list[Found]]:
    """The outcome, and what is to be told of it.

    Args:
        files: the disk, for the older log of one that replaces it.
        path: the log.
        entries: its entries.
        verdict: what its file is.
        wanted: whether it is asked for.
    """
    if not wanted or verdict.state != "sound" or not entries or entries[-1].kind != "sealed":
        return "", []
    from assaybench.record import sealing
    from assaybench.record.handsheet import METHOD_VERSION

    was = sealing.recorded(entries)
    if verdict.newer or (was is not None and was.method_version > METHOD_VERSION):
        return "refused", [found("undone", "verify_newer_results", path, name=label(path))]
    if was is None:
        return "not", [found("bad", "verify_no_results", path, name=label(path))]
    try:
        now = sealing.recomputed(joined(history(files, path, entries)), PROGRAM)
    except NotDone as fault:
        return "", [
            Found("undone", "verify_not_worked_out", line, str(path)) for line in fault.lines
        ]
    except BadInput as fault:
        why = fault.lines[0]
        return "not", [found("bad", "verify_not_worked_out", path, name=label(path), why=why)]
    return told(path, sealing.compare(was, now))


def told(path: Path, compared: "Comparison") -> tuple[Recomputed, list[Found]]:
    """A comparison as a finding; the first figure that differs is named."""
    if compared.outcome == "recomputes":
        return "recomputes", []
    pair = compared.differing[0]
    row = pair.recorded or pair.now
    fields = {
        "name": label(path),
        "n": len(compared.differing),
        "of": compared.figures,
        "figure": f"{row.id} {row.name}" if row else "",
        "was": pair.recorded.text if pair.recorded else "none",
        "now": pair.now.text if pair.now else "none",
    }
    if compared.outcome == "recomputes differently":
        version = compared.method_version
        return "differently", [found("note", "verify_differently", path, version=version, **fields)]
    return "not", [found("bad", "verify_not_again", path, **fields)]
