"""Where two histories of one file part: two entries of one n, or two copies that grew apart.

A copy carried to two machines and written on both, or a careless merge of the two, leaves entries
that both follow the same link. Neither side can be told to be the right one, so both are shown.
"""

import re
from collections.abc import Sequence
from typing import NamedTuple

from assaybench.record.entries import Entry
from assaybench.record.frame import Chain, Table
from assaybench.record.frame_read import Reader, Verdict

_NUMBER = re.compile(rb"\[\[entry\]\]\nn = ([0-9]{1,9})\n")


class Branch(NamedTuple):
    """One history within a file.

    Attributes:
        after: number of the last entry that it shares with the first branch; 0 for the first.
        entries: its own entries.
        links: their links.
        verdict: how reading it ended.
    """

    after: int
    entries: tuple[Entry, ...]
    links: tuple[str, ...]
    verdict: Verdict


def branches(data: bytes, table: Table, most: int) -> list[Branch]:
    """The histories in one file: one for a file that nobody merged, more where links fork.

    Args:
        data: the bytes of the file.
        table: the kinds of the file.
        most: the largest size accepted, in bytes.
    """
    trunk = _branch(data, Reader(table, most=most, keep_links=True), 0)
    found = [trunk]
    start = trunk.verdict.good
    kinds = [entry.kind for entry in trunk.entries]
    while True:
        match = _NUMBER.match(data, start)
        after = int(match[1]) - 1 if match else -1
        if not 0 <= after < len(trunk.links):
            return found
        chain = Chain(table)
        for kind, link in zip(kinds[:after], trunk.links[:after], strict=True):
            chain.step(kind, link)
        side = _branch(data[start:], Reader(table, most=most, chain=chain, keep_links=True), after)
        if not side.entries:
            return found
        found.append(side)
        start += side.verdict.good


def _branch(data: bytes, reader: Reader, after: int) -> Branch:
    entries = tuple(reader.feed(data))
    return Branch(after, entries, tuple(reader.links or ()), reader.end())


def shared(links: Sequence[str], others: Sequence[str]) -> int:
    """How many entries two histories share, from the first one on."""
    pairs = zip(links, others, strict=False)
    return next((i for i, (a, b) in enumerate(pairs) if a != b), min(len(links), len(others)))
