"""What the tests of kept files have in common: digests, a log read, and its bytes written again."""

import hashlib
from collections.abc import Iterable
from pathlib import Path

from assaybench.record.entries import Entry
from assaybench.record.frame import Chain, framed
from assaybench.record.frame_read import Reader
from assaybench.record.kinds import BY_NAME


def digests(folder: Path) -> dict[str, str]:
    """SHA-256 of each file of a folder."""
    return {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in folder.iterdir()}


def logged(path: Path) -> list[Entry]:
    """The entries of a log that is sound and holds nothing that this program does not know."""
    reader = Reader(BY_NAME)
    entries = reader.feed(path.read_bytes())
    verdict = reader.end()
    assert (verdict.state, verdict.newer) == ("sound", False)
    return entries


def written(entries: Iterable[Entry]) -> bytes:
    """Entries in the frame of a log, as the program writes them today."""
    chain, parts = Chain(BY_NAME), []
    for e in entries:
        data, link = framed(chain, e.at, e.by, e.kind, e.values)
        chain.step(e.kind, link)
        parts.append(data)
    return b"".join(parts)
