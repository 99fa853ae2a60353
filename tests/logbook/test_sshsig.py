"""SSH signatures: as the real tool writes them, checked as it checks them, or more strictly."""

import random
from base64 import b64encode
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import pytest
import sshsig as independent
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from assaybench.logbook import sshsig
from assaybench.logbook.files import Files
from assaybench.logbook.keys import open_key, read_public
from assaybench.logbook.sshkeys import HARDWARE, NotValid, PublicKey, Wire, of_blob, of_line, packed
from assaybench.logbook.sshsig import LOG, MARK, check, check_digest, digest_of, parse
from tests.house.test_floors import modules_after
from tests.logbook import ssh_tools
from tests.logbook.ssh_tools import WHO
from tests.record.frames import small_log

MESSAGE = small_log()
KINDS = {
    "ed25519": ("-t", "ed25519"),
    "p256": ("-t", "ecdsa", "-b", "256"),
    "p384": ("-t", "ecdsa", "-b", "384"),
    "p521": ("-t", "ecdsa", "-b", "521"),
    "rsa2048": ("-t", "rsa", "-b", "2048"),
    "rsa3072": ("-t", "rsa", "-b", "3072"),
}


@pytest.fixture(scope="module")
def keys(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("keys")
    return {name: ssh_tools.made(folder, name, *kind) for name, kind in KINDS.items()}


@pytest.fixture(scope="module")
def armor(keys: dict[str, Path]) -> bytes:
    return ssh_tools.signed(keys["ed25519"], MESSAGE, LOG)


def public(path: Path) -> PublicKey:
    return read_public(Files(), path.with_name(f"{path.name}.pub"))


def holds(signature: bytes, message: bytes = MESSAGE, namespace: str = LOG) -> bool:
    try:
        check(parse(signature), message, namespace)
    except NotValid:
        return False
    return True


def code_of(signature: bytes, message: bytes = MESSAGE, namespace: str = LOG) -> str:
    with pytest.raises(NotValid) as caught:
        check(parse(signature), message, namespace)
    assert caught.value.line.isprintable()
    return caught.value.code


def wrapped(text: bytes, width: int) -> bytes:
    lines = [text[at : at + width] for at in range(0, len(text), width)]
    return b"\n".join(
        (b"-----BEGIN SSH SIGNATURE-----", *lines, b"-----END SSH SIGNATURE-----", b"")
    )


def blob_of(
    signature: sshsig.Signature,
    *,
    magic: bytes = b"SSHSIG",
    version: int = 1,
    reserved: bytes = b"",
    tail: bytes = b"",
    **changed: bytes,
) -> bytes:
    """A signature put together by hand, with parts of it changed."""
    parts = {
        "key": signature.key.blob,
        "namespace": signature.namespace.encode(),
        "hash": signature.hash.encode(),
        "raw": signature.signature,
        **changed,
    }
    body = packed(parts["key"], parts["namespace"], reserved, parts["hash"], parts["raw"])
    return wrapped(b64encode(magic + version.to_bytes(4, "big") + body + tail), 70)


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


def flipped(data: bytes, bit: int) -> bytes:
    changed = bytearray(data)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


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


# --- keys ----------------------------------------------------------------------------------------


def test_rsa_is_accepted_with_sha2_alone_and_from_2048_bits_on(
    keys: dict[str, Path], tmp_path: Path
) -> None:
    signature = parse(ssh_tools.signed(keys["rsa2048"], MESSAGE, LOG))
    raw = signature.signature[-256:]
    for name in (b"ssh-rsa", b"rsa-sha2-1024", b"ssh-ed25519"):
        bad = blob_of(signature, raw=packed(name, raw))
        assert code_of(bad) == "signature_algorithm"
    assert code_of(blob_of(signature, raw=packed(b"rsa-sha2-256", raw))) == "signature_other"
    assert code_of(blob_of(signature, raw=packed(b"rsa-sha2-512", b"\0" + raw))) == "signature_form"
    short = ssh_tools.made(tmp_path, "short", "-t", "rsa", "-b", "1024")
    assert code_of(ssh_tools.signed(short, MESSAGE, LOG)) == "key_rsa_bits"


def test_numbers_have_one_spelling(keys: dict[str, Path]) -> None:
    """RFC 4251 section 5: no needless zero bytes before a whole number, and none below zero."""
    signature = parse(ssh_tools.signed(keys["p256"], MESSAGE, LOG))
    wire = Wire(signature.signature)
    algorithm, both = wire.string(), Wire(wire.string())
    r, s = both.string(), both.string()
    assert holds(blob_of(signature, raw=packed(algorithm, packed(r, s))))
    for other in (b"\0" + r, b"\xff" + r, b"", b"\0"):
        bad = blob_of(signature, raw=packed(algorithm, packed(other, s)))
        assert code_of(bad) == "signature_form"
    blob = public(keys["rsa2048"]).blob
    exponent = packed(b"\1\0\1")
    assert exponent in blob
    for other in (b"\0\1\0\1", b"\x80\0\1", b""):
        with pytest.raises(NotValid, match="the parts of a ssh-rsa key"):
            of_blob(blob.replace(exponent, packed(other)))


def hardware_key(application: bytes = b"ssh:") -> tuple[PublicKey, Ed25519PrivateKey]:
    private = Ed25519PrivateKey.generate()
    raw = private.public_key().public_bytes(Encoding.Raw, PublicFormat.Raw)
    return PublicKey(HARDWARE, packed(HARDWARE.encode(), raw, application)), private


def test_a_hardware_key_s_signature_holds_as_the_format_says(tmp_path: Path) -> None:
    """PROTOCOL.u2f: the token signs digests, its flags and its counter."""
    key, private = hardware_key()
    said = b"\x01" + (1234).to_bytes(4, "big")
    blob = sshsig.signed_blob(LOG, "sha512", digest_of(MESSAGE, "sha512"))
    signed = sha256(b"ssh:").digest() + said + sha256(blob).digest()
    raw = packed(HARDWARE.encode(), private.sign(signed)) + said
    whole = sshsig.armored(key, LOG, raw)
    line = f"{WHO} {key.line}\n"
    assert holds(whole)
    assert ssh_tools.accepted(tmp_path, whole, MESSAGE, LOG, line)
    assert [bit for bit in range(len(whole) * 8) if holds(flipped(whole, bit))] == []
    for other in (raw[:-1] + b"\0", raw + b"\0", raw[:-5]):
        bad = sshsig.armored(key, LOG, other)
        assert not holds(bad)
        assert not ssh_tools.accepted(tmp_path, bad, MESSAGE, LOG, line)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("", "key_line"),
        ("ssh-ed25519", "key_line"),
        ("ssh-dss AAAA", "key_type"),
        ("ssh-ed25519 AAAA", "key_line"),
        ("ssh-ed25519 AAAA=", "key_base64"),
        ("ssh-ed25519 " + b64encode(packed(b"ssh-ed25519", b"x" * 31)).decode(), "key_blob"),
        ("ssh-ed25519 " + b64encode(packed(b"ssh-ed25519", b"x" * 32, b"")).decode(), "key_blob"),
        ("ssh-rsa " + b64encode(packed(b"ssh-ed25519", b"x" * 32)).decode(), "key_blob"),
        ("ssh-ed25519 " + "A" * 5000, "key_line"),
        (
            "ecdsa-sha2-nistp256 "
            + b64encode(packed(b"ecdsa-sha2-nistp256", b"nistp256", b"\4" + b"x" * 64)).decode(),
            "key_blob",
        ),
        (
            "ecdsa-sha2-nistp256 "
            + b64encode(packed(b"ecdsa-sha2-nistp256", b"nistp384", b"\4" + b"x" * 96)).decode(),
            "key_blob",
        ),
    ],
)
def test_a_line_that_is_no_public_key_is_told(line: str, code: str) -> None:
    with pytest.raises(NotValid) as caught:
        of_line(line)
    assert caught.value.code == code
    assert caught.value.line.isprintable()


def test_the_cryptography_library_is_loaded_by_the_first_check_alone() -> None:
    code = "import assaybench.logbook.sshsig, assaybench.logbook.keys, assaybench.logbook.signers"
    assert "cryptography" not in modules_after(code)
