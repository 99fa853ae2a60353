"""The trial of entries at the bench: what `record.trial.must_fit` refuses, without a replay.

Only a correction can change what stands before it; every other entry is held against the names that
the log has now. So a reading into a log of 500 samples is tried as fast as into an empty one.
"""

from collections.abc import Sequence
from datetime import UTC, datetime

from assaybench.logbook.logfile import Row
from assaybench.messages import BadInput
from assaybench.record.entries import Effective, Entry
from assaybench.record.replay import State
from assaybench.record.strict import CORRECTIONS
from assaybench.record.trial import Known, must_fit, names_amiss

_NEVER = datetime.min.replace(tzinfo=UTC)


def known_names(state: State) -> Known:
    """Every name that the log gives, by its group."""
    return {
        "samples": {*state.samples, *(e.text("id") for e in state.of("pool"))},
        "balances": set(state.balances),
        "weights": {e.text("name") for e in state.of("weight")},
        "lots": {e.text("lot") for e in state.of("reagent_lot")},
    }


def try_rows(entries: Sequence[Entry], state: State, by: str, rows: Sequence[Row]) -> None:
    """Refuse rows that may not follow these entries, the first one that may not.

    What the table of kinds says of each row is checked by the log file itself when it stores them.

    Args:
        entries: all entries of the log.
        state: their state.
        by: initials.
        rows: the entries that are wanted, in order.

    Raises:
        BadInput: one line for each fault.
    """
    if any(kind in CORRECTIONS for kind, _ in rows):
        _try_fully(entries, by, rows)
        return
    known = known_names(state)
    for n, (kind, values) in enumerate(rows, start=len(entries) + 1):
        lines = names_amiss([Effective(Entry(n, _NEVER, "", kind, values), values)], known)
        if lines:
            raise BadInput(lines)


def _try_fully(entries: Sequence[Entry], by: str, rows: Sequence[Row]) -> None:
    trial = [*entries]
    for kind, values in rows:
        entry = Entry(len(trial) + 1, trial[-1].at, by, kind, values)
        must_fit(trial, entry)
        trial.append(entry)
