"""Seeded garbage as key files, public keys and signatures: one clear line, in bounded memory."""

import random
import tracemalloc
from base64 import b64encode, encodebytes
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from assaybench.logbook import sshsig
from assaybench.logbook.faults import NotDone
from assaybench.logbook.files import Files
from assaybench.logbook.keys import make_key, open_key, public_path, read_public
from assaybench.logbook.sshkeys import TYPES, NotValid, packed
from assaybench.logbook.sshsig import LOG
from tests.logbook import ssh_tools
from tests.logbook.sealed_books import TestKey

MESSAGE = b"[[entry]]\n"
COUNTS = (400, pytest.param(10_000, marks=pytest.mark.long))
MOST_MEMORY = 20_000_000
LONGEST_FAULT = 420
PARTS = (
    *(kind.encode() for kind in TYPES), b"ssh-dss", b"none", b"bcrypt", b"aes256-ctr", b"sha512",
    b"sha256", b"md5", b"nistp256", b"nistp521", b"rsa-sha2-512", LOG.encode(), b"",
    b"\x01\x00\x01",
    b"\x00" * 32, b"\x7f" + b"\xff" * 255, b"\x00\xff" * 300, b"\x04" + b"\x11" * 64, b"\x80",
)  # fmt: skip


def blob(chance: random.Random) -> bytes:
    """Strings of the wire, some of them of a length that is not theirs."""
    data = b"".join(
        packed(chance.choice(PARTS)) if chance.random() < 0.8 else chance.randbytes(4)
        for _ in range(chance.randrange(9))
    )
    return chance.choice((b"", b"SSHSIG\0\0\0\1", b"openssh-key-v1\0")) + data


def changed(chance: random.Random, data: bytes) -> bytes:
    made = bytearray(data)
    for _ in range(chance.randrange(1, 4)):
        at = chance.randrange(len(made))
        made[at : at + chance.randrange(3)] = chance.randbytes(chance.randrange(3))
    return bytes(made)


def frames(chance: random.Random, name: str, goods: tuple[bytes, ...]) -> bytes:
    """Noise, parts in the right frame, or a good file with some changes."""
    begin, end = f"-----BEGIN {name}-----\n".encode(), f"-----END {name}-----\n".encode()
    match chance.randrange(4):
        case 0:
            return chance.randbytes(chance.randrange(300))
        case 1:
            return begin + encodebytes(blob(chance)) + end
        case 2:
            text = b64encode(blob(chance))
            lines = [text[at : at + 70] + b"\n" for at in range(0, len(text), 70)]
            return begin + b"".join(lines) + end
        case _:
            return changed(chance, chance.choice(goods))


def bounded(count: int) -> Iterator[random.Random]:
    """So many rounds; what they take of memory at most is looked at in the end."""
    chance = random.Random(20260609)
    tracemalloc.start()
    try:
        for _ in range(count):
            yield chance
        assert tracemalloc.get_traced_memory()[1] < MOST_MEMORY
    finally:
        tracemalloc.stop()


def told(act: Callable[[], object]) -> tuple[str, ...]:
    """The one line of what could not be done, none when it could."""
    try:
        act()
    except NotDone as fault:
        (_,) = fault.lines
        return fault.lines
    return ()


def clear(line: str) -> None:
    assert line
    assert line.isprintable()
    assert len(line) < LONGEST_FAULT


@pytest.mark.parametrize("count", COUNTS)
def test_garbage_as_a_signature_never_holds(count: int, tmp_path: Path) -> None:
    rsa = ssh_tools.made(tmp_path, "rsa", "-t", "rsa", "-b", "2048")
    p256 = ssh_tools.made(tmp_path, "p256", "-t", "ecdsa", "-b", "256")
    goods = (
        TestKey().sign(MESSAGE, LOG),
        *(ssh_tools.signed(path, MESSAGE, LOG) for path in (rsa, p256)),
    )
    for chance in bounded(count):
        data = frames(chance, "SSH SIGNATURE", goods)
        if data in goods:
            continue
        with pytest.raises(NotValid) as fault:
            sshsig.check(sshsig.parse(data), MESSAGE, LOG)
        clear(fault.value.line)


@pytest.mark.parametrize("count", COUNTS)
def test_garbage_as_a_key_file_is_told_in_one_line(count: int, tmp_path: Path) -> None:
    make_key(Files(), tmp_path / "own", b"secret", "", rounds=1)
    paths = [tmp_path / "own", ssh_tools.made(tmp_path, "bare")]
    paths += [ssh_tools.made(tmp_path, "rsa", "-t", "rsa", "-b", "2048")]
    paths += [ssh_tools.made(tmp_path, "p384", "-t", "ecdsa", "-b", "384")]
    goods = tuple(path.read_bytes() for path in paths)
    path = tmp_path / "key"
    for chance in bounded(count):
        path.write_bytes(frames(chance, "OPENSSH PRIVATE KEY", goods))
        for line in told(lambda: open_key(Files(), path, lambda: b"secret").sign(MESSAGE, LOG)):
            clear(line)
            assert "secret" not in line


@pytest.mark.parametrize("count", COUNTS)
def test_garbage_as_a_public_key_is_told_in_one_line(count: int, tmp_path: Path) -> None:
    good = public_path(ssh_tools.made(tmp_path, "good")).read_bytes()
    path = tmp_path / "key.pub"
    for chance in bounded(count):
        kind = chance.choice(PARTS)
        if chance.random() < 0.5:
            path.write_bytes(kind + b" " + b64encode(packed(kind) + blob(chance)))
        else:
            path.write_bytes(changed(chance, good))
        for line in told(lambda: read_public(Files(), path)):
            clear(line)
