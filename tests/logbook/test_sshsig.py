"""Signatures as OpenSSH writes them: what holds, and that nothing else does."""

import random
from io import BytesIO
from pathlib import Path

import pytest
import sshsig as independent

from assaybench.logbook import sshsig
from assaybench.logbook.files import Files
from assaybench.logbook.keys import open_key
from assaybench.logbook.sshkeys import NotValid, PublicKey, packed
from assaybench.logbook.sshsig import LOG, MARK, check, check_digest, digest_of, parse
from tests.logbook import ssh_tools
from tests.logbook.ssh_signatures import (
    KINDS,
    MESSAGE,
    blob_of,
    code_of,
    flipped,
    holds,
    keys,
    public,
    wrapped,
)
from tests.logbook.ssh_tools import WHO

__all__ = ["keys"]


@pytest.fixture(scope="module")
def armor(keys: dict[str, Path]) -> bytes:
    return ssh_tools.signed(keys["ed25519"], MESSAGE, LOG)


# --- as the tool writes it -----------------------------------------------------------------------


@pytest.mark.parametrize("namespace", sshsig.NAMESPACES)
@pytest.mark.parametrize("message", [b"", b"\n", MESSAGE, bytes(range(256)) * 300])
def test_a_signature_is_byte_for_byte_that_of_the_tool(
    keys: dict[str, Path], namespace: str, message: bytes
) -> None:
    ours = open_key(Files(), keys["ed25519"], None).sign(message, namespace)
    assert ours == ssh_tools.signed(keys["ed25519"], message, namespace)


@pytest.mark.parametrize("kind", KINDS)
def test_signatures_by_the_tool_hold_for_every_kind_of_key(
    keys: dict[str, Path], kind: str
) -> None:
    theirs = ssh_tools.signed(keys[kind], MESSAGE, LOG)
    assert parse(theirs).key == public(keys[kind])
    assert holds(theirs)
    assert not holds(theirs, MESSAGE + b"x")
    assert not holds(theirs, namespace=MARK)


@pytest.mark.parametrize("kind", KINDS)
def test_the_tool_accepts_our_signatures_of_every_kind_of_key(
    keys: dict[str, Path], kind: str, tmp_path: Path
) -> None:
    ours = open_key(Files(), keys[kind], None).sign(MESSAGE, LOG)
    line = f"{WHO} {public(keys[kind]).line}\n"
    assert ssh_tools.accepted(tmp_path, ours, MESSAGE, LOG, line)
    assert not ssh_tools.accepted(tmp_path, ours, MESSAGE + b"x", LOG, line)
    assert holds(ours)


def test_a_signature_over_sha256_holds_too(keys: dict[str, Path]) -> None:
    theirs = ssh_tools.signed(keys["ed25519"], MESSAGE, LOG, "-O", "hashalg=sha256")
    signature = parse(theirs)
    assert signature.hash == "sha256"
    assert holds(theirs)
    # the SHA-512 that the caller has is of no use here
    check_digest(signature, digest_of(MESSAGE, "sha512"), MESSAGE, LOG)


def test_a_digest_that_was_taken_before_gives_the_same_verdict(armor: bytes) -> None:
    signature = parse(armor)
    check_digest(signature, digest_of(MESSAGE, "sha512"), b"", LOG)
    check_digest(signature, None, MESSAGE, LOG)
    with pytest.raises(NotValid):
        check_digest(signature, digest_of(MESSAGE + b"x", "sha512"), MESSAGE, LOG)


@pytest.mark.parametrize("kind", KINDS)
def test_a_fingerprint_is_that_of_the_tool(keys: dict[str, Path], kind: str) -> None:
    shown = ssh_tools.keygen("-l", "-f", f"{keys[kind]}.pub").stdout.decode()
    assert public(keys[kind]).fingerprint in shown


# --- what does not hold --------------------------------------------------------------------------

