"""Seeded garbage as log, register, settings, CSV: one clear line, in bounded time and memory."""

import random
import time
import tracemalloc
from pathlib import Path

import pytest

from assaybench.logbook.files import Files
from assaybench.logbook.folder import Logbook
from assaybench.logbook.opening import open_log
from assaybench.logbook.reading import read_log
from assaybench.logbook.register import Register
from assaybench.logbook.settings import load
from assaybench.logbook.survey import survey
from assaybench.messages import BadInput
from assaybench.record import columns, handsheet
from assaybench.record.frame import LARGEST_LOG
from tests.record.frames import small_log
from tests.reliability.faulty import keeper
from tests.reliability.test_damage import small_register

SETTINGS = b'aim = "1 %"\ntray = "4 x 6"\nascii = false\n[people]\nKB = "K. Berg"\n'
HEAD = (
    b'[sheet]\nlog = "furnace run"\ntitle = "x"\ndate = 2026-06-09\nby = "KB"\n[[balances]]\n'
    b'name = "fine"\nstep = "0.001 mg"\nweighs = ["charge", "gold"]\n'
)
TABLE = b"id;role;silver;charge g;gold mg\nT-1;;none;30,00;0,261 | 0,262\nB-1;blank;none;;0,001\n"
PIECES = (
    b"id", b"gold mg", b"charge g", b"T-1,", b"|", b";", b",", b"\t", b'""', b"none",
    b"[[entry]]\n", b"[entry]", b"n = 1\n", b"n = ", b"at = 2026-06-09T14:02:11.480+02:00\n",
    b'by = "KB"\n', b'kind = "opened"\n', b'kind = "begun"\n', b'link = "', b'"\n', b"\n", b"\n\n",
    b" = ", b"= ", b'"', b'"""', b"'", b"\\", b"\\u0000", b"[", b"]", b"{", b"}", b"[[", b"]]",
    b"a.b.c = 1\n", b"a." * 40, b"[" * 200, b"{" * 200, b"9" * 300, b"-", b"0x1f", b"1_0", b"1e999",
    b"inf", b"nan", b"true", b"# ", b"\r\n", b"\x00", b"\xff", b"\xef\xbb\xbf", b"\xe2\x80\xae",
    b"\xed\xa0\x80", b"2026-13-40", b"99:99:99", b"text = ", b'aim = "', b"tray = ", b"trusted = [",
    b"1979-05-27T07:32:00+99:99", b"x" * 500,
)  # fmt: skip


def garbage(chance: random.Random, base: bytes) -> bytes:
    """Noise, pieces of such files, or a good file with some changes."""
    match chance.randrange(4):
        case 0:
            return chance.randbytes(chance.randrange(400))
        case 1:
            return b"".join(chance.choices(PIECES, k=chance.randrange(30)))
        case 2:
            start = chance.randrange(len(base) + 1)
            return base[:start] + b"".join(chance.choices(PIECES, k=chance.randrange(1, 6)))
        case _:
            data = bytearray(base)
            for _ in range(chance.randrange(1, 6)):
                at = chance.randrange(len(data))
                data[at : at + chance.randrange(4)] = chance.choice(PIECES)[: chance.randrange(9)]
            return bytes(data)


def one_clear_line(text: str) -> None:
    assert text
    assert text.isprintable()
    assert len(text) < 400


def as_log(path: Path, data: bytes, goods: tuple[bytes, ...]) -> None:
    """Whatever stands in it: a verdict in one line, never mended unless torn, never a traceback."""
    path.write_bytes(data)
    entries, verdict = read_log(Files(), path)
    one_clear_line(verdict.sentence)
    assert verdict.entries == len(entries)
    # only true prefixes of what the writer wrote have good entries
    assert any(good.startswith(data[: verdict.good]) for good in goods)
    with open_log(path, keeper(), session=False) as log:
        if verdict.state == "damaged":
            one_clear_line(log.read_only or "")
            assert path.read_bytes() == data
        else:
            assert log.read_only is None


def as_register(book: Logbook, data: bytes) -> None:
    path = book.register("MAIN")
    path.write_bytes(data)
    for finding in survey(book, Files()).findings:
        one_clear_line(finding.sentence)
    with Register(book, "MAIN", keeper()) as register:
        if register.file.verdict.state == "damaged":
            assert path.read_bytes() == data
            one_clear_line(register.file.read_only or "")


def as_settings(path: Path, data: bytes) -> None:
    path.write_bytes(data)
    found = load(Files(), path)
    for line in found.faults:
        one_clear_line(line)
    assert found.settings.tray.rows >= 1


def as_columns(data: bytes) -> None:
    try:
        columns.read(data, HEAD)
    except BadInput as fault:
        lines = fault.lines
    else:
        return
    assert lines
    for line in lines:
        assert line.isprintable()
        assert len(line) < 1000


def many(folder: Path, count: int, seed: int) -> None:
    chance = random.Random(seed)
    book = Logbook(folder / "book")
    book.make(Files())
    log, register = small_log(), small_register()
    slowest = 0.0
    for i in range(count):
        path = folder / f"{i:06}.toml"
        begun = time.process_time()
        match i % 4:
            case 0:
                as_log(path, garbage(chance, log), (log,))
            case 1:
                as_register(book, garbage(chance, register))
            case 2:
                as_settings(path, garbage(chance, SETTINGS))
            case _:
                as_columns(garbage(chance, TABLE))
        slowest = max(slowest, time.process_time() - begun)
        for left in (*folder.glob("0*"), *book.registers.iterdir()):
            left.unlink()
    assert slowest < 5


def test_a_thousand_garbage_files(tmp_path: Path) -> None:
    many(tmp_path, 1_000, seed=1)


@pytest.mark.long
def test_ten_thousand_garbage_files(tmp_path: Path) -> None:
    many(tmp_path, 10_000, seed=2)


HOSTILE = {
    "deep brackets": b"text = " + b"[" * 1_000_000,
    "brackets on many lines": b"text = " + b"[\n" * 1_000_000,
    "deep inline tables": b"text = " + b"{a=" * 300_000,
    "giant number": b"n = " + b"9" * 2_000_000,
    "dotted key": b"a." * 1_000_000 + b"a = 1\n",
    "many dotted keys": b"".join(b"[a%s.b%d]\n" % (b".a" * 450, i) for i in range(2000)),
    "no end of text": b'text = "' + b"x" * 50_000_000,
    "empty lines": b"\n" * 5_000_000,
    "zeros": b"\x00" * 20_000_000,
    "many empty entries": b"[[entry]]\n" * 1_000_000,
    "too many good bytes": small_log() * (LARGEST_LOG // len(small_log()) + 2),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_files_take_little_time_and_memory(tmp_path: Path, name: str) -> None:
    path = tmp_path / "000001.toml"
    book = Logbook(tmp_path / "book")
    book.make(Files())
    for start in (b"", small_log()):
        path.write_bytes(start + HOSTILE[name])
        tracemalloc.start()
        begun = time.process_time()
        verdict = read_log(Files(), path)[1]
        assert verdict.state == "damaged"
        one_clear_line(verdict.sentence)
        for line in load(Files(), path).faults:
            one_clear_line(line)
        seconds = time.process_time() - begun
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert seconds < 2
        assert peak < 8_000_000


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_columns_take_little_time_and_memory(name: str) -> None:
    for start in (b"", TABLE):
        content = start + HOSTILE[name][: handsheet.LARGEST_BYTES - len(start)]
        begun = time.process_time()
        as_columns(content)
        assert time.process_time() - begun < 5
        tracemalloc.start()
        as_columns(content[:400_000])
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert peak < 60_000_000
