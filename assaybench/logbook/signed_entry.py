"""The one entry of a small signed file: a statement, or a mark."""

from assaybench.record import strict
from assaybench.record.entries import Entry
from assaybench.record.frame import Chain, Table
from assaybench.record.frame_read import Reader
from assaybench.record.signed_kinds import LARGEST_SIGNED


def one_entry(data: bytes, table: Table) -> tuple[Entry | None, str]:
    """The entry of such a file; or None and why there is none, one line."""
    reader = Reader(table, most=LARGEST_SIGNED)
    entries = reader.feed(data)
    verdict = reader.end()
    if verdict.state != "sound" or len(entries) != 1:
        return None, verdict.sentence
    entry = entries[0]
    lines = strict.faults(Chain(table), entry.by, entry.kind, entry.values)
    return (None, lines[0]) if lines else (entry, "")


def cut_off(data: bytes, table: Table) -> bool:
    """Whether a power cut on a disk without hard links may have left such a file like this."""
    reader = Reader(table, most=LARGEST_SIGNED)
    return not reader.feed(data) and (not data or reader.end().state == "torn")