SPOILT: dict[str, tuple[str, bool]] = {
    "junk before": ("signature_begins", False),
    "empty line before": ("signature_begins", False),
    "byte order mark": ("signature_begins", False),
    "junk after": ("signature_ends", True),
    "empty line after": ("signature_ends", True),
    "no last line feed": ("signature_ends", True),
    "CRLF": ("signature_begins", False),
    "CRLF inside": ("signature_base64", True),
    "no END": ("signature_ends", False),
    "no BEGIN": ("signature_begins", False),
    "empty": ("signature_begins", False),
    "nothing inside": ("signature_base64", False),
    "only the two lines": ("signature_begins", False),
    "cut": ("signature_ends", False),
    "other base64": ("signature_base64", False),
    "blank inside": ("signature_base64", True),
    "no padding": ("signature_base64", False),
    "lines of 100": ("signature_base64", True),
    "uneven lines": ("signature_base64", True),
    "one short line": ("signature_base64", True),
    "twice": ("signature_base64", True),
    "too large": ("signature_size", False),
    "magic": ("signature_blob", False),
    "version 0": ("signature_version", True),
    "version 2": ("signature_version", False),
    "reserved": ("signature_reserved", True),
    "trailing bytes": ("signature_blob", False),
    "no namespace": ("signature_namespace_empty", False),
    "other namespace": ("signature_namespace", False),
    "md5": ("signature_hash", False),
    "sha1": ("signature_hash", False),
    "SHA512": ("signature_hash", False),
    "sha256": ("signature_other", False),
    "key of another": ("signature_other", False),
    "raw of another kind": ("signature_algorithm", False),
    "raw too short": ("signature_form", False),
    "raw and more": ("signature_form", False),
}
"""By name: our fault, and whether the tool, which is laxer there, accepts it."""


def spoilt(case: str, armor: bytes, other: PublicKey) -> bytes:
    s = parse(armor)
    lines = armor.split(b"\n")
    text = b"".join(lines[1:-2])
    raw = s.signature
    cases = {
        "junk before": b"x\n" + armor,
        "empty line before": b"\n" + armor,
        "byte order mark": b"\xef\xbb\xbf" + armor,
        "junk after": armor + b"x\n",
        "empty line after": armor + b"\n",
        "no last line feed": armor[:-1],
        "CRLF": armor.replace(b"\n", b"\r\n"),
        "CRLF inside": b"\n".join((lines[0], lines[1] + b"\r", *lines[2:])),
        "no END": b"\n".join(lines[:-2]) + b"\n",
        "no BEGIN": b"\n".join(lines[1:]),
        "empty": b"",
        "nothing inside": b"\n".join((lines[0], *lines[-2:])),
        "only the two lines": lines[0] + lines[-2] + b"\n",
        "cut": armor[:200],
        "other base64": armor.replace(
            b"==\n", chr(armor[armor.index(b"==\n") - 1] + 1).encode() + b"=\n"
        ),
        "blank inside": armor.replace(lines[2], lines[2][:9] + b" " + lines[2][9:]),
        "no padding": armor.replace(b"==\n", b"\n"),
        "lines of 100": wrapped(text, 100),
        "uneven lines": b"\n".join((lines[0], text[:30], text[30:100], text[100:], *lines[-2:])),
        "one short line": b"\n".join(
            (*lines[:2], text[70:100], text[100:170], text[170:240], text[240:], *lines[-2:])
        ),
        "twice": armor + armor,
        "too large": wrapped(b"A" * 20_000, 70),
        "magic": blob_of(s, magic=b"SSHSIH"),
        "version 0": blob_of(s, version=0),
        "version 2": blob_of(s, version=2),
        "reserved": blob_of(s, reserved=b"x"),
        "trailing bytes": blob_of(s, tail=b"\0"),
        "no namespace": blob_of(s, namespace=b""),
        "other namespace": blob_of(s, namespace=MARK.encode()),
        "md5": blob_of(s, hash=b"md5"),
        "sha1": blob_of(s, hash=b"sha1"),
        "SHA512": blob_of(s, hash=b"SHA512"),
        "sha256": blob_of(s, hash=b"sha256"),
        "key of another": blob_of(s, key=other.blob),
        "raw of another kind": blob_of(s, raw=packed(b"rsa-sha2-512", raw[-64:])),
        "raw too short": blob_of(s, raw=packed(b"ssh-ed25519", raw[-63:])),
        "raw and more": blob_of(s, raw=raw + b"\0"),
    }
    return cases[case]


