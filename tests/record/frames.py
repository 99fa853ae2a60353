"""Files of format 1 made for tests, and hypothesis strategies of what may stand in them."""

import unicodedata
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta, timezone

from hypothesis import strategies as st

from assaybench.record.entries import Entry
from assaybench.record.frame import Chain, framed
from assaybench.record.frame_read import Reader, Verdict
from assaybench.record.kinds import BY_NAME

NOON = datetime(2026, 6, 9, 12, 0, 0, 250_000, timezone(timedelta(hours=2)))
OPENED: Mapping[str, object] = {
    "log": "furnace run",
    "number": 12,
    "bench": "MAIN",
    "method_version": 1,
    "program": "assaybench 0.1.0",
}
BALANCE: Mapping[str, object] = {"name": "fine", "step": "0.001 mg", "weighs": ["bead", "gold"]}


def reading(text: str, sample: str = "KV-017") -> dict[str, object]:
    return {"what": "gold", "text": text, "unit": "mg", "balance": "fine", "sample": sample}


def file_of(rows: Sequence[tuple[str, Mapping[str, object]]], chain: Chain | None = None) -> bytes:
    """The bytes of a file with these entries, one second apart."""
    chain = chain or Chain(BY_NAME)
    parts = []
    for kind, values in rows:
        data, link = framed(chain, NOON + timedelta(seconds=chain.n), "KB", kind, values)
        chain.step(kind, link)
        parts.append(data)
    return b"".join(parts)


def small_log() -> bytes:
    """A short log with lists, escapes, a sign beyond ASCII and an amendment."""
    return file_of(
        [
            ("opened", OPENED),
            ("balance", BALANCE),
            ("sample", {"id": "KV-017", "role": "sample", "lots": ["L7"]}),
            ("reading", reading("1.372")),
            ("note", {"text": 'cup "B6" looks dull \\ warm, 20 µm of skin'}),
            ("amendment", {"entry": 4, "reason": "digits swapped", "text": "1.327"}),
        ]
    )


def read(data: bytes, piece: int = 1 << 16) -> tuple[list[Entry], Verdict]:
    """Entries of a file read in pieces, and the verdict."""
    reader = Reader(BY_NAME)
    entries: list[Entry] = []
    for at in range(0, len(data), piece):
        entries += reader.feed(data[at : at + piece])
    return entries, reader.end()


def _kept(text: str) -> str:
    return unicodedata.normalize("NFC", text)


texts = st.text(st.characters(exclude_categories=["Cc", "Cf", "Cs", "Zl", "Zp"]), max_size=30).map(
    _kept
)
wholes = st.integers(-(10**18) + 1, 10**18 - 1)
offsets = st.integers(-23 * 60, 23 * 60).map(lambda m: timezone(timedelta(minutes=m)))
times = st.builds(
    lambda at, zone: at.replace(microsecond=at.microsecond // 1000 * 1000, tzinfo=zone),
    st.datetimes(),
    offsets | st.just(UTC),
)
names = st.from_regex(r"[a-z][a-z0-9_]{0,12}", fullmatch=True).filter(
    lambda name: name not in ("n", "at", "by", "kind", "link")
)
plain = texts | wholes | st.booleans() | times
values = (
    plain
    | st.lists(texts, max_size=4)
    | st.lists(st.dictionaries(names, plain, min_size=1, max_size=4), max_size=3)
)
own_keys = st.dictionaries(names, values, max_size=6)
