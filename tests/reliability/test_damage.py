"""Every cut and every flipped bit of a log and a register is detected and named.

A cut between two entries is the one change that a file alone cannot show: it is a sound, shorter
file. The register's and the marks' digests show it.
"""

from itertools import pairwise
from pathlib import Path

import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import read_log
from assaybench.record.entries import Entry
from assaybench.record.frame import Chain, Table, framed
from assaybench.record.frame_read import Reader, Verdict
from assaybench.record.kinds import BY_NAME
from assaybench.record.register_kinds import REGISTER_BY_NAME
from tests.record.frames import OPENED, reading, small_log
from tests.reliability.faulty import keeper

FINGERPRINT = "SHA256:" + "b" * 43


def small_register() -> bytes:
    chain, who, data = Chain(REGISTER_BY_NAME), keeper(), b""
    rows: tuple[tuple[str, dict[str, object]], ...] = (
        ("begun", {"bench": "MAIN", "program": "assaybench 0.1.0"}),
        ("opened", {"number": 1, "log": "furnace run", "title": "Grey Heron"}),
        ("opened", {"number": 2, "log": "circuit test"}),
        ("void", {"number": 2, "reason": "pump failed"}),
        ("signer", {"fingerprint": FINGERPRINT, "event": "added", "since": who.now()}),
        ("sealed", {"number": 1, "sha512": "a1" * 64, "size": 4711}),
    )
    for kind, values in rows:
        framed_entry = framed(chain, who.now(), "KB", kind, values)
        chain.step(kind, framed_entry.link)
        data += framed_entry.data
    return data


FILES: dict[str, tuple[bytes, Table]] = {
    "log": (small_log(), BY_NAME),
    "register": (small_register(), REGISTER_BY_NAME),
}
each_file = pytest.mark.parametrize("name", FILES)


def read(data: bytes, table: Table) -> tuple[list[Entry], Verdict]:
    reader = Reader(table)
    return reader.feed(data), reader.end()


def ends(data: bytes) -> list[int]:
    """Where entries end, and the start of the file."""
    found, at = [0], 0
    while (at := data.find(b"\n\n", at) + 2) > 1:
        found.append(at)
    return found


def named(data: bytes, verdict: Verdict) -> bool:
    """Whether the bad line that a verdict names stands after the good entries, within the file."""
    lines = data.count(b"\n") + 1
    return (
        1 <= verdict.first <= verdict.line <= lines
        and verdict.good <= verdict.byte <= len(data)
        and str(verdict.line if verdict.state == "damaged" else verdict.first) in verdict.sentence
    )


@each_file
def test_every_cut_is_torn_or_between_entries(name: str) -> None:
    data, table = FILES[name]
    whole, _ = read(data, table)
    boundaries = ends(data)
    for at in range(len(data)):
        entries, verdict = read(data[:at], table)
        assert verdict.state == ("sound" if at in boundaries else "torn")
        assert entries == whole[: sum(end <= at for end in boundaries) - 1]
        assert verdict.good == max(end for end in boundaries if end <= at)
        assert verdict.state == "sound" or named(data[:at], verdict)


@each_file
def test_every_flipped_bit_is_detected_and_named(name: str) -> None:
    data, table = FILES[name]
    whole, _ = read(data, table)
    flips = torn = 0
    for at in range(len(data)):
        for bit in range(8):
            flipped = data[:at] + bytes([data[at] ^ 1 << bit]) + data[at + 1 :]
            entries, verdict = read(flipped, table)
            flips += 1
            torn += verdict.state == "torn"
            assert verdict.state != "sound", (at, bit)
            assert entries == whole[: len(entries)]
            assert verdict.good <= at
            assert named(flipped, verdict), (at, bit, verdict)
    assert flips == 8 * len(data)
    assert torn == 0


@each_file
def test_every_missing_and_every_doubled_byte_is_detected(name: str) -> None:
    """The last byte alone may be missing as after a power cut: that is torn."""
    data, table = FILES[name]
    for at in range(len(data)):
        for changed in (data[:at] + data[at + 1 :], data[:at] + data[at : at + 1] + data[at:]):
            verdict = read(changed, table)[1]
            assert verdict.state == ("torn" if changed == data[:-1] else "damaged"), at
            assert named(changed, verdict)


@each_file
def test_every_missing_doubled_or_moved_entry_is_detected(name: str) -> None:
    data, table = FILES[name]
    marks = ends(data)
    parts = [data[a:b] for a, b in pairwise(marks)]
    for i in range(len(parts)):
        assert read(b"".join([*parts[: i + 1], *parts[i:]]), table)[1].state == "damaged"
        if i + 1 < len(parts):
            assert read(b"".join([*parts[:i], *parts[i + 1 :]]), table)[1].state == "damaged"
            swapped = [*parts[:i], parts[i + 1], parts[i], *parts[i + 2 :]]
            assert read(b"".join(swapped), table)[1].state == "damaged"


def test_entries_of_another_log_do_not_fit_in(tmp_path: Path) -> None:
    """The same kinds and numbers, but another history."""
    marks = ends(small_log())
    path = tmp_path / "000012.toml"
    with open_log(path, keeper(), first=("opened", {**OPENED, "number": 13})) as log:
        for text in ("1", "2", "3", "4", "5"):
            log.append("reading", reading(text))
    other = path.read_bytes()
    cuts = ends(other)
    for k in range(1, 5):
        verdict = read(small_log()[: marks[k]] + other[cuts[k] :], BY_NAME)[1]
        assert (verdict.state, verdict.entries, verdict.code) == ("damaged", k, "frame_link")


@pytest.mark.long
def test_every_flipped_bit_of_a_log_of_a_furnace_run_is_detected(tmp_path: Path) -> None:
    path = tmp_path / "000012.toml"
    with open_log(path, keeper(), first=("opened", OPENED)) as log:
        log.append_all([("reading", reading(f"1.{i:03}", f"KV-{i:03}")) for i in range(24)])
    data = path.read_bytes()
    whole, verdict = read_log(Files(), path)
    assert verdict.state == "sound"
    for at in range(len(data)):
        for bit in range(8):
            flipped = data[:at] + bytes([data[at] ^ 1 << bit]) + data[at + 1 :]
            entries, verdict = read(flipped, BY_NAME)
            assert verdict.state == "damaged", (at, bit)
            assert entries == whole[: len(entries)]
    print(f"{8 * len(data)} flips of {len(data)} bytes")