@pytest.mark.parametrize("case", SPOILT)
def test_the_tool_agrees_about_what_does_not_hold(
    case: str, armor: bytes, keys: dict[str, Path], tmp_path: Path
) -> None:
    code, laxer = SPOILT[case]
    other = public(ssh_tools.made(tmp_path, "other"))
    bad = spoilt(case, armor, other)
    assert bad != armor
    assert code_of(bad) == code
    lines = f"{WHO} {public(keys['ed25519']).line}\n{WHO} {other.line}\n"
    assert ssh_tools.accepted(tmp_path, bad, MESSAGE, LOG, lines) is laxer


def test_the_tool_agrees_about_messages_that_were_changed(
    armor: bytes, keys: dict[str, Path], tmp_path: Path
) -> None:
    line = f"{WHO} {public(keys['ed25519']).line}\n"
    crlf = MESSAGE.replace(b"\n", b"\r\n")
    for message in (b"", MESSAGE[:-1], MESSAGE + b"\n", crlf, b"\xef\xbb\xbf" + MESSAGE):
        assert not holds(armor, message)
        assert not ssh_tools.accepted(tmp_path, armor, message, LOG, line)
    assert holds(armor)
    assert ssh_tools.accepted(tmp_path, armor, MESSAGE, LOG, line)
    assert not ssh_tools.accepted(tmp_path, armor, MESSAGE, MARK, line)
    assert code_of(armor, namespace=MARK) == "signature_namespace"


@pytest.mark.parametrize("width", [1, 64, 70, 76])
def test_lines_of_one_other_width_are_read(armor: bytes, width: int) -> None:
    text = b"".join(armor.split(b"\n")[1:-2])
    assert parse(wrapped(text, width)) == parse(armor)


@pytest.mark.parametrize("kind", ["ed25519", "p256", "rsa2048"])
def test_no_flipped_bit_of_a_signature_file_goes_unseen(
    keys: dict[str, Path], kind: str, armor: bytes
) -> None:
    whole = armor if kind == "ed25519" else ssh_tools.signed(keys[kind], MESSAGE, LOG)
    assert [bit for bit in range(len(whole) * 8) if holds(flipped(whole, bit))] == []


@pytest.mark.parametrize("step", [61, pytest.param(1, marks=pytest.mark.long)])
def test_the_tool_sees_no_flipped_bit_that_we_do_not_see(
    step: int, armor: bytes, keys: dict[str, Path], tmp_path: Path
) -> None:
    line = f"{WHO} {public(keys['ed25519']).line}\n"
    end = armor.index(b"-----END") + len(b"-----END SSH SIGNATURE-----")
    inside = range(0, end * 8, step)
    bits = [
        bit
        for bit in inside
        if ssh_tools.accepted(tmp_path, flipped(armor, bit), MESSAGE, LOG, line)
    ]
    # one makes a line feed a blank that the tool skips, one makes version 1 version 0
    codes = {code_of(flipped(armor, bit)) for bit in bits}
    assert codes <= {"signature_base64", "signature_version"}
    assert len(bits) <= 12
    assert [bit for bit in bits if holds(flipped(armor, bit))] == []


@pytest.mark.parametrize("step", [97, pytest.param(1, marks=pytest.mark.long)])
def test_no_flipped_bit_of_a_message_goes_unseen(step: int, armor: bytes) -> None:
    signature = parse(armor)
    unseen = []
    for bit in range(0, len(MESSAGE) * 8, step):
        try:
            check(signature, flipped(MESSAGE, bit), LOG)
        except NotValid:
            continue
        unseen.append(bit)
    assert unseen == []


def test_an_independent_reader_refuses_every_log_that_was_changed(
    armor: bytes, keys: dict[str, Path]
) -> None:
    key = independent.PublicKey.from_openssh_str(public(keys["ed25519"]).line)
    assert independent.verify(BytesIO(MESSAGE), armor, [key], LOG) == key
    chance = random.Random(20260609)
    for _ in range(300):
        bad = flipped(MESSAGE, chance.randrange(len(MESSAGE) * 8))
        assert not holds(armor, bad)
        with pytest.raises(independent.InvalidSignature):
            independent.verify(BytesIO(bad), armor, [key], LOG)
    with pytest.raises(independent.InvalidSignature):
        independent.verify(BytesIO(MESSAGE), armor, [key], MARK)
